"""What the story tells about the ten days: codes to ask about, and what went wrong where."""

from collections import Counter
from typing import Any

from clockwork import local_time
from incidents import SCRATCH, SCRATCH_DEFECT, UNRELATED
from labroom import DRIFT_LOTS
from plantdata import (
    BAD_FIRST,
    BAD_SECOND,
    BLUE,
    COMET,
    LOTS,
    PRODUCTS,
    STUCK_ORDER,
    badge,
)
from reasons import REASONS
from stock import Incident, Pallet, Plant
from writer import PHASES, file_name, phase_of


def story_of(plant: Plant, pictures: dict[str, str]) -> dict[str, Any]:
    """Return the story as plain data.

    Args:
        plant: after its last day.
        pictures: label pictures by what they show.
    """
    assert plant.bad is not None
    return {
        "scale": plant.scale.factor,
        "seed": plant.seed,
        "stations": {name: station.code for name, station in plant.stations.items()},
        "reasons": {each.text: each.code for each in REASONS},
        "people": {"quality_lead": badge("June"), "second_person": badge("Kofi")},
        "products": {product.gtin: product.title for product in PRODUCTS},
        "lots": {
            plan.code: {"gtin": plan.product.gtin, "piece": plan.piece, "title": plan.product.title}
            for plan in LOTS
        },
        "bad_stamper": _bad_stamper(plant),
        "affected": _affected(plant),
        "numbered_batch": next(product.batch for product in PRODUCTS if product.edition),
        "lost_spindle": plant.lost_spindle,
        "held_carton": plant.held_carton,
        "unrelated_bad_sample": {
            "lot": next(plan.code for plan in LOTS if plan.number == UNRELATED[0]),
            "stroke": plant.scale.strokes(UNRELATED[1]),
            "defect": UNRELATED[2],
        },
        "drift": {"lots": [plan.code for plan in LOTS if plan.number in DRIFT_LOTS], "quantity": "mass"},
        "near_equal_editions": [COMET.gtin, BLUE.gtin],
        "incidents": [_incident(each) for each in _by_time(plant)],
        "stops": {
            str(phase): dict(
                sorted(Counter(i.finding for i in plant.incidents if phase_of(i.second) == phase).items())
            )
            for phase in PHASES
        },
        "pictures": pictures,
    }


def _by_time(plant: Plant) -> list[Incident]:
    return sorted(plant.incidents, key=lambda each: (each.second, each.station.code))


def _incident(incident: Incident) -> dict[str, Any]:
    return {
        "finding": incident.finding,
        "what": incident.what,
        "at": local_time(incident.second),
        "station": incident.station.code,
        "scan": incident.scan,
        "log": f"logs/phase{phase_of(incident.second)}-{file_name(incident.station.name)}.jsonl",
        # The header is the first line, and numbers go on from phase to phase.
        "line": incident.scan + 1 - _scans_before(incident),
        "codes": incident.codes,
    }


def _scans_before(incident: Incident) -> int:
    """How many scans of the station stand in earlier logs."""
    own = phase_of(incident.second)
    return sum(phase_of(noted.second) < own for noted in incident.station.scans)


def _bad_stamper(plant: Plant) -> dict[str, Any]:
    assert plant.bad is not None
    samples = [
        {
            "sample": sample.code,
            "lot": sample.lot.code,
            "stroke": sample.stroke,
            "life": life,
            "defect": sample.defect,
            "judged_bad_at": sample.judged_at or None,
        }
        for sample, life in plant.bad_samples
    ]
    good = [one["life"] for one in samples if one["defect"] is None]
    bad = [one["life"] for one in samples if one["defect"] is not None]
    onset = plant.scale.strokes(SCRATCH.onset)
    assert max(good) < onset <= min(bad)
    return {
        "code": plant.bad.code,
        "matrix": plant.bad.matrix,
        "defect": SCRATCH_DEFECT,
        "lots": [BAD_FIRST.code, BAD_SECOND.code],
        "life": plant.bad.life,
        "last_good_life": max(good),
        "true_onset_life": onset,
        "first_bad_life": min(bad),
        "samples": samples,
        "onset_spindle": plant.onset_spindle,
    }


def _affected(plant: Plant) -> dict[str, Any]:
    """Where discs of the stamper from after its last good sample are on the evening before the hold."""
    pallets = [pallet for pallet in plant.pallets if pallet.suspect]
    loaded = [p for p in pallets if p.order == STUCK_ORDER]
    waiting = [p for p in pallets if p.order is None]
    return {
        "spindles": [spindle.code for rack in plant.racks.values() for spindle in rack if spindle.suspect],
        "loose_cartons": [c.sscc for cartons in plant.cartons.values() for c in cartons if c.suspect],
        "shipped": [_shipped(plant, p) for p in pallets if p.order and p not in loaded],
        "loaded_pallet": loaded[0].sscc,
        "accepted_pallets": [p.sscc for p in waiting if p.accepted],
        "closed_pallets": [p.sscc for p in waiting if not p.accepted],
    }


def _shipped(plant: Plant, pallet: Pallet) -> dict[str, str]:
    assert pallet.order is not None
    return {
        "pallet": pallet.sscc,
        "order": pallet.order.code,
        "consignee": pallet.order.consignee,
        "country": pallet.order.country,
        "departed": plant.departed[pallet.order.code],
    }
