"""One scan at any station: read it, judge it by the rules of the station's area, say what follows.

`decide` is pure: it looks at the state, the scan and the queries and returns a `Decision`; `after` says what
the state is once that decision is booked. Refusals of any kind come out as decisions too, because a refused
scan is recorded like any other.
"""

from collections.abc import Iterable
from dataclasses import replace

from tracelink.errors import IdentifierError
from tracelink.identity.plantcode import CodeKind
from tracelink.identity.rawlines import read_away, unread_picture
from tracelink.identity.reading import PlantRead, read_scan
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.line import CartonOpened, SleevesOpened, SpindleOpened
from tracelink.ledger.kinds.station import SignedOn
from tracelink.ledger.packs import RawScan
from tracelink.ledger.pins import PIN_MARK
from tracelink.station import (
    away_scans,
    badge_pin,
    camera,
    clock_check,
    closing,
    read_again,
    sign_off,
    waits_for,
    withdrawn,
)
from tracelink.station.acts_of_areas import ACTS_OF
from tracelink.station.common import forms
from tracelink.station.common.forms import Given, ScanContext
from tracelink.station.common.outcome import (
    Act,
    Decision,
    Finding,
    LinePanel,
    Refused,
    Spooled,
    Verdict,
    Word,
)
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.station_facts import Person
from tracelink.station.line import machine, sealing
from tracelink.station.line.panel import line_panel
from tracelink.station.line.state import LineState
from tracelink.station.sentences import (
    common_sentences,
    line_opening_sentences,
    line_recheck_sentences,
    thing_names,
)
from tracelink.station.station_states import StationState, evolve, evolve_spooled


def decide(area: str, state: StationState, station: str, scan: RawScan, queries: StationQueries) -> Decision:
    """Judge one scan.

    Args:
        area: tool, press, lab, line, dock, process or assembly.
        state: what the station has in hand.
        station: its code.
        scan: the raw line with its local time.
        queries: the ledger, as of the transaction in which the decision will be booked.
    """
    away = read_away(scan.raw) if isinstance(state, LineState) else None
    if away is None or not isinstance(state, LineState):
        return _decided(area, state, station, scan, queries)
    decision = _decided(area, state, station, replace(scan, raw=away.raw), queries)
    return away_scans.settled(state, away, decision, queries, lambda finding: refusal(state, finding))


def _decided(
    area: str, state: StationState, station: str, scan: RawScan, queries: StationQueries
) -> Decision:
    gone = sign_off.by_itself(state, station, scan, queries)
    if not gone:
        return _decide(area, state, station, scan, queries)
    state = after(state, [act.body for act in gone], None, scan.at)
    decision = _decide(area, state, station, scan, queries)
    return replace(decision, acts=(*gone, *decision.acts))


def _decide(area: str, state: StationState, station: str, scan: RawScan, queries: StationQueries) -> Decision:
    came = came_to(area, station, scan, queries)
    secret = badge_pin.is_secret(state, came)

    def again() -> Decision:
        return read_again.told(waits_at(area, state, station, scan.at, queries))

    if read_again.would_count(state, scan.raw) and read_again.is_again(station, scan, queries):
        return again()
    try:
        decision = badge_pin.guard(state, came)
    except IdentifierError as problem:
        shown = PIN_MARK if secret else _shown(scan.raw)
        decision = refusal(
            state, Finding(FindingCode(problem.finding), shown, "", "", common_sentences.of_fault(problem))
        )
    except Refused as refused:
        if read_again.is_again(station, scan, queries):
            return again()
        # What may be a PIN is told by its refusal where only judging it shows that no number is asked for.
        secret = secret or refused.finding.subject == PIN_MARK
        decision = refusal(state, refused.finding)
        decision = replace(decision, acts=(*decision.acts, *badge_pin.turned_away(came)))
    if isinstance(state, LineState) and any(isinstance(act.body, _OPENS) for act in decision.acts):
        later = after(state, [act.body for act in decision.acts], decision.spooled, scan.at)
        decision = _with_next_step(decision, waits_at(area, later, station, scan.at, queries))
    decision = camera.with_unread_bars(decision, scan.raw)
    decision = clock_check.with_clock(decision, station, scan.at, queries)
    return replace(decision, secret=True) if secret else decision


def came_to(area: str, station: str, scan: RawScan, queries: StationQueries) -> badge_pin.Came:
    """Return a scan that came to a station with what judges it, for `badge_pin.guard`."""

    def judge(state: StationState, raw: str) -> Decision:
        judged = scan if raw == scan.raw else replace(scan, raw=raw)
        return closing.refuse_beginning(_judge(area, state, station, judged, queries), station, queries)

    return badge_pin.Came(scan.raw, scan.at, scan.number, queries, judge)


_OPENS = (SignedOn, SleevesOpened, SpindleOpened, CartonOpened)
"""What a line can open in several orders, so that the person is told what is still to be opened."""


def _with_next_step(decision: Decision, waits: Verdict) -> Decision:
    verdict = decision.verdict
    if verdict.word is not Word.DONE:
        return decision
    told = line_opening_sentences.and_then(verdict.sentence, waits.sentence)
    return replace(decision, verdict=replace(verdict, sentence=told))


def waits_at(area: str, state: StationState, station: str, at: str, queries: StationQueries) -> Verdict:
    """Return what a station waits for, for whoever comes back to it.

    Args:
        area: tool, press, lab, line, dock, process or assembly.
        state: what the station has in hand.
        station: its code.
        at: local time.
        queries: the ledger.
    """
    return waits_for.waits_for(ACTS_OF.get(area), state, station, at, queries)


def panel_at(state: StationState, station: str, queries: StationQueries) -> LinePanel | None:
    """Return what stands beside every verdict at a packing line; None at other stations."""
    return line_panel(state, station, queries) if isinstance(state, LineState) else None


def _shown(raw: str) -> str:
    """A raw scan as a finding's subject: control characters written out, because not every database takes them."""
    return (raw if raw.isprintable() else repr(raw)[1:-1])[:200]


def refusal(state: StationState, finding: Finding) -> Decision:
    """Return the decision that records a refused scan; what a line matched before it is sealed."""
    if not isinstance(state, LineState):
        refused = Act(sealing.refused_body(finding), takes=0)
        return Decision(Verdict(Word.STOP, finding.sentence, finding=finding.code), (refused,))
    held_back = sealing.hold_back(state, finding)
    held: tuple[Act, ...] = ()
    if held_back is not None:
        told = line_recheck_sentences.also_held_back(finding, held_back)
        finding = replace(finding, told=told, aside=None)
        held = (Act(held_back, takes=0),)
    verdict = Verdict(Word.STOP, finding.sentence, sealing.count(state), finding.code)
    return Decision(verdict, (*sealing.seal(state), Act(sealing.refused_body(finding), takes=0), *held))


def _judge(area: str, state: StationState, station: str, scan: RawScan, queries: StationQueries) -> Decision:
    closing.refuse_closed(area, state, station, queries)
    state = with_size(state, queries)
    signed_on = queries.person(state.person) if state.person else None
    context = ScanContext(queries, station, signed_on, scan.at) if signed_on else None
    unread = unread_picture(scan.raw)
    if signed_on is not None and not withdrawn.may_act_still(signed_on, state):
        withdrawn.refuse_unless_leaving(signed_on, scan.raw, state)
        # Nobody finishes for them what they began: the badge of somebody else signs on.
        state = _without_act(state)
    if unread is not None:
        if isinstance(state, LineState) and context is not None and machine.may_be_no_read(state):
            return machine.no_read(state, context)
        raise common_sentences.picture_unread(*unread)
    raw = camera.one_code(scan.raw, area, waits=_waits(state))
    reading = read_scan(raw)
    badge = _badge(reading, queries)
    if isinstance(state, LineState):
        return machine.decide(state, Given(raw, reading, badge), context)
    return forms.decide(ACTS_OF[area], state, Given(raw, reading, badge), context)


def _waits(state: StationState) -> bool:
    """Say whether a station asks for one thing now: what an open act asks for, or the next piece of a unit."""
    return state.form is not None or (isinstance(state, LineState) and machine.may_be_no_read(state))


def _badge(reading: object, queries: StationQueries) -> Person | None:
    if not (isinstance(reading, PlantRead) and reading.code.kind is CodeKind.PERSON):
        return None
    person = queries.person(reading.code.text)
    if person is None:
        raise common_sentences.unknown(thing_names.Thing.BADGE, reading.code.text)
    if person.withdrawn is not None:
        raise common_sentences.badge_withdrawn(person)
    return person


def with_size(state: StationState, queries: StationQueries) -> StationState:
    """Return the state with the carton size that holds now: it may have changed since the sleeves were opened."""
    if not isinstance(state, LineState) or state.job is None:
        return state
    product = queries.product(state.job.gtin)
    if product is None or product.carton_size == state.job.carton_size:
        return state
    return replace(state, job=replace(state.job, carton_size=product.carton_size))


def _without_act(state: StationState) -> StationState:
    if isinstance(state, LineState):
        return replace(state, form=None, raws=(), clearing=None)
    return replace(state, raws=())


def after(state: StationState, bodies: Iterable[EntryBody], spooled: Spooled | None, at: str) -> StationState:
    """Return the state once these entries are written and this scan lies in the spool."""
    for body in bodies:
        state = evolve(state, body)
    return state if spooled is None else evolve_spooled(state, spooled.fact, at)
