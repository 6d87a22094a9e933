"""What each kind of entry says of itself for exports, and that nobody writes its name as a text."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path
from types import NoneType
from typing import ClassVar, get_args, get_origin, get_type_hints

import pytest
from support_each import each
from support_source import nodes_of

from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, On, Taken, Things, on
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.origin import LINE, Origin
from tracelink.report.epcis.event import EventContext
from tracelink.report.epcis.export import MAKERS, WITH_OTHERS, epcis_document
from tracelink.report.epcis.names import Names
from tracelink.store.bundle.concern import Stations, acts_on, taken
from tracelink.store.bundle.scope_codes import BundleScope

PACKAGE = Path(__file__).resolve().parents[2] / "tracelink"
EVERY = sorted(KINDS.values(), key=lambda body: body.kind)


def by_kind(body):
    return body.kind


def types_at(body, path):
    """Yield the types that a path of a body dataclass leads to; raises if a field is not there."""
    found = [body]
    for part in path.split("."):
        name, many = part.removesuffix("[]"), part.endswith("[]")
        hints = [get_type_hints(each)[name] for each in found]
        assert all((get_origin(hint) is tuple) == many for hint in hints), path
        inner = [get_args(hint)[0] if many else hint for hint in hints]
        found = [each for hint in inner for each in (get_args(hint) or (hint,)) if each is not NoneType]
    return found


every_kind = each("body", EVERY, ids=by_kind)


class TestEveryKind:
    @every_kind
    def test_gives_an_event_or_says_why_not(self, body):
        makes = body in MAKERS or body in WITH_OTHERS
        assert makes == (body.export.no_event is None)

    @every_kind
    def test_says_where_it_names_what_it_acts_on(self, body):
        for place in body.export.acts_on:
            assert types_at(body, place.path) == [str]
            assert all(hasattr(BundleScope("lot", "L1"), things) for things in place.things)

    @every_kind
    def test_is_taken_by_its_things_only_if_it_names_some(self, body):
        if body.export.taken is Taken.BY_ITS_THINGS:
            assert body.export.acts_on

    @every_kind
    def test_an_act_at_the_press_has_the_word_of_its_table(self, body):
        assert (BundleTable.PRESS_ACTS in body.export.tables) == bool(body.export.called)

    @every_kind
    def test_a_person_is_named_only_where_that_is_said(self, body):
        named = {field.name for field in fields(body)} & {"name", "driver", "holder"}
        of_a_thing = body.kind in (
            "plant-named",
            "station-placed",
            "location-named",
            "item-made",
            "equipment-placed",
        )
        assert bool(named and not of_a_thing) == body.export.holds_name


def test_texts_are_found_in_parts_in_each_of_many_and_not_where_there_is_none():
    body = {
        "reading": {"lot": "L1"},
        "left": None,
        "items": [{"code": "A"}, {"code": None}, {"code": "B"}],
        "codes": ["C"],
    }
    assert list(On("reading.lot", ()).texts(body)) == ["L1"]
    assert list(On("left.child", ()).texts(body)) == []
    assert list(On("items[].code", ()).texts(body)) == ["A", "B"]
    assert list(On("codes[]", ()).texts(body)) == ["C"]
    assert list(On("gone[].code", ()).texts(body)) == []


@dataclass(frozen=True, slots=True)
class LabelRubbed:
    """A kind that no other module knows."""

    kind: ClassVar[str] = "label-rubbed"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS),
        no_event=NoEvent.PART_OF_AN_ACT,
        tables=(BundleTable.DEVIATIONS,),
        holds_name=True,
    )
    origin: ClassVar[Origin] = LINE
    carton: str

    def changes(self, entry) -> Iterator:
        yield from ()


def entry_of(carton):
    return {"seq": 7, "kind": "label-rubbed", "station": None, "person": None, "corrects": None, "reason": None,
            "event_time": "2025-03-03T08:00:00+01:00", "recorded_at": "2025-03-03T07:00:00Z",
            "body": {"carton": carton}}  # fmt: skip


class TestANewKindIsOneFile:
    @pytest.fixture(autouse=True)
    def known(self, monkeypatch):
        monkeypatch.setitem(KINDS, LabelRubbed.kind, LabelRubbed)

    def test_a_bundle_takes_it_where_it_acts_on_its_carton(self):
        scope = BundleScope("carton", "C1", cartons={"C1"})
        assert acts_on("label-rubbed", {"carton": "C1"}, scope, scope.own)
        assert not acts_on("label-rubbed", {"carton": "C2"}, scope, scope.own)
        assert not Stations(scope).is_on(entry_of("C1"))
        assert taken("label-rubbed") is Taken.BY_ITS_THINGS

    def test_its_documents_are_made(self):
        context = EventContext(Names("example.com", {}), "00", frozenset({"C1"}), {}, "plant")
        document = epcis_document([entry_of("C1")], context, "2025-03-03T07:00:00Z")
        assert document["epcisBody"]["eventList"] == []


def test_a_kind_of_a_later_program_is_taken_where_it_names_a_thing_of_the_bundle():
    scope = BundleScope("carton", "C1", cartons={"C1"})
    assert acts_on("label-rubbed", {"deep": [{"in": "C1"}]}, scope, {"C1"})
    assert not acts_on("label-rubbed", {"deep": [{"in": "C2"}]}, scope, {"C1"})


# Findings have a closed set of their own; some are called as the entry that tells of them.
OWN_NAMES = {PACKAGE / "ledger" / "finding_codes.py", PACKAGE / "ledger" / "plant" / "change_entries.py"}


def names_of_kinds(module: Path) -> list[str]:
    texts = (node for node in nodes_of(module.read_text("utf-8")) if isinstance(node, ast.Constant))
    return [
        f"{module.relative_to(PACKAGE)}:{node.lineno} {node.value}" for node in texts if node.value in KINDS
    ]


def test_no_text_is_the_name_of_a_kind_of_entry():
    own = {*(PACKAGE / "ledger" / "kinds").rglob("*.py"), *OWN_NAMES}
    modules = sorted(set(PACKAGE.rglob("*.py")) - own)
    assert len(modules) > 300
    assert [found for module in modules for found in names_of_kinds(module)] == []
