"""BUILD: pieces are built by the bill of material of the day, under serial labels that follow one another."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.kinds.assembly.placing_entries import BuildBegun
from tracelink.station.assembly.incoming import known_part, some_pieces
from tracelink.station.common.assembly.queries_assembly import Bill, BuildOrder
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.taken_reading import number, plant_code
from tracelink.station.sentences.assembly import placing_sentences as say
from tracelink.station.sentences.assembly.part_sentences import KEY_HOW_MANY
from tracelink.station.sentences.common_sentences import misplaced, unknown
from tracelink.station.sentences.thing_names import Thing

_DAY = len("YYYY-MM-DD")


def day_of(context: ScanContext) -> str:
    """Return the local day of a scan."""
    return context.at[:_DAY]


def known_build(reading: Reading, context: ScanContext) -> BuildOrder:
    """Return the build order that was scanned, unless it is on hold or its bill of material is not that of today.

    Raises:
        Refused: it is none, is held, or the bill was changed since it was begun.
    """
    code = plant_code(CodeKind.BUILD, reading, say.A_BUILD_CARD)
    build = context.queries.build(code)
    if build is None:
        raise unknown(Thing.BUILD_ORDER, code)
    refuse_held(context.queries.hold_on(code), Thing.BUILD_ORDER, code)
    refuse_old_bill(build, context)
    return build


def refuse_old_bill(build: BuildOrder, context: ScanContext) -> None:
    """Refuse to go on with an order whose bill of material was replaced by another."""
    now = context.queries.bill_on(build.part, day_of(context))
    if now is not None and now.version != build.version:
        raise say.bill_changed(build, now)


def bill_of(build: BuildOrder, context: ScanContext) -> Bill:
    """Return the bill of material of a build order."""
    bill = context.queries.bill(build.part, build.version)
    assert bill is not None
    return bill


def _new_build(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.BUILD, reading, say.A_NEW_BUILD_CARD)
    if context.queries.build(code) is not None:
        raise say.build_known(code)
    return code


def _built_part(reading: Reading, values: Values, context: ScanContext) -> str:
    part = known_part(reading, values, context)
    if context.queries.bill_on(part, day_of(context)) is None:
        raise say.no_bill(part, day_of(context))
    return part


def _first_serial(reading: Reading, _values: Values, _context: ScanContext) -> int:
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.PIECE:
        return reading.code.number
    raise misplaced(reading, say.A_SERIAL_LABEL)


def _quantity(reading: Reading, values: Values, context: ScanContext) -> int:
    pieces = some_pieces(reading, values, context)
    first, last = values["serial"], values["serial"] + pieces - 1
    other = context.queries.build_with_serials(first, last)
    if other is not None:
        raise say.serials_in_use(other, first, last)
    return pieces


def _panel(reading: Reading, values: Values, _context: ScanContext) -> int:
    panel = number(reading, say.THE_PANEL)
    if panel < 1 or values["quantity"] % panel:
        raise say.no_whole_panels(values["quantity"], panel)
    return panel


def _begin(values: Values, context: ScanContext) -> ActResult:
    bill = context.queries.bill_on(values["part"], day_of(context))
    assert bill is not None
    body = BuildBegun(
        values["build"], bill.part, bill.version, values["serial"], values["quantity"], values["panel"]
    )
    return ActResult((Act(body),), say.build_begun(body.build, bill, body.quantity, body.panel))


BUILD = Form(
    "BUILD",
    "assembly",
    (
        Slot("build", say.SCAN_A_NEW_BUILD_CARD, _new_build),
        Slot("part", say.TYPE_WHAT_IS_BUILT, _built_part),
        Slot("serial", say.SCAN_THE_FIRST_SERIAL, _first_serial),
        Slot("quantity", KEY_HOW_MANY, _quantity),
        Slot("panel", say.KEY_THE_PANEL, _panel),
    ),
    _begin,
)
"""A build order."""
