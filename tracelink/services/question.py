"""What `runout contain` was asked: the words of the command line, read and checked against the records."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import click

from tracelink.cli.common.period import period_options, require_period
from tracelink.errors import UsageError
from tracelink.genealogy.containment.activity import Period
from tracelink.genealogy.containment.causes import CauseQuery, is_doer
from tracelink.genealogy.containment.contain import Scope, Shape
from tracelink.genealogy.containment.contain import contain as scope_of
from tracelink.genealogy.containment.next_test import DEFAULT_TESTS
from tracelink.genealogy.containment.several import contain_several
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.identity.plantcode import PlantCode
from tracelink.services.codes import resolve
from tracelink.store.records.sql_records import SqlRecords

_EVIDENCE = re.compile(r"(?P<lot>[A-Z0-9]+):(?P<stroke>[0-9]{1,9})=(?P<word>good|bad)(:(?P<defect>.{1,60}))?")
_WINDOW = re.compile(r"([0-9]{1,9})-([0-9]{1,9})")
_GIVEN = "not recorded"
"""In place of the tag of a sample, for a disc whose judgement stands on the command line."""


_WORDS: tuple[Callable[[Any], Any], ...] = (
    # Not required here: `contain --again` and `case scope` have a question without them. `question` asks for them.
    click.argument("code", required=False),
    click.option(
        "--shape",
        type=click.Choice([shape.value for shape in Shape]),
        help="How the fault runs along the life of the cause.",
    ),
    click.option(
        "--evidence",
        "extra",
        metavar="LOT:STROKE=good|bad[:DEFECT]",
        multiple=True,
        help="A judged disc that the lab has not recorded; may be given several times.",
    ),
    click.option("--defect", metavar="NAME", help="Count a sample as bad only for this defect."),
    click.option(
        "--window", metavar="FIRST-LAST", help="For --shape window: strokes, or entries for a press."
    ),
    click.option("--also", metavar="CODE", multiple=True, help="Or this cause; may be given several times."),
    click.option(
        "--only-with",
        metavar="CODE[,CODE...]",
        multiple=True,
        help="Only discs that this cause touched too, or any of several; may be given several times.",
    ),
    *period_options("what a station or person did"),
    click.option(
        "--next-tests",
        "tests",
        type=click.IntRange(0, 1000),
        metavar="N",
        help=f"How many discs to name whose test would narrow the scope most; {DEFAULT_TESTS} unless given.",
    ),
)


def asking(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the words of a question; it gets them as keywords and hands them to `question`."""
    for word in reversed(_WORDS):
        command = word(command)
    return command


@dataclass(frozen=True, slots=True)
class Question:
    """What was asked, as it stood on the command line."""

    code: str
    shape: Shape
    extra: tuple[str, ...]
    defect: str | None
    window: str | None
    tests: int | None = None
    also: tuple[str, ...] = ()
    only_with: tuple[str, ...] = ()
    since: str | None = None
    until: str | None = None


def question(words: Mapping[str, Any]) -> Question:
    """Return what was asked.

    Args:
        words: the keywords that `asking` gives a command.

    Raises:
        UsageError: the cause or the shape is not among them.
    """
    if words["code"] is None or words["shape"] is None:
        missing = "CODE, the cause" if words["code"] is None else "--shape, how the fault runs"
        raise UsageError(
            f"the question names no {missing}: expected CODE --shape {'|'.join(shape.value for shape in Shape)}"
        )
    return Question(
        words["code"],
        Shape(words["shape"]),
        words["extra"],
        defect_named(words["defect"]),
        words["window"],
        words["tests"],
        words["also"],
        words["only_with"],
        words["since"],
        words["until"],
    )


@click.command()
@asking
def _alone(**_words: object) -> None:
    """A command of a question only: it reads stored words, and tells which there are."""


def words_of(given: Mapping[str, Any]) -> tuple[str, ...]:
    """Return a question as words of a command line, so that it can be kept and asked again.

    Args:
        given: keywords, with those of `asking` among them.
    """
    found: list[str] = []
    for word in _alone.params:
        value = given[str(word.name)]
        values = value if isinstance(value, tuple) else () if value is None or value is False else (value,)
        for one in values:
            is_flag = value is True
            found += [
                *([word.opts[0]] if isinstance(word, click.Option) else []),
                *([] if is_flag else [str(one)]),
            ]
    return tuple(found)


def question_of(words: Sequence[str]) -> Question:
    """Read a question back from its words.

    Raises:
        UsageError: this program does not know such words.
    """
    try:
        with _alone.make_context("contain", list(words)) as context:
            return question(context.params)
    except click.UsageError as problem:
        raise UsageError(
            f"the question {' '.join(words)!r} cannot be read: {problem.format_message()}"
        ) from None


def scope_asked(records: SqlRecords, asked: Question) -> Scope:
    """Compute the scope that was asked for; raises UsageError where a word of the question does not fit the records."""
    window = _window(asked.window)
    clauses = _clauses(records, asked)
    ((root, *_), *_) = clauses
    require_period(asked.since, asked.until)
    given = asked.since is not None or asked.until is not None
    period = Period(asked.since, asked.until) if given else None
    several = len(clauses) > 1 or len(clauses[0]) > 1 or period is not None
    if several or is_doer(records, root, period) is not None:
        if window is not None:
            raise UsageError(
                "--window is for one stamper, lot or press; with several causes use --from and --to"
            )
        return _several(records, asked, CauseQuery(clauses, period))

    def scope(evidence: Sequence[JudgementFact] | None) -> Scope:
        tests = DEFAULT_TESTS if asked.tests is None else asked.tests
        return scope_of(records, root, asked.shape, evidence, window, asked.defect, tests=tests)

    recorded = scope(None)
    _require_known_defect(records, asked, recorded)
    added = judged(records, asked, recorded)
    return recorded if added is None else scope(added)


def _several(records: SqlRecords, asked: Question, causes: CauseQuery) -> Scope:
    recorded = contain_several(records, causes, asked.shape, None, asked.defect)
    _require_known_defect(records, asked, recorded)
    added = judged(records, asked, recorded)
    return recorded if added is None else contain_several(records, causes, asked.shape, added, asked.defect)


def _clauses(records: SqlRecords, asked: Question) -> tuple[tuple[str, ...], ...]:
    """The causes: the first or any of --also, and for each --only-with any of its codes."""
    named = [(asked.code, *asked.also), *(tuple(given.split(",")) for given in asked.only_with)]
    found = tuple(tuple(resolve(records, code) for code in clause) for clause in named)
    codes = [code for clause in found for code in clause]
    twice = sorted({code for code in codes if codes.count(code) > 1})
    if twice:
        raise UsageError(f"{', '.join(twice)} is named twice: expected each cause once")
    return found


def _window(given: str | None) -> tuple[int, int] | None:
    if given is None:
        return None
    match = _WINDOW.fullmatch(given)
    if match is None:
        raise UsageError(f"--window {given!r}: expected FIRST-LAST, such as 400-520")
    return int(match[1]), int(match[2])


def judged(records: SqlRecords, asked: Question, scope: Scope) -> list[JudgementFact] | None:
    """Return the recorded judgements with those of the command line added; None if it names none."""
    if not asked.extra:
        return None
    added = [_evidence(records, text) for text in asked.extra]
    lots = sorted({tier.lot for tier in scope.tiers} | set(scope.co_affected))
    recorded = [fact for lot in lots for fact in records.judgements_of(lot)]
    for place, fact in enumerate(added):
        _require_telling(scope, lots, fact)
        _require_agreement(fact, [*recorded, *added[:place]])
    return [*recorded, *added]


def _require_telling(scope: Scope, lots: list[str], fact: JudgementFact) -> None:
    """Refuse a disc that says nothing about the cause, rather than pass over it."""
    if fact.lot not in lots:
        touched = ", ".join(lots) or "none"
        raise UsageError(f"--evidence: lot {fact.lot} was not touched by {scope.cause}; it touched {touched}")
    tiers = [tier for tier in scope.tiers if tier.lot == fact.lot]
    if tiers and not any(fact.stroke in tier.strokes for tier in tiers):
        theirs = ", ".join(str(tier.strokes) for tier in tiers)
        raise UsageError(
            f"--evidence: disc {fact.stroke} of lot {fact.lot} was not made with {scope.cause}, which made {theirs}"
        )


def _require_agreement(fact: JudgementFact, others: list[JudgementFact]) -> None:
    for other in others:
        if (other.lot, other.stroke) == (fact.lot, fact.stroke) and other.good != fact.good:
            raise UsageError(
                f"--evidence: disc {fact.stroke} of lot {fact.lot} is {'good' if fact.good else 'bad'} here and "
                f"{'good' if other.good else 'bad'} {_by(other)}; one disc is not both (REJUDGE corrects a sample)"
            )


def _by(other: JudgementFact) -> str:
    return "in another --evidence" if other.sample == _GIVEN else f"by sample {other.sample}"


def defect_named(given: str | None) -> str | None:
    """Return the name of a defect as the lab writes it; None for any."""
    if given is None:
        return None
    name = given.strip().lower()
    if not name:
        raise UsageError("--defect is empty: name the defect as the lab does, or leave it out for any")
    return name


def _require_known_defect(records: SqlRecords, asked: Question, scope: Scope) -> None:
    """Refuse a defect that nobody found: a slip of the pen must not clear anything."""
    if asked.defect is None:
        return
    lots = {tier.lot for tier in scope.tiers} | set(scope.co_affected)
    known = {fact.defect for lot in lots for fact in records.judgements_of(lot) if fact.defect}
    known |= {
        match["defect"].strip().lower()
        for match in map(_EVIDENCE.fullmatch, asked.extra)
        if match and match["defect"]
    }
    if asked.defect not in known:
        named = ", ".join(sorted(known)) or "none"
        raise UsageError(f"--defect: no disc here was judged bad for {asked.defect!r}; known here: {named}")


def _evidence(records: SqlRecords, text: str) -> JudgementFact:
    match = _EVIDENCE.fullmatch(text)
    if match is None:
        raise UsageError(f"--evidence {text!r}: expected LOT:STROKE=good or LOT:STROKE=bad[:DEFECT]")
    lot_code = PlantCode.parse(match["lot"]).text
    stroke = int(match["stroke"])
    lot = records.lot(lot_code)
    if lot is None:
        raise UsageError(f"--evidence: lot {lot_code} is not known to the ledger")
    if not 1 <= stroke <= lot.pressed:
        raise UsageError(
            f"--evidence: lot {lot_code} has strokes 1 to {lot.pressed}; there is no disc {stroke}"
        )
    good = match["word"] == "good"
    if good and match["defect"]:
        raise UsageError(f"--evidence {text!r}: a good disc has no defect")
    defect = match["defect"].strip().lower() if match["defect"] else None
    return JudgementFact(_GIVEN, lot_code, stroke, good, defect, records.head()[0])
