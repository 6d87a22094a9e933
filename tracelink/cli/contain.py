"""`runout contain`: what one bad thing touched, in tiers and bounds, and the holds that follow."""

import json
import re
from dataclasses import dataclass
from pathlib import Path

import click

from tracelink.cli.codes import resolve
from tracelink.cli.options import format_option
from tracelink.cli.trace import report_file, write_text
from tracelink.errors import RefusedByRule, UsageError
from tracelink.genealogy.contain import Scope, Shape, holds_for, shipped_with
from tracelink.genealogy.contain import contain as scope_of
from tracelink.genealogy.facts import JudgementFact
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.times import require_local_time
from tracelink.report.scope_text import CONTAINER_COLUMNS, container_rows, scope_text
from tracelink.report.tables import render
from tracelink.store.booking import Booking
from tracelink.store.holds import held_already, holds_by_thing
from tracelink.store.ledger import Ledger, local_now, utc_now
from tracelink.store.records import SqlRecords
from tracelink.store.world import SqlWorld

_EVIDENCE = re.compile(r"(?P<lot>[A-Z0-9]+):(?P<stroke>[0-9]{1,9})=(?P<word>good|bad)(:(?P<defect>.{1,60}))?")
_WINDOW = re.compile(r"([0-9]{1,9})-([0-9]{1,9})")


@click.command(
    epilog="Example: runout contain T000004H --shape from-onset --hold --by P000001H --reason 'repeating scratch'"
)
@click.argument("code")
@click.option(
    "--shape",
    type=click.Choice([shape.value for shape in Shape]),
    required=True,
    help="How the fault runs along the life of the cause.",
)
@click.option(
    "--evidence",
    "extra",
    metavar="LOT:STROKE=good|bad[:DEFECT]",
    multiple=True,
    help="A judged disc that the lab has not recorded; may be given several times.",
)
@click.option("--defect", metavar="NAME", help="Count a sample as bad only for this defect.")
@click.option("--window", metavar="FIRST-LAST", help="For --shape window: strokes, or entries for a press.")
@click.option("--hold", "place_holds", is_flag=True, help="Place the holds that follow from the scope.")
@click.option("--by", metavar="BADGE", help="With --hold: the authorised person.")
@click.option("--reason", metavar="TEXT", help="With --hold: why.")
@click.option(
    "--at", metavar="TIME", help="With --hold: when it was decided, if not now (RFC 3339 with offset)."
)
@format_option
@click.option("--html", metavar="FILE", help="Write the scope as a page that opens anywhere.")
@click.pass_context
def contain(
    ctx: click.Context,
    code: str,
    shape: str,
    extra: tuple[str, ...],
    defect: str | None,
    window: str | None,
    place_holds: bool,
    by: str | None,
    reason: str | None,
    at: str | None,
    fmt: str,
    html: str | None,
) -> None:
    """Scope one cause: every disc it may have touched, how sure, and where each is now.

    CODE is a tool of any level, a press, a compound or label lot, a lot, spindle, carton, pallet, shipment or
    sleeve batch. Judged samples narrow the scope along the life of the cause; what they do not show stays
    possible, and unknown never counts as cleared.

    \b
    Shapes: from-onset    damage, there from some stroke on
            whole-life    made wrong
            window        something that happened between two points
            intermittent  comes and goes
    Exit codes: 0 no link found, 1 affected discs proven or possible, 4 the holds were refused.
    """  # noqa: D301  click looks for the character
    if place_holds and not (by and reason and reason.strip()):
        raise UsageError("--hold needs --by BADGE and --reason TEXT: a hold is a named person's act")
    if not place_holds and (by or reason or at):
        raise UsageError("--by, --reason and --at belong to --hold: nothing would be held without it")
    page = report_file(html, ".html")
    ledger = Ledger.open(ctx.obj, read_only=not place_holds)
    asked = _Question(code, Shape(shape), extra, _defect(defect), window)
    if place_holds:
        # Scope and holds in one write transaction: nothing can be packed or shipped in between.
        with ledger.writing() as booking:
            scope = _scope(SqlRecords(booking.connection), asked)
            placed = _hold(
                booking, scope, str(by), str(reason), require_local_time(at) if at else local_now()
            )
    else:
        with ledger.reading() as conn:
            scope = _scope(SqlRecords(conn), asked)
        placed = None
    click.echo(_printed(scope, fmt), nl=False)
    if placed is not None:
        click.echo(placed, err=True)
    if page is not None:
        _write_page(ledger, asked, scope, page)
    ctx.exit(1 if any(held.most for held in scope.containers) or scope.suspects else 0)


@dataclass(frozen=True, slots=True)
class _Question:
    """What was asked, as it stood on the command line."""

    code: str
    shape: Shape
    extra: tuple[str, ...]
    defect: str | None
    window: str | None


def _scope(records: SqlRecords, asked: _Question) -> Scope:
    root = resolve(records, asked.code)
    window = _window(asked.window)
    recorded = scope_of(records, root, asked.shape, None, window, asked.defect)
    _require_known_defect(records, asked, recorded)
    judged = _judged(records, asked, recorded)
    return recorded if judged is None else scope_of(records, root, asked.shape, judged, window, asked.defect)


def _window(given: str | None) -> tuple[int, int] | None:
    if given is None:
        return None
    match = _WINDOW.fullmatch(given)
    if match is None:
        raise UsageError(f"--window {given!r}: expected FIRST-LAST, such as 400-520")
    return int(match[1]), int(match[2])


def _judged(records: SqlRecords, asked: _Question, scope: Scope) -> list[JudgementFact] | None:
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
                f"{'good' if other.good else 'bad'} by {other.sample}; one disc is not both (REJUDGE corrects a sample)"
            )


def _defect(given: str | None) -> str | None:
    if given is None:
        return None
    name = given.strip().lower()
    if not name:
        raise UsageError("--defect is empty: name the defect as the lab does, or leave it out for any")
    return name


def _require_known_defect(records: SqlRecords, asked: _Question, scope: Scope) -> None:
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
    return JudgementFact("not recorded", lot_code, stroke, good, defect, records.head()[0])


def _hold(booking: Booking, scope: Scope, by: str, reason: str, at: str) -> str:
    world = SqlWorld(booking.connection)
    badge = PlantCode.parse(by).text
    person = world.person(badge)
    if person is None or "quality" not in person.roles:
        who = f"badge {badge}" if person is None else person.name
        raise RefusedByRule(f"{who} may not place holds: that needs the role quality")
    wanted = tuple(HeldItem(item.subject, item.first, item.last) for item in holds_for(scope))
    if not wanted:
        return "Nothing to hold."
    held = held_already(booking.connection, [(item.subject, item.first, item.last) for item in wanted])
    items = tuple(item for item in wanted if (item.subject, item.first, item.last) not in held)
    if not items:
        return f"All {len(wanted)} things are on hold already: {', '.join(sorted(set(held.values())))}."
    hold = world.next_code("H")
    stamp = Stamp(at, utc_now(), person=badge)
    booking.record(HoldPlaced(hold, scope.cause, items), stamp, reason)
    gone = len(shipped_with(scope))
    left = (
        f" {gone} containers have left the plant and cannot be held: write to their consignees."
        if gone
        else ""
    )
    before = f" {len(held)} more were on hold already." if held else ""
    noun = "thing" if len(items) == 1 else "things"
    return f"Hold {hold} placed on {len(items)} {noun} by {person.name}.{before}{left}"


def _printed(scope: Scope, fmt: str) -> str:
    if fmt == "json":
        data = scope.to_json()
        data["holds"] = [
            {"subject": item.subject, "first": item.first, "last": item.last} for item in holds_for(scope)
        ]
        return json.dumps(data, ensure_ascii=False, indent=2) + "\n"
    if fmt == "csv":
        return render(container_rows(scope), CONTAINER_COLUMNS, fmt)
    return scope_text(scope)


def _write_page(ledger: Ledger, asked: _Question, scope: Scope, file: Path) -> None:
    from tracelink.report.page import scope_page  # noqa: PLC0415  made only when asked for

    with ledger.reading() as conn:
        records = SqlRecords(conn)
        codes = [*(held.code for held in scope.containers), *(group.code for group in scope.groups)]
        page = scope_page(
            records,
            scope,
            at=local_now(),
            evidence=_judged(records, asked, scope),
            holds=holds_by_thing(conn, codes),
        )
    write_text(file, page)
