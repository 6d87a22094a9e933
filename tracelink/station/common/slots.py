"""Slots that acts of several areas ask for: a reason, a matrix number, a sleeve of a carton, the badge of a second person."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import NumberKeyed, PlantRead, Reading, SleeveRead, TextKeyed
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.station.common.authority import QUALITY, Roles, require_second
from tracelink.station.common.forms import ScanContext, Slot, Values
from tracelink.station.common.queries_line import CartonContent
from tracelink.station.common.station_facts import ReasonCard
from tracelink.station.common.taken_reading import keyed_text, number_or_text, plant_code
from tracelink.station.sentences import common_sentences
from tracelink.station.sentences.thing_names import Thing


def card_for(act: ReasonAct, reading: Reading, context: ScanContext) -> ReasonCard | None:
    """Return the card that was scanned for the reason of an act; None if something else came.

    Raises:
        Refused: it is no card of this plant or none for this act, or a text where the plant wants a card.
    """
    cards = context.queries.reason_cards(act)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.REASON:
        code = reading.code.text
        known = context.queries.reason_card(code)
        if known is None:
            raise common_sentences.unknown(Thing.REASON_CARD, code)
        if known not in cards:
            raise common_sentences.no_reason_for(known, act.word, cards)
        return known
    if isinstance(reading, TextKeyed) and cards and not context.queries.setting("typed_reasons"):
        raise common_sentences.typed_for_card(reading, cards)
    return None


def asks_for_card(act: ReasonAct, typed: str, context: ScanContext) -> str:
    """Return what a person is told where a card answers; `typed` is what they are told where there is none."""
    if not context.queries.reason_cards(act):
        return typed
    may_type = context.queries.setting("typed_reasons")
    return common_sentences.scan_the_reason(typed if may_type else None, defect=act is ReasonAct.LAB_BAD)


def reason_slot(act: ReasonAct, asks: str = common_sentences.TYPE_THE_REASON) -> Slot:
    """Return the slot for the reason of an act: a card of the plant's reasons, or a text.

    Args:
        act: the act.
        asks: what the person is told where the plant has no cards for it.
    """

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        card = card_for(act, reading, context)
        if card is None and not isinstance(reading, TextKeyed) and context.queries.reason_cards(act):
            raise common_sentences.act_asks_for(
                reading, asks_for_card(act, asks, context), common_sentences.THE_REASON
            )
        return keyed_text(reading, common_sentences.THE_REASON) if card is None else card.reason

    return Slot("reason", asks, accept, asks_here=lambda context: asks_for_card(act, asks, context))


def read_matrix(text: str, context: ScanContext) -> str:
    """Return a matrix number in the plant's form; raises an identifier error naming that form."""
    return context.queries.matrix_grammar().parse(text)


def one_of_batches(reading: Reading, content: CartonContent) -> str:
    """Return a sleeve batch of which a unit is in a carton, or refuse it."""
    batches = [part.code for part in content.batches]
    code = plant_code(CodeKind.SLEEVE_BATCH, reading, common_sentences.A_SLEEVE_BATCH)
    if code not in batches:
        raise common_sentences.not_of_batch(code, batches)
    return code


def one_of_numbers(reading: Reading, content: CartonContent) -> str:
    """Return the number of a sleeve that is in a carton, scanned or typed, or refuse it."""
    if isinstance(reading, SleeveRead) and reading.serial is not None:
        number = reading.serial
    elif isinstance(reading, NumberKeyed | TextKeyed):
        number = number_or_text(reading, common_sentences.A_NUMBERED_SLEEVE)
    else:
        raise common_sentences.misplaced(reading, common_sentences.A_NUMBERED_SLEEVE)
    if number not in content.numbers:
        raise common_sentences.number_not_inside(number)
    return number


def second_person_slot(
    asks: str,
    belongs: str = common_sentences.BADGE_OF_A_SECOND_PERSON,
    roles: Roles = QUALITY,
) -> Slot:
    """Return the slot for the badge of somebody other than who does the act.

    Args:
        asks: what the person is told to do.
        belongs: what belongs there, for whoever scans something else.
        roles: of which the second person has one.
    """

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        code = plant_code(CodeKind.PERSON, reading, belongs)
        person = context.queries.person(code)
        # `machine` refuses an unknown badge before any slot sees it.
        assert person is not None
        require_second(person, context.person.code, roles)
        return code

    return Slot("second_person", asks, accept)
