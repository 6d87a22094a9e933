"""The package `runout`: what another program asks, and that it hears what the commands print."""

import json
import shutil
import subprocess
import sys
import textwrap

import pytest
from sqlalchemy import text
from support_cases import ADA, CAUSE, CLEO, shipped_file
from support_cli import run
from support_plant import LAB, code, n, raw

import runout
from runout import (
    Badge,
    ContainmentQuery,
    DecidedBy,
    Evidence,
    ExportOptions,
    KeptOutside,
    SamplingAsked,
    Shape,
    Word,
    create_ledger,
    errors,
    make_signing_key,
    open_ledger,
    restore_ledger,
    signing_key,
)
from tracelink.store.ledger import Ledger

LOT = n("L1")
QUERY = ContainmentQuery(CAUSE, Shape.FROM_ONSET)


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    return shipped_file(tmp_path_factory.mktemp("public"))


@pytest.fixture
def place(template, tmp_path):
    return shutil.copy(template, tmp_path / "plant.db")


@pytest.fixture
def ledger(place):
    with open_ledger(place) as opened:
        yield opened


def printed(place, *words):
    return json.loads(run(*words, "--format", "json", ledger=place).out)


def timeless(answer):
    """Without the moment at which a document was made, and the hashes that depend on it."""
    document = answer["document"]
    imprint = {**document["imprint"], "printed_at": ""}
    return {**answer, "digest": "", "document": {**document, "imprint": imprint, "version": ""}}


class TestAnswersAreThoseOfTheCommands:
    """`to_dict()` of each answer equals the command's JSON."""

    def test_trace(self, ledger, place):
        assert ledger.trace(LOT).to_dict() == printed(place, "trace", LOT)
        back = ledger.trace(CAUSE, forward=False)
        assert back.forward is None
        assert back.to_dict() == printed(place, "trace", CAUSE, "--back")

    def test_contain(self, ledger, place):
        words = ("contain", CAUSE, "--shape", "from-onset")
        assert timeless(ledger.contain(QUERY).to_dict()) == timeless(printed(place, *words))
        given = ContainmentQuery(CAUSE, Shape.FROM_ONSET, (Evidence(LOT, 6, good=True),), next_tests=2)
        order = next(group.code for group in ledger.contain(QUERY).scope.groups if group.kind == "order")
        found = ledger.contain(given, together=[order]).to_dict()
        more = ("--evidence", f"{LOT}:6=good", "--next-tests", "2", "--together", order)
        assert timeless(found) == timeless(printed(place, *words, *more))

    def test_cause(self, ledger, place):
        assert ledger.cause(within="lot").to_dict() == printed(place, "cause", "--within", "lot")

    def test_samples(self, ledger, place):
        asked = SamplingAsked(aql="4.0", level="I", one_in=5)
        printed_so = printed(place, "samples", LOT, "--aql", "4.0", "--level", "I", "--one-in", "5")
        assert ledger.lab.samples(LOT, asked).to_dict() == printed_so
        assert ledger.lab.samples(LOT).to_dict() == printed(place, "samples", LOT)
        with pytest.raises(
            errors.UsageError, match="severity 'hard': expected one of normal, tightened, reduced"
        ):
            ledger.lab.samples(LOT, SamplingAsked(aql="4.0", severity="hard"))
        with pytest.raises(errors.UsageError, match="one disc in 0: expected one in 1 or more"):
            ledger.lab.samples(LOT, SamplingAsked(one_in=0))

    def test_balance(self, ledger, place):
        assert ledger.balance(LOT).to_dict() == printed(place, "balance", LOT)

    def test_verify(self, ledger, place):
        assert ledger.verify().to_dict() == printed(place, "audit", "verify")

    def test_holds(self, ledger, place):
        ledger.hold(QUERY, DecidedBy(ADA, "scratch on side A"))
        assert ledger.holds().to_dict() == printed(place, "hold") != []


class TestActs:
    def test_containing_places_nothing_and_holding_places_what_follows(self, ledger):
        before = ledger.head
        looked = ledger.contain(QUERY)
        assert (looked.placed, ledger.head) == (None, before)
        held = ledger.hold(QUERY, DecidedBy(ADA, "scratch on side A"))
        assert ledger.head[0] == before[0] + 1
        assert held.placed is not None
        assert held.placed.holds
        assert held.scope.tiers == looked.scope.tiers

    def test_a_person_without_the_role_holds_nothing(self, ledger):
        before = ledger.head
        with pytest.raises(errors.RefusedByRule, match="may not place holds"):
            ledger.hold(QUERY, DecidedBy(CLEO, "scratch on side A"))
        assert ledger.head == before

    def test_a_badge_with_a_pin_needs_it(self, ledger, place):
        assert run("person", "pin", ADA, "--stdin", ledger=place, scans="83529\n").code == 0
        with pytest.raises(errors.UsageError, match=f"badge {ADA} has a PIN: give it as pin"):
            ledger.hold(QUERY, DecidedBy(ADA, "scratch"))
        with pytest.raises(errors.RefusedByRule):
            ledger.hold(QUERY, DecidedBy(ADA, "scratch", pin="83520"))
        asked = []
        held = ledger.hold(QUERY, DecidedBy(ADA, "scratch", pin=lambda: asked.append(1) or "83529"))
        assert held.placed is not None
        assert asked == [1]

    def test_a_scan_has_its_verdict(self, ledger):
        stopped = ledger.scan(LAB, raw("A STOP"))
        assert isinstance(stopped.word, Word)
        assert ledger.scan(LAB, "no symbology identifier").word is Word.STOP

    def test_a_bundle_is_written_once(self, ledger, tmp_path):
        made = ledger.export(LOT, tmp_path / "lot.zip", ExportOptions(unsigned=True))
        assert made.key is None
        assert made.to_dict()["files"] == made.files > 20
        with pytest.raises(errors.UsageError, match="is there already"):
            ledger.export(LOT, tmp_path / "lot.zip", ExportOptions(unsigned=True))

    def test_the_document_is_written_in_every_form(self, ledger):
        answer = ledger.contain(QUERY, pages=True)
        assert answer.to_page().startswith("<!DOCTYPE html>")
        assert answer.to_pdf().startswith(b"%PDF")
        assert answer.to_workbook().startswith(b"PK")
        assert answer.recipients_csv().startswith("kind,") or "," in answer.recipients_csv()
        bare = ledger.contain(QUERY, document=False)
        for form in (bare.to_page, bare.to_pdf, bare.to_workbook, bare.recipients_csv):
            with pytest.raises(errors.UsageError, match="was asked without"):
                form()


class TestWrongCalls:
    def test_a_closed_ledger_says_so(self, place):
        with open_ledger(place) as ledger:
            ledger.close()
        with pytest.raises(errors.UsageError) as refused:
            ledger.balance(LOT)
        assert str(refused.value) == f"the ledger {place} is closed: open it again with open_ledger"
        assert repr(ledger) == f"<closed ledger {place}>"

    def test_there_is_no_ledger(self, tmp_path):
        with pytest.raises(errors.LedgerMissing, match=r"none\.db"):
            open_ledger(tmp_path / "none.db")
        with pytest.raises(errors.UsageError, match="expected a path or a database URL"):
            open_ledger(None)

    def test_a_newer_schema_is_refused(self, place):
        with Ledger.open(str(place)).transaction() as conn:
            conn.execute(text("UPDATE alembic_version SET version_num = '9999'"))
        with pytest.raises(errors.LedgerError, match="newer"):
            open_ledger(place)

    def test_a_ledger_for_reading_refuses_to_write(self, place):
        with open_ledger(place, read_only=True) as ledger:
            before = ledger.head
            with pytest.raises(errors.LedgerError):
                ledger.scan(LAB, raw("A STOP"))
            assert ledger.head == before

    @pytest.mark.parametrize(
        ("call", "sentence"),
        [
            (
                lambda ledger: ledger.contain(CAUSE),
                f"the question is '{CAUSE}': expected a ContainmentQuery, found str",
            ),
            (lambda ledger: ledger.hold(QUERY, ADA), f"decided is '{ADA}': expected a DecidedBy, found str"),
            (lambda ledger: ledger.trace(7), "code is 7: expected text, found int"),
            (lambda ledger: ledger.balance(""), "subject is empty: expected some text"),
            (lambda ledger: ledger.scan(LAB, b"x"), "raw is b'x': expected text, found bytes"),
            (lambda _ledger: DecidedBy(ADA, " "), "DecidedBy.reason is ' ': expected text"),
            (
                lambda ledger: ledger.trace(LOT, back=False, forward=False),
                "a trace goes back, forward or both: neither was asked for",
            ),
            (
                lambda ledger: ledger.verify(KeptOutside(heads=["12"])),
                "--kept '12': expected the number of entries, a colon and the 64 digits of the head",
            ),
        ],
    )
    def test_a_wrong_type_has_its_sentence(self, ledger, call, sentence):
        with pytest.raises(errors.UsageError) as refused:
            call(ledger)
        assert str(refused.value) == sentence

    @pytest.mark.parametrize(
        ("name", "call"),
        [
            ("copy", lambda ledger: restore_ledger(7, ledger.place)),
            ("plant_file", lambda _ledger: create_ledger("new.db", 7)),
            ("key_file", lambda _ledger: create_ledger("new.db", "plant.toml", key_file=7)),
            ("key_file", lambda ledger: signing_key(ledger.place, key_file=7)),
            ("key_file", lambda ledger: make_signing_key(ledger.place, key_file=7)),
            ("key_file", lambda ledger: ledger.journal.checkpoint(key_file=7)),
            ("out", lambda ledger: ledger.journal.checkpoint(out=7)),
            ("one of witnesses", lambda ledger: ledger.journal.checkpoint(witnesses=[7])),
            ("file", lambda ledger: ledger.journal.witness(7, "key")),
            ("key_file", lambda ledger: ledger.journal.witness("note", 7)),
            ("checkpoint", lambda ledger: ledger.journal.prove(1, checkpoint=7)),
            ("template", lambda ledger: ledger.notices.write("Q000001Z", template=7)),
            ("template", lambda ledger: ledger.notices.summarise("Q000001Z", template=7)),
            ("file", lambda ledger: ledger.stations.make_key(LAB, file=7)),
            ("key", lambda ledger: ledger.stations.live(LAB, key=7)),
            ("one of logs", lambda ledger: ledger.stations.replay([7])),
            ("plant_file", lambda ledger: ledger.plan(7)),
            ("target", lambda ledger: ledger.upkeep.back_up(7)),
            ("file", lambda ledger: ledger.scopes.check(7)),
            ("file", lambda ledger: ledger.partners.read_in(7, Badge(ADA))),
            ("file", lambda ledger: ledger.warehouse.take_orders(7, Badge(ADA))),
            ("out", lambda ledger: ledger.export(LOT, 7)),
            ("ExportOptions.since", lambda ledger: ledger.export(LOT, options=ExportOptions(since=7))),
            ("ExportOptions.key", lambda ledger: ledger.export(LOT, options=ExportOptions(key=7))),
        ],
    )
    def test_a_file_that_is_no_path_is_named(self, ledger, name, call):
        with pytest.raises(errors.UsageError) as refused:
            call(ledger)
        assert str(refused.value) == f"{name} is 7: expected text or a path, found int"


def test_everything_listed_is_there_and_nothing_else_is_shown():
    assert [name for name in runout.__all__ if getattr(runout, name, None) is None] == []
    assert dir(runout) == sorted(runout.__all__)
    with pytest.raises(AttributeError, match="has no attribute 'Ledger'"):
        _ = runout.Ledger


def test_a_program_outside_asks_and_prints_who_has_what(place, tmp_path):
    """Ten lines in a process of its own, in a folder that knows nothing of the package's source."""
    program = textwrap.dedent(f"""
        from runout import ContainmentQuery, Evidence, Shape, open_ledger

        query = ContainmentQuery({CAUSE!r}, Shape.FROM_ONSET, (Evidence({LOT!r}, 6, good=True),))
        with open_ledger({str(place)!r}, read_only=True) as ledger:
            before = ledger.head
            answer = ledger.contain(query)
            for group in answer.scope.groups:
                if group.kind == "consignee":
                    print(group.code, group.least, group.most)
            assert ledger.head == before
    """)
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    groups = [
        one
        for one in printed(place, "contain", CAUSE, "--shape", "from-onset", "--evidence", f"{LOT}:6=good")[
            "groups"
        ]
        if one["kind"] == "consignee"
    ]
    assert done.stdout.splitlines() == [f"{one['code']} {one['least']} {one['most']}" for one in groups] != []


def test_a_live_station_pays_for_no_question(place, tmp_path):
    """What documents, solvers and pictures import stays out of the program that stands at a line."""
    program = textwrap.dedent(f"""
        import sys
        from runout import open_ledger

        with open_ledger({str(place)!r}) as ledger, ledger.stations.live({LAB!r}) as here:
            here.scan({raw("A STOP")!r})
        rooms = {{".".join(name.split(".")[:2]) for name in sys.modules if name.startswith("tracelink.")}}
        print(sorted(rooms & {{"tracelink.genealogy", "tracelink.report", "tracelink.printing", "tracelink.balance"}}))
        print(sorted({{"scipy", "reportlab", "jinja2", "openpyxl", "click"}} & {{*sys.modules}}))
    """)
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert (done.stderr, done.stdout) == ("", "[]\n[]\n")


def test_a_code_is_made_without_loading_what_opens_a_ledger(tmp_path):
    program = textwrap.dedent("""
        import sys
        from tracelink.cli import main

        sys.argv = ["runout", "code", "make", "L", "5"]
        try:
            main()
        except SystemExit as end:
            print(end.code)
        print(sorted({"sqlalchemy", "alembic", "scipy"} & {*sys.modules}))
    """)
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert (done.stderr, done.stdout) == ("", f"{code('L', 5)}\n0\n[]\n")
