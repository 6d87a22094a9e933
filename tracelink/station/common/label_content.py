"""What a carton label says beside its SSCC, compared with the ledger wherever such a carton goes on.

Acts that deal with a carton that is not in order take it whatever its label says: COUNT, OPENCHECK, BREAK, HOLD, RETURN.
"""

from collections.abc import Callable
from dataclasses import replace

from tracelink.identity.reading import LogisticRead, Reading
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Refused
from tracelink.station.sentences import line_carton_sentences as say


def refuse_contradiction(reading: LogisticRead, context: ScanContext) -> None:
    """Refuse a carton whose label says something else than the ledger: one of them is wrong."""
    code = str(reading.sscc)
    carton = context.queries.carton(code)
    if carton is None:
        return
    gtin = reading.content
    shown = say.LabelSays(
        gtin=None if gtin is None or gtin.gtin13 == carton.gtin else str(gtin),
        units=None if reading.count == carton.units else reading.count,
        lot=_lot_not_inside(reading.lot, code, context),
    )
    if shown != say.LabelSays():
        raise say.label_contradicts(carton, shown)


def _lot_not_inside(lot: str | None, carton: str, context: ScanContext) -> str | None:
    # Most labels name no lot: the lots are read only where one does.
    if lot is None or lot in {each.code for each in context.queries.carton_lots(carton)}:
        return None
    return lot


BOTH = "LABEL"
"""Word of the act in which a station asks for the second symbol of a label: no card begins it."""


def wants_second_symbol(reading: LogisticRead, context: ScanContext) -> bool:
    """Say whether the plant wants product and count read too, and the symbol that was read has only the SSCC."""
    return reading.content is None and context.queries.setting("label_symbols") > 1


def both_symbols(role: str, way_out: str, judge: Callable[[LogisticRead, ScanContext], ActResult]) -> Form:
    """Return the act that is begun by the SSCC symbol of a label and asks for the symbol with its content.

    Args:
        role: of the station.
        way_out: the word that puts the act away.
        judge: returns what follows from a label, or refuses it; asked with the first symbol, and with both together.
    """

    def first(reading: Reading, _values: Values, context: ScanContext) -> LogisticRead:
        assert isinstance(reading, LogisticRead)
        judge(reading, context)
        return reading

    def second(reading: Reading, values: Values, context: ScanContext) -> LogisticRead:
        label: LogisticRead = values["sscc"]
        if not isinstance(reading, LogisticRead) or reading.content is None or reading.count is None:
            raise say.second_symbol_expected(reading, str(label.sscc))
        if reading.sscc not in (None, label.sscc):
            raise say.second_symbol_expected(reading, str(label.sscc))
        both = replace(reading, sscc=label.sscc)
        try:
            judge(both, context)
        except Refused as refused:
            raise say.after_way_out(refused, way_out) from None
        return both

    def finish(values: Values, context: ScanContext) -> ActResult:
        return judge(values["content"], context)

    slots = (
        Slot("sscc", say.SCAN_THE_CARTON_LABEL, first),
        Slot("content", say.SCAN_THE_OTHER_SYMBOL, second),
    )
    return Form(BOTH, role, slots, finish)


def refuse_new_label(reading: LogisticRead, gtin: str, carton_size: int, context: ScanContext) -> None:
    """Refuse the label of an empty carton that names another product than is packed, or not a full carton.

    Args:
        reading: the label.
        gtin: the product that is packed.
        carton_size: units of a full carton of it.
        context: the ledger.
    """
    other = reading.content is not None and reading.content.gtin13 != gtin
    if other or reading.count not in (None, carton_size):
        product = context.queries.product(gtin)
        assert product is not None
        named = context.queries.product(reading.content.gtin13) if reading.content is not None else None
        raise say.new_label_contradicts(
            str(reading.sscc), reading, product, None if named is None else named.title, other=other
        )
