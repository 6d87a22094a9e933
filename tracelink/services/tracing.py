"""The genealogy of one thing: what it was made of, where it went, and what is known beside that."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.facts.entry_stamp import EntryStamp
from tracelink.facts.lot_stops import CaseOfLot, LotStops
from tracelink.genealogy.model.facts import JudgementFact, UnreadJudgement
from tracelink.genealogy.model.part_facts import BUILD, REEL
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.tree import Tree, joined
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.loaded_later import LoadedLater, loaded_later
from tracelink.report.pages.lot_stops_text import in_short
from tracelink.report.pictures.held_nodes import with_holds
from tracelink.report.pictures.tree_text import tree_rows
from tracelink.services.codes import resolve_thing
from tracelink.store.records.entry_stamps import names
from tracelink.store.records.hold_lines import hold_lines
from tracelink.store.records.late_entries import late_about
from tracelink.store.records.lot_cases import cases_of_lots
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.holds import holds_by_thing


@dataclass(frozen=True, slots=True)
class Trace:
    """The genealogy of one thing, by the records up to an entry."""

    code: str
    """The thing."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""
    back: Tree | None
    """What it was made of; None if that was not asked."""
    forward: Tree | None
    """Where it went; None if that was not asked."""
    holds: Mapping[str, str]
    """Thing -> the hold on it, for what is in the trees."""
    judgements: tuple[JudgementFact, ...]
    """Judged samples of the lots in the trees."""
    unread: tuple[UnreadJudgement, ...]
    """Those whose stroke nobody knows."""
    late: tuple[EntryStamp, ...]
    """Entries about what is in the trees that were recorded late."""
    loaded_later: LoadedLater | None
    """Set if most of those entries were loaded long after they happened."""
    cases: tuple[CaseOfLot, ...] = ()
    """Containment cases about what is in the trees."""
    page: str | None = None
    """For a lot: its genealogy as a whole HTML document, if it was wanted."""

    @property
    def trees(self) -> dict[str, Tree]:
        """The trees that were asked for, by direction."""
        both = {"back": self.back, "forward": self.forward}
        return {name: tree for name, tree in both.items() if tree is not None}

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout trace --format json`."""
        return {
            "code": self.code,
            "head": {"seq": self.head[0], "hash": self.head[1]},
            "holds": dict(self.holds),
            "cases": [asdict(case) for case in self.cases],
            "judgements": [*map(_judged, self.judgements), *map(_judged, self.unread)],
            "late": [_late(one) for one in self.late],
            **{name: _tree(tree) for name, tree in self.trees.items()},
        }

    def to_svg(self, at: str, links: Callable[[tuple[str, ...]], str | None] | None = None) -> str:
        """Draw the family tree.

        Args:
            at: when it is drawn, RFC 3339 with offset; shown on the picture.
            links: for a page in a browser, where the box of some codes leads to; None for no links.
        """
        from tracelink.report.pictures.genealogy_svg import genealogy_svg  # noqa: PLC0415  only when asked for

        tree = self.back or self.forward
        if self.back is not None and self.forward is not None:
            tree = joined(self.back, self.forward)
        assert tree is not None, "one direction is always asked"
        stopped = in_short(self.holds.values(), self.cases)
        title = stopped + _QUESTIONS[tuple(self.trees)].format(self.code)
        tree = with_holds(tree, self.holds)
        judged = list(self.judgements)
        return genealogy_svg(tree, title=title, head=self.head, at=at, judgements=judged, links=links)


_QUESTIONS = {
    ("back",): "What is {} made of?",
    ("forward",): "Where did {} go?",
    ("back", "forward"): "Where does {} come from, and where did it go?",
}


def trace(
    conn: Connection, given: str, *, back: bool = True, forward: bool = True, page_at: str | None = None
) -> Trace:
    """Trace one thing inside one transaction.

    Args:
        conn: its connection.
        given: a code as a person gives it.
        back: whether to say what it was made of.
        forward: whether to say where it went.
        page_at: when the page of a lot is made, RFC 3339 with offset; None for no page.

    Raises:
        UnknownCode, IdentifierError: the code is not in the records, or is invalid.
        UsageError: neither direction is asked for, or a page of something that is not a lot.
    """
    if not (back or forward):
        raise UsageError("a trace goes back, forward or both: neither was asked for")
    records = SqlRecords(conn)
    code = resolve_thing(records, given)
    behind = trace_back(records, code) if back else None
    ahead = trace_forward(records, code) if forward else None
    trees = [tree for tree in (behind, ahead) if tree is not None]
    page = None if page_at is None else _page(conn, records, code, page_at)
    codes = list(dict.fromkeys(node.code for tree in trees for node in tree.nodes))
    looked_at, late = late_about(conn, codes)
    return Trace(
        code=code,
        head=records.head(),
        back=behind,
        forward=ahead,
        holds=holds_by_thing(conn, codes),
        judgements=judgements_in(records, trees),
        unread=unread_in(records, trees),
        late=tuple(late),
        loaded_later=loaded_later(looked_at, [(one.happened, one.recorded) for one in late]),
        cases=cases_of_lots(conn, lots_in(trees) if records.lot(code) is None else [code], codes),
        page=page,
    )


def judgements_in(records: Records, trees: Iterable[Tree]) -> tuple[JudgementFact, ...]:
    """Return the judged samples of the lots, build orders and reels in some trees, each once."""
    found: dict[tuple[str, int], JudgementFact] = {}
    for lot in _judged_lots(trees):
        for judged in records.judgements_of(lot):
            # What is in a unit is judged with it.
            found.setdefault((judged.sample, judged.seq), judged)
    return tuple(found.values())


def unread_in(records: Records, trees: Iterable[Tree]) -> tuple[UnreadJudgement, ...]:
    """Return those judged samples of the lots, build orders and reels in some trees of which nobody knows which they are."""
    every = list(trees)
    known = {(judged.sample, judged.seq) for judged in judgements_in(records, every)}
    found: dict[tuple[str, int], UnreadJudgement] = {}
    for lot in _judged_lots(every):
        for judged in records.judged_unread(lot):
            if (judged.sample, judged.seq) not in known:
                found.setdefault((judged.sample, judged.seq), judged)
    return tuple(found.values())


def _judged_lots(trees: Iterable[Tree]) -> list[str]:
    """Return the lots in some trees, then the build orders, then the reels."""
    every = list(trees)
    of_hall = [
        node.code for kind in (BUILD, REEL) for tree in every for node in tree.nodes if node.kind == kind
    ]
    return [*lots_in(every), *dict.fromkeys(of_hall)]


def lots_in(trees: Iterable[Tree]) -> list[str]:
    """Return the lots in some trees."""
    return sorted({node.code for tree in trees for node in tree.nodes if node.kind == "lot"})


def _page(conn: Connection, records: SqlRecords, code: str, at: str) -> str:
    from tracelink.report.pages.lot_page import lot_page  # noqa: PLC0415  made only when asked for

    fact = records.lot(code)
    if fact is None or fact.kind != "lot":
        raise UsageError(f"a page is made of lots: {code} is not a lot")
    trees = (trace_back(records, code), trace_forward(records, code))
    things = list(dict.fromkeys(node.code for tree in trees for node in tree.nodes))
    stops = LotStops(
        tuple(hold_lines(conn, things, names(conn))),
        cases_of_lots(conn, [code], things),
        holds_by_thing(conn, things),
    )
    return lot_page(records, code, at=at, stops=stops)


def _tree(tree: Tree) -> dict[str, Any]:
    return {
        "nodes": [{"kind": node.kind, "code": node.code, **dict(node.facts)} for node in tree.nodes],
        "edges": tree_rows(tree),
        "conflicts": list(tree.conflicts),
    }


def _judged(one: JudgementFact | UnreadJudgement) -> dict[str, Any]:
    stroke = None if isinstance(one, UnreadJudgement) else one.stroke
    verdict = {"good": one.good, "defect": one.defect, "entry": one.seq}
    return {"sample": one.sample, "lot": one.lot, "stroke": stroke, **verdict}


def _late(one: EntryStamp) -> dict[str, Any]:
    times = {"happened": one.happened, "recorded": one.recorded, "late_s": one.late_s}
    return {"entry": one.seq, "kind": one.kind, **times, "by": one.by}
