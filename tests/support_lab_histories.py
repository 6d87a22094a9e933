"""Random histories of two benches of the lab: values, judgements, slow tests, studies, waivers, rejections, sorting."""

import random

from support_histories import History, Worker, line_plan
from support_lab import LAB_DATA, add_to
from support_plant import LAB, LAB_2, LINE, MATRICES, Floor, code, gtin, n, stamper

from tracelink.services.badge_proof import Badge
from tracelink.services.desks.charts.chart_baselines import BaselineAsked, freeze_baseline
from tracelink.services.desks.charts.charted_values import ChartAsked

LAB_KINDS = {
    "result-recorded", "sample-judged", "sample-waived", "strokes-rejected", "stack-sorted", "place-sorted", "lot-decided",
    "hold-placed", "hold-lifted", "disc-missed", "slow-test-begun", "slow-reading-taken", "verdict-compared", "study-read",
    "chart-signalled", "sampling-plan-kept",
}  # fmt: skip
"""What the histories are to reach, together."""

MORE = {
    "slow_test": [{"name": "wear", "readings": [{"label": "at once", "days": 0}, {"label": "in a week", "days": 7}]}],
    "sampling_plan": [
        {"gtin": gtin(1), "aql": "4.0", "since": "2031-01-01", "inspection": "listening", "defects": ["click"]},
        {"gtin": gtin(1), "detect": "10", "since": "2031-01-01", "inspection": "measuring", "defects": ["wrong mass"]},
    ],
    "person": [{"code": code("P", 9), "name": "Dana", "roles": ["lab"]}],
}  # fmt: skip


def lab_history(seed: int) -> History:
    """Lot 1 is pressed and some of it packed; charts of its stamper are frozen; two benches and a line go on."""
    rng = random.Random(seed)
    made = History(rng, _plant(), mistakes=rng.choice((0.0, 0.03, 0.1)))
    made.workers = [
        *[Worker(made, LAB, bench_plan), Worker(made, LAB_2, bench_plan)] * 3,
        Worker(made, LINE, line_plan),
    ]
    return made


def _plant() -> Floor:
    floor = Floor.copy(chart_baseline_points=3)
    add_to(floor, {**LAB_DATA, **MORE})
    floor.press(1, strokes=60, stacks=2)
    floor.scan(LAB, "P1")
    for disc in range(1, 7):
        floor.scan(LAB, "SAMPLE", "L1", f"S{disc}", f"#{disc}", "K11")
        floor.scan(LAB, "MEASURE", f"S{disc}", f'"noise=-5{9 + disc % 2 - 1}.{disc} dB', '"A', "G1")
        floor.scan(LAB, *(("BAD", f"S{disc}", '"click') if disc == 3 else ("GOOD", f"S{disc}")))
    for asked in (ChartAsked("noise"), ChartAsked("judged", "np", 2)):
        freeze_baseline(
            floor.ledger, n(stamper(MATRICES[0])), BaselineAsked(asked), "as usual", Badge(n("P1"))
        )
    floor.scan(LAB, "OVERRULE", "L1", '"one in six', "P2")
    floor.open_line(1, [11], 1)
    floor.match(1, 4)
    floor.scan(LINE, "CLOSE", "carton 2")
    return floor


def bench_plan(worker: Worker) -> list[str]:
    """One act of a bench, mostly one that the records allow."""
    h, rng = worker.history, worker.rng
    sample = h.pick("SELECT code FROM sample", "S1")
    place = h.pick(
        "SELECT place FROM stock WHERE quantity > 0 AND (place LIKE 'K%' OR length(place) = 18)", "K11"
    )
    there = h.column(f"SELECT SUM(quantity) FROM stock WHERE place = '{place}'")[0] or 1
    bad = h.pick("SELECT sample FROM judgement WHERE good = 0 AND corrected_by IS NULL", sample)
    waiting = h.pick("SELECT sample FROM slow_reading WHERE taken_seq IS NULL", sample)
    held = h.pick("SELECT code FROM hold WHERE lifted_seq IS NULL", "H1")
    stroke = rng.randint(1, 60)
    side, value = rng.choice("AB"), f"-5{rng.randint(2, 9)}.{rng.randint(0, 9)}"
    defect = rng.choice(('"good', '"click', '"wrong mass'))
    measured = [sample, f'"noise={value} dB', f'"{side}', "G1"]
    acts = [
        *[["SAMPLE", "L1", f"S{h.number()}", f"#{stroke}", rng.choice(("K11", "K12", place))]] * 4,
        *[["MEASURE", *measured]] * 3,
        ["MEASURE", sample, f'"mass={rng.randint(136, 146)}.{rng.randint(0, 9)} g', "G2"],
        ["RETEST", *measured, '"the needle was dusty', *(["P2"] if rng.random() < 0.5 else [])],
        *[["GOOD", sample], ["BAD", sample, '"click']] * 2,
        ["REJUDGE", sample, defect, '"heard again'],
        ["WAIVE", bad, '"customer agreed', "P2"],
        *[["SLOWTEST", sample, '"wear']] * 2,
        *[["READING", waiting, defect]] * 3,
        ["COMPARE", sample, defect],
        ["STUDY", *measured],
        ["MISSED", "L1", f"#{stroke}", '"fell down'],
        *[["SORT", place, f"#{there}", f"#{rng.choice((0, 0, 1, 2))}", '"click']] * 2,
        ["REJECTPART", "L1", f"#{stroke}", f"#{min(60, stroke + 5)}", '"louder'],
        ["REJECT", "L1", '"clicks'],
        *[["LIFT", held, '"checked', "P2"]] * 3,
        ["OVERRULE", "L1", '"agreed', "P2"],
        [rng.choice(("P1", "P9"))],
    ]
    return rng.choice(acts)
