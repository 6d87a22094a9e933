"""The packing line: clear the line, open sleeves, spindle and carton, then disc against sleeve, all day.

Theory of operation
-------------------
Each insertion is two scans: the disc, then its sleeve. Both must belong to the product of the open sleeve
batch, and the disc must be the one that the sleeve's kit needs next. Matches wait in the spool, where they
count at once; they are sealed into one entry when anything else happens. A wrong read stops the line: only
the right piece, STOP, REJECT or NOREAD is taken then. A no-read is never a match.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import ActRead, DiscRead, LogisticRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.kinds.base import SCRAP, Moved
from tracelink.ledger.kinds.line import DiscRejected, LineStopped, NoRead
from tracelink.ledger.kinds.station import SignedOn
from tracelink.station import insertion, lineopen
from tracelink.station.facts import Person
from tracelink.station.forms import Scene, misplaced, named, require_role
from tracelink.station.linedesk import LineDesk
from tracelink.station.outcome import Act, Decision, Refused, Verdict, Word
from tracelink.station.sealing import count, fill_count, ready, seal

ALLOWED_WHEN_STOPPED = frozenset({"STOP", "REJECT", "NOREAD"})


def decide(desk: LineDesk, reading: Reading, scene: Scene | None, person: Person | None) -> Decision:
    """Judge one scan at a packing line.

    Args:
        desk: what the line has in hand.
        reading: the scan, read.
        scene: None while nobody is signed on.
        person: the owner of the badge if the scan is one.

    Raises:
        Refused: a rule stops the scan.
    """
    if scene is None:
        if person is None:
            raise Refused(
                "nobody-signed-on", "Nobody is signed on here. Scan your badge first.", subject="badge"
            )
        return _sign_on(desk, person)
    if isinstance(reading, DiscRead):
        return insertion.disc(desk, reading, scene)
    if isinstance(reading, SleeveRead):
        return insertion.sleeve(desk, reading, scene)
    if desk.stopped and not (isinstance(reading, ActRead) and reading.word in ALLOWED_WHEN_STOPPED):
        raise Refused(
            "line-stopped",
            f"The line is stopped after a wrong read. Put the pieces aside and scan STOP before {named(reading)}.",
            subject=named(reading),
            expected="STOP or the right piece",
        )
    if person is not None:
        return lineopen.second_badge(desk, person, scene) if desk.clearing else _sign_on(desk, person)
    if isinstance(reading, ActRead):
        return _act(desk, reading.word, scene)
    return _open(desk, reading, scene)


def _sign_on(desk: LineDesk, person: Person) -> Decision:
    require_role(person, "line", "packing")
    acts = (*seal(desk), Act(SignedOn(person.code)))
    return Decision(Verdict(Word.DONE, f"{person.name} is signed on."), acts)


def _open(desk: LineDesk, reading: Reading, scene: Scene) -> Decision:
    if desk.pending is not None:
        raise Refused(
            "disc-in-hand",
            f"A disc is waiting for its sleeve; {named(reading)} cannot be opened now. Scan the sleeve, or STOP.",
            subject=named(reading),
            expected="a sleeve",
        )
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SLEEVE_BATCH:
        opened = lineopen.sleeves(desk, reading.code.text, scene)
    elif isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
        opened = lineopen.spindle(desk, reading.code.text, scene)
    elif isinstance(reading, LogisticRead) and reading.sscc is not None:
        opened = lineopen.carton(desk, str(reading.sscc), scene)
    else:
        raise misplaced(reading, "a disc, a sleeve, or what the line opens (sleeve batch, spindle, carton)")
    return Decision(opened.verdict, (*seal(desk), *opened.acts))


def _act(desk: LineDesk, word: str, scene: Scene) -> Decision:
    acts = {
        "CLEAR": lineopen.clear,
        "CLOSE": lineopen.close,
        "REJECT": _reject,
        "NOREAD": _no_read,
        "STOP": _stop,
    }
    act = acts.get(word)
    if act is None:
        known = ", ".join(sorted(acts))
        raise Refused(
            "act-not-here",
            f"{word} is no act of this station. Acts here: {known}.",
            subject=word,
            expected=known,
        )
    done = act(desk, scene)
    return Decision(done.verdict, (*seal(desk), *done.acts), done.spooled)


def _reject(desk: LineDesk, scene: Scene) -> Decision:
    job, _carton = ready(desk)
    source = desk.spindle_for(desk.pending if desk.pending is not None else desk.next_piece)
    if source is None:
        raise Refused("no-spindle", "No spindle is open to reject a disc from.", subject="REJECT")
    spindle = scene.world.spindle(source.spindle)
    assert spindle is not None
    if spindle.remaining < 1:
        raise Refused(
            "spindle-empty", f"Spindle {source.spindle} is empty by the records.", subject=source.spindle
        )
    moved = Moved(source.lot, 1, source.spindle, SCRAP, None, None)
    sentence = f"One disc of spindle {source.spindle} goes to scrap."
    return Decision(Verdict(Word.DONE, sentence, fill_count(desk, job)), (Act(DiscRejected(moved)),))


def _no_read(desk: LineDesk, _scene: Scene) -> Decision:
    job, _carton = ready(desk)
    waiting = "sleeve" if desk.pending is not None else "disc"
    sentence = f"No read of the {waiting}: turn it and scan again. If it will not read, scan REJECT."
    return Decision(
        Verdict(Word.STOP, sentence, fill_count(desk, job), "no-read"), (Act(NoRead(waiting), takes=0),)
    )


def _stop(desk: LineDesk, _scene: Scene) -> Decision:
    if desk.half and desk.pending is None and not desk.stopped:
        return _take_apart(desk)
    source = desk.spindle_for(desk.pending) if desk.pending is not None else None
    body = LineStopped(source.spindle if source else None, ())
    back = f" Put the disc back on spindle {source.spindle}." if source else ""
    half = f" The set in hand needs disc {desk.next_piece}; STOP takes it apart." if desk.half else ""
    return Decision(Verdict(Word.DONE, f"Stopped; pieces are put aside.{back}{half}"), (Act(body),))


def _take_apart(desk: LineDesk) -> Decision:
    """An unfinished set comes out of its sleeve, or a line whose other discs are gone could never go on."""
    assert desk.carton is not None
    moves = tuple(Moved(disc.lot, 1, desk.carton, disc.spindle, None, None) for disc in desk.half)
    places = " and ".join(
        f"disc {piece} back on spindle {disc.spindle}" for piece, disc in enumerate(desk.half, 1)
    )
    sentence = f"The unfinished set is taken apart. Put {places}."
    return Decision(Verdict(Word.DONE, sentence, count(desk)), (Act(LineStopped(None, moves)),))
