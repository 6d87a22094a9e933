"""What is said of an event of a partner's document: what became of it, and why a thing of it cannot be booked."""

from collections.abc import Sequence

from tracelink.facts.partner_offers import Offer, Offered
from tracelink.identity.plantcode import CodeKind


def of_event(offer: Offer, words: str) -> str:
    """Say which event of a document is meant."""
    return f"event {offer.place}: {words}"


def changed(offer: Offer, entry: int) -> str:
    """An event of this number was read with other content; `entry` has it."""
    return of_event(
        offer,
        f"entry {entry} has an event of this number that says something else; nothing was changed: ask its "
        "sender which of the two is right",
    )


def read_before(offer: Offer, entry: int) -> str:
    """The same event was read; `entry` has it."""
    return of_event(offer, f"entry {entry} has it already")


def declared_wrong(offer: Offer) -> str:
    """Its sender took the event back before it was read."""
    return of_event(offer, "its sender has declared it wrong; it is not booked")


def withdrawn_before(offer: Offer, entry: int) -> str:
    """That its sender takes an event back was read before."""
    return f"{offer.sentence}; entry {entry} says so already"


def withdrawn_unbooked(offer: Offer) -> str:
    """Its sender takes back an event that was not booked."""
    return f"{offer.sentence}; it was not booked before and will not be"


def withdrawn_booked(offer: Offer, entry: int) -> str:
    """Its sender takes back an event that was booked; a person decides."""
    return f"{offer.sentence}; entry {entry} was booked from it and stays: hold what it brought in, and let quality decide"


def received(offer: Offer, things: Sequence[tuple[Offered, bool]]) -> str:
    """Say what an event brought in, and of each thing whether it was known before."""
    return of_event(offer, f"{offer.sentence}: {', '.join(_thing(thing, known) for thing, known in things)}")


def _thing(thing: Offered, known: bool) -> str:
    amount = "" if thing.quantity is None else f"{thing.quantity} {thing.uom or 'pieces'} of "
    return f"{amount}{thing.code}{' (known before)' if known else ''}"


def named_twice(code: str) -> str:
    """An event names one thing twice."""
    return f"it names {code} twice"


def no_lot(uri: str) -> str:
    """A name is not known as a lot."""
    return (
        f"{uri} is not a lot known here: expected a plant code of a compound lot, label lot, sleeve batch or part lot in "
        "it, or --as URI=CODE"
    )


def not_ours(sscc: str) -> str:
    """An SSCC was never used here."""
    return f"SSCC {sscc} is not a carton or pallet of this plant"


def not_left(sscc: str) -> str:
    """A customer says that something came which has not left."""
    return (
        f"according to the records, SSCC {sscc} has not left this plant, so that nobody can have received it"
    )


def no_disc(code: str, parts: int, piece: str, side: str) -> str:
    """A label lot without the disc of its product and the side it is for."""
    return (
        f"label lot {code}: expected piece (1 to {parts}) and side (A or B) in ilmd, found {piece or 'no piece'} "
        f"and {side or 'no side'}"
    )


def no_tool(code: str, what: str, side: str, matrix: str) -> str:
    """A tool of which the event does not say enough to press with it."""
    return (
        f"tool {code}: expected its toolKind (such as stamper), side (A or B) and matrix in ilmd, found "
        f"{what or 'none'}, {side or 'none'} and {matrix or 'none'}"
    )


def other_material(code: str, ours: Sequence[object], theirs: Sequence[object]) -> str:
    """A lot that is known as something else."""
    return f"lot {code} is in the system as {_shown(ours)}, not as {_shown(theirs)}"


def other_tool(code: str, ours: Sequence[object], theirs: Sequence[object]) -> str:
    """A tool that is known as something else."""
    return f"tool {code} is in the system as {_shown(ours)}, not as {_shown(theirs)}"


def _shown(facts: Sequence[object]) -> str:
    return " ".join(str(fact) for fact in facts if fact is not None)


def no_product(code: str, gtin: str) -> str:
    """A lot or batch without a product of this plant."""
    return (
        f"{code}: expected the GTIN of a product of this plant in its name or in ilmd, found {gtin or 'none'}"
    )


def no_pieces(code: str, thing: Offered) -> str:
    """A sleeve batch or part lot whose quantity is not a number of pieces."""
    found = f"{thing.quantity or 'no quantity'} {thing.uom or ''}".strip()
    what = "part lot" if code[:1] == CodeKind.PART_LOT.value else "sleeve batch"
    return f"{what} {code}: expected a whole number of pieces without unit, found {found}"


def no_part(code: str, part: str, revision: str) -> str:
    """A part lot of which the event does not say what it is of."""
    found = f"{part or 'no part'} and {revision or 'no revision'}"
    return f"part lot {code}: expected part (a part number of this plant) and revision in ilmd, found {found}"


def other_part(code: str, ours: Sequence[object], theirs: Sequence[object]) -> str:
    """A part lot that is known as something else."""
    return f"part lot {code} is in the system as {_shown(ours)}, not as {_shown(theirs)}"


def other_product(code: str, ours: str, theirs: str) -> str:
    """A sleeve batch that is known for another product."""
    return f"sleeve batch {code} is in the system for {ours}, not for {theirs}"
