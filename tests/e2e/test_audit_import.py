"""`runout audit import`: good events are booked once, bad ones refused one by one, nothing is undone by itself."""

import json

import pytest
from support_cli import run
from support_documents import outside
from support_ledgers import content, filled, new_plant
from support_partners import event, written
from support_plant import DOCK, LAB, LINE, START, Floor, carton_sscc, code, gtin, pallet_sscc

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.setup import PersonEnrolled
from tracelink.ledger.packs import unpack_scans
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger

ADA, BEN = code("P", 1), code("P", 2)
PVC = f"https://maker.example.com/lot/{code('C', 7)}"


@pytest.fixture
def place(tmp_path):
    return filled(tmp_path / "plant.db", new_plant)


@pytest.fixture
def take(place, tmp_path):
    """Write events into a file and read it in; returns the verdicts and sentences."""
    count = iter(range(100))

    def read(*events, code=0, words=()):
        file = written(tmp_path / f"d{next(count)}.jsonld", *events)
        done = run("audit", "import", file, "--by", ADA, "--format", "json", *words, ledger=place)
        assert done.code == code, done
        return [(row["verdict"], row["sentence"]) for row in json.loads(done.out)]

    return read


def rows(place, query):
    ledger = Ledger.open(str(place), read_only=True)
    with ledger.reading() as conn:
        found = [tuple(row) for row in conn.exec_driver_sql(query)]
    ledger.close()
    return found


KG = {"quantity": 71.5, "uom": "KGM"}


def packed(folder):
    """One closed carton of a released lot."""
    floor = Floor.new(str(folder / "plant.db"))
    floor.tools()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    floor.scan(LAB, "P1", "RELEASE", "L1", '"good')
    return floor


class TestReceipts:
    def test_a_pellet_lot_comes_in_and_can_be_pressed_with(self, take, place):
        assert take(event(1, (PVC, KG))) == [("booked", f"event 1: receiving: 71.5 KGM of {code('C', 7)}")]
        assert rows(place, f"SELECT what, detail FROM material WHERE code = '{code('C', 7)}'") == [
            ("compound", PVC)
        ]
        assert rows(place, "SELECT uri, quantity, uom FROM partner_thing") == [(PVC, "71.5", "KGM")]

    def test_a_makers_own_lot_name_is_told_by_who_reads_it_in(self, take):
        uri = "https://maker.example.com/pvc/88213"
        [(verdict, sentence)] = take(event(1, (uri, KG)), code=1)
        assert verdict == "refused"
        assert sentence == (
            f"event 1: {uri} is not a lot known here: expected a plant code of a compound lot, label lot, sleeve batch "
            "or part lot in it, or --as URI=CODE"
        )
        assert take(event(1, (uri, KG)), words=("--as", f"{uri}={code('C', 7)}"))[0][0] == "booked"

    def test_labels_need_their_disc_and_side(self, take, place):
        uri = f"https://maker.example.com/labels/{code('E', 90)}"
        told = {"m:gtin": gtin(2), "m:piece": "2", "m:side": "B", "m:lotNumber": "print 9"}
        assert take(event(1, (uri, {"quantity": 500}), ilmd=told))[0][0] == "booked"
        found = rows(
            place, f"SELECT what, detail, gtin, piece, side FROM material WHERE code = '{code('E', 90)}'"
        )
        assert found == [("label", "print 9", gtin(2), 2, "B")]

    @pytest.mark.parametrize(
        ("changed", "why"),
        [
            ({"m:piece": "3"}, "expected piece (1 to 2) and side (A or B) in ilmd, found 3 and B"),
            ({"m:side": "C"}, "found 2 and C"),
            ({"m:piece": "²"}, "found ² and B"),
            ({"m:gtin": "9529999999999"}, "expected the GTIN of a product of this plant"),
        ],
    )
    def test_or_are_refused(self, take, place, changed, why):
        uri = f"https://maker.example.com/labels/{code('E', 90)}"
        told = {"m:gtin": gtin(2), "m:piece": "2", "m:side": "B", **changed}
        [(verdict, sentence)] = take(event(1, (uri, {"quantity": 500}), ilmd=told), code=1)
        assert verdict == "refused"
        assert why in sentence
        assert rows(place, f"SELECT 1 FROM material WHERE code = '{code('E', 90)}'") == []

    def test_sleeves_are_counted_pieces_of_a_product(self, take, place):
        uri = f"https://id.gs1.org/01/0{gtin(1)}/10/{code('B', 90)}"
        assert take(event(1, (uri, {"quantity": 250})))[0][0] == "booked"
        assert rows(place, f"SELECT gtin, quantity FROM sleeve_batch WHERE code = '{code('B', 90)}'") == [
            (gtin(1), 250)
        ]
        for number, amount in enumerate(
            ({"quantity": 2.5}, {"quantity": 3, "uom": "KGM"}, {}, {"quantity": 0}), 2
        ):
            assert (
                take(event(number, (uri.replace(code("B", 90), code("B", 91)), amount)), code=1)[0][0]
                == "refused"
            )

    def test_a_lot_that_is_known_must_be_the_same(self, take):
        known, other = code("E", 1), code("B", 1)
        right = {"m:gtin": gtin(1), "m:piece": 1, "m:side": "A"}
        assert take(event(1, (f"x:{known}", {"quantity": 5}), ilmd=right))[0] == (
            "booked",
            f"event 1: commissioning: 5 pieces of {known} (known before)",
        )
        assert take(event(2, (f"x:{known}", {"quantity": 5}), ilmd={**right, "m:side": "B"}), code=1)[0][
            1
        ] == (f"event 1: lot {known} is in the system as label {gtin(1)} 1 A, not as label {gtin(1)} 1 B")
        wrong = f"https://id.gs1.org/01/0{gtin(2)}/10/{other}"
        assert take(event(3, (wrong, {"quantity": 5})), code=1)[0][1] == (
            f"event 1: sleeve batch {other} is in the system for {gtin(1)}, not for {gtin(2)}"
        )

    def test_a_carton_that_left_on_no_pallet_can_have_been_received_also_when_it_came_back(self, tmp_path):
        floor = packed(tmp_path)
        floor.scan(DOCK, "P1", "SHIP", "O1", "PICK", carton_sscc(1), carton_sscc(1))
        verdicts = []

        def read(number):
            epc = f"https://id.gs1.org/00/{carton_sscc(1)}"
            file = written(tmp_path / f"{number}.jsonld", event(number, epcList=[epc], quantityList=None))
            done = run("audit", "import", file, "--by", ADA, "--format", "json", ledger=tmp_path / "plant.db")
            verdicts.append(json.loads(done.out)[0]["verdict"])

        read(1)
        floor.scan(DOCK, "DEPART")
        read(2)
        floor.scan(DOCK, "RETURN", carton_sscc(1), '"dented')
        read(3)
        assert verdicts == ["refused", "booked", "booked"]

    def test_a_customer_can_have_received_only_what_left(self, tmp_path):
        floor = packed(tmp_path)
        floor.scan(DOCK, "P1", "PALLET", pallet_sscc(1), carton_sscc(1), "CLOSE", "ACCEPT", pallet_sscc(1))
        came = event(1, epcList=[f"https://id.gs1.org/00/{carton_sscc(1)}"], quantityList=None)
        file = written(tmp_path / "d.jsonld", came)
        before = run("audit", "import", file, "--by", ADA, ledger=tmp_path / "plant.db")
        assert before.code == 1
        assert "has not left this plant, so that nobody can have received it" in " ".join(before.out.split())
        floor.scan(DOCK, "SHIP", "O1", pallet_sscc(1), "DEPART")
        after = run("audit", "import", file, "--by", ADA, "--format", "csv", ledger=tmp_path / "plant.db")
        assert after.code == 0, after
        assert f"booked,event 1: receiving: {carton_sscc(1)} (known before)" in after.out
        strange = written(
            tmp_path / "e.jsonld",
            {**came, "eventID": event(2)["eventID"], "epcList": ["https://id.gs1.org/00/195201230000000025"]},
        )
        assert (
            "is not a carton or pallet of this plant"
            in run(
                "audit", "import", strange, "--by", ADA, "--format", "csv", ledger=tmp_path / "plant.db"
            ).out
        )


class TestEventByEvent:
    def test_bad_ones_are_refused_and_good_ones_booked(self, take, place):
        found = take(
            event(1, (PVC, KG), eventTime="yesterday"),
            event(2, (PVC, KG)),
            event(3, (f"x:{code('C', 8)}", KG), (f"x:{code('E', 90)}", KG)),
            event(4, (PVC, {"quantity": -1})),
            event(5, bizStep="inspecting", quantityList=[{"epcClass": PVC}]),
            code=1,
        )
        assert [verdict for verdict, _ in found] == ["refused", "booked", "refused", "refused", "noted"]
        assert found[0][1].startswith(f"event 1 ({event(1)['eventID']}): eventTime: expected ")
        # Nothing of an event is booked when one thing of it cannot be.
        assert rows(place, f"SELECT 1 FROM material WHERE code = '{code('C', 8)}'") == []
        assert rows(place, "SELECT COUNT(*) FROM finding WHERE finding = 'partner-event-refused'") == [(3,)]
        assert run("audit", "verify", ledger=place).code == 0

    def test_read_again_nothing_is_booked_twice(self, take, place):
        events = [
            event(1, (PVC, KG)),
            event(2, (PVC, {"quantity": -1})),
            event(3, bizStep="storing", quantityList=[{"epcClass": PVC}]),
        ]
        take(*events, code=1)
        before = rows(place, "SELECT COUNT(*) FROM journal")
        file = place.with_name("d0.jsonld")
        again = run("audit", "import", file, "--by", ADA, "--format", "json", ledger=place)
        assert [row["verdict"] for row in json.loads(again.out)] == ["before", "refused", "before"]
        assert rows(place, "SELECT COUNT(*) FROM journal") == before
        # In another document too.
        assert take(events[0]) == [("before", "event 1: entry 73 has it already")]

    def test_read_again_what_is_refused_is_written_once_for_the_codes_it_is_read_with(self, take, place):
        one, two = "https://maker.example.com/pvc/1", "https://maker.example.com/pvc/2"
        take(event(1, (one, KG), (two, KG)), code=1)
        file = place.with_name("d0.jsonld")

        def read(*words):
            run("audit", "import", file, "--by", ADA, *words, ledger=place)
            return rows(place, "SELECT COUNT(*) FROM partner_event WHERE verdict = 'refused'")

        assert read() == [(1,)]
        known = ("--as", f"{one}={code('C', 7)}")
        assert read(*known) == [(2,)]
        assert read(*known) == read() == [(2,)]

    def test_a_known_number_with_other_content_is_a_finding(self, take, place):
        take(event(1, (PVC, KG)))
        [(verdict, sentence)] = take(event(1, (PVC, {"quantity": 70, "uom": "KGM"})), code=1)
        assert verdict == "changed"
        assert "has an event of this number that says something else; nothing was changed" in sentence
        assert rows(
            place,
            "SELECT quantity FROM partner_thing t JOIN partner_event e ON e.seq = t.seq WHERE e.verdict = 'booked'",
        ) == [("71.5",)]

    def test_what_a_sender_takes_back_stays_and_is_a_finding(self, take, place):
        wrong = {"declarationTime": "2031-03-03T08:15:00Z", "reason": "incorrect_data"}
        take(event(1, (PVC, KG)))
        [(verdict, sentence)] = take(event(1, (PVC, KG), errorDeclaration=wrong), code=1)
        assert verdict == "withdrawn"
        assert "was booked from it and stays: hold what it brought in, and let quality decide" in sentence
        assert take(event(1, (PVC, KG), errorDeclaration=wrong))[0][0] == "before"
        assert rows(place, f"SELECT COUNT(*) FROM material WHERE code = '{code('C', 7)}'") == [(1,)]

    def test_what_was_taken_back_before_it_came_is_not_booked(self, take, place):
        wrong = {"declarationTime": "2031-03-03T08:15:00Z"}
        found = take(event(1, (PVC, KG)), event(1, (PVC, KG), errorDeclaration=wrong), code=1)
        assert [verdict for verdict, _ in found] == ["noted", "withdrawn"]
        assert take(event(2, (PVC, KG), errorDeclaration=wrong), code=1)[0][0] == "withdrawn"
        assert take(event(2, (PVC, KG))) == [
            ("noted", "event 1: its sender has declared it wrong; it is not booked")
        ]
        assert rows(place, f"SELECT COUNT(*) FROM material WHERE code = '{code('C', 7)}'") == [(0,)]

    def test_a_dry_run_says_it_and_books_nothing(self, take, place):
        before = content(place)
        assert take(event(1, (PVC, KG)), words=("--dry-run",))[0][0] == "would be booked"
        assert rows(place, "SELECT 1 FROM partner_document") == []
        assert content(place) == before
        assert take(event(1, (PVC, KG)))[0][0] == "booked"

    def test_the_events_are_kept_as_they_came(self, take, place):
        take(event(1, (PVC, KG)), event(2, (PVC, {"quantity": -1}), **{"m:word": "\u202ehidden"}), code=1)
        ledger = Ledger.open(str(place), read_only=True)
        with ledger.reading() as conn:
            packs = [
                unpack_scans(row.pack)[0].raw for row in journal.rows(conn) if row.kind == "partner-event"
            ]
        ledger.close()
        assert [json.loads(raw)["eventID"] for raw in packs] == [event(1)["eventID"], event(2)["eventID"]]


class TestWhoAndWhat:
    def test_the_person_must_work_where_goods_come_in(self, place, tmp_path):
        file = written(tmp_path / "d.jsonld", event(1, (PVC, KG)))
        assert run("audit", "import", file, "--by", BEN, ledger=place).code == 0
        with Ledger.open(str(place)).writing() as booking:
            booking.record(
                PersonEnrolled(code("P", 9), "Hana", ("lab",)), Stamp(START, "2031-03-03T07:00:00Z")
            )
        refused = run("audit", "import", file, "--by", code("P", 9), ledger=place)
        assert (refused.code, refused.err) == (
            4,
            "runout: Hana may not read in partners' documents: that needs the role dock, press or quality\n",
        )
        assert run("audit", "import", file, "--by", code("P", 77), ledger=place).code == 4

    @pytest.mark.parametrize(
        ("text", "why"),
        [
            ("[]", "expected a JSON object"),
            ("{}", "type: expected EPCISDocument"),
            ('{"a": 1, "a": 2}', "stands twice"),
            ("<xml/>", "no JSON"),
            ("[" * 100_000, "nested too deep"),
        ],
    )
    def test_what_is_no_document_is_wrong_usage(self, place, tmp_path, text, why):
        (tmp_path / "d.jsonld").write_text(text, encoding="utf-8")
        refused = run("audit", "import", tmp_path / "d.jsonld", "--by", ADA, ledger=place)
        assert refused.code == 2
        assert why in refused.err
        assert "Traceback" not in refused.err

    def test_a_file_that_is_not_there(self, place):
        assert "cannot be read" in run("audit", "import", "nowhere.jsonld", "--by", ADA, ledger=place).err

    @pytest.mark.parametrize("given", ["x", "x=", f"x={code('L', 1)}", "=x", "x=195200000000000019"])
    def test_a_name_that_is_told_wrongly(self, place, tmp_path, given):
        file = written(tmp_path / "d.jsonld", event(1, (PVC, KG)))
        assert run("audit", "import", file, "--by", ADA, "--as", given, ledger=place).code == 2


def test_all_published_documents_are_read_one_after_the_other(place):
    folders = outside("epcis/examples"), outside("epcis/handmade")
    files = sorted(file for folder in folders for file in folder.glob("*.jsonld"))
    assert len(files) > 30
    for file in files:
        done = run("audit", "import", file, "--by", ADA, "--format", "csv", ledger=place)
        assert done.code in (0, 1), (file, done)
        assert "Traceback" not in done.err
    assert run("audit", "verify", ledger=place).code == 0
    before = rows(place, "SELECT COUNT(*) FROM journal")
    for file in files:
        run("audit", "import", file, "--by", ADA, ledger=place)
    assert rows(place, "SELECT COUNT(*) FROM journal") == before


def test_pellets_that_a_supplier_made_of_others_come_in(place, take):
    made = event(
        60,
        type="TransformationEvent",
        action=None,
        quantityList=None,
        bizStep="creating_class_instance",
        inputQuantityList=[{"epcClass": "https://maker.example.com/resin/1", "quantity": 40, "uom": "KGM"}],
        outputQuantityList=[{"epcClass": PVC, "quantity": 40, "uom": "KGM"}],
    )
    [(verdict, sentence)] = take(made)
    assert (verdict, sentence.partition(": ")[2]) == (
        "booked",
        f"creating_class_instance: 40 KGM of {code('C', 7)}",
    )
    assert rows(place, f"SELECT what FROM material WHERE code = '{code('C', 7)}'") == [("compound",)]
