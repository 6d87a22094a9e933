"""A containment case by its users: opened, scoped again, held, answered, checked, closed; and two at one case."""

import hashlib
import json
import shutil
import threading

import pypdfium2
import pytest
from sqlalchemy import select
from support_cases import ADA, BEN, CAUSE, CLEO, shipped_file
from support_cli import run
from support_clock import station_clock
from support_ledgers import content
from support_plant import DOCK, LAB, LINE, START, n, raw, stamper

from tracelink.errors import RefusedByRule
from tracelink.ledger.entry import Stamp
from tracelink.store.database.tables import SHADOW
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.ledger import Ledger
from tracelink.store.office.case_acts import CaseAuthor, reply

CASE = n("Q1")
OPEN = ("case", "open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", "scratch on side A")


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    return shipped_file(tmp_path_factory.mktemp("case"))


@pytest.fixture
def ledger(template, tmp_path):
    return shutil.copy(template, tmp_path / "plant.db")


@pytest.fixture
def opened(ledger):
    done = run(*OPEN, ledger=ledger)
    assert (done.code, done.err) == (0, "")
    assert done.out.endswith(f"Next: runout case holds {CASE} --by BADGE --reason TEXT\n")
    return ledger


def scanned(ledger, area, station, *lines):
    with station_clock():
        done = run(
            area, "--station", station, ledger=ledger, scans="".join(raw(line) + "\n" for line in lines)
        )
    assert done.code == 0, done.out
    return done


def act(ledger, name, *words, by=ADA, code=0):
    done = run("case", name, CASE, *words, "--by", by, ledger=ledger)
    assert done.code == code, done.out + done.err
    return done


def shown(ledger, *words, case=CASE):
    return json.loads(run("case", *words, case, "--format", "json", ledger=ledger).out)


class TestOpen:
    def test_a_second_case_on_the_same_question_says_so(self, opened):
        again = run(*OPEN, "--next-tests", "3", ledger=opened)
        assert again.code == 0
        assert again.err.startswith(f"Case {CASE} asks the same and is open, by Ada: scratch on side A.")

    @pytest.mark.parametrize(
        "more", [("--defect", "scratch"), ("--only-with", n("L1")), ("--also", n("K11"))]
    )
    def test_a_case_on_another_question_about_the_same_cause_is_pointed_to(self, opened, more):
        asked = (CAUSE, "--shape", "from-onset", *more)
        seen = run("contain", *asked, ledger=opened)
        assert (
            f"Case            {CASE} asks another question:\n{' ' * 18}{CAUSE} --shape from-onset\n"
            in seen.out
        )
        assert "runout case open" not in seen.out.split("\n\n")[3]
        other = run("case", "open", *asked, *OPEN[5:], ledger=opened)
        assert other.code == 0
        assert " ".join(other.err.split()) == (
            f"Case {CASE} is open about the same cause and asks another question ({CAUSE} --shape from-onset), by Ada: "
            "scratch on side A. Say which one is worked on."
        )

    @pytest.mark.parametrize("given", [f"]C0{CAUSE}", CAUSE.lower()])
    def test_a_cause_that_is_scanned_or_typed_small_asks_the_same(self, opened, given):
        seen = run("contain", given, "--shape", "from-onset", ledger=opened)
        assert f"Case            {CASE}\n" in seen.out
        again = run("case", "open", given, *OPEN[3:], ledger=opened)
        assert (again.code, again.err.partition(", by")[0]) == (0, f"Case {CASE} asks the same and is open")
        second = again.out.split()[1]
        assert shown(opened, "show", case=second)["words"] == [CAUSE, "--shape", "from-onset"]

    def test_another_shape_is_another_question(self, opened):
        other = run(*OPEN[:3], "--shape", "intermittent", *OPEN[5:], ledger=opened)
        assert other.code == 0
        assert f"Case {CASE} is open about the same cause and asks another question" in other.err
        seen = run("contain", CAUSE, "--shape", "whole-life", ledger=opened)
        assert f"{CASE} asks another question:\n" in seen.out

    def test_a_case_about_another_cause_is_not(self, opened):
        seen = run("contain", n("L1"), "--shape", "whole-life", ledger=opened)
        assert "Case            none is open about this cause" in seen.out
        other = run("case", "open", n("L1"), "--shape", "whole-life", *OPEN[5:], ledger=opened)
        assert (other.code, other.err) == (0, "")

    def test_the_question_and_its_answer_are_kept(self, opened):
        found = shown(opened, "show")
        assert found["words"] == [CAUSE, "--shape", "from-onset"]
        assert (found["safety"], found["opened_by"], found["reason"]) == (False, ADA, "scratch on side A")
        [scope] = found["scopes"]
        asked = json.loads(run("contain", *found["words"], "--format", "json", ledger=opened).out)
        assert [(tier["tier"], tier["lot"]) for tier in scope["tiers"]] == [
            (tier["name"], tier["lot"]) for tier in asked["tiers"]
        ]
        assert scope["places"] == [
            {name: place[name] for name in ("place", "pieces", "least", "most")} for place in asked["places"]
        ]
        assert {held["code"] for held in scope["containers"]} == {
            held["code"] for held in asked["containers"] if held["most"]
        }

    def test_opening_holds_nothing(self, opened):
        assert run("hold", "--format", "csv", ledger=opened).out.count("\n") == 1

    def test_marking_it_as_safety_is_the_persons_act(self, ledger):
        done = run(*OPEN, "--safety", ledger=ledger)
        assert done.out.startswith(f"Case {CASE} is open, a safety matter by its opener.\n")
        status = run("case", "status", CASE, ledger=ledger).out
        assert "16 CFR 1115.14: report within 24 hours" in status
        assert "The responsible person decides." in status

    @pytest.mark.parametrize(
        ("words", "code", "sentence"),
        [
            (("open", CAUSE, "--by", ADA, "--reason", "x"), 2, "--shape is missing"),
            (("open", "--by", ADA, "--reason", "x"), 2, "CODE is missing"),
            (("open", CAUSE, "--shape", "from-onset", "--by", CLEO, "--reason", "x"), 4, "Cleo may not open"),
            (
                ("open", CAUSE, "--shape", "from-onset", "--by", n("P9"), "--reason", "x"),
                4,
                f"unknown badge {n('P9')}",
            ),
            (
                ("open", CAUSE, "--shape", "from-onset", "--by", n("L1"), "--reason", "x"),
                4,
                f"unknown badge {n('L1')}",
            ),
            (("open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", " "), 2, "--reason is empty"),
            (("open", n("T999"), "--shape", "from-onset", "--by", ADA, "--reason", "x"), 2, n("T999")),
            (
                ("open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", "x", "--at", "noon"),
                2,
                "noon",
            ),
            (("show", n("Q7")), 2, f"there is no containment case {n('Q7')}"),
            (("show", n("L1")), 2, "is a lot card: expected a containment case"),
            (("show", "Q0000011"), 2, "check character"),
            (("status", "nonsense"), 2, "plant code"),
        ],
    )
    def test_a_wrong_word_has_its_sentence_and_writes_nothing(self, ledger, words, code, sentence):
        before = Ledger.open(str(ledger), read_only=True).head()
        done = run("case", *words, ledger=ledger)
        assert (done.code, sentence in done.err) == (code, True), done.err
        assert Ledger.open(str(ledger), read_only=True).head() == before

    def test_cases_are_listed_with_what_is_open(self, opened):
        assert (
            run("case", "list", "--format", "csv", ledger=opened)
            .out.splitlines()[1]
            .startswith(f"{CASE},{CAUSE},commercial,open,scratch on side A,{ADA},")
        )
        assert run("case", "list", ledger=opened).code == 1


class TestAgain:
    def test_nothing_recorded_makes_no_difference(self, opened):
        done = run("contain", "--again", CASE, ledger=opened)
        assert (done.code, done.out[:13]) == (0, "No difference")

    def test_it_may_have_more_seconds(self, opened):
        done = run("contain", "--again", CASE, "--seconds", "60", ledger=opened)
        assert (done.code, done.out[:13]) == (0, "No difference")
        done = run("contain", "--again", CASE, "--seconds", "0", ledger=opened)
        assert (done.code, "--seconds 0: expected a number of seconds" in done.err) == (2, True)

    def test_a_recorded_test_takes_strokes_out_of_scope(self, opened):
        scanned(opened, "lab", LAB, "GOOD", "S3")
        done = run("contain", "--again", CASE, "--format", "json", ledger=opened)
        found = json.loads(done.out)
        assert done.code == 1
        assert [(one["way"], one["lot"], one["strokes"]) for one in found["strokes"]] == [
            ("out of scope", n("L1"), [[4, 12]])
        ]
        assert found["total"] == {"before": {"least": 2, "most": 17}, "now": {"least": 2, "most": 8}}
        assert {one["way"] for one in found["containers"]} == {"out of scope"}
        [evidence] = found["evidence_since"]
        assert evidence.startswith(f"Sample {n('S3')}, disc 12 of lot {n('L1')}, was judged good by entry ")

    def test_a_judgement_taken_back_brings_strokes_into_scope(self, opened):
        scanned(opened, "lab", LAB, "GOOD", "S3")
        act(opened, "scope", "--reason", "sample 3 is good")
        scanned(opened, "lab", LAB, "REJUDGE", "S3", '"bad: scratch', '"misheard')
        done = run("contain", "--again", CASE, ledger=opened)
        assert done.code == 1
        assert "into scope" in done.out
        assert "Evidence recorded in between" in done.out

    def test_what_moved_since_is_told_for_each_container(self, opened):
        scanned(opened, "dock", DOCK, "RETURN", "carton 3", '"scratch')
        rows = run("contain", "--again", CASE, "--format", "csv", ledger=opened).out
        assert f"out of scope,carton,{n('carton 3')}" in rows
        assert "quarantine" in rows

    def test_it_writes_nothing(self, opened):
        before = content(opened)
        run("contain", "--again", CASE, ledger=opened)
        assert content(opened) == before

    def test_it_goes_with_no_other_question(self, opened):
        done = run("contain", "--again", CASE, CAUSE, "--shape", "from-onset", ledger=opened)
        assert (done.code, "--again asks the question that the case keeps" in done.err) == (2, True)

    def test_a_new_scope_keeps_the_old_one(self, opened):
        scanned(opened, "lab", LAB, "GOOD", "S3")
        done = act(opened, "scope", "--reason", "sample 3 is good", by=BEN)
        assert done.out.startswith("Scope 2, from the records up to entry ")
        assert "out of scope" in done.out
        assert [scope["places"][-1]["most"] for scope in shown(opened, "show")["scopes"]] == [17, 8]

    def test_another_question_may_take_its_place(self, opened):
        act(opened, "scope", CAUSE, "--shape", "whole-life", "--reason", "made wrong after all")
        assert shown(opened, "show")["words"] == [CAUSE, "--shape", "whole-life"]


class TestBytesThatAreNoText:
    def test_a_reason(self, ledger):
        done = run(*OPEN[:-1], "bad \udcff", ledger=ledger)
        assert (done.code, "the reason holds half a surrogate pair" in done.err) == (2, True)
        assert run("case", "list", ledger=ledger).code == 0

    def test_a_word_that_is_looked_for(self, ledger):
        done = run("findings", "--finding", "\udcff", ledger=ledger)
        assert (done.code, done.err) == (
            2,
            "runout: '\\udcff' is not a character of utf-8: expected words in UTF-8\n",
        )


class TestHolds:
    def test_holds_are_placed_and_belong_to_the_case(self, opened):
        done = act(opened, "holds", "--reason", "scratch")
        assert f"Hold {n('H1')} placed" in done.out
        [hold] = shown(opened, "show")["holds"]
        assert (hold["hold"], hold["person"], hold["lifted_by"]) == (n("H1"), ADA, None)

    def test_holds_that_were_there_join_the_case(self, opened):
        run(
            *("contain", CAUSE, "--shape", "from-onset"),
            *("--hold", "--by", BEN, "--reason", "x"),
            ledger=opened,
        )
        done = act(opened, "holds", "--reason", "scratch")
        assert done.out.endswith(f"Holds new to the case: {n('H1')}.\n")
        assert act(opened, "holds", "--reason", "scratch").out.endswith("Holds new to the case: none.\n")

    def test_free_to_ship_is_a_query_before_and_after(self, opened):
        before = shown(opened, "status")["in_plant"]
        assert before["free_to_ship"] > 0
        assert [row["code"] for row in before["free"]] == [n("K12")]
        act(opened, "holds", "--reason", "scratch")
        after = shown(opened, "status")["in_plant"]
        assert (after["free_to_ship"], after["free"]) == (0, [])
        assert after["stopped_by"][0] == {
            "stopped_by": "nothing: free to ship",
            "things": 0,
            "pieces": 0,
            "least": 0,
            "most": 0,
        }

    def test_somebody_without_the_role_places_none(self, opened):
        assert "may not place holds" in act(opened, "holds", "--reason", "x", by=CLEO, code=4).err
        assert shown(opened, "show")["holds"] == []


class TestStatus:
    def test_replies_stand_beside_what_the_dock_booked(self, opened):
        scanned(opened, "dock", DOCK, "RETURN", "carton 3", '"scratch')
        # Six of five: written down as it was said, and a finding.
        said = act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 5, "--returned", 6, code=1)
        assert "Shop 9: says it sent back or destroyed 6 discs; 5 were delivered to it." in said.out
        rows = {row["consignee"]: row for row in shown(opened, "status")["consignees"]}
        shop = rows["Shop 9"]
        assert (shop["may_hold"], shop["on_hand"], shop["returned_said"]) == (5, 5, 6)
        assert (shop["returned"], shop["returned_difference"]) == (5, 1)
        assert (shop["accounted"], shop["unaccounted"]) == (5, 0)
        assert (rows["Shop 1"]["may_hold"], rows["Shop 1"]["unaccounted"]) == (9, 9)

    def test_an_answer_that_contradicts_the_dock_is_a_finding(self, opened):
        scanned(opened, "dock", DOCK, "RETURN", "carton 3", '"scratch')
        said = act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 5, "--returned", 4, code=1)
        sentence = "Shop 9: says it sent back 4 discs; the dock booked 5. Count what came back, and ask the consignee."
        assert said.out == f"Reply of Shop 9 recorded.\n{sentence}\n"
        [found] = shown(opened, "status")["findings"]
        assert (found["finding"], found["consignee"], found["sentence"]) == (
            "reply-contradicts-dock",
            "Shop 9",
            sentence,
        )
        assert f"FINDING  {sentence}" in run("case", "status", CASE, ledger=opened).out
        # A later answer takes its place.
        act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 5, "--returned", 5)
        assert shown(opened, "status")["findings"] == []

    def test_each_finding_on_an_answer_has_a_frame_of_its_own(self, opened, tmp_path):
        scanned(opened, "dock", DOCK, "RETURN", "carton 3", '"scratch')
        act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 6, "--returned", 4, code=1)
        run("case", "status", CASE, "--html", tmp_path / "status.html", ledger=opened)
        page = (tmp_path / "status.html").read_text(encoding="utf-8")
        for said in ("had 6 discs on hand; 5 were delivered", "sent back 4 discs; the dock booked 5"):
            assert page.count(f'<p class="note act">Shop 9: says it {said}') == 1

    def test_what_came_back_and_was_destroyed_is_told(self, opened):
        scanned(
            opened, "dock", DOCK, "RETURN", "carton 3", '"scratch', "DESTROY", "carton 3", '"scratch', "P2"
        )
        rows = {row["consignee"]: row for row in shown(opened, "status")["consignees"]}
        assert (rows["Shop 9"]["returned"], rows["Shop 9"]["destroyed"]) == (5, 5)
        came, gone = shown(opened, "show")["back"]
        assert (came["consignee"], came["returned"], came["destroyed"]) == ("Shop 9", 5, 0)
        assert (gone["consignee"], gone["returned"], gone["destroyed"]) == ("Shop 9", 0, 5)
        # Each has the time of its own booking.
        assert came["at"] < gone["at"]

    def test_levels_are_settings_with_their_source(self, opened):
        done = act(opened, "level", "C")
        assert "Level C: 10 % of the consignees (consignees checked at level C; 21 CFR 7.42(b)(3)" in done.out
        found = shown(opened, "status")["effectiveness"]
        assert (found["level"], found["percent"], found["among"], len(found["chosen"])) == ("C", 10, 2, 1)
        act(opened, "level", "A")
        assert shown(opened, "status")["effectiveness"]["chosen"] == ["Shop 1", "Shop 9"]
        act(opened, "level", "E")
        assert shown(opened, "status")["effectiveness"]["chosen"] == []

    @pytest.mark.parametrize(("level", "share"), [("B", 10), ("B", 100), ("C", 50)])
    def test_only_level_b_has_a_share_of_its_own(self, opened, level, share):
        assert "over 10 and under 100" in act(opened, "level", level, "--share", share, code=2).err

    def test_a_share_for_level_b(self, opened):
        act(opened, "level", "B", "--share", 60)
        assert len(shown(opened, "status")["effectiveness"]["chosen"]) == 2

    def test_a_check_that_did_not_go_well_stays_an_open_point(self, opened):
        act(opened, "check", "--consignee", "Shop 1", "--result", "not-acted")
        points = shown(opened, "status")["open_points"]
        assert "Shop 1: the effectiveness check found: not-acted." in points

    def test_the_estimate_is_a_persons(self, opened):
        assert shown(opened, "status")["estimated_completion"] is None
        act(opened, "estimate", "2031-05-01")
        assert shown(opened, "status")["estimated_completion"] == "2031-05-01"
        assert "does not match" in act(opened, "estimate", "2031-02-30", code=2).err

    @pytest.mark.parametrize(
        "words",
        [
            ("reply", "--consignee", "Shop 7", "--quantity-on-hand", 1),
            ("check", "--consignee", "Shop 7", "--result", "ok"),
        ],
    )
    def test_a_consignee_that_no_scope_names_is_refused(self, opened, words):
        done = act(opened, *words, code=2)
        assert "names no consignee 'Shop 7'; it names Shop 1, Shop 9" in done.err

    @pytest.mark.parametrize("quantity", ["-1", "ten", "1.5", ""])
    def test_a_quantity_that_is_none_is_refused(self, opened, quantity):
        act(opened, "reply", "--consignee", "Shop 1", "--quantity-on-hand", quantity, code=2)

    def test_it_is_written_as_page_and_pdf(self, opened, tmp_path):
        act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 5)
        files = [tmp_path / f"status.{ending}" for ending in ("html", "pdf")]
        assert run("case", "status", CASE, "--html", files[0], "--pdf", files[1], ledger=opened).code == 1
        pdf = pypdfium2.PdfDocument(files[1])
        printed = " ".join("".join(sheet.get_textpage().get_text_range() for sheet in pdf).split())
        pdf.close()
        for found in (files[0].read_text(encoding="utf-8"), printed):
            for text in (
                "Shop 9",
                "21 CFR 7.53(b)",
                "nothing: free to ship",
                n("K12"),
                "of 9 discs in cartons that may hold one",
                "Recovery by day",
            ):
                assert text in found
        told = "By the end of the last, of 14 discs in cartons that may hold one, 0 came back"
        assert told in files[0].read_text(encoding="utf-8")

    def test_the_rules_say_what_binds_and_what_is_from_memory(self):
        out = run("case", "rules").out
        assert "21 CFR 7.53(b) (model)" in out
        assert "EU 2023/988 Art. 36(2) (binds, sold in the EU)" in out
        assert "not checked against the original text" in out


class TestClose:
    def done(self, ledger):
        act(ledger, "level", "E")
        for name, quantity in (("Shop 1", 9), ("Shop 9", 5)):
            act(ledger, "reply", "--consignee", name, "--quantity-on-hand", quantity)

    def test_open_points_refuse_it_and_two_people_may_close_it_all_the_same(self, opened):
        self.done(opened)
        refused = act(opened, "close", "--with", BEN, "--reason", "all found", code=4)
        assert "Shop 1: no notice is recorded." in refused.err
        closed = act(opened, "close", "--with", BEN, "--reason", "told by telephone", "--despite")
        assert (
            closed.out.splitlines()[0]
            == f"Case {CASE} is closed by two people. Points open when they did: 2."
        )
        assert run("case", "list", ledger=opened).code == 0

    @pytest.mark.parametrize(
        ("by", "second", "sentence"),
        [
            (ADA, ADA, "cannot be both people"),
            (ADA, CLEO, "Cleo may not"),
            (CLEO, ADA, "Cleo may not"),
        ],
    )
    def test_it_takes_two_different_authorised_people(self, opened, by, second, sentence):
        done = act(opened, "close", "--with", second, "--reason", "x", "--despite", by=by, code=4)
        assert sentence in done.err

    def test_a_closed_case_takes_nothing_more(self, opened):
        act(opened, "close", "--with", BEN, "--reason", "x", "--despite")
        for words in (
            ("scope", "--reason", "x"),
            ("holds", "--reason", "x"),
            ("reply", "--consignee", "Shop 1", "--quantity-on-hand", 1),
            ("close", "--with", BEN, "--reason", "x"),
        ):
            assert "was closed by entry" in act(opened, *words, code=4).err
        assert run("case", "show", CASE, ledger=opened).code == 0
        assert run("hold", ledger=opened).code == 0

    def test_no_word_of_it_says_that_anything_is_at_an_end(self, opened):
        self.done(opened)
        printed = [
            run("case", *words, ledger=opened).out.lower()
            for words in (("show", CASE), ("status", CASE), ("list",))
        ]
        printed.append(act(opened, "close", "--with", BEN, "--reason", "x", "--despite").out.lower())
        for out in printed:
            for word in ("safe ", "all clear", "complete ", "completed", "100 % found"):
                assert word not in out


class TestTwoAtOnce:
    def test_the_second_is_told_what_changed_and_loses_nothing(self, opened):
        seen = shown(opened, "show")["last_entry"]
        reply = ("reply", "--consignee", "Shop 9", "--quantity-on-hand", 5, "--version", seen)
        act(opened, *reply)
        refused = act(opened, "estimate", "2031-05-01", "--version", seen, by=BEN, code=4)
        assert f"case {CASE} was changed after entry {seen}: entry " in refused.err
        assert "case replied Shop 9 by Ada at " in refused.err
        assert "Nothing of yours was written" in refused.err
        now = shown(opened, "show")["last_entry"]
        act(opened, "estimate", "2031-05-01", "--version", now, by=BEN)

    @pytest.mark.parametrize("seen", [1, 999_999])
    def test_an_entry_that_is_none_of_the_case_is_said(self, opened, seen):
        assert "is not of case" in act(opened, "estimate", "2031-05-01", "--version", seen, code=2).err

    def test_of_many_at_once_each_is_written_or_told(self, opened):
        seen = shown(opened, "show")["last_entry"]
        outcomes = []

        def write(number):
            with Ledger.open(str(opened)).writing() as booking:
                hand = CaseAuthor(booking, Stamp(START, "2031-03-05T07:00:00Z", person=ADA), None, seen)
                reply(hand, CASE, "Shop 9", (number, None, None))

        def attempt(number):
            try:
                write(number)
                outcomes.append("written")
            except RefusedByRule as problem:
                outcomes.append(str(problem))

        threads = [threading.Thread(target=attempt, args=(number,)) for number in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert outcomes.count("written") == 1
        assert sum("was changed after entry" in outcome for outcome in outcomes) == 5
        assert len(shown(opened, "show")["replies"]) == 1


def test_a_rebuild_gives_the_same_cases(opened):
    scanned(opened, "lab", LAB, "GOOD", "S3")
    act(opened, "scope", "--reason", "sample 3")
    act(opened, "holds", "--reason", "scratch")
    act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 5)
    act(opened, "level", "A")
    act(opened, "check", "--consignee", "Shop 1", "--result", "ok")
    act(opened, "estimate", "2031-05-01")
    act(opened, "close", "--with", BEN, "--reason", "x", "--despite")
    ledger = Ledger.open(str(opened))

    def rows(conn):
        return {table.name: sorted(map(repr, conn.execute(select(table)))) for table in SHADOW}

    with ledger.transaction() as conn:
        before = rows(conn)
        assert all(before[name] for name in before if name.startswith("case_") and name != "case_notice")
        rebuild(conn)
        assert rows(conn) == before
    ledger.close()
    assert run("audit", "verify", ledger=opened).code == 0


@pytest.mark.parametrize(
    "words",
    [
        (CAUSE, "--shape", "window", "--window", "3-9"),
        (CAUSE, "--shape", "from-onset", "--defect", "scratch", "--evidence", f"{n('L1')}:7=good"),
        (CAUSE, "--shape", "intermittent", "--also", n("K12")),
        (CAUSE, "--shape", "intermittent", "--only-with", n("C1")),
        (LINE, "--shape", "intermittent", "--from", "2031-03-03T07:00:00+01:00"),
    ],
    ids=["window", "evidence", "also", "only-with", "period"],
)
def test_every_word_of_a_question_is_kept_and_asked_again(ledger, words):
    opened = run("case", "open", *words, "--by", ADA, "--reason", "x", ledger=ledger)
    assert opened.code == 0, opened.err
    kept = shown(ledger, "show")["words"]
    assert sorted(kept) == sorted(words)
    assert run("contain", "--again", CASE, ledger=ledger).code == 0


def test_a_case_is_nothing_that_discs_can_touch(opened):
    """Its code is read and refused like any other that cannot be a cause, or be held."""
    done = run("contain", CASE, "--shape", "whole-life", ledger=opened)
    assert (done.code, CASE in done.err) == (2, True)
    held = run(
        "lab", "--station", LAB, ledger=opened, scans="".join(raw(line) + "\n" for line in ("HOLD", "Q1"))
    )
    assert held.code == 1
    assert f"{CASE} is not in the system" in held.out


def test_what_only_names_things_points_to_the_command_that_shows_it(opened):
    act(opened, "holds", "--reason", "scratch")
    hold = n("H1")
    said = run("trace", hold, ledger=opened)
    assert (said.code, said.err) == (
        2,
        f"runout: {hold} is a hold: runout hold lists what each hold names, and why\n",
    )
    for name in (CASE, f"]C0{CASE}"):
        said = run("contain", name, "--shape", "whole-life", ledger=opened)
        assert (said.code, said.err) == (
            2,
            (
                f"runout: {CASE} is a containment case: runout case status {CASE} shows how far it is, runout contain --again "
                f"{CASE} asks its question again\n"
            ),
        )
    said = run("case", "status", ledger=opened)
    assert (said.code, said.err) == (
        2,
        "runout: case status needs the code of a case, such as Q000001Z: runout case list shows them\n",
    )


def test_a_carton_may_be_the_cause(ledger):
    done = run(
        *("case", "open", n("carton 1"), "--shape", "whole-life", "--by", ADA, "--reason", "wet"),
        ledger=ledger,
    )
    assert done.code == 0, done.err
    assert run("contain", "--again", CASE, ledger=ledger).code == 0


class TestNotice:
    def test_a_letter_to_each_consignee_is_written_and_recorded(self, opened, tmp_path):
        given = [f"--item={name}=x" for name in ("reason", "instruction", "remedy", "contact")]
        done = act(opened, "notice", "--all", "--method", "e-mail", "--out", tmp_path, *given, code=1)
        # No [[contact]] says where to.
        assert done.err.count("no e-mail address of ") == 4
        files = sorted(tmp_path.glob("Q*.txt"))
        assert [file.name[:16] for file in files] == [f"{CASE}-shop-1-", f"{CASE}-shop-9-"]
        assert done.out.count("recorded.") == 2
        notices = shown(opened, "show")["notices"]
        assert [(one["consignee"], one["method"], one["version"]) for one in notices] == [
            ("Shop 1", "e-mail", 1),
            ("Shop 9", "e-mail", 1),
        ]
        assert {one["sha256"] for one in notices} == {
            hashlib.sha256(file.read_bytes()).hexdigest() for file in files
        }
        assert shown(opened, "status")["not_responding"] == ["Shop 1", "Shop 9"]

    def test_gaps_are_findings(self, opened, tmp_path):
        done = act(opened, "notice", "--consignee", "Shop 9", "--out", tmp_path, code=1)
        assert done.err == "Notice to Shop 9: not given: reason, instruction, remedy, contact.\n"

    def test_a_dry_run_writes_and_records_nothing(self, opened, tmp_path):
        done = act(opened, "notice", "--consignee", "Shop 9", "--out", tmp_path, "--dry-run", code=1)
        assert "To: Shop 9" in done.out
        assert list(tmp_path.glob("Q*.txt")) == []
        assert shown(opened, "show")["notices"] == []

    def test_a_letter_that_cannot_be_written_is_not_recorded(self, opened, tmp_path):
        done = act(opened, "notice", "--all", "--out", tmp_path / "missing", code=2)
        assert "cannot be written" in done.err
        assert shown(opened, "show")["notices"] == []

    def test_a_file_in_place_of_the_folder_has_its_sentence(self, opened, tmp_path):
        (tmp_path / "taken").write_text("x", encoding="utf-8")
        done = act(opened, "notice", "--all", "--out", tmp_path / "taken", code=2)
        assert f"there is no folder {tmp_path / 'taken'}. Make it, or give another" in done.err

    def test_a_text_edited_by_hand_is_recorded_as_sent(self, opened, tmp_path):
        (tmp_path / "mine.txt").write_text("Please send them back.", encoding="utf-8")
        act(opened, "notice", "--consignee", "Shop 9", "--sent", tmp_path / "mine.txt", "--method", "letter")
        [one] = shown(opened, "show")["notices"]
        assert one["sha256"] == hashlib.sha256(b"Please send them back.").hexdigest()

    def test_words_that_play_a_risk_down_are_warned_of_in_safety_notices_only(self, ledger, tmp_path):
        (tmp_path / "mine.txt").write_text("A voluntary step.", encoding="utf-8")
        for place, words in enumerate(((), ("--safety",)), 1):
            assert run(*OPEN, *words, ledger=ledger).code == 0
            done = run(
                *("case", "notice", n(f"Q{place}"), "--consignee", "Shop 9", "--by", ADA),
                *("--sent", tmp_path / "mine.txt"),
                ledger=ledger,
            )
            assert ("'voluntary' plays the risk down" in done.err) == (done.code == 1) == bool(words)

    def test_items_and_their_sources_are_listed(self, opened):
        assert "contact: whom to answer, and how (21 CFR 7.49(c)" in act(opened, "notice", "--items").out

    def test_nobody_need_be_named_where_nothing_is_written(self, opened):
        assert run("case", "notice", CASE, "--items", ledger=opened).code == 0
        assert run("case", "notice", CASE, "--all", "--dry-run", ledger=opened).code == 1
        refused = run("case", "notice", CASE, "--all", ledger=opened)
        assert (refused.code, "--by is missing: a notice is a named person's act" in refused.err) == (2, True)

    @pytest.mark.parametrize(
        ("words", "code", "sentence"),
        [
            ((), 2, "say whom to tell"),
            (("--all", "--consignee", "Shop 1"), 2, "say whom to tell"),
            (("--consignee", "Shop 7"), 2, "names no consignee 'Shop 7'"),
            (("--consignee", "Shop 1", "--item", "contact"), 2, "expected NAME=TEXT"),
            (("--consignee", "Shop 1", "--item", "hazard=x"), 2, "has no such item"),
            (("--consignee", "Shop 1", "--sent", "none.txt"), 2, "none.txt cannot be read"),
            (("--all", "--sent", "none.txt"), 2, "give one --consignee"),
            (("--consignee", "Shop 1", "--method", " "), 2, "the method is empty"),
            (("--consignee", "Shop 1", "--template", "none.txt"), 2, "none.txt cannot be read"),
        ],
    )
    def test_a_wrong_word_has_its_sentence_and_records_nothing(self, opened, tmp_path, words, code, sentence):
        done = act(opened, "notice", *words, "--out", tmp_path, code=code)
        assert sentence in done.err
        assert shown(opened, "show")["notices"] == []
        assert list(tmp_path.glob("Q*.txt")) == []

    def test_the_second_of_two_writers_is_told(self, opened, tmp_path):
        seen = shown(opened, "show")["last_entry"]
        act(opened, "estimate", "2031-05-01", by=BEN)
        done = act(opened, "notice", "--all", "--out", tmp_path, "--version", seen, code=4)
        assert "was changed after entry" in done.err
        assert list(tmp_path.glob("Q*.txt")) == []

    def test_nobody_outside_means_nobody_to_tell(self, ledger):
        idle = stamper("EX-102-A")
        run(
            *("case", "open", idle, "--shape", "whole-life", "--by", ADA, "--reason", "made wrong"),
            ledger=ledger,
        )
        done = act(ledger, "notice", "--all", code=2)
        assert "names no consignee: nothing that may be affected has left the plant" in done.err


def test_the_scope_document_tells_what_the_case_recorded(opened, tmp_path):
    act(opened, "notice", "--consignee", "Shop 9", "--sent", sent(tmp_path), "--method", "letter")
    act(opened, "reply", "--consignee", "Shop 9", "--quantity-on-hand", 5, "--returned", 2)
    words = ("contain", CAUSE, "--shape", "from-onset")
    document = json.loads(run(*words, "--format", "json", ledger=opened).out)["document"]
    (case,) = document["cases"]
    assert (case["code"], case["opened_by"], case["marked_safety"], case["closed_entry"]) == (
        CASE,
        "Ada",
        False,
        None,
    )
    assert [(one["what"], one["consignee"], one["detail"]) for one in case["news"]] == [
        ("notice", "Shop 9", "by letter, on scope 1"),
        ("reply", "Shop 9", "5 discs on hand, 2 discs sent back"),
    ]
    page = tmp_path / "scope.html"
    run(*words, "--html", page, "--format", "csv", ledger=opened)
    assert "5 discs on hand, 2 discs sent back" in page.read_text(encoding="utf-8")


def sent(folder):
    letter = folder / "letter.txt"
    letter.write_text("Dear shop", encoding="utf-8")
    return letter
