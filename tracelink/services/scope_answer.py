"""The answer of a scope in a few figures, from the scope and what the records say around it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracelink.facts.scope_discs import Totals
from tracelink.facts.scope_figures import ScopeAnswer, Sent, SentTogether
from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.containment.in_plant import StoppedTogether
from tracelink.genealogy.containment.scope import Scope, bounds_of
from tracelink.genealogy.containment.several import SEVERAL
from tracelink.genealogy.model.records import Records
from tracelink.ledger.count_words import counted, kind_words
from tracelink.store.records.scope_facts import ScopeFacts, lots_of

_NOTICE = "notice"
_TITLES_NAMED = 2
"""Titles that a heading names; of more it says how many."""


def scope_answer(
    records: Records, scope: Scope, facts: ScopeFacts, totals: Totals, free: StoppedTogether
) -> ScopeAnswer:
    """Return the answer.

    Args:
        records: the records the scope was made from, at the same journal head.
        scope: the containment.
        facts: what the ledger knows around it.
        totals: the sums of its document.
        free: what is free to ship in the plant.
    """
    cases = [case for case in facts.cases if case.closed_entry is None]
    touched = [held for held in scope.containers if held.most and held.consignee]
    every = _by_consignee(touched)
    # A cause that is followed by place has no tiers: what is certain is what the places hold at least.
    certain, possible = (
        (totals.proven, totals.possible) if scope.tiers else (totals.least, totals.most - totals.least)
    )
    return ScopeAnswer(
        subject=_subject(records, scope),
        fault=scope.defect or "any defect",
        certain=certain,
        possible=possible,
        cleared=totals.cleared,
        shipped=_sent(records, scope, [held for held in touched if held.shipped], every),
        loading=_sent(records, scope, [held for held in touched if not held.shipped], every),
        free=free.items,
        free_discs=free.bound.most,
        stopped=len(facts.in_plant) - free.items,
        holds=tuple(hold.code for hold in facts.holds if hold.lifted_entry is None),
        cases=tuple(case.code for case in cases),
        told=tuple(
            dict.fromkeys(news.consignee for case in cases for news in case.news if news.what == _NOTICE)
        ),
    )


def _subject(records: Records, scope: Scope) -> str:
    kind = kind_words(scope.kind)
    # Several causes are told by their codes alone.
    named = scope.cause if scope.kind == SEVERAL else f"{kind.capitalize()} {scope.cause}"
    tool = None if scope.clauses else records.tool(scope.cause)
    side = f"side {tool.side} of " if tool is not None and tool.side else ""
    titles = _titles(records, scope)
    return f"{named}, {side}{titles}" if titles else named


def _titles(records: Records, scope: Scope) -> str:
    lots = (records.lot(lot) for lot in scope.co_affected or lots_of(scope))
    titles = list(dict.fromkeys(lot.title for lot in lots if lot is not None))
    named = " and ".join(f'"{title}"' for title in titles[:_TITLES_NAMED])
    more = len(titles) - _TITLES_NAMED
    return f"{named} and {counted(more, 'more title')}" if more > 0 else named


_Theirs = dict[str, list[ContainerBound]]


def _by_consignee(held: Iterable[ContainerBound]) -> _Theirs:
    theirs: _Theirs = {}
    for one in held:
        theirs.setdefault(one.consignee, []).append(one)
    return theirs


def _sent(records: Records, scope: Scope, held: Iterable[ContainerBound], every: _Theirs) -> SentTogether:
    theirs = _by_consignee(held)
    each = sorted(_each(records, scope, theirs, every), key=lambda sent: (-sent.most, sent.consignee))
    together = bounds_of(scope, {one.code for some in theirs.values() for one in some})
    return SentTogether(tuple(each), together.least, together.most, together.tight)


def _each(records: Records, scope: Scope, theirs: _Theirs, every: _Theirs) -> Iterator[Sent]:
    whole = {group.code: group for group in scope.groups if group.kind == "consignee"}
    for consignee, held in theirs.items():
        shipments = (records.shipment(parent) for one in held for parent in one.parents)
        countries = dict.fromkeys(one.country for one in shipments if one is not None)
        # What is all in one state has been bounded already; wide scopes have many consignees.
        in_one_state = len(held) == len(every[consignee])
        bound = whole[consignee].bound if in_one_state else bounds_of(scope, {one.code for one in held})
        yield Sent(consignee, ", ".join(countries), bound.least, bound.most, bound.tight)
