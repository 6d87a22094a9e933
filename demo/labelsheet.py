"""A handful of label pictures of the demo plant, drawn and read back like any label of the plant."""

from pathlib import Path

from clockwork import local_time
from plantdata import BLUE, BRASS, COMET, MILLS, PLANT, badge
from reasons import EDGE_CHIP
from stock import Pallet, Plant

from tracelink.printing.label import write_label
from tracelink.printing.layout import load_layout

DPI = 300


def write_labels(folder: Path, plant: Plant) -> dict[str, str]:
    """Draw the labels and return their paths, relative to the folder's parent, by what they show.

    Args:
        folder: where; made if it is not there.
        plant: after its last day.
    """
    folder.mkdir(parents=True, exist_ok=True)
    drawn = {}
    for name, (layout, data) in _labels(plant).items():
        path = folder / f"{name}.png"
        write_label(path, load_layout(layout), data, DPI)
        drawn[name] = f"{folder.name}/{path.name}"
    return drawn


def _labels(plant: Plant) -> dict[str, tuple[str, dict[str, str]]]:
    assert plant.bad is not None
    pallet = next(p for p in plant.pallets if p.suspect and p.order is not None)
    sample = next(sample for sample, _life in plant.bad_samples if sample.defect)
    return {
        "disc-1-of-set": ("disc-label", _disc(1, "A")),
        "disc-2-of-set": ("disc-label", _disc(2, "C")),
        "sleeve": ("sleeve-ean", {"gtin": BLUE.gtin, "catalogue": BLUE.catalogue}),
        "sleeve-wrong": ("sleeve-ean", {"gtin": COMET.gtin, "catalogue": COMET.catalogue}),
        "sleeve-numbered": (
            "numbered-sleeve",
            {"gtin": MILLS.gtin, "serial": "7", "edition": str(plant.edition)},
        ),
        "carton": ("carton-label", _carton(pallet)),
        "pallet": ("pallet-label", _pallet(pallet)),
        "spindle-card": ("spindle-card", {"code": plant.onset_spindle}),
        "badge": ("badge", {"code": badge("June"), "name": "June", "work": "Quality lead"}),
        "reason": (
            "reason-row",
            {"code": EDGE_CHIP.code, "text": EDGE_CHIP.text, "acts": ", ".join(EDGE_CHIP.acts)},
        ),
        "act-close": ("act-card", {"act": "CLOSE", "meaning": "Close the open carton"}),
        "tool-tag": (
            "tool-tag",
            {"code": plant.bad.code, "kind": "stamper", "matrix": f"{plant.bad.matrix} side A"},
        ),
        "sample-tag": (
            "sample-tag",
            {
                "code": sample.code,
                "lot": sample.lot.code,
                "stroke": str(sample.stroke),
                "drawn": _minute(sample.second),
            },
        ),
    }


def _minute(second: int) -> str:
    """Return a local time as a tag has room for it."""
    at = local_time(second)
    return f"{at[:10]} {at[11:16]} {at[19:]}"


def _disc(piece: int, side: str) -> dict[str, str]:
    return {
        "gtin": BRASS.gtin,
        "piece": str(piece),
        "total": str(BRASS.discs),
        "catalogue": BRASS.catalogue,
        "side": side,
    }


def _carton(pallet: Pallet) -> dict[str, str]:
    carton = next(carton for carton in pallet.cartons if carton.suspect)
    return {
        "sscc": carton.sscc,
        "gtin": carton.product.gtin,
        "count": str(carton.units),
        "unit": "units",
        "lot": min(carton.lots),
        "title": carton.product.title,
        "catalogue": carton.product.catalogue,
    }


def _pallet(pallet: Pallet) -> dict[str, str]:
    assert pallet.order is not None
    return {
        "sscc": pallet.sscc,
        "cartons": f"{len(pallet.cartons)} cartons",
        "units": f"{sum(carton.units for carton in pallet.cartons)} units",
        "title": pallet.cartons[0].product.title,
        "catalogue": pallet.cartons[0].product.catalogue,
        "from_plant": PLANT,
        "to": f"{pallet.order.consignee}, {pallet.order.country}",
    }
