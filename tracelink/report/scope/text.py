"""A containment for the terminal: what is known, how sure, where it is now, and what the records do not say."""

from collections.abc import Sequence

from tracelink.genealogy.containment.held import TOTAL
from tracelink.genealogy.containment.scope import Scope
from tracelink.ledger.count_words import counted, grouped
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind
from tracelink.report.scope.cause_text import cause_text
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.tables_people import consignees

CAUTIONS = (
    (
        "This is a report from the records, not a decision: an authorised person decides what is held, recalled, "
        "released or told to whom, under the law that applies where the product was sold."
    ),
    (
        "Wrong audio or a wrong disc is normally a commercial withdrawal; whether anything here is a safety matter "
        "is not judged by this program."
    ),
)

TIER_COLUMNS = (
    Column("tier", "tier"),
    Column("lot", "lot"),
    Column("strokes", "strokes", Kind.TEXT),
    Column("count", "discs", Kind.COUNT),
    Column("reason", "why", Kind.TEXT),
)
PLACE_COLUMNS = (
    Column("place", "where now"),
    Column("pieces", "discs there", Kind.COUNT),
    Column("least", "affected at least", Kind.COUNT),
    Column("most", "at most", Kind.COUNT),
    Column("tight", "exact"),
)
GROUP_COLUMNS = (
    Column("kind", "kind"),
    Column("code", "code or name"),
    Column("pieces", "discs", Kind.COUNT),
    Column("least", "affected at least", Kind.COUNT),
    Column("most", "at most", Kind.COUNT),
    Column("tight", "exact"),
    Column("shipped", "left the plant"),
)
CONTAINER_COLUMNS = (
    Column("code", "container"),
    Column("kind", "kind"),
    Column("status", "status"),
    Column("lot", "lot"),
    Column("pieces", "discs", Kind.COUNT),
    Column("least", "affected at least", Kind.COUNT),
    Column("most", "at most", Kind.COUNT),
    Column("chance", "chance of any", Kind.MEASURE),
    Column("tight", "exact"),
    Column("inside", "inside"),
    Column("consignee", "consignee"),
)


FREE_COLUMNS = (
    Column("code", "what"),
    Column("kind", "kind"),
    Column("status", "status"),
    Column("lot", "lot", Kind.TEXT),
    Column("pieces", "discs", Kind.COUNT),
    Column("least", "affected at least", Kind.COUNT),
    Column("most", "at most", Kind.COUNT),
    Column("inside", "inside"),
)


def tier_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per tier, keys of `TIER_COLUMNS`."""
    return [
        {
            "tier": tier.name.value,
            "lot": tier.lot,
            "strokes": str(tier.strokes),
            "count": len(tier.strokes),
            "reason": tier.reason,
        }
        for tier in scope.tiers
    ]


def place_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per kind of place, the total last, keys of `PLACE_COLUMNS`."""
    return [
        {
            "place": place.place,
            "pieces": place.pieces,
            "least": place.least,
            "most": place.most,
            "tight": _yes(place.tight),
        }
        for place in scope.places
    ]


def container_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per container that can hold an affected disc, keys of `CONTAINER_COLUMNS`."""
    return [
        {
            "code": held.code,
            "kind": held.kind,
            "status": "shipped" if held.shipped else held.status,
            "lot": held.lot,
            "pieces": held.pieces,
            "least": held.least,
            "most": held.most,
            "chance": None if held.chance is None else probability(held.chance),
            "tight": _yes(held.tight),
            "inside": " in ".join(held.parents),
            "consignee": held.consignee,
        }
        for held in scope.containers
        if held.most
    ]


def probability(chance: float) -> str:
    """Return a chance with four decimals, never rounded up to a certainty or down to none."""
    if 0 < chance < 0.00005:
        return "<0.0001"
    if 0.99995 <= chance < 1:
        return ">0.9999"
    return f"{chance:.4f}"


def group_rows(scope: Scope) -> list[dict[str, Cell]]:
    """Return one row per pallet, shipment, consignee, order and country, with its joint bounds, keys of `GROUP_COLUMNS`."""
    return [
        {
            "kind": group.kind,
            "code": group.code,
            "pieces": group.bound.pieces,
            "least": group.bound.least,
            "most": group.bound.most,
            "tight": _yes(group.bound.tight),
            "shipped": _yes(group.shipped),
        }
        for group in scope.groups
        if group.bound.most
    ]


def free_rows(document: ScopeDocument) -> list[dict[str, Cell]]:
    """Return one row per suspect thing in the plant that nothing stops, keys of `FREE_COLUMNS`."""
    return [
        {
            "code": row.code,
            "kind": row.kind,
            "status": row.status,
            "lot": row.lot,
            "pieces": row.pieces,
            "least": row.least,
            "most": row.most,
            "inside": " in ".join(row.stands_in),
        }
        for row in document.free
    ]


def scope_text(scope: Scope, document: ScopeDocument) -> str:
    """Return the whole report as text for a screen."""
    shape = scope.shape.value + (f" {scope.window[0]}-{scope.window[1]}" if scope.window else "")
    parts = [
        f"Cause: {scope.kind.replace('-', ' ')} {scope.cause}, fault shape {shape}, defect {scope.defect or 'any'}"
    ]
    parts += scope.reasons
    parts += ["", "Tiers", render(tier_rows(scope), TIER_COLUMNS, "table").rstrip("\n")]
    parts += _places(scope)
    parts += ["", "By pallet, shipment, consignee, order and country, each taken together"]
    parts += [render(group_rows(scope), GROUP_COLUMNS, "table").rstrip("\n")]
    parts += _loose(scope) + _recipients(document) + _free(document) + cause_text(scope)
    parts += _listed("Contradictions", scope.contradictions) + _listed("Gaps", scope.gaps)
    if scope.co_affected:
        parts += ["", "Lots concerned: " + ", ".join(scope.co_affected)]
    return "\n".join([*parts, "", closing(scope), *CAUTIONS]) + "\n"


def _places(scope: Scope) -> list[str]:
    """The places, and apart from them what is affected in all: the columns do not add up to it."""
    rows = place_rows(scope)
    for row in rows:
        if row["place"] == TOTAL:
            row.update(least=None, most=None, tight="")
    parts = ["", "Where the discs of these lots are", render(rows, PLACE_COLUMNS, "table").rstrip("\n")]
    total = next((place for place in scope.places if place.place == TOTAL), None)
    if total is None:
        return parts
    affected = f"Affected in all: {grouped(total.least)} to {grouped(total.most)}."
    return [*parts, f"{affected} A disc that may be in two places is in both lines."]


def _loose(scope: Scope) -> list[str]:
    """What stands on no pallet, row by row; what does is counted, because a screen is short."""
    rows = container_rows(scope)
    loose = [row for row in rows if not row["inside"]]
    columns = [column for column in CONTAINER_COLUMNS if column.key not in ("inside", "consignee")]
    parts = ["", "Containers on no pallet that can hold an affected disc"]
    parts += [render(loose, columns, "table").rstrip("\n")]
    inside = len(rows) - len(loose)
    return (
        [*parts, f"{grouped(inside)} more are on the pallets above; --format csv lists each."]
        if inside
        else parts
    )


def _recipients(document: ScopeDocument) -> list[str]:
    found = consignees(document)
    if not found.rows:
        return ["", found.otherwise]
    shown = found.without("chance", "contact", "onward")
    table = render(shown.records(), shown.columns, "table").rstrip("\n")
    return ["", "Who has them; contacts and onward sales are not in the records", table]


def _free(document: ScopeDocument) -> list[str]:
    rows = free_rows(document)
    found = len(document.in_plant) - len(rows)
    how_many = counted(len(rows), "item") if rows else "none"
    heading = f"Suspect stock in the plant, under no hold and stopped by no rule: {how_many}"
    stopped = f"{counted(found, 'more item')} in the plant: stopped by a hold or a rule." if found else ""
    table = [render(rows, FREE_COLUMNS, "table").rstrip("\n")] if rows else []
    return ["", heading, *table, *([stopped] if stopped else [])]


def closing(scope: Scope) -> str:
    """Return the sentence that says what was looked at, and no more than that."""
    # Not from the tiers: a cause in the packing has none, and what it touched is counted where it is.
    suspects = scope.places[-1].most if scope.places else 0
    found = f"{counted(suspects, 'disc')} proven or possible" if suspects else "no link found"
    seq, digest = scope.head
    return f"Records up to entry {seq} ({digest[:16]}...): {found}; gaps: {len(scope.gaps)}."


def _listed(title: str, sentences: Sequence[str]) -> list[str]:
    return ["", title, *(f"  - {sentence}" for sentence in sentences)] if sentences else []


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"
