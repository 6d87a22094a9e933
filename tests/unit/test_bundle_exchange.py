"""What a bundle holds besides entries: EPCIS, PROV, GraphML, tables; from scripted days and random histories."""

import io
import json
import re
from functools import cache

import networkx as nx
import openpyxl
import prov.model
import pypdfium2
import pytest
from support_bundle import PLANT, checkpoint, seal
from support_each import each
from support_epcis import validator
from support_exchange import dangling, packed_before_commissioned
from support_histories import dock_history, history
from support_plant import DOCK, LAB, LINE, PRESS, Floor, carton_sscc, code
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.report.bundle import verify_bundle
from tracelink.report.bundle.audit_questions import QUESTIONS
from tracelink.report.epcis.event_rules import check_document
from tracelink.report.format.table import Column, Kind, keyed, table
from tracelink.report.format.table_csv import csv_file
from tracelink.report.format.table_workbook import BookStamp, workbook
from tracelink.report.pictures.graphml import graphml
from tracelink.services.audit_bundle import ProvingCheckpoint, _Hiding, make_bundle
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal, subtrees

LOT, OTHER = code("L", 1), code("L", 5)


def played():
    """Lot 1 pressed, sampled, judged twice, measured, packed, released, shipped; lot 5 beside it."""
    floor = Floor.copy()
    floor.at = "2031-03-03T09:00:00+01:00"
    floor.press(1)
    floor.press(5)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#10", "K11")
    floor.scan(LAB, "BAD", "S1", '"scratch')
    floor.scan(LAB, "REJUDGE", "S1", '"good', '"looked at the wrong disc')
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE", "carton 2", "NOREAD")
    floor.match(1, 2)
    floor.scan(LAB, "SAMPLE", "L1", "S2", '"unknown', "carton 1")
    floor.scan(LAB, "RELEASE", "L1", '"samples good')
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1")
    return floor


@cache
def floor():
    return played()


def bundle(floor, subject, **wishes):
    with floor.ledger.reading() as conn:
        size = journal.head(conn).seq
        note = checkpoint(size, subtrees.root(conn, size), PLANT)
        scope = bundle_scope(conn, subject)
        return make_bundle(conn, scope, ProvingCheckpoint(note, PLANT.key, seal=seal), Wishes(**wishes))


@cache
def files():
    return bundle(floor(), LOT)


def kinds(made):
    return [json.loads(line)["kind"] for line in made["entries.jsonl"].splitlines()]


def test_the_day_was_played_as_meant():
    assert {"sample-judged", "discs-sleeved", "no-read", "carton-palletised", "lot-decided"} <= set(
        kinds(files())
    )


def test_the_bundle_verifies_with_the_plants_key():
    assert verify_bundle.verify(files(), keys=[verify_bundle.parse_key(PLANT.key)]).code == 0


def test_what_concerns_the_lot_is_in_and_what_concerns_another_is_not():
    text = files()["entries.jsonl"].decode()
    assert text.count('"kind":"press-set-up"') == 1
    assert f'"lot":"{OTHER}"' not in text
    # What stood at the stations before: sign-ons, the clearance, the sleeves.
    assert {"signed-on", "line-cleared", "sleeves-opened", "spindle-opened"} <= set(kinds(files()))
    assert {"plant-named", "person-enrolled", "station-placed", "product-defined", "sscc-issued"} <= set(
        kinds(files())
    )


def test_a_carton_brings_its_own_flow_and_its_lots_making():
    made = bundle(floor(), carton_sscc(1))
    assert kinds(made).count("discs-sleeved") == 1
    assert kinds(made).count("stack-taken") == 1
    assert {"press-set-up", "tool-grown", "lot-decided"} <= set(kinds(made))
    assert carton_sscc(2) not in made["entries.jsonl"].decode()


def test_anything_else_has_no_bundle():
    for code_ in (code("T", 99), code("L", 99), "952000000000000000"):
        with (
            floor().ledger.reading() as conn,
            pytest.raises(
                UsageError,
                match="is not a lot, carton, pallet, shipment, consignee, tool, material lot, step, part lot, reel, build order, built piece or case",
            ),
        ):
            bundle_scope(conn, code_)


def test_the_same_ledger_gives_the_same_bytes():
    assert bundle(floor(), LOT) == files()


class TestPeople:
    """`--pseudonyms`: names never appear, badges stand in their place."""

    def test_no_name_is_anywhere(self):
        made = bundle(floor(), LOT, pseudonyms=True)
        assert {name: found for name, data in made.items() if (found := people_named(name, data))} == {}
        named = {name for name, data in files().items() if people_named(name, data)}
        assert named >= {"tables/people.csv", "tables.xlsx", "report.html", "report.pdf"}

    def test_it_verifies_and_says_what_was_withheld(self):
        made = bundle(floor(), LOT, pseudonyms=True)
        about = json.loads(made["about.json"])
        assert about["people"] == "badges"
        assert len(about["withheld_entries"]) == kinds(files()).count("person-enrolled")
        result = verify_bundle.verify(made)
        assert result.faults == []
        assert "they name people and were withheld" in result.limits[0]
        assert "entries are withheld" in made["README.txt"].decode()

    def test_a_name_in_a_reason_withholds_the_entry_and_is_replaced_in_the_tables(self):
        day = played()
        day.scan(LAB, "REJECT", "L5", '"Ben says it hums, and he may be right')
        made = bundle(day, OTHER, pseudonyms=True)
        assert "lot-decided" not in kinds(made)
        assert {name: found for name, data in made.items() if (found := people_named(name, data))} == {}
        assert f"{code('P', 2)} says it hums, and he may be right" in made["tables/decisions.csv"].decode()
        assert verify_bundle.verify(made).faults == []

    @pytest.mark.parametrize(
        ("names", "text", "left"),
        [
            (("May",), "May may go", "P1 may go"),
            (("Ada Example",), "ask ADA EXAMPLE or Ada", "ask P1 or Ada"),
            (("Ann", "Ann Example"), "Ann Example and Ann, not Anna", "P2 and P1, not Anna"),
            (("A.B",), "AxB A.B", "AxB P1"),
            ((), "Ada", "Ada"),
        ],
    )
    def test_what_counts_as_a_name(self, names, text, left):
        hide = _Hiding({name: f"P{number}" for number, name in enumerate(names, 1)})
        assert hide.text(text) == left
        assert hide.value({"Ada Example": [text, 1, None]}) == {"Ada Example": [left, 1, None]}

    def test_badges_are_the_same_in_every_export(self):
        one, two = (bundle(floor(), subject, pseudonyms=True) for subject in (LOT, carton_sscc(1)))
        for made in (one, two):
            assert code("P", 1) in made["tables/people.csv"].decode()


def people_named(name, data):
    """The people whose names stand in a file of a bundle, as words: in compressed bytes any three letters may stand."""
    if name.endswith(".pdf"):
        data = paper({name: data}).encode()
    elif name.endswith(".xlsx"):
        data = b" ".join(cells(data))
    return sorted(set(re.findall(rb"\b(?:Ada|Ben|Cleo)\b", data)))


def paper(made):
    document = pypdfium2.PdfDocument(made["report.pdf"])
    return " ".join(page.get_textpage().get_text_range() for page in document)


def cells(data):
    book = openpyxl.load_workbook(io.BytesIO(data))
    return [str(cell.value).encode() for sheet in book for row in sheet.iter_rows() for cell in row]


class TestEpcis:
    def document(self):
        return json.loads(files()["events.jsonld"])

    def events(self, **wanted):
        found = self.document()["epcisBody"]["eventList"]
        return [each for each in found if all(each.get(name) == value for name, value in wanted.items())]

    def test_it_is_valid_by_the_published_schema(self):
        assert [each.message for each in validator().iter_errors(self.document())] == []

    def test_it_is_right_by_our_stricter_rules(self):
        assert [each.sentence for each in check_document(self.document())] == []
        assert list(packed_before_commissioned(self.events())) == []

    def test_a_run_is_one_transformation_with_its_own_number(self):
        [run] = self.events(type="TransformationEvent", bizStep="creating_class_instance")
        assert run["transformationID"] == f"https://id.example.org/run/{LOT}-1"
        assert run["outputQuantityList"][0]["quantity"] == 20
        assert len(run["inputEPCList"]) == 2
        assert len(run["inputQuantityList"]) == 3

    def test_a_correction_repeats_the_event_and_names_the_new_one(self):
        [declared] = [each for each in self.events() if "errorDeclaration" in each]
        first, new = (
            self.events(bizStep="inspecting", disposition="non_conformant", eventID=declared["eventID"])[0],
            (declared["errorDeclaration"]["correctiveEventIDs"]),
        )
        same = {
            name: value for name, value in declared.items() if name not in ("errorDeclaration", "recordTime")
        }
        assert same == {name: value for name, value in first.items() if name != "recordTime"}
        [corrective] = [each for each in self.events() if [each["eventID"]] == new]
        assert corrective["disposition"] == "conformant"

    def test_a_carton_is_an_sscc_and_holds_what_was_packed(self):
        packed = self.events(
            type="AggregationEvent", bizStep="packing", parentID=f"https://id.gs1.org/00/{carton_sscc(1)}"
        )
        assert sum(child["quantity"] for each in packed for child in each["childQuantityList"][:1]) == 5

    def test_a_sample_out_of_a_carton_leaves_it_and_a_stroke_nobody_knows_is_not_told(self):
        made = {
            each["epcList"][0][-8:]: each["ilmd"]
            for each in self.events(bizStep="commissioning")
            if {"epcList", "ilmd"} <= each.keys()
        }
        assert made[code("S", 1)]["plant:stroke"] == 10
        assert made[code("S", 2)] == {"cbvmda:lotNumber": LOT}
        [out] = self.events(type="AggregationEvent", action="DELETE")
        assert out["parentID"] == f"https://id.gs1.org/00/{carton_sscc(1)}"
        assert [child["quantity"] for child in out["childQuantityList"]] == [1]

    def test_times_are_those_of_the_entries(self):
        for event in self.events():
            assert event["eventTimeZoneOffset"] == event["eventTime"][-6:]
            assert event["recordTime"].endswith("Z")

    def test_another_domain(self):
        made = bundle(floor(), LOT, domain="id.plant.example/v1")
        assert f"https://id.plant.example/v1/station/{PRESS}" in made["events.jsonld"].decode()


class TestProv:
    def document(self):
        return json.loads(files()["prov.json"])

    def test_nothing_is_named_that_is_not_declared(self):
        assert dangling(self.document()) == []
        broken = self.document()
        del broken["agent"][f"id:person/{code('P', 1)}"]
        assert dangling(broken) == [f"id:person/{code('P', 1)}"]

    def test_an_independent_reader_reads_it_and_writes_the_same(self):
        read = prov.model.ProvDocument.deserialize(content=json.dumps(self.document()), format="json")
        again = prov.model.ProvDocument.deserialize(content=read.serialize(format="json"), format="json")
        assert read == again
        assert sum(1 for _ in read.get_records(prov.model.ProvActivity)) == len(self.document()["activity"])

    def test_a_lot_is_derived_from_its_stampers_and_a_correction_is_a_revision(self):
        derived = self.document()["wasDerivedFrom"].values()
        [(product,)] = floor().read("lot", "gtin", code=LOT)
        lot = f"gs1:01/0{product}/10/{LOT}"
        used = {each["prov:usedEntity"] for each in derived if each["prov:generatedEntity"] == lot}
        assert f"id:tool/{code('T', 4)}" in used
        assert sum("prov:type" in each for each in derived) == 1


@pytest.mark.parametrize("case", load("exchange", "prov-json"), ids=by_id)
def test_published_prov_has_no_loose_end(case):
    assert dangling(case["input"]) == [], case["source"]


class TestGraphml:
    def test_networkx_reads_the_very_tree(self):
        tree_ = Tree(
            "L1",
            (Node("lot", "L1", (("title", "<Low> & \x1dTide"),)), Node("carton", "95", ()), Node("mother", 'T"1', ())),
            (
                Edge('T"1', "L1", "pressed", None, None, None),
                Edge("L1", "95", "packed in", "L1", None, 25),
                Edge("L1", "95", "packed in", "L1", None, 3),
            ),
            (),
        )  # fmt: skip
        graph = nx.read_graphml(io.BytesIO(graphml(tree_).encode()), force_multigraph=True)
        assert dict(graph.nodes(data=True)) == {
            "L1": {"kind": "lot", "details": "title <Low> & \\x1dTide"},
            "95": {"kind": "carton", "details": ""},
            'T"1': {"kind": "mother", "details": ""},
        }
        assert sorted((one, two, data.get("quantity", 0)) for one, two, data in graph.edges(data=True)) == [
            ("L1", "95", 3), ("L1", "95", 25), ('T"1', "L1", 0),
        ]  # fmt: skip

    def test_the_bundles_own_graph_has_every_link_of_its_table(self):
        graph = nx.read_graphml(io.BytesIO(files()["genealogy.graphml"]), force_multigraph=True)
        lines = files()["tables/genealogy.csv"].decode().splitlines()
        assert graph.number_of_edges() == len(lines) - 1 > 10

    @pytest.mark.parametrize("case", load("exchange", "graphml"), ids=by_id)
    def test_the_minimal_form_is_read_likewise(self, case):
        graph = nx.read_graphml(io.BytesIO(case["input"].encode()))
        assert (graph.number_of_nodes(), graph.number_of_edges()) == (
            case["expected"]["nodes"],
            case["expected"]["edges"],
        ), case["source"]


class TestTables:
    HOSTILE = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "'=1", '=HYPERLINK("http://x")', "a\x1db", "<script>")

    def test_no_cell_is_a_formula(self):
        columns = (Column("text", "text", Kind.TEXT), Column("n", "n", Kind.COUNT))
        made = table("x", "x", columns, [(text, -5) for text in self.HOSTILE])
        lines = csv_file(made).decode().splitlines()[1:]
        assert not any(line.lstrip('"').startswith(("=", "+", "-", "@", "\t")) for line in lines)
        sheet = openpyxl.load_workbook(
            io.BytesIO(workbook([made], BookStamp("x", "2031-03-04T08:15:00Z")))
        ).active
        assert [cell.data_type for cell in sheet["A"][1:]] == ["s"] * len(self.HOSTILE)
        assert [cell.value for cell in sheet["A"][1:3]] == ["'=1+1", "'+1"]
        assert sheet["B2"].value == -5
        assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("A2", f"A1:B{len(self.HOSTILE) + 1}")

    def test_two_columns_of_one_title_have_keys_of_their_own(self):
        made = table("x", "x", keyed((("its strokes", Kind.CODE), ("its strokes", Kind.CODE))), [("1", "2")])
        assert csv_file(made) == b"its_strokes,its_strokes_2\n1,2\n"

    def test_the_workbook_has_a_sheet_for_every_csv(self):
        sheets = openpyxl.load_workbook(io.BytesIO(files()["tables.xlsx"])).sheetnames
        assert sorted(f"tables/{name}.csv" for name in sheets) == sorted(
            name for name in files() if name.startswith("tables/")
        )

    def test_every_row_of_the_entries_is_an_entry(self):
        lines = files()["tables/entries.csv"].decode().splitlines()
        assert len(lines) - 1 == len(kinds(files()))

    def test_what_was_judged_twice_is_told_twice(self):
        lines = files()["tables/samples.csv"].decode().splitlines()
        assert [line.split(",")[7:9] for line in lines[1:]] == [
            ["BAD", "scratch"], ["good", ""], ["not judged", ""],
        ]  # fmt: skip
        assert "looked at the wrong disc" in files()["tables/corrections.csv"].decode()


class TestReport:
    """Somebody who has never seen the plant answers each of the auditor's questions from the bundle alone."""

    def page(self):
        # A code is marked inside its sentence, where no blank stands.
        marked = re.sub(r"</?code>", "", files()["report.html"].decode())
        return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", marked))

    def paper(self, made=None):
        return paper(made or files())

    @each("question", QUESTIONS, ids=lambda each: each.text[:40])
    def test_every_question_is_asked_and_its_answer_is_there_or_named_as_missing(self, question):
        assert question.text in self.page().replace("&#39;", "'")
        assert question.tables or question.lacks
        for key in question.tables:
            assert f"tables/{key}.csv" in files()
            assert f"tables/{key}.csv" in self.page()
        if question.lacks:
            assert f"{question.lacks}." in self.page().replace("&#39;", "'")

    @each(
        ("what", "answer"),
        [
            ("stamper A and its strokes", "T000004H 1–20"),
            ("first-off", "matrix read by eye: A EX-101-A, B EX-101-B; expected A EX-101-A, B EX-101-B"),
            ("defect", "BAD scratch"),
            ("why it was corrected", "looked at the wrong disc"),
            ("who released and why", "samples good"),
            ("second person at clearance", f"Ben ({code('P', 2)})"),
            ("carton", carton_sscc(1)),
            ("not recorded", "plating batch, bath and current of each tool"),
            ("no-read", "no-read"),
            ("late", "say they happened (setting late_entry_minutes)"),
        ],
    )
    def test_answers(self, what, answer):
        assert answer in self.page(), what

    def test_every_answer_is_in_words_and_figures_and_none_counts_rows(self):
        page = self.page().replace("&#39;", "'").replace("&#34;", '"')
        for number, question in enumerate(QUESTIONS, 1):
            begun = page.index(f"{number} {question.text}") + len(f"{number} {question.text}")
            answer = page[begun : begun + 120].strip()
            assert answer, question.text
            assert not re.match(r"[a-z-]+: \d+ rows?", answer), answer

    @pytest.mark.parametrize(
        "answer",
        [
            f'{LOT}: "Paper Comet Arithmetic" (EX 101), disc 1; 500 planned, 20 pressed; pressed, released.',
            f"Stamper T000004H: strokes 1–20 of lot {LOT};",
            "tamper T000004H in lot L000001B: 0 at the start, 20 at the end",
            "Side A: stamper T000004H (EX-101-A), made",
            "matrix read by eye EX-101-A and EX-101-B",
            "20 discs in 2 stacks",
            "5 units in 1 run at",
            "2 cartons (1 closed, 1 open), 0 of them in a shipment. 1 pallet:",
            "Nothing of it was loaded.",
            "Nothing came back or was destroyed.",
            "2 samples: 1 good, 1 not judged",
            f"Lot {LOT} released",
            "1 clearance by two people",
            f"Lot {LOT}: difference ±0 discs.",
            "No hold was placed on any of it.",
            "(sample judged) by Ada",
            "calibration of instruments and gauges; training of people",
            "retention periods: nothing in the journal is ever removed",
        ],
    )
    def test_what_is_answered(self, answer):
        assert answer in self.page().replace("&#39;", "'").replace("&#34;", '"')

    def test_the_paper_says_what_the_page_says(self):
        for words in (
            "The auditor's questions",
            "plating batch, bath and current",
            carton_sscc(1),
            "looked at the",
        ):
            assert words in self.paper()

    def test_no_name_is_on_the_paper_either(self):
        text = self.paper(bundle(floor(), LOT, pseudonyms=True))
        assert "Ada" not in text
        assert code("P", 1) in text

    def test_it_opens_without_a_network_and_claims_nothing(self):
        page = files()["report.html"].decode()
        assert "default-src 'none'" in page
        assert not re.search(r"(?i)\b(all clear|is safe|100 % found|recall complete)\b", page)
        assert "Nothing further was found in the records up to entry" in page

    def test_both_carry_the_head_and_no_time_of_printing(self):
        with floor().ledger.reading() as conn:
            head = journal.head(conn)
        assert head.hash in self.page()
        assert "Printed" not in self.page() + self.paper()


@pytest.mark.parametrize("seed", [3, 27])
def test_bundles_of_random_histories_verify_and_their_events_are_valid(seed):
    made = history(seed) if seed < 24 else dock_history(seed)
    made.run(120)
    played_ = made.floor
    lots = [lot for lot, pressed in played_.read("lot", "code", "counter", order="code") if pressed]
    pallets = [sscc for (sscc,) in played_.read("pallet", "sscc", order="sscc")[:1]]
    for subject in (*lots[:2], *pallets):
        found = bundle(played_, subject)
        assert verify_bundle.verify(found).faults == [], made.shown()
        document = json.loads(found["events.jsonld"])
        assert [each.sentence for each in check_document(document)] == [], made.shown()
        assert dangling(json.loads(found["prov.json"])) == []
        assert next(validator().iter_errors(document), None) is None
