"""Who may do what: every act at a command, and every way in which a second person may not agree."""

import pytest
from support_each import each
from support_plant import Floor, n

from tracelink.errors import InvalidFormat, RefusedByRule
from tracelink.ledger.count_words import either
from tracelink.ledger.plant.plantchanges import ROLES
from tracelink.station.common.authority import (
    QUALITY,
    WITNESSES,
    lacks_role,
    may_not_agree,
    require_role,
    require_second,
)
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import Person
from tracelink.store.office.office_acts import OfficeAct, authorised, person_of, second_person

ADA = Person("P1", "Ada", frozenset({"line", "quality"}))
BEN = Person("P2", "Ben", frozenset({"press"}))
FINN = Person("P3", "Finn", frozenset())


def with_role(role: str) -> Person:
    return Person("P4", "Gus", frozenset({role}))


@each("role", ROLES)
@each("act", OfficeAct, ids=lambda act: act.name)
def test_an_act_is_open_to_its_roles_and_to_no_other(act, role):
    found = lacks_role(with_role(role), act.roles, f"may not {act.deed}")
    if not act.roles or role in act.roles:
        assert found is None
    else:
        assert found is not None
        assert found.sentence == f"Gus may not {act.deed}: that needs the role {either(act.roles)}"


@each("act", OfficeAct, ids=lambda act: act.name)
def test_roles_of_acts_are_roles_of_a_plant(act):
    assert set(act.roles) <= set(ROLES)


@pytest.mark.parametrize(
    ("roles", "said"),
    [(("quality",), "quality"), (("line", "quality"), "line or quality"), (("dock", "press", "lab"), "dock, press or lab")],
)  # fmt: skip
def test_roles_are_listed_as_a_choice(roles, said):
    assert either(roles) == said


def test_whoever_has_a_role_may_agree_to_what_another_does():
    assert may_not_agree(ADA, BEN.code, QUALITY) is None
    require_second(ADA, BEN.code, QUALITY)
    require_role(ADA, WITNESSES, "may not do CHECK")


@pytest.mark.parametrize(
    ("person", "roles", "sentence", "asked"),
    [
        (ADA, QUALITY, "Two people are needed: a second person scans a badge.",
         ("same-person", "another person's badge", "P1")),
        (BEN, QUALITY, "Ben cannot be the second person: that needs the role quality. Ask someone who has it.",
         ("wrong-role", "quality", "press")),
        (FINN, WITNESSES,
         "Finn cannot be the second person: that needs the role line or quality. Ask someone who has it.",
         ("wrong-role", "line or quality", "none")),
    ],
)  # fmt: skip
def test_a_second_person_is_refused_at_a_station(person, roles, sentence, asked):
    with pytest.raises(Refused) as refused:
        require_second(person, ADA.code, roles)
    found = refused.value.finding
    assert found.sentence == sentence
    assert (found.code, found.expected, found.found) == asked
    assert found.subject == person.code


class TestAtACommand:
    """Badges of the ledger: `quality` is Ada's and Ben's, not Cleo's."""

    @pytest.fixture
    def queries(self):
        with Floor.copy().ledger.writing() as booking:
            yield booking.queries

    def test_who_has_the_role_may(self, queries):
        assert authorised(queries, n("P1"), OfficeAct.PLACE_HOLDS).name == "Ada"
        assert authorised(queries, n("P3"), OfficeAct.OPEN_INVESTIGATION).name == "Cleo"

    def test_who_lacks_it_may_not(self, queries):
        with pytest.raises(RefusedByRule, match=r"^Cleo may not place holds: that needs the role quality$"):
            authorised(queries, n("P3"), OfficeAct.PLACE_HOLDS)

    @pytest.mark.parametrize("badge", ["P9", "L1"])
    def test_an_unknown_badge_is_named(self, queries, badge):
        with pytest.raises(RefusedByRule, match=f"^unknown badge {n(badge)}$"):
            person_of(queries, n(badge))

    def test_nobody_is_not_a_badge(self, queries):
        with pytest.raises(InvalidFormat):
            authorised(queries, None, OfficeAct.PLACE_HOLDS)

    def test_a_second_person_is_another_one_with_the_role(self, queries):
        ada = person_of(queries, n("P1"))
        same = "cannot be both people: a case is closed by two"
        assert second_person(queries, n("P2"), ada, OfficeAct.CLOSE_CASE, same).name == "Ben"
        with pytest.raises(RefusedByRule, match=f"^Ada {same}$"):
            second_person(queries, n("P1"), ada, OfficeAct.CLOSE_CASE, same)
        with pytest.raises(RefusedByRule, match=r"^Cleo may not close a case"):
            second_person(queries, n("P3"), ada, OfficeAct.CLOSE_CASE, same)
