"""The pages of a lot and of a containment: one file, escaped, adding up, and deciding nothing."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files

import pytest
from support_asking import contain
from support_genealogy_plant import move, small_plant
from support_report import BAD_STAMPER, HEAD, LOT, NOW, OTHER, carton, pallet, real_lot

from tracelink.errors import UnknownCode
from tracelink.facts.lot_stops import CaseOfLot, LotStops
from tracelink.facts.scope_records import HoldLine
from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.containment.query import Evidence
from tracelink.genealogy.model.facts import LotFact, SegmentFact, ToolFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.report.format.page import document_page
from tracelink.report.format.shown import on_paper
from tracelink.report.pages.lot_page import lot_page
from tracelink.report.pages.lot_stops_text import in_short
from tracelink.report.pictures.family import HOLD
from tracelink.report.pictures.held_nodes import with_holds
from tracelink.report.scope import tables_places
from tracelink.report.scope.pictures import scope_pictures
from tracelink.report.scope.sections import scope_sections
from tracelink.services.scope_document import scope_document
from tracelink.store.records.scope_facts import ScopeFacts

VOID = {"meta", "br", "rect", "path", "line", "circle"}


class Reader(HTMLParser):
    """Collects tables by caption, the words outside style and title, and checks that tags close in order."""

    def __init__(self, page):
        super().__init__()
        self.open, self.tables, self.words, self.tags = [], {}, [], []
        self.caption = None
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "caption":
            self.caption = ""
        elif tag == "tr":
            self.tables[self.caption].append([])
        elif tag in {"td", "th"}:
            self.tables[self.caption][-1].append("")

    def handle_startendtag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        if tag == "caption":
            self.tables[self.caption] = []

    def handle_data(self, data):
        if self.open and self.open[-1] == "caption":
            self.caption += data
        elif not {"td", "th"}.isdisjoint(self.open[-2:]):
            # A cell may have codes in it, each an element of its own.
            row = self.tables[self.caption][-1]
            self.words[-1 if row[-1] else len(self.words) :] = [row[-1] + data]
            row[-1] += data
            return
        if not self.open or self.open[-1] != "style":
            self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def number(text):
    return int(re.sub(r"[^0-9-]", "", text.replace("−", "-")) or 0)


def column(table, title, rows=None):
    at = table[0].index(title)
    return [number(row[at]) for row in (table[1:] if rows is None else rows)]


def split(table, first):
    """The rows above the rule and those below it."""
    at = next(i for i, row in enumerate(table) if row[0].startswith(first))
    return table[1:at], table[at:]


def scoped(*words, **named):
    """A scope and its page."""
    scope, _document, page = asked(*words, **named)
    return scope, page


def rows_of(table):
    """A table of the document as a reader of a page has it: the heading, the rows and what stands under the rule."""
    return [
        [column.heading for column in table.columns],
        *([on_paper(cell, column) for cell, column in zip(row, table.columns, strict=True)]
          for row in (*table.rows, *table.foot)),
    ]  # fmt: skip


def asked(cause=BAD_STAMPER, shape=Shape.FROM_ONSET, records=None, holds=None, evidence=()):
    """A scope, its document and its page; what is in the plant is held as `holds` (pallet or lot -> hold) says."""
    records = records or real_lot()
    scope = contain(records, cause, shape, evidence=evidence)
    lives = lives_of(scope)
    judgements = [one.judgement for life in lives for one in life.judged]
    rows = tuple(in_plant_rows(scope, holds or {}))
    document = scope_document(records, scope, lives, ScopeFacts(in_plant=rows), at=NOW)
    pictures = scope_pictures(records, scope, lives, judgements, at=NOW)
    return scope, document, document_page(scope_sections(document, pictures))


def in_plant_rows(scope, holds):
    for held in scope.containers:
        if held.most and not held.shipped:
            hold = next((holds[code] for code in (*held.parents, held.lot) if code in holds), None)
            yield InPlant(
                held.code,
                held.kind,
                held.status,
                held.lot,
                held.pieces,
                held.least,
                held.most,
                held.parents,
                hold,
                "",
            )


PAGES = {
    "lot": lambda: lot_page(real_lot(), LOT, at=NOW),
    "lot running": lambda: lot_page(real_lot(), OTHER, at=NOW),
    "stamper": lambda: scoped()[1],
    "mother": lambda: scoped("T0000021")[1],
    "press": lambda: scoped("W0000031")[1],
    "compound": lambda: scoped("C0000007", Shape.INTERMITTENT)[1],
    "lot as cause": lambda: scoped(LOT, Shape.INTERMITTENT)[1],
    "pallet": lambda: scoped(pallet(2), Shape.WHOLE_LIFE)[1],
    "sleeve batch": lambda: scoped("B0000005", Shape.WHOLE_LIFE)[1],
}


@pytest.fixture(params=PAGES, scope="module")
def page(request):
    return PAGES[request.param]()


def test_a_page_is_whole_and_reaches_for_nothing(page):
    reader = Reader(page)
    assert "default-src 'none'" in page
    for tag, attributes in reader.tags:
        assert tag not in {"script", "link", "img", "iframe", "object", "form"}
        assert not {"src", "onload", "onclick", "style"} & set(attributes)
        # The only links are those of the contents, which lead to a heading of the same page.
        assert attributes.get("href", "#part-0").startswith("#part-")
        assert (tag == "a") == ("href" in attributes)
    assert "@import" not in page
    assert "url(" not in page


def test_head_and_time_are_on_the_page_and_on_every_sheet(page):
    text = Reader(page).text
    printed = "Printed 2031-03-14 16:05 +01:00."
    # In short at the top, where it is read; whole at the end and at the foot of every sheet, where it is compared.
    assert text.index(f"Records up to entry 12345, journal head 3f9a17c2…. {printed}") < 400
    assert text.count(f"Records up to entry 12345, journal head {HEAD[1]}. {printed}") == 1
    foot = re.search(r'@bottom-left \{ content: "([^"]+)"', page)[1]
    assert foot.startswith(f"Records up to entry 12345, journal head {HEAD[1]}. {printed}")


def test_a_page_never_says_that_all_is_well(page):
    text = Reader(page).text.lower()
    for never in (
        r"\bsafe\b",
        r"all clear",
        r"recall complete",
        r"100 % found",
        r"\bcomplete\b",
        r"\brisk-free\b",
    ):
        assert not re.search(never, text)
    assert "nothing further was found in the records up to entry 12345; gaps: " in text
    assert "it decides nothing. a named person decides." in text
    assert "unknown is cleared" not in text


def test_numbers_stand_on_the_right(page):
    for table in re.findall(r"<table.*?</table>", page, re.DOTALL):
        heads = re.findall(r'<th scope="col"( class="n")?>', table)
        for row in re.findall(r"<tr>(<td.*?)</tr>", table, re.DOTALL):
            cells = re.findall(r'<td class="(\w+)', row)
            assert [cell == "n" for cell in cells] == [bool(head) for head in heads]
    assert "td.n { text-align: right" in page


def test_a_lot_adds_up_to_what_the_press_counted():
    tables = Reader(lot_page(real_lot(), LOT, at=NOW)).tables
    for caption in (
        "Strokes of the lot, and the tools and materials they were pressed with",
        "Where the discs are now",
    ):
        rows, foot = split(tables[caption], "together")
        title = "discs"
        assert sum(column(tables[caption], title, rows)) == 1000
        assert column(tables[caption], title, foot[:2]) == [1000, 1000]
        assert "±0" in foot[2]


def test_a_lot_that_does_not_add_up_shows_the_difference_with_its_sign():
    records = small_plant()
    records.lots[0] = LotFact("L1", "9520000012342", 1, "Paper Comet Arithmetic", "W1", 510, "pressed")
    reader = Reader(lot_page(records, "L1", at=NOW))
    table = reader.tables["Strokes of the lot, and the tools and materials they were pressed with"]
    assert table[-1][:2] == ["difference", "−10"]
    assert "Strokes 501-510 of lot L1 were counted, but no record says with which stampers" in reader.text
    assert "gaps: 1;" in reader.text


def test_a_lot_says_its_catalogue_number_and_its_press_by_name_and_code():
    records = real_lot()
    before = Reader(lot_page(records, LOT, at=NOW)).text
    assert "Catalogue number not recorded" in before
    assert "Press W0000031 Counted" in before
    records.lots[0] = replace(records.lots[0], catalogue_number="EX 101", press_name="Press 2")
    text = Reader(lot_page(records, LOT, at=NOW)).text
    assert "Catalogue number EX 101 GTIN 9520000012342" in text
    assert "Press Press 2 (W0000031) Counted" in text


def test_a_lot_names_its_tools_back_to_the_master_once():
    table = Reader(lot_page(real_lot(), LOT, at=NOW)).tables["The tools, from the stamper back to the master"]
    assert [row[1] for row in table[1:]] == [
        "T0000101", "T0000021", "T0000011", "T0000001",
        "T0000201", "T0000022", "T0000012", "T0000002",
        "T0000102",
    ]  # fmt: skip


def test_samples_have_the_stroke_of_each_stamper():
    table = Reader(lot_page(real_lot(), LOT, at=NOW)).tables["Judgements that stand, by stroke"]
    by_sample = {row[0]: row for row in table[1:]}
    # Stroke 901 of the lot is the 101st of stamper T0000102 and the 901st of T0000201.
    assert by_sample["S0000008"][1:5] == ["901", "101", "901", "good"]


def test_every_container_and_movement_is_in_a_table_of_the_lot():
    records = real_lot()
    tables = Reader(lot_page(records, LOT, at=NOW)).tables
    assert {carton(n) for n in range(1, 41)} <= {row[1] for row in tables["Where the discs are now"]}
    moves = tables["Every movement of its discs, in the order of the journal"]
    assert len(moves) - 1 == len(records.movements_of(LOT))


def test_strokes_in_many_pieces_are_told_in_short():
    records = small_plant()
    records.movements += [move(200 + n, "L1", 1, "K3", "S9", 410 + 3 * n, 410 + 3 * n) for n in range(20)]
    table = Reader(lot_page(records, "L1", at=NOW)).tables["Where the discs are now"]
    by_code = {row[1]: row for row in table}
    assert by_code["S9"][3:5] == ["20", "410–467, 19 gaps"]
    assert by_code["K3"][3:5] == ["70", "70 of 401–500, 20 gaps"]


def test_an_unknown_lot_is_refused():
    with pytest.raises(UnknownCode) as caught:
        lot_page(real_lot(), "L9", at=NOW)
    assert str(caught.value) == "'L9' is not a lot in the records up to entry 12345: expected a lot code"


def test_a_lot_with_a_tool_nobody_described_says_so():
    records = small_plant()
    records.segments.append(SegmentFact("L3", 51, 50, "W2", "T77", "T9", 0, 0, "M2", "E1", "E2", 80))
    table = Reader(lot_page(records, "L3", at=NOW)).tables["The tools, from the stamper back to the master"]
    assert ["not recorded", "T77", "–", "", "", ""] in table


def test_movements_that_cannot_be_true_are_told():
    records = small_plant()
    records.movements.append(move(70, "L1", 900, "K1", "K9"))
    text = Reader(lot_page(records, "L1", at=NOW)).text
    assert "movements that cannot all be true: 1." in text
    assert "Lot L1: entry 70 takes 900 from K1 to K9" in text


def test_tiers_have_their_reasons_and_add_up():
    scope, page = scoped()
    reader = Reader(page)
    rows, foot = split(reader.tables["Tiers"], "proven, together")
    assert [row[0] for row in rows] == ["proven", "possible", "cleared"]
    assert all(row[-1] for row in rows)
    assert column(reader.tables["Tiers"], "discs", foot) == [220, 99, 701, 1020]
    assert sum(len(tier.strokes) for tier in scope.tiers) == 1020
    assert "220 proven, 99 possible, 701 cleared for this shape with a reason" in reader.text


def test_places_add_up_on_the_page():
    _scope, document, page = asked()
    table = rows_of(tables_places.places(document))
    rows, foot = split(table, "together")
    assert sum(column(table, "discs there", rows)) == 1220
    assert [row[1] for row in foot] == ["1\u202f220", "1\u202f220", "±0"]
    # On the page the picture stands for the table: it has every place with its three numbers, and the sums.
    reader = Reader(page)
    for row in rows:
        assert " ".join(row) in reader.text
    assert "total (lines add up to 1 220, difference ±0) 1 220 affected in all: 220 to 319" in reader.text
    assert "Places, added up" not in reader.tables


def test_containers_show_bounds_and_holds_and_what_is_not_held():
    scope, document, page = asked(holds={pallet(2): "H0000004"})
    reader = Reader(page)
    table = rows_of(tables_places.containers(document).without("numbers"))
    rows, foot = split(table, "together")
    assert {row[1] for row in rows} == {held.code for held in scope.containers if held.most}
    assert {row[-1] for row in rows} == {"H0000004", "NONE"}
    assert column(table, "discs there", foot) == [sum(column(table, "discs there", rows))]
    # The annex has one row per pallet with its cartons in it, and a row for each container on none.
    on_pallets, loose = reader.tables["Pallets"][1:], reader.tables["Containers on no pallet"][1:]
    assert [row[3] for row in on_pallets] == ["H0000004"]
    assert {row[-1] for row in loose} == {"NONE"}
    listed = [code for row in on_pallets for code in re.findall(r"\b[0-9]{18}\b", row[-1])]
    assert sorted([*listed, *(row[1] for row in loose)]) == sorted({row[1] for row in rows})
    # A spindle and a sample stand on no pallet.
    assert (
        "under no hold and stopped by no rule, in the records up to entry 12345: 2 rows, 110 to 110 affected discs."
        in reader.text
    )
    assert {row[1] for row in split(reader.tables["Suspect stock not on hold"], "together")[0]} == {
        "K0000021",
        "S0000009",
    }
    assert "44 more containers hold 873 discs of these lots" in reader.text


def test_bounds_together_are_narrower_than_their_sum():
    records = real_lot()
    first = records.judgements[0]
    # A good disc at stroke 750 leaves 50 possible ones on a stack that five cartons were filled from.
    records.judgements.append(type(first)("S0000077", LOT, 750, True, None, first.seq + 1))
    _scope, document, page = asked(records=records)
    table = rows_of(tables_places.containers(document))
    rows, foot = split(table, "together")
    cartons = [row for row in rows if row[0] == "carton"]
    assert column(table, "at most", cartons) == [7, 25, 25, 25, 17]
    assert column(table, "at most", foot) == [50 + 1 + 109]
    assert column(table, "affected at least", foot) == [1 + 109]
    text = Reader(page).text
    sums = f"{foot[0][4]} discs, of which 110 to 160 are affected."
    assert f"All {len(rows)} containers together: {sums}" in text
    assert "0 to 25 of 25: " in text


def test_what_is_free_to_ship_is_a_query_with_its_rows():
    everything = {pallet(2): "H0000004", LOT: "H0000005", OTHER: "H0000006"}
    reader = Reader(scoped(holds=everything)[1])
    said = "Suspect stock in the plant, under no hold and stopped by no rule, in the records up to entry 12345: none."
    assert said in reader.text
    assert "Suspect stock not on hold" not in reader.tables
    stopped = reader.tables["The rest in the plant, by what stops it"]
    assert [row[:3] for row in stopped[1:]] == [
        ["carton", "hold H0000004", "5"],
        ["sample", "hold H0000006", "1"],
        ["spindle", "hold H0000006", "1"],
    ]


def test_a_pallet_is_suspect_by_place_and_says_so():
    _scope, document, page = asked(pallet(2), Shape.WHOLE_LIFE)
    reader = Reader(page)
    assert "Suspect by place and not by stroke" in reader.text
    assert "Tiers" not in reader.tables
    table = rows_of(tables_places.places(document))
    rows, foot = split(table, "together")
    assert sum(column(table, "discs there", rows)) == 450
    assert [row[:2] for row in foot] == [["together", "450"], ["in question", "450"], ["difference", "±0"]]


def test_a_tool_that_pressed_nothing_has_a_page_too():
    records = real_lot()
    records.tools.append(ToolFact("T0000900", "stamper", "T0000021", "EX-101-A S9", "A", "in store"))
    text = Reader(scoped("T0000900", records=records)[1]).text
    assert "No disc that it touched is in the records." in text
    assert "Lots touched no link found" in text


def test_consignees_are_listed_with_shipment_order_and_quantity():
    table = Reader(scoped()[1]).tables["Consignees"]
    # Nineteen cartons stand on its pallet; five of them can hold an affected disc.
    assert table[1] == [
        "Example Shop 3", "FR", "O0000003", "D0000003", "not yet", "5", "0", "125", "0", "99", "not in the records", "unknown",
    ]  # fmt: skip
    assert table[2] == ["together", "", "", "", "", "5", "0", "125", "0", "99", "", ""]


def test_withdrawal_and_safety_recall_are_kept_apart_and_not_chosen():
    page = scoped()[1]
    text = Reader(page).text
    assert "is a matter of commercial withdrawal" in text
    assert "is a matter of safety recall" in text
    assert "this page chooses neither" in text
    assert "by local law" in text
    assert page.count('<span class="tick" role="img" aria-label="empty box"></span>') == 3 + 4 + 5
    # A form field that is chosen already would have this attribute.
    assert not re.search(r"<input|<[^>]*\bchecked\b", page)
    assert "First bad judgement in these records: sample S0000009 of lot L0000013, entry" in text
    assert "To narrow this scope, a second person signs as well." in text


def test_levels_and_identifiers_help_a_stranger():
    _scope, document, page = asked()
    reader = Reader(page)
    assert "the evidence points to the stamper itself or to the press" in reader.text
    table = rows_of(tables_places.identifiers(document))
    where = "matrix text: side A, in the run-out area, between the label and the last groove"
    assert ["stamper T0000101", where, "EX-101-A S1"] in table


def test_given_evidence_is_shown_beside_the_recorded():
    given = Evidence(OTHER, 60, good=False, defect="repeating scratch")
    reader = Reader(scoped(evidence=[given])[1])
    samples = [row[0] for row in reader.tables["The judged discs this rests on"]]
    assert "S0000009" in samples
    assert "not recorded" in samples


def test_contradictions_come_first():
    records = real_lot()
    fact = records.judgements[-1]
    records.judgements.append(type(fact)("S0000077", OTHER, 50, True, None, fact.seq + 1))
    text = Reader(scoped(records=records)[1]).text
    assert text.index("Contradictions: look into these first") < text.index("What is suspected, and why")
    assert "Shape from-onset is contradicted" in text


def test_many_lives_are_drawn_up_to_a_number_and_counted():
    records = real_lot()
    for number_ in range(10):
        code = f"T00003{number_:02d}"
        records.tools.append(ToolFact(code, "stamper", "T0000021", f"EX-101-A S{number_ + 3}", "A", "in use"))
        records.segments.append(
            SegmentFact(
                OTHER,
                221 + 10 * number_,
                230 + 10 * number_,
                "W0000032",
                code,
                "T0000201",
                0,
                0,
                "C",
                "E",
                "F",
                500 + number_,
            )
        )
    page = scoped("T0000021", records=records)[1]
    assert page.count("samples and what is suspected</title>") == 6
    assert "more lives with suspected discs are not drawn; the table of tiers has them." in Reader(page).text


HOSTILE = '<script>alert("x")</script>&amp;\x1b[2J\u202e</style>'


def test_scanned_text_is_escaped_and_controls_are_shown():
    records = real_lot()
    records.lots[0] = LotFact(LOT, HOSTILE, 1, HOSTILE, HOSTILE, 1000, HOSTILE, HOSTILE, HOSTILE)
    records.tools[3] = ToolFact(BAD_STAMPER, "stamper", "T0000021", HOSTILE, HOSTILE, HOSTILE)
    records.shipments = [type(one)(one.code, one.order, HOSTILE, one.country) for one in records.shipments]
    records.journal_head = (HEAD[0], HOSTILE)
    shown = '<script>alert("x")</script>&amp;\\x1b[2J\\u202e</style>'
    for page in (lot_page(records, LOT, at=HOSTILE), scoped(records=records)[1]):
        reader = Reader(page)
        assert "script" not in {tag for tag, _ in reader.tags}
        assert shown in reader.text
        assert not any(character in page for character in "\x1b\u202e")
        # Nothing ends the style sheet early, and its strings hold plain characters only.
        assert page.count("</style>") == 1
        page.encode()


def test_the_templates_travel_with_the_package():
    names = {one.name for one in files("tracelink.report").joinpath("templates").iterdir()}
    assert {"base.html.j2", "lot.html.j2", "macros.html.j2", "document.html.j2", "style.css.j2"} <= names


def test_a_lot_page_begins_with_what_is_on_hold():
    placed = "2031-03-04T09:00:00+01:00"
    holds = [
        HoldLine("H0000023", LOT, "repeating <scratch>", 72, placed, "Cleo", 30, None),
        HoldLine("H0000024", LOT, "lifted since", 1, placed, "Cleo", 31, 40),
    ]
    cases = [
        CaseOfLot("Q0000011", BAD_STAMPER, "scratch <b>", placed, None, 110, 1400, 5),
        CaseOfLot("Q0000012", BAD_STAMPER, "before", placed, 41, 0, 1, 1),
    ]
    page = lot_page(real_lot(), LOT, at=NOW, stops=LotStops(tuple(holds), tuple(cases)))
    text = Reader(page).text
    said = "On hold: H0000023, repeating <scratch>, since 2031-03-04 09:00 +01:00. It names 72 codes of this page."
    assert said in text
    assert text.index(said) < text.index("Counted at the press")
    assert "H0000024" not in page
    told = (
        "Case Q0000011 about T0000101: scratch <b>, since 2031-03-04 09:00 +01:00, open. Of these discs 110 are affected for "
        "certain and 1 400 possibly, in 5 cartons and elsewhere."
    )
    assert text.index(said) < text.index(told) < text.index("Counted at the press")
    assert "Q0000012 about T0000101: before, since 2031-03-04 09:00 +01:00, closed by entry 41." in text


def test_the_pictures_of_a_lot_mark_what_is_on_hold():
    # A carton of pallet 2 is named by the hold, the pallet itself is not.
    records = real_lot()
    (carton_held, *_rest) = [nest.child for nest in records.children_in(pallet(2))]
    stops = LotStops(by_thing={LOT: "H0000004", carton_held: "H0000005", BAD_STAMPER: "H0000006"})
    tree = with_holds(trace_forward(records, LOT), stops.by_thing)
    held = {node.code: dict(node.facts)[HOLD] for node in tree.nodes if HOLD in dict(node.facts)}
    assert held == {LOT: "H0000004", carton_held: "H0000005", pallet(2): "H0000005"}
    page = lot_page(records, LOT, at=NOW, stops=stops)
    for hold in ("H0000004", "H0000005", "H0000006"):
        assert f"on hold: {hold}" in page
    assert "on hold:" not in lot_page(records, LOT, at=NOW)


def test_the_title_of_a_picture_begins_with_holds_and_open_cases():
    cases = [
        CaseOfLot("Q0000011", "T1", "r", NOW, None, 1, 1, 1),
        CaseOfLot("Q0000012", "T1", "r", NOW, 9, 1, 1, 1),
    ]
    assert in_short(["H1", "H2", "H1"], cases) == "On hold: H1, H2. In case Q0000011. "
    assert in_short([], []) == ""


def test_a_lot_page_says_how_many_holds_it_leaves_out():
    holds = [HoldLine(f"H{n}", LOT, "r", 1, NOW, "", n, None) for n in range(1, 12)]
    text = Reader(lot_page(real_lot(), LOT, at=NOW, stops=LotStops(tuple(holds)))).text
    assert text.count("On hold: ") == 8
    assert "3 more open holds; runout hold lists each." in text


def test_no_heading_of_a_table_is_empty(page):
    assert re.search(r"<th[^>]*>\s*</th>", page) is None
