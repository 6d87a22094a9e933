"""Fill the document of a scope from the scope, the records and what the ledger knows around them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from importlib.metadata import version

from tracelink.balance.balance_sentences import lot_sentences
from tracelink.facts import scope_cause as parts
from tracelink.facts import scope_discs as where
from tracelink.facts.scope_records import LotSums, RecordQuality, SumLine
from tracelink.genealogy.containment.held import TOTAL, UNACCOUNTED
from tracelink.genealogy.containment.in_plant import free_together, stopped_by_kind
from tracelink.genealogy.containment.lives import StrokeLife
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.suspects.evidence import Judged
from tracelink.genealogy.suspects.samples import caution
from tracelink.ledger.count_words import counted
from tracelink.report.pictures.places_svg import in_order, place_name
from tracelink.report.scope.cause_text import missing_tests
from tracelink.report.scope.document import Imprint, ScopeDocument
from tracelink.services.scope_answer import scope_answer
from tracelink.services.scope_choices import decision
from tracelink.services.scope_identifiers import identifiers
from tracelink.services.scope_lives import boundaries
from tracelink.services.scope_recipients import containers, groups, joint, recipients, stopped, together
from tracelink.store.records.scope_facts import ScopeFacts, lots_of

_NOT_COMPARED = "Levels are compared for a stamper only: which of the tools above it carries the fault."


def scope_document(
    records: Records, scope: Scope, lives: Sequence[StrokeLife], facts: ScopeFacts, *, at: str
) -> ScopeDocument:
    """Fill the document.

    Args:
        records: the records the scope was made from, at the same journal head.
        scope: the containment.
        lives: from `lives_of`.
        facts: from `scopefacts.scope_facts`.
        at: when the document is made, RFC 3339 with offset.
    """
    teller = _Teller(facts)
    touched = [held for held in scope.containers if held.most]
    shipped_to = recipients(records, scope, facts)
    totals = _totals(scope)
    free = free_together(facts.in_plant, scope.holdings)
    return ScopeDocument(
        imprint=Imprint(scope.head[0], scope.head[1], facts.head_at, at, f"runout {version('runout')}"),
        answer=scope_answer(records, scope, facts, totals, free),
        trigger=_trigger(records, scope, lives, teller),
        levels=_levels(scope),
        boundaries=boundaries(records, scope, lives, teller.told),
        tiers=tuple(_tiers(scope)),
        samples=_samples(scope),
        totals=totals,
        places=tuple(_places(scope)),
        containers=containers(records, scope, facts),
        containers_together=together(scope, [held.code for held in touched]),
        groups=groups(scope),
        untouched=(
            len(scope.containers) - len(touched),
            sum(held.pieces for held in scope.containers if not held.most),
        ),
        identifiers=identifiers(records, scope, facts, lots_of(scope)),
        recipients=shipped_to,
        recipients_together=together(scope, [one.name for one in shipped_to]),
        cases=facts.cases,
        balances=tuple(_balances(facts)),
        related=facts.related,
        holds=facts.holds,
        in_plant=facts.in_plant,
        free_together=joint(free.bound),
        stopped=stopped(stopped_by_kind(facts.in_plant, scope.holdings)),
        quality=_quality(scope, facts),
        decision=decision(scope, shipped_to, facts.shares),
    )


class _Teller:
    """Makes evidence of judged discs."""

    def __init__(self, facts: ScopeFacts) -> None:
        self._facts = facts

    def told(self, life: StrokeLife, judged: Judged) -> parts.JudgedDisc:
        fact = judged.judgement
        stamp = self._facts.judged.get(fact.seq) if self._is_recorded(fact) else None
        return parts.JudgedDisc(
            sample=fact.sample,
            lot=fact.lot,
            stroke=fact.stroke,
            life=life.axis.code,
            position=judged.position,
            good=judged.good,
            defect=fact.defect or "",
            entry=fact.seq,
            drawn_at=self._facts.drawn.get(fact.sample, ""),
            judged_at="" if stamp is None else stamp.happened,
            judged_by="" if stamp is None else stamp.by,
            measured=self._facts.measured.get(fact.sample, ""),
        )

    def _is_recorded(self, fact: JudgementFact) -> bool:
        return fact.sample in self._facts.drawn


def _trigger(records: Records, scope: Scope, lives: Sequence[StrokeLife], teller: _Teller) -> parts.Trigger:
    evidence = tuple(teller.told(life, one) for life in lives for one in life.judged)
    bad = [one for one in evidence if not one.good]
    return parts.Trigger(
        cause=scope.cause,
        kind=scope.kind,
        facts=() if scope.clauses else node_of(records, scope.cause).facts,
        shape=scope.shape,
        window=scope.window,
        defect=scope.defect,
        reasons=scope.reasons,
        suspects=scope.suspects,
        lots=scope.co_affected,
        evidence=evidence,
        first_bad=min(bad, key=lambda one: one.entry, default=None),
    )


def _levels(scope: Scope) -> parts.FaultLevels:
    if scope.levels is None:
        return parts.FaultLevels((), _NOT_COMPARED, ())
    missing = tuple(missing_tests(scope.siblings))
    return parts.FaultLevels(scope.levels.levels, scope.levels.sentence, missing)


def _samples(scope: Scope) -> parts.Samples:
    tests = tuple(
        parts.TestLine(
            one.lot,
            one.stroke,
            one.place,
            one.kind,
            one.parents,
            one.if_good,
            one.if_bad,
            round(one.expected, 1),
        )
        for one in scope.next_tests.tests
    )
    shown = tuple(one.sentence for one in scope.samples)
    return parts.Samples(shown, caution(scope.words) if shown else "", scope.next_tests.sentence, tests)


def _tiers(scope: Scope) -> Iterable[parts.TierLine]:
    for name in TierName:
        for tier in scope.tiers:
            if tier.name is name:
                yield parts.TierLine(name, tier.lot, tier.strokes, tier.discs, tier.reason)


def _totals(scope: Scope) -> where.Totals:
    discs = {name: sum(tier.discs for tier in scope.tiers if tier.name is name) for name in TierName}
    total = next((place for place in scope.places if place.place == TOTAL), None)
    added = sum(place.pieces for place in scope.places if place.place != TOTAL)
    pieces = 0 if total is None else total.pieces
    return where.Totals(
        proven=discs[TierName.PROVEN],
        possible=discs[TierName.POSSIBLE],
        cleared=discs[TierName.CLEARED],
        pieces=pieces,
        least=0 if total is None else total.least,
        most=0 if total is None else total.most,
        places=added,
        difference=added - pieces,
    )


def _places(scope: Scope) -> Iterable[where.Place]:
    for place in in_order(scope.places):
        if place.place != TOTAL:
            yield where.Place(
                place_name(place, scope.words),
                place.pieces,
                place.least,
                place.most,
                place.tight,
                place.place == UNACCOUNTED,
            )


def _balances(facts: ScopeFacts) -> Iterable[LotSums]:
    for balance, loose in facts.balances:
        lines = tuple(
            SumLine(
                line.name,
                sum(term.quantity for term in line.came),
                sum(term.quantity for term in line.went),
                line.difference,
            )
            for line in balance.lines
        )
        yield LotSums(balance.lot, lines, balance.difference, (*lot_sentences(balance), *loose))


def _quality(scope: Scope, facts: ScopeFacts) -> RecordQuality:
    found = facts.quality
    return RecordQuality(
        gaps=scope.gaps,
        contradictions=scope.contradictions,
        entries=0 if found is None else found.entries,
        late=() if found is None else found.late,
        early=0 if found is None else found.early,
        late_after_minutes=facts.late_after_minutes,
        corrections=() if found is None else found.corrections,
        no_reads=0 if found is None else found.no_reads,
        keyed=0 if found is None else found.keyed,
        inferred=tuple(_inferred(scope, facts)),
    )


def _inferred(scope: Scope, facts: ScopeFacts) -> Iterable[str]:
    words = scope.words
    touched = [held for held in scope.containers if held.most]
    open_ended = [held for held in touched if held.least < held.most]
    if scope.tiers and open_ended:
        yield (
            f"Which {words.numbers} stand in {counted(len(open_ended), 'container')} is not recorded {words.one} by {words.one}: least and most "
            "follow from counts."
        )
    if facts.quality is not None and facts.quality.unchecked:
        yield (
            f"What is in {counted(facts.quality.unchecked, 'carton')} follows from the scans at packing; nobody compared "
            "it with the records since."
        )
    wide = [held for held in touched if not held.tight]
    if wide:
        yield f"The bounds of {counted(len(wide), 'container')} hold, but may be wider than the records force."
    if scope.shape is Shape.FROM_ONSET and scope.tiers:
        yield "The tiers rest on shape from-onset: that damage stays once it is there is what was asked, not what was shown."
