"""Labels of cartons and pallets from the ledger: numbers given out and proven labels made, in one go."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tracelink.errors import LedgerError, UsageError
from tracelink.facts.label_texts import CartonText, PalletText
from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.count_words import counted
from tracelink.printing.batch_proof import BatchProof
from tracelink.printing.label import make_label
from tracelink.printing.layout import load_layout
from tracelink.printing.output import whole_file
from tracelink.printing.pdf import PdfPages
from tracelink.printing.sheet import sheet_of
from tracelink.services.badge_proof import Badge
from tracelink.services.desks.label_numbers import LabelBlock, issue_block
from tracelink.store.ledger import Ledger
from tracelink.store.office.labelled_things import full_carton, label_content
from tracelink.store.stations.answers import SqlStationQueries

MOST_LABELS = 5_000
"""A label is drawn, proven and written in a fiftieth of a second: more at a time keep the person waiting for minutes."""

Progress = Callable[[int], None]
"""Called with each number of labels made."""


@dataclass(frozen=True, slots=True)
class LabelPrint:
    """How labels are written."""

    file: Path
    """PDF, replaced in one step if it is there."""
    dpi: int = 300
    """Dots per inch of the printer."""
    sheet: bool = False
    """True for two labels on an A4 page, false for one on a page of its size."""
    lots: tuple[str, ...] = ()
    """Of which cartons will be packed full that are not packed yet."""


def print_labels(ledger: Ledger, first: str, last: str, how: LabelPrint, *, progress: Progress) -> int:
    """Write labels of SSCCs that were given out, with what the ledger has in them; returns how many.

    Raises:
        UsageError: the range is empty, too long or not given out; a carton of it is not packed, and no lot is named.
        RefusedByRule: one of them is void.
        LabelNotProven: a label does not read back. Nothing was written.
    """
    codes = _range(first, last)
    lots = tuple(PlantCode.parse(lot).text for lot in how.lots)
    with ledger.reading() as conn:
        contents = [label_content(conn, code, lots) for code in codes]
    _write([_filled(content) for content in contents], how, progress)
    return len(contents)


def issue_and_print(  # noqa: PLR0913  what is given out by whom, and how it is written
    ledger: Ledger, what: str, count: int, by: Badge, how: LabelPrint, *, progress: Progress
) -> LabelBlock:
    """Give out the next SSCCs and write their labels.

    A label is tried out before a number is given out, so that a lot, a size or a folder that is wrong costs none.

    Raises:
        UsageError, RefusedByRule, LabelNotProven: as for `print_labels` and `issue_block`.
    """
    if count > MOST_LABELS:
        raise UsageError(f"{count} labels are too many to be made at a time: expected at most {MOST_LABELS}")
    _try_out(ledger, what, how)
    block = issue_block(ledger, what, count, by)
    try:
        print_labels(ledger, block.first, block.last, how, progress=progress)
    except LedgerError as error:
        raise UsageError(
            f"{block.first} to {block.last} were given out, and no label was made: {error} Make them with "
            "`runout label print`, or take the numbers back with `runout label return`."
        ) from error
    return block


def _try_out(ledger: Ledger, what: str, how: LabelPrint) -> None:
    if not how.file.absolute().parent.is_dir():
        raise UsageError(f"{how.file.parent} is not a folder: expected one for {how.file.name}")
    sample = Sscc.build("0", "9520000", 1).digits
    with ledger.reading() as conn:
        content: CartonText | PalletText
        if what == "carton":
            lots = tuple(PlantCode.parse(lot).text for lot in how.lots)
            content = full_carton(SqlStationQueries(conn), sample, lots)
        else:
            content = PalletText(sample, "x", "", 0, 0, ())
    name, data = _filled(content)
    make_label(load_layout(name), data, how.dpi).proven()


def _range(first: str, last: str) -> list[str]:
    """Return the SSCCs from first to last: their serials follow each other, their check digits do not."""
    ends = [Sscc.parse(each).digits[:-1] for each in (first, last)]
    count = int(ends[1]) - int(ends[0]) + 1
    if not 1 <= count <= MOST_LABELS:
        raise UsageError(
            f"{first} to {last} is not a range of 1 to {MOST_LABELS} labels: expected the first and the last of a block"
        )
    numbers = (f"{int(ends[0]) + place:017}" for place in range(count))
    return [number + gs1_check_digit(number) for number in numbers]


def _amount(number: int, noun: str) -> tuple[str, str]:
    """Return a count and its unit; ungrouped, because a space in a count is read as two of them."""
    return str(number), counted(number, noun).rpartition(" ")[2]


def _filled(content: CartonText | PalletText) -> tuple[str, dict[str, str]]:
    """Return the layout of a label, and its fields."""
    if isinstance(content, CartonText):
        count, unit = _amount(content.units, "unit")
        said = {
            "sscc": content.sscc,
            "gtin": content.gtin,
            "count": count,
            "unit": unit,
            "title": content.title,
            "catalogue": content.catalogue_number,
        }
        if len(content.lots) == 1:
            return "carton-label", {**said, "lot": content.lots[0]}
        return "carton-label-lots", {**said, "lots": ", ".join(content.lots)}
    if not content.cartons:
        return "pallet-number", {"sscc": content.sscc, "from_plant": content.from_plant}
    titles = list(dict.fromkeys(title for title, _number in content.products))
    return "pallet-label", {
        "sscc": content.sscc,
        "cartons": " ".join(_amount(content.cartons, "carton")),
        "units": " ".join(_amount(content.units, "unit")),
        "title": titles[0] if len(titles) == 1 else f"{len(titles)} titles",
        "catalogue": ", ".join(number for _title, number in content.products),
        "from_plant": content.from_plant,
        "to": content.to or "stock",
    }


def _write(labels: Sequence[tuple[str, dict[str, str]]], how: LabelPrint, progress: Progress) -> None:
    layouts = {name: load_layout(name) for name in {name for name, _data in labels}}
    size = layouts[labels[0][0]]
    sheet = sheet_of(size.width_mm, size.height_mm, size.name) if how.sheet else None
    with whole_file(how.file, "labels") as part:
        pages, proof = PdfPages(part, "Labels", sheet), BatchProof()
        for made, (name, data) in enumerate(labels, 1):
            label = make_label(layouts[name], data, how.dpi)
            proof.proven(label)
            pages.add(label)
            progress(made)
        pages.save()
