"""A third packing line, opened by a short log, so that the story can scan label pictures at it live.

The stack it opens is the one whose card got lost: it turned up behind the line, and the ledger still knows
what is on it.
"""

from dataclasses import dataclass
from pathlib import Path

from clockwork import day_start
from incidents import LOST_STACK
from plantdata import LOTS, PRODUCTS, SPARE_LINE, Product, badge_scan, carton_sscc
from stock import PHASE_2_DAY, Plant
from writer import write_log

from tracelink.identity.rawlines import raw_act, raw_plant, raw_sscc
from tracelink.printing.label import write_label
from tracelink.printing.layout import load_layout

CARTON = carton_sscc(9998)
LAST_EVENING = day_start(PHASE_2_DAY - 1) + 21 * 3600
DPI = 300


@dataclass(frozen=True, slots=True)
class LiveLine:
    """What the story needs to scan at the line."""

    station: str
    log: Path
    disc: Path
    wrong_sleeve: Path
    right_sleeve: Path
    spindle: str
    title: str


def prepare(out: Path, plant: Plant) -> LiveLine:
    """Write the log that opens the line, and three label pictures.

    Args:
        out: the demo's folder.
        plant: after its last day.
    """
    product = next(plan.product for plan in LOTS if plan.number == LOST_STACK[0])
    other = next(each for each in PRODUCTS if each is not product and not each.edition)
    opening = (
        badge_scan("Lena"),
        raw_act("CLEAR"),
        badge_scan("Milo"),
        raw_plant(product.batch),
        raw_plant(plant.lost_spindle),
        raw_sscc(CARTON),
    )
    log = out / "logs" / "live-packing-line-3.jsonl"
    write_log(log, SPARE_LINE, [(LAST_EVENING + 10 * place, raw) for place, raw in enumerate(opening)])
    labels = out / "labels"
    return LiveLine(
        SPARE_LINE,
        log,
        _disc(labels / "live-disc.png", product),
        _sleeve(labels / "live-sleeve-wrong.png", other),
        _sleeve(labels / "live-sleeve.png", product),
        plant.lost_spindle,
        product.title,
    )


def _disc(file: Path, product: Product) -> Path:
    data = {"gtin": product.gtin, "piece": "1", "total": "1", "catalogue": product.catalogue, "side": "A"}
    write_label(file, load_layout("disc-label"), data, DPI)
    return file


def _sleeve(file: Path, product: Product) -> Path:
    write_label(file, load_layout("sleeve-ean"), {"gtin": product.gtin, "catalogue": product.catalogue}, DPI)
    return file
