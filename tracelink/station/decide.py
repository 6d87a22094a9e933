"""One scan at any station: read it, judge it by the rules of the station's area, say what follows.

`decide` is pure: it looks at the desk, the scan and the world and returns a `Decision`; `after` says what
the desk is once that decision is booked. Refusals of any kind come out as decisions too, because a refused
scan is recorded like any other.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from tracelink.errors import IdentifierError
from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, read_scan
from tracelink.ledger.codec import from_body, to_body
from tracelink.ledger.kinds.base import Kind
from tracelink.ledger.packs import RawScan
from tracelink.ledger.pins import PIN_MARK
from tracelink.station.common import forms, pins
from tracelink.station.common.forms import Bench, FormDesk, Given, Scene
from tracelink.station.common.outcome import Act, Decision, Finding, Refused, Spooled, Verdict, Word
from tracelink.station.common.queries import Person, World
from tracelink.station.dock import acts as dock_acts
from tracelink.station.lab import acts as lab_acts
from tracelink.station.line import machine, sealing, state_changes
from tracelink.station.line.state import LineDesk, read_line_desk
from tracelink.station.press import acts as press_acts
from tracelink.station.toolroom import acts as toolroom_acts

BENCHES: Mapping[str, Bench] = {
    "tool": toolroom_acts.BENCH,
    "press": press_acts.BENCH,
    "lab": lab_acts.BENCH,
    "dock": dock_acts.BENCH,
}

AREAS = (*BENCHES, "line")

Desk = FormDesk | LineDesk


def empty_desk(area: str) -> Desk:
    """Return the desk of a station at which nothing has happened."""
    return LineDesk() if area == "line" else FormDesk()


def read_desk(area: str, text: str) -> Desk:
    """Read a desk as `write_desk` wrote it; "{}" is an empty one."""
    if text == "{}":
        return empty_desk(area)
    if area == "line":
        return read_line_desk(text)
    return from_body(
        FormDesk, {"pin": None, "turned_away": None, **json.loads(text)}, f"desk of a {area} station"
    )


def write_desk(desk: Desk) -> str:
    """Return a desk as text for keeping; what is seldom there is left out, as programs did before they knew it."""
    kept = to_body(desk)
    for seldom in ("pin", "turned_away"):
        if kept[seldom] is None:
            del kept[seldom]
    return json.dumps(kept, separators=(",", ":"), ensure_ascii=False)


def decide(area: str, desk: Desk, station: str, scan: RawScan, world: World) -> Decision:
    """Judge one scan.

    Args:
        area: tool, press, lab, line or dock.
        desk: what the station has in hand.
        station: its code.
        scan: the raw line with its local time.
        world: the ledger, as of the transaction in which the decision will be booked.
    """

    def judge(desk: Desk, raw: str) -> Decision:
        return _judge(area, desk, station, replace(scan, raw=raw), world)

    came = pins.Came(scan.raw, scan.at, scan.number, world, judge)
    secret = pins.is_secret(desk, came)
    try:
        decision = pins.guard(desk, came)
    except IdentifierError as problem:
        shown = PIN_MARK if secret else _shown(scan.raw)
        decision = refusal(desk, Finding(problem.finding, shown, "", "", str(problem)))
    except Refused as refused:
        decision = refusal(desk, refused.finding)
        decision = replace(decision, acts=(*decision.acts, *pins.turned_away(came)))
    return replace(decision, secret=secret)


def _shown(raw: str) -> str:
    """A raw scan as a finding's subject: control characters written out, because not every database takes them."""
    return (raw if raw.isprintable() else repr(raw)[1:-1])[:200]


def refusal(desk: Desk, finding: Finding) -> Decision:
    """Return the decision that records a refused scan; what a line matched before it is sealed."""
    if not isinstance(desk, LineDesk):
        refused = Act(sealing.refused_body(finding), takes=0)
        return Decision(Verdict(Word.STOP, finding.sentence, finding=finding.code), (refused,))
    held_back = sealing.hold_back(desk, finding)
    held: tuple[Act, ...] = ()
    if held_back is not None:
        first = sealing.without_the_right_piece(finding.sentence)
        finding = replace(finding, sentence=f"{first} {sealing.held_back_words(held_back)}")
        held = (Act(held_back, takes=0),)
    verdict = Verdict(Word.STOP, finding.sentence, sealing.count(desk), finding.code)
    return Decision(verdict, (*sealing.seal(desk), Act(sealing.refused_body(finding), takes=0), *held))


def _judge(area: str, desk: Desk, station: str, scan: RawScan, world: World) -> Decision:
    reading = read_scan(scan.raw)
    badge = _badge(reading, world)
    signed_on = world.person(desk.person) if desk.person else None
    scene = Scene(world, station, signed_on, scan.at) if signed_on else None
    if isinstance(desk, LineDesk):
        return machine.decide(desk, Given(scan.raw, reading, badge), scene)
    return forms.decide(BENCHES[area], desk, Given(scan.raw, reading, badge), scene)


def _badge(reading: object, world: World) -> Person | None:
    if not (isinstance(reading, PlantRead) and reading.code.kind is CodeKind.PERSON):
        return None
    person = world.person(reading.code.text)
    if person is None:
        raise Refused(
            "unknown-code",
            f"Badge {reading.code.text} is not known to the ledger.",
            subject=reading.code.text,
        )
    return person


def after(desk: Desk, bodies: Iterable[Kind], spooled: Spooled | None, at: str) -> Desk:
    """Return the desk once these entries are written and this scan lies in the spool."""
    for body in bodies:
        desk = evolve(desk, body)
    return desk if spooled is None else evolve_spooled(desk, spooled.fact, at)


def evolve(desk: Desk, body: Kind) -> Desk:
    """Return the desk after an entry of its station."""
    if isinstance(body, pins.KINDS):
        return pins.after(desk, body)
    return state_changes.evolve(desk, body) if isinstance(desk, LineDesk) else forms.evolve(desk, body)


def evolve_spooled(desk: Desk, fact: Mapping[str, Any], at: str) -> Desk:
    """Return the desk after a scan that waits in the spool."""
    if isinstance(desk, LineDesk):
        return state_changes.evolve_spooled(desk, fact, at)
    return forms.evolve_spooled(desk, fact)
