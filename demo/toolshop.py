"""The tool room: grows every tool in the week before pressing begins, and retires worn stampers each morning."""

from itertools import count

from clockwork import HOUR, Job, day_start, moment, next_open
from incidents import STAMPER_LIFE, STAMPER_LIMITS
from plantdata import COMET, LOTS, Product, code
from stock import Plant, Stamper

from tracelink.identity.rawlines import raw_act, raw_plant

STAMPERS_PER_MOTHER = 6
"""Up to 6, up to 10 in other sources (see the guide, sources)."""


def work(plant: Plant) -> Job:
    """Grow all tools, one after the other, then look after the worn ones."""
    station = plant.stations["Tool room"]
    acts = list(_all_acts(plant))
    gap = 5 * 12 * HOUR // (len(acts) + 1)
    for place, act in enumerate(acts, 1):
        day, second = divmod(place * gap, 12 * HOUR)
        yield day_start(day - 5) + 7 * HOUR + second
        station.sign_on()
        station.scan(*act)
    for day in range(10):
        yield moment(day, 7.0)
        if plant.worn:
            station.sign_on()
        while plant.worn:
            stamper = plant.worn.pop(0)
            # The scratched one was put aside for the lab; whether it is retired is for quality to say.
            if stamper is not plant.bad:
                station.scan(
                    raw_act("RETIRE"), raw_plant(stamper.code), f'"worn after {stamper.life} strokes'
                )
            yield next_open(station.rest())


def _all_acts(plant: Plant) -> list[list[str]]:
    """Put the stampers on the shelf and return the scans that tell of them, one list per act."""
    tags = count(1001)
    acts: list[list[str]] = []
    for product, piece in _cuts():
        for side in "AB":
            acts += _family(plant, product, piece, side, tags)
    return acts


def _cuts() -> list[tuple[Product, int]]:
    """Every disc that is cut once, products with a shared cut under the first of them."""
    found = {plan.product.matrix(plan.piece, "A"): (plan.product, plan.piece) for plan in reversed(LOTS)}
    return sorted(found.values(), key=lambda cut: (cut[0].number, cut[1]))


def _family(plant: Plant, product: Product, piece: int, side: str, tags: "count[int]") -> list[list[str]]:
    matrix = product.matrix(piece, side)
    master = code("T", next(tags))
    kind = "COPPER" if product.copper else "LACQUER"
    acts = [[raw_act(kind), raw_plant(master), f'"{side}', f'"{matrix}']]
    limits = _limits(plant, product, matrix)
    parent = master
    if not product.copper:
        parent = _grow(acts, master, tags)
    for place, limit in enumerate(limits):
        if place % STAMPERS_PER_MOTHER == 0:
            mother = parent if product.copper else _grow(acts, parent, tags)
        stamper = Stamper(_grow(acts, mother, tags), matrix, limit)
        plant.stampers[matrix].append(stamper)
    if matrix == COMET.matrix(1, "A"):
        plant.bad = plant.stampers[matrix][1]
    return acts


def _grow(acts: list[list[str]], parent: str, tags: "count[int]") -> str:
    child = code("T", next(tags))
    acts.append([raw_act("GROW"), raw_plant(parent), raw_plant(child)])
    return child


def _limits(plant: Plant, product: Product, matrix: str) -> list[int]:
    """How long each stamper of a matrix will last: enough for all lots and some to spare."""
    dice = plant.dice(f"stampers {product.short}{matrix.removeprefix('EX')}")
    needed = sum(
        plan.strokes for plan in LOTS if matrix in {plan.product.matrix(plan.piece, s) for s in "AB"}
    )
    limits = list(STAMPER_LIMITS.get(matrix, ()))
    while sum(limits) < 1.1 * needed:
        limits.append(dice.randrange(*STAMPER_LIFE))
    return [plant.scale.strokes(limit) for limit in limits]
