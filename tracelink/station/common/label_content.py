"""What a carton label says beside its SSCC, compared with the ledger wherever such a carton goes on.

Acts that deal with a carton that is not in order take it whatever its label says: COUNT, OPENCHECK, BREAK, HOLD, RETURN.
"""

from tracelink.identity.reading import LogisticRead
from tracelink.station.common.forms import ScanContext
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
