"""MANUAL at a packing line: keyed text and a second person stand in for a code that would not read twice.

What was keyed is judged like the read it stands in for. A keyed disc waits for its sleeve like a scanned one; a
keyed sleeve or item is matched at once, in an entry of its own right after the keyed one.
"""

from dataclasses import replace

from tracelink.identity.gtin import Gtin
from tracelink.identity.plantcode import PlantCode
from tracelink.identity.reading import DiscRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.kinds.packing import ManualEntry
from tracelink.station import insertion, kit, lineevolve
from tracelink.station.forms import Done, Form, Scene, Slot, Values, keyed_text
from tracelink.station.linedesk import LineDesk
from tracelink.station.lineopen import second_badge_slot
from tracelink.station.outcome import Act, Decision, Refused
from tracelink.station.sealing import ready, seal

NO_READS = 2
"""No-reads of one piece before it may be keyed. Source: common practice, a retry before manual entry."""

_KEYED = Slot("keyed", "", lambda reading, _values, _scene: keyed_text(reading, "keyed text"))


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

    asks = {
        "disc": (
            replace(_KEYED, name="side_a", asks='Key the matrix number of side A, such as "HL-001-A.'),
            replace(_KEYED, name="side_b", asks="Key the matrix number of side B."),
        ),
        "sleeve": (
            replace(
                _KEYED,
                asks="Key the sleeve's number." if job.numbered else "Key the 13 digits under the barcode.",
            ),
        ),
        "item": (replace(_KEYED, asks="Key the item's code."),),
    }[what]
    second = second_badge_slot("A second person compares piece and text and scans their badge.")
    return Form("MANUAL", "line", (*asks, second), finish, begin)


def _finish(desk: LineDesk, what: str, values: Values, scene: Scene) -> Done:
    keyed = tuple(str(value) for name, value in values.items() if name != "second_person")
    if what == "disc":
        piece = _piece_of(desk, keyed, scene)
        decision = insertion.disc(desk, DiscRead(_gtin(desk), piece, _discs(desk)), scene)
        body = ManualEntry(what, keyed, piece, values["second_person"])
        return Done((Act(body),), decision.verdict.sentence, decision.verdict.count)
    reading = _reading_of(desk, what, keyed[0])
    decision = _judged(desk, reading, scene)
    assert decision.spooled is not None
    first = Act(ManualEntry(what, keyed, None, values["second_person"]))
    after = lineevolve.evolve_spooled(replace(desk, by_hand=False), decision.spooled.fact, scene.at)
    matched = tuple(replace(act, takes=0) for act in seal(after))
    sentence = decision.verdict.sentence or "Matched."
    return Done((first, *matched), sentence, decision.verdict.count)


def _judged(desk: LineDesk, reading: Reading, scene: Scene) -> Decision:
    if isinstance(reading, SleeveRead):
        if reading.serial is not None:
            kit.number_still_free(_gtin(desk).gtin13, reading.serial, scene)
        return insertion.sleeve(desk, reading, scene)
    assert isinstance(reading, PlantRead)
    return kit.item(desk, reading, scene)


def _gtin(desk: LineDesk) -> Gtin:
    assert desk.job is not None
    return Gtin.parse(desk.job.gtin)


def _discs(desk: LineDesk) -> int:
    assert desk.job is not None
    return desk.job.discs


def _piece_of(desk: LineDesk, keyed: tuple[str, ...], scene: Scene) -> int:
    """Return which disc of the product has these two matrix numbers, or refuse them."""
    assert desk.job is not None
    grammar = scene.world.matrix_grammar()
    sides = tuple(grammar.parse(text) for text in keyed)
    for part in scene.world.parts(desk.job.gtin):
        if (part.matrix_a, part.matrix_b) == sides:
            return part.piece
    wanted = kit.wanted(desk, scene)
    part = next(each for each in scene.world.parts(desk.job.gtin) if each.piece == wanted.disc)
    raise Refused(
        "wrong-matrix",
        f"No disc of this product has matrix {sides[0]} and {sides[1]}; {part.name} has {part.matrix_a} and "
        f"{part.matrix_b}. Put it aside and scan STOP.",
        subject=" and ".join(sides),
        expected=f"{part.matrix_a} and {part.matrix_b}",
        found=" and ".join(sides),
    )


def _reading_of(desk: LineDesk, what: str, text: str) -> SleeveRead | PlantRead:
    assert desk.job is not None
    if what == "item":
        return PlantRead(PlantCode.parse(text))
    return SleeveRead(_gtin(desk), text) if desk.job.numbered else SleeveRead(Gtin.parse(text), None)
