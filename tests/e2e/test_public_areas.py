"""The areas of an open ledger: each answer is what its command prints, each act is what its command does."""

import inspect
import json
import re
import shutil
from dataclasses import replace

import pytest
from support_api_names import areas_of, public
from support_cases import ADA, BEN, CAUSE, CLEO, shipped_file
from support_cli import run, station_log, write_plant_file
from support_plant import LAB, carton_sscc, code, gtin, n, plant_data, raw
from support_sql import read

import runout
from runout import (
    Badge,
    CaseSigner,
    ContainmentQuery,
    Shape,
    Word,
    create_ledger,
    errors,
    make_signing_key,
    only_reading,
    open_ledger,
    restore_ledger,
    signing_key,
    upgrade_ledger,
)
from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.store.ledger import Ledger

SIGNER = CaseSigner(Badge(ADA), "scratch on side A")
QUERY = ContainmentQuery(CAUSE, Shape.FROM_ONSET)
LATER = "2031-04-04T09:00:00+02:00"
LOT, BATCH = n("L1"), n("B1")


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    return shipped_file(tmp_path_factory.mktemp("areas"))


@pytest.fixture
def place(template, tmp_path):
    return shutil.copy(template, tmp_path / "plant.db")


@pytest.fixture
def ledger(place):
    with open_ledger(place) as opened:
        yield opened


def printed(place, *words):
    return json.loads(run(*words, "--format", "json", ledger=place).out)


def told(ledger, folder):
    """Record something for each question: two products that one slip turns into each other, and an investigation."""
    product = plant_data()["product"][0]
    codes = [body + gs1_check_digit(body) for body in ("952000012300", "952000032100")]
    more = {"product": [{**product, "gtin": gtin13, "title": gtin13} for gtin13 in codes]}
    assert ledger.plan(write_plant_file(folder / "more.toml", {"plant": None, **more}), Badge(ADA)) == len(
        codes
    )
    ledger.investigations.open(ledger.balance(BATCH), "counted again", Badge(ADA))
    ledger.drills.record(ledger.drills.hold(seed=7), Badge(ADA))
    ledger.scan(LAB, "no symbology identifier", at="2025-01-01T09:00:00+01:00")


def receipt(uri):
    """A supplier's document of one event: so much of a lot was received."""
    event = {
        "type": "ObjectEvent",
        "eventID": "urn:uuid:3f2a1b00-0000-4000-8000-000000000001",
        "eventTime": "2031-03-02T08:15:00.000+01:00",
        "eventTimeZoneOffset": "+01:00",
        "action": "OBSERVE",
        "bizStep": "receiving",
        "quantityList": [{"epcClass": uri, "quantity": 71.5, "uom": "KGM"}],
    }
    return {
        "@context": ["https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": "2031-03-02T12:00:00Z",
        "epcisBody": {"eventList": [event]},
    }


def seen(entry):
    """Who saw a case when that was its last entry."""
    return replace(SIGNER, seen=entry)


def last_entry(place):
    """Kind of the newest entry."""
    with Ledger.open(str(place), read_only=True) as opened, opened.reading() as conn:
        return read(conn, "journal", "kind", order="seq")[-1][0]


ANSWERS = {
    "find": (lambda ledger: ledger.warehouse.find(carton_sscc(1)), ("find", carton_sscc(1))),
    "check-cartons": (
        lambda ledger: ledger.warehouse.cartons_to_open(n("pallet 1"), confidence=90, detect=10),
        ("check-cartons", n("pallet 1"), "--confidence", 90, "--detect", 10),
    ),
    "confusable": (lambda ledger: ledger.labels.confusable(), ("label", "confusable")),
    "people": (lambda ledger: ledger.people.everybody(), ("person", "list")),
    "board": (
        lambda ledger: ledger.stations.board("line", day="2031-03-03"),
        ("board", "line", "--date", "2031-03-03"),
    ),
    "refusals": (lambda ledger: ledger.stations.refusals(last=3), ("findings", "--last", 3)),
    "late entries": (
        lambda ledger: ledger.stations.late_entries(last=3),
        ("findings", "--late", "--last", 3),
    ),
    "recorded drills": (lambda ledger: ledger.drills.recorded(), ("drill", "--held")),
    "investigations": (
        lambda ledger: ledger.investigations.listed(closed=True),
        ("investigate", "list", "--closed"),
    ),
}
"""Of each area: what is asked, and the words of the command that asks the same."""


@pytest.mark.parametrize(("ask", "words"), ANSWERS.values(), ids=ANSWERS)
def test_an_answer_is_what_the_command_prints(ledger, place, tmp_path, ask, words):
    told(ledger, tmp_path)
    found = ask(ledger).to_dict()
    assert found == printed(place, *words) != []


class TestActs:
    def test_orders_are_taken_and_stock_is_kept_and_let_go(self, ledger, tmp_path):
        order, file = code("O", 8), tmp_path / "orders.csv"
        file.write_text(f"order,consignee,country,gtin,quantity\n{order},Shop 8,IT,{gtin(1)},4\n")
        assert ledger.warehouse.take_orders(file, Badge(ADA)) == 1
        kept = ledger.warehouse.allocate(order, Badge(ADA))
        assert (kept.to_dict(), kept.short) == ([], {gtin(1): 4}), "everything has left"
        with pytest.raises(errors.RefusedByRule, match=f"nothing is kept for order {order}"):
            ledger.warehouse.release(order, "called off", Badge(ADA))
        assert [one.sscc for one in ledger.warehouse.packing_list(carton_sscc(1)).cartons] == [carton_sscc(1)]

    def test_labels_are_given_out_counted_and_made_void(self, ledger, place):
        block = ledger.labels.issue("carton", 3, Badge(BEN))
        assert ledger.labels.take_back(block.last, block.last, Badge(BEN)) == 1
        assert ledger.labels.void(block.first, "smudged", Badge(BEN)) is None
        new = ledger.labels.void(carton_sscc(int(block.first[9:-1]) + 1), "smudged", Badge(BEN), reprint=True)
        assert new > block.last
        assert ledger.labels.count(BATCH, "spoiled", 1, Badge(BEN)).subject == BATCH
        assert last_entry(place) == "labels-counted"

    def test_a_difference_is_looked_into(self, ledger):
        number = ledger.investigations.open(ledger.balance(BATCH), "counted again", Badge(ADA))
        assert [one.seq for one in ledger.investigations.listed().investigations] == [number]
        with pytest.raises(errors.RefusedByRule, match=f"investigation {number} of {BATCH} is open already"):
            ledger.investigations.open(ledger.balance(BATCH), "counted again", Badge(ADA))
        assert ledger.investigations.close(number, "found", Badge(ADA)) == BATCH
        assert ledger.investigations.listed().to_dict() == []

    def test_a_pin_is_asked_for_where_there_is_one(self, ledger):
        done = ledger.people.set_pin(BEN, "83529", Badge(ADA))
        assert (done.name, done.asked_at_stations) == ("Ben", True)
        with pytest.raises(errors.UsageError, match=f"badge {BEN} has a PIN: give it as pin"):
            ledger.labels.issue("carton", 3, Badge(BEN))
        with pytest.raises(errors.RefusedByRule):
            ledger.labels.issue("carton", 3, Badge(BEN, "83520"))
        asked = []
        ledger.labels.issue("carton", 3, Badge(BEN, lambda: asked.append(1) or "83529"))
        assert asked == [1]
        assert [one.pin_seq is not None for one in ledger.people.everybody().owners if one.person == BEN] == [
            True
        ]


class TestStations:
    def test_a_live_station_is_alone_and_has_its_verdicts(self, ledger, place):
        names = {one.station: one.name for one in ledger.stations.board("lab").stations}
        assert ledger.stations.of_area("lab") == names
        with ledger.stations.live(LAB) as here:
            assert (here.code, here.awaits_pin, here.standing.area) == (LAB, False, "lab")
            assert here.scan("no symbology identifier").word is Word.STOP
            with (
                open_ledger(place) as other,
                pytest.raises(errors.RefusedByRule, match="open in another terminal"),
                other.stations.live(LAB),
            ):
                pass
            with pytest.raises(errors.UsageError, match="expected text, found int"):
                here.scan(7)
        with (
            pytest.raises(errors.UsageError, match="W0 is not in the system"),
            ledger.stations.live("W0"),
        ):
            pass

    def test_a_log_is_tried_out_and_booked_once(self, ledger, tmp_path):
        first = ledger.stations.refusals().scans[0].seq if ledger.stations.refusals().scans else 0
        with Ledger.open(ledger.place) as opened, opened.writing() as booking:
            number = booking.last_number(LAB) + 1
        log = station_log(tmp_path / "lab.jsonl", LAB, ["nonsense", raw("A STOP")], first=number, at=LATER)
        before, steps = ledger.head, []
        tried = ledger.stations.try_out([log], lambda more, of: steps.append((more, of)))
        assert (ledger.head, steps) == (before, [(2, 2)])
        assert [stop.scan for stop in tried.stops][:1] == [number]
        assert tried.to_dict()[0]["raw"] == "nonsense"
        done = ledger.stations.replay([log])
        assert (done.booked, done.skipped, done.stopped, done.renumbered, done.cut) == (2, 0, True, (), ())
        assert sum(row["scans"] for row in done.to_dict()) == 2
        again = ledger.stations.replay([log])
        assert (again.booked, again.skipped, again.to_dict()) == (0, 2, [])
        station_log(
            tmp_path / "other.jsonl", LAB, ["another", raw("A STOP")], first=number, at=LATER, end=False
        )
        strange = ledger.stations.replay([tmp_path / "other.jsonl"])
        assert [one.number for one in strange.renumbered] == [number]
        assert [one.last for one in strange.cut] == [number + 1]
        assert ledger.stations.refusals().scans[0].seq > first

    def test_a_drill_is_drawn_again_by_its_seed(self, ledger, place):
        drill = ledger.drills.hold(seed=7)
        shown = printed(place, "drill", "--seed", 7)
        assert {**drill.to_dict(), "steps": [], "ms": 0} == {**shown, "steps": [], "ms": 0}
        with pytest.raises(errors.RefusedByRule, match="Cleo"):
            ledger.drills.record(drill, Badge(CLEO))
        ledger.drills.record(drill, Badge(ADA))
        assert [one.seed for one in ledger.drills.recorded().drills] == [7]
        assert last_entry(place) == "drill-held"


class TestCases:
    """A case from its question to its end, each answer that of the command."""

    def test_from_the_first_question_to_the_end(self, ledger, place, tmp_path):
        case = ledger.cases.open(QUERY, SIGNER).code
        assert ledger.cases.listed().any_open
        assert ledger.cases.listed().to_dict() == printed(place, "case", "list")
        held = ledger.cases.place_holds(case, SIGNER)
        assert (held.sentence.startswith("Hold "), len(held.joined)) == (True, 1)
        written = ledger.notices.write(case, items={"contact": "Quality"})
        assert [letter.consignee for letter in written.letters] == ["Shop 1", "Shop 9"]
        ledger.notices.record(case, SIGNER, written.letters, folder=tmp_path)
        assert len([*tmp_path.glob(f"{case}-*.txt")]) == 2
        with pytest.raises(errors.RefusedByRule, match="was changed after entry"):
            ledger.notices.record(case, seen(written.facts.case.last_seq), written.letters)
        ledger.cases.reply(case, SIGNER, "Shop 1", 9, returned=9)
        assert ledger.cases.draw_checks(case, SIGNER, "A").consignees == ("Shop 1", "Shop 9")
        ledger.cases.check(case, SIGNER, "Shop 1", "ok")
        ledger.cases.estimate(case, SIGNER, "2031-04-30")
        made = ledger.cases.scope(case, SIGNER)
        assert (made.version, made.found.differs) == (2, False)
        assert ledger.cases.history(case).to_dict() == printed(place, "case", "show", case)
        progress = ledger.cases.progress(case)
        assert progress.is_open
        assert progress.to_dict() == printed(place, "case", "status", case)
        with pytest.raises(errors.RefusedByRule, match=r"has 4 open points:\n  - Shop 1: says"):
            ledger.cases.close(case, SIGNER, Badge(BEN))
        assert ledger.cases.close(case, SIGNER, Badge(BEN), despite=True)
        assert not ledger.cases.listed().any_open

    def test_a_scope_is_checked_and_asked_again(self, ledger, place, tmp_path):
        file = tmp_path / "scope.json"
        file.write_text(json.dumps(ledger.contain(QUERY).to_dict()))
        checked = ledger.scopes.check(file)
        assert (checked.verifies, checked.changed) == (True, "")
        assert checked.to_dict() == printed(place, "contain", "--check", file) != []
        file.write_text(file.read_text().replace("possible", "proven", 1))
        assert not ledger.scopes.check(file).verifies
        case = ledger.cases.open(QUERY, SIGNER).code
        again = ledger.scopes.again(case)
        assert not again.found.differs
        assert again.to_dict() == printed(place, "contain", "--again", case)

    def test_what_needs_a_reason_says_so(self, ledger):
        with pytest.raises(errors.UsageError, match=re.escape("CaseSigner.reason is None: expected text")):
            ledger.cases.open(QUERY, CaseSigner(Badge(ADA)))
        with pytest.raises(errors.UsageError, match="expected a Badge, found str"):
            CaseSigner(ADA)


class TestForAuditors:
    def test_a_checkpoint_is_signed_witnessed_and_proven_to(self, ledger, place, tmp_path):
        make_signing_key(place)
        other = make_signing_key(place, key_file=tmp_path / "other.key", name="witness")
        file = tmp_path / "checkpoint.txt"
        signed = ledger.journal.checkpoint(out=file)
        assert (signed.size, len(signed.signers), file.read_text()) == (ledger.head[0], 1, signed.text)
        both = ledger.journal.witness(file, other.file)
        assert both.signers == (*signed.signers, "witness")
        proven = ledger.journal.prove(3, checkpoint=file).to_dict()
        assert proven == json.loads(run("audit", "prove", 3, "--checkpoint", file, ledger=place).out)
        assert sum(ledger.journal.counts().kinds.values()) == ledger.journal.counts().head[0] == signed.size
        with pytest.raises(errors.UsageError, match="is never overwritten"):
            ledger.journal.checkpoint(out=file)

    def test_a_partners_document_is_tried_out_and_read_in_once(self, ledger, place, tmp_path):
        uri, pellets = "https://maker.example.com/pvc/88213", code("C", 7)
        file = tmp_path / "pellets.jsonld"
        file.write_text(json.dumps(receipt(uri)))
        codes = {uri: pellets}
        tried = ledger.partners.read_in(file, Badge(ADA), codes=codes, dry_run=True)
        words = ("audit", "import", file, "--by", ADA, "--as", f"{uri}={pellets}")
        assert tried.to_dict() == printed(place, *words, "--dry-run")
        assert ledger.partners.read_in(file, Badge(ADA), codes=codes).events[0].verdict == "booked"
        assert ledger.partners.read_in(file, Badge(ADA), codes=codes).events[0].verdict == "before"
        with pytest.raises(errors.UsageError, match="expected the code of a tool, compound lot"):
            ledger.partners.read_in(file, Badge(ADA), codes={"urn:x": "nonsense"})


class TestFiles:
    def test_a_ledger_is_made_copied_brought_back_and_kept(self, tmp_path):
        place, plant = tmp_path / "new.db", write_plant_file(tmp_path / "plant.toml")
        with create_ledger(place, plant) as ledger:
            entries, head = ledger.head
        key = make_signing_key(place)
        assert (key.file, signing_key(place)) == (tmp_path / "new.db.key", key)
        with pytest.raises(errors.UsageError, match="exists already"):
            create_ledger(place, plant)
        with open_ledger(place) as ledger:
            made = ledger.upkeep.back_up(tmp_path)
            assert (made.head, made.file.parent) == ((entries, head), tmp_path)
            assert ledger.upkeep.thin_out(made, 1).removed == ()
            assert ledger.upkeep.rebuild() == (entries, head)
        assert restore_ledger(made.file, tmp_path / "back.db").head == (entries, head)
        same = upgrade_ledger(tmp_path / "back.db")
        assert same.before == same.after

    def test_a_wrong_plant_file_leaves_no_ledger(self, tmp_path):
        file = tmp_path / "plant.toml"
        file.write_text("[plant")
        with pytest.raises(errors.UsageError, match="is not TOML"):
            create_ledger(tmp_path / "new.db", file)
        assert [each.name for each in tmp_path.iterdir()] == ["plant.toml"]

    def test_while_one_only_reads_nothing_is_opened_for_writing(self, place):
        with only_reading():
            with open_ledger(place, read_only=True) as ledger:
                assert ledger.head[0] > 0
            with pytest.raises(errors.RefusedByRule, match="is opened to be read only"):
                open_ledger(place)
        open_ledger(place).close()


RIGHT = {
    "area": "line",
    "by": Badge(ADA),
    "consignees": [],
    "count": 1,
    "day": "2031-04-30",
    "fate": "spoiled",
    "keep": 1,
    "level": "A",
    "on_hand": 1,
    "quantity": 1,
    "query": QUERY,
    "result": "ok",
    "second": Badge(BEN),
    "seq": 1,
    "signer": SIGNER,
    "what": "carton",
}
"""What is right for an argument of that name; all others are text. None of the calls gets further than its arguments."""


def wanted():
    """Every method of an area with each argument that it must have."""
    for area, cls in areas_of(runout.OpenLedger).items():
        for name, method in public(cls).items():
            for each in [*inspect.signature(method).parameters.values()][1:]:
                if each.default is inspect.Parameter.empty:
                    yield f"{area}.{name}", each.name


def answers(ledger):
    """Answers of methods that others take."""
    case = ledger.cases.open(QUERY, SIGNER).code
    return {
        "drill": ledger.drills.hold(seed=7),
        "found": ledger.balance(BATCH),
        "letters": ledger.notices.write(case).letters,
    }


@pytest.fixture(scope="module")
def answered(tmp_path_factory):
    with open_ledger(shipped_file(tmp_path_factory.mktemp("answered"))) as ledger:
        yield ledger, answers(ledger)


@pytest.mark.parametrize(("method", "argument"), [*wanted()])
def test_a_wrong_type_has_its_sentence(answered, method, argument):
    ledger, given = answered
    area, name = method.split(".")
    act = getattr(getattr(ledger, area), name)
    right = RIGHT | given | ({"number": 1} if method == "investigations.close" else {})
    names = [each for each in inspect.signature(act).parameters if (method, each) in {*wanted()}]
    before = ledger.head
    with pytest.raises(errors.UsageError, match=r"is .*: expected "):
        act(**{each: object() if each == argument else right.get(each, "x") for each in names})
    assert ledger.head == before


def test_an_area_of_a_closed_ledger_says_so(place):
    ledger = open_ledger(place)
    people = ledger.people
    ledger.close()
    with pytest.raises(errors.UsageError, match=re.escape(f"the ledger {place} is closed: open it again")):
        people.everybody()


def test_who_may_not_is_refused_and_nothing_is_written(ledger):
    before = ledger.head
    with pytest.raises(errors.RefusedByRule, match="Cleo"):
        ledger.labels.issue("carton", 3, Badge(CLEO))
    with pytest.raises(errors.UsageError, match=re.escape("Badge.code is 7: expected text")):
        Badge(7)
    assert ledger.head == before
