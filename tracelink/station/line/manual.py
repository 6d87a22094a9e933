"""MANUAL at a packing line: keyed text and a second person stand in for a code that would not read twice.

What was keyed is judged like the read it stands in for. A keyed disc waits for its sleeve like a scanned one; a
keyed sleeve or item is matched at once, in an entry of its own right after the keyed one.
"""

from collections.abc import Callable
from dataclasses import replace

from tracelink.identity.gtin import Gtin
from tracelink.identity.plantcode import PlantCode
from tracelink.identity.reading import DiscRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.kinds.packing import ManualEntry
from tracelink.station.common.forms import Done, Form, Scene, Slot, Values, keyed_text
from tracelink.station.common.outcome import Act, Decision, Refused
from tracelink.station.line import insertion, kit, state_changes
from tracelink.station.line.opening import second_badge_slot
from tracelink.station.line.sealing import ready, seal
from tracelink.station.line.state import LineDesk

NO_READS = 2
"""No-reads of one piece before it may be keyed. Source: common practice, a retry before manual entry."""


def waiting_for(desk: LineDesk, scene: Scene) -> str:
    """Return what the line waits for: disc, sleeve or item."""
    if desk.pending is not None:
        return "sleeve"
    return "disc" if kit.wanted(desk, scene).disc else "item"


def manual(desk: LineDesk, scene: Scene) -> Form:
    """Return the act for what the line waits for now."""
    job, _carton = ready(desk)
    what = waiting_for(desk, scene)

    def begin(_scene: Scene) -> None:
        if desk.no_read_of != what or desk.no_reads < NO_READS:
            raise Refused(
                "read-first",
                f"Scan the {what} first; after NOREAD twice it may be keyed.",
                subject="MANUAL",
                expected=f"NOREAD {NO_READS} times",
                found=str(desk.no_reads if desk.no_read_of == what else 0),
            )

    def finish(values: Values, scene: Scene) -> Done:
        return _finish(desk, what, values, scene)

    example = scene.world.matrix_grammar().example
    asks = {
        "disc": (
            Slot("side_a", f'Key the matrix number of side A, such as "{example}.', _matrix),
            Slot("side_b", "Key the matrix number of side B.", _last(desk, what)),
        ),
        "sleeve": (Slot("keyed", _SLEEVE[job.numbered], _last(desk, what)),),
        "item": (Slot("keyed", "Key the item's code.", _last(desk, what)),),
    }[what]
    second = second_badge_slot("A second person compares piece and text and scans their badge.")
    return Form("MANUAL", "line", (*asks, second), finish, begin)


_SLEEVE = {True: "Key the sleeve's number.", False: "Key the 13 digits under the barcode."}
"""What is asked of a numbered sleeve, and of another."""


def _matrix(reading: Reading, _values: Values, scene: Scene) -> str:
    return scene.world.matrix_grammar().parse(keyed_text(reading, "a keyed matrix number"))


def _last(desk: LineDesk, what: str) -> Callable[[Reading, Values, Scene], str]:
    """Judge the last keyed text together with those before it, so that nobody is called for a wrong piece."""

    def accept(reading: Reading, values: Values, scene: Scene) -> str:
        text = _matrix(reading, values, scene) if what == "disc" else keyed_text(reading, "keyed text")
        _judged(desk, what, (*map(str, values.values()), text), scene)
        return text

    return accept


def _finish(desk: LineDesk, what: str, values: Values, scene: Scene) -> Done:
    keyed = tuple(str(value) for name, value in values.items() if name != "second_person")
    decision = _judged(desk, what, keyed, scene)
    assert decision.spooled is not None
    fact = decision.spooled.fact
    first = Act(ManualEntry(what, keyed, fact.get("disc"), values["second_person"]))
    sentence = decision.verdict.sentence or "Matched."
    if what == "disc":
        return Done((first,), sentence, decision.verdict.count)
    after = state_changes.evolve_spooled(replace(desk, by_hand=False), fact, scene.at)
    matched = tuple(replace(act, takes=0) for act in seal(after))
    return Done((first, *matched), sentence, decision.verdict.count)


def _judged(desk: LineDesk, what: str, keyed: tuple[str, ...], scene: Scene) -> Decision:
    """Judge the keyed text as the read it stands in for."""
    assert desk.job is not None
    if what == "disc":
        piece = _piece_of(desk, keyed, scene)
        return insertion.disc(desk, DiscRead(_gtin(desk), piece, desk.job.discs), scene)
    text = keyed[0]
    if what == "item":
        return kit.item(desk, PlantRead(PlantCode.parse(text)), scene)
    if not desk.job.numbered:
        return insertion.sleeve(desk, SleeveRead(Gtin.parse(text), None), scene)
    kit.number_still_free(desk.job.gtin, text, scene)
    return insertion.sleeve(desk, SleeveRead(_gtin(desk), text), scene)


def _gtin(desk: LineDesk) -> Gtin:
    assert desk.job is not None
    return Gtin.parse(desk.job.gtin)


def _piece_of(desk: LineDesk, keyed: tuple[str, ...], scene: Scene) -> int:
    """Return which disc of the product has these two matrix numbers, or refuse them."""
    assert desk.job is not None
    for part in scene.world.parts(desk.job.gtin):
        if (part.matrix_a, part.matrix_b) == keyed:
            return part.piece
    wanted = kit.wanted(desk, scene)
    part = next(each for each in scene.world.parts(desk.job.gtin) if each.piece == wanted.disc)
    raise Refused(
        "wrong-matrix",
        f"No disc of this product has matrix {keyed[0]} and {keyed[1]}; {part.name} has {part.matrix_a} and "
        f"{part.matrix_b}. Put it aside and scan STOP.",
        subject=" and ".join(keyed),
        expected=f"{part.matrix_a} and {part.matrix_b}",
        found=" and ".join(keyed),
    )
