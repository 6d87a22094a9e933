"""Who may be the second person, and which hold a thing stands for when it is lifted."""

import pytest
from support_plant import LAB, LINE, Floor, code, n

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.setup import PersonEnrolled


@pytest.fixture
def floor():
    made = Floor.copy()
    with made.ledger.writing() as booking:
        for number, name, roles in ((4, "Dov", ("quality",)), (5, "Edda", ("line",)), (6, "Finn", ())):
            body = PersonEnrolled(code("P", number), name, roles)
            booking.record(body, Stamp(made.at, "2031-03-03T07:00:00Z"))
    made.press(1)
    return made


class TestTheSecondPersonAtALine:
    """Line clearance before a session: two different people, each of whom may judge a line."""

    @pytest.mark.parametrize("person", ["P2", "P4", "P5"])
    def test_whoever_packs_or_is_of_quality_may_look(self, floor, person):
        floor.play(LINE, f"P1 | CLEAR | {person} -> DONE")

    @pytest.mark.parametrize(("person", "name", "roles"), [("P3", "Cleo", "press"), ("P6", "Finn", "none")])
    def test_nobody_else_may(self, floor, person, name, roles):
        sentence = (
            f"{name} cannot be the second person: that needs the role line or quality. "
            "Ask someone who has it."
        )
        floor.play(LINE, f"P1 | CLEAR | {person} -> STOP wrong-role; {sentence}")
        assert floor.read("finding", "expected", "found") == [("line or quality", roles)]
        floor.play(LINE, "P5 -> DONE; Line is cleared by Ada and Edda. Scan the sleeve batch.")

    def test_a_check_takes_either_role_and_a_handover_only_a_packer(self, floor):
        floor.play(
            LINE,
            """
            P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE
            CHECK | P3 -> STOP wrong-role; Cleo cannot be the second person: that needs the role line or quality. Ask someone who has it.
            P4 -> DONE
            HANDOVER | P4 -> STOP wrong-role; Dov cannot be the second person: that needs the role line. Ask someone who has it.
            P5 -> DONE
            """,
        )


class TestLiftingByTheThingHeld:
    """LIFT takes a hold, or a held thing that exactly one open hold names."""

    @pytest.fixture(autouse=True)
    def held(self, floor):
        floor.play(LAB, 'P1 | HOLD | K11 | "sticky -> DONE')

    def test_one_hold_is_found_by_its_thing(self, floor):
        floor.play(LAB, f'LIFT | K11 | "looked at | P2 -> DONE; Hold {n("H1")} is lifted by two people.')
        assert floor.read("hold", "code", lifted_seq=None) == []

    def test_of_several_holds_the_person_says_which(self, floor):
        both = f"{n('H1')}, {n('H2')}"
        floor.play(
            LAB,
            f"""
            HOLD | K11 | "dusty -> DONE
            LIFT -> NEXT
            K11 -> STOP several-holds; 2 open holds name {n("K11")}: {both}. Scan the one to lift.
            H2 -> NEXT
            "wiped -> NEXT
            P2 -> DONE; Hold {n("H2")} is lifted by two people.
            """,
        )

    def test_a_thing_that_nothing_holds_lifts_nothing(self, floor):
        floor.play(LAB, f"LIFT | K12 -> STOP unknown-code; No open hold names {n('K12')}.")
