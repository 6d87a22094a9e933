"""Random days in a process room, spiced with mistakes: tables are the journal's shadow, amounts add up, scans force entries."""

import random
from functools import cache

import pytest
from support_campaign import seeds
from support_plant import PRESS, TOOL
from support_process import STEPS, process_floor
from support_schema import empty_ledger

from tracelink.station.common.outcome import Word
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, replay
from tracelink.store.stations.judge_again import judge_again

SEEDS = seeds((2, 14))
SCANS = 350

THINGS = [
    "K11",
    "K12",
    "L1",
    "T1",
    "T2",
    "T900",
    "C1",
    "C2",
    "C101",
    "C102",
    "E1",
    "P1",
    "carton 1",
    "disc 1.1",
]
TYPED = [
    '"10 kg',
    '"250 g',
    '"3',
    '"2 l',
    "#1",
    "#5",
    "#20",
    "#400",
    '"bath temperature=40 °C',
    '"bath temperature=50 °C',
]
TYPED += ['"conductivity=2 µS/cm', '"conductivity=2 bar', '"a reason', "", "]C0ZZZ", "CANCEL", "DANCE"]
AFTER = {"C": ['"10 kg'], "L": ["#1", "#5"]}
"""What a thing is followed by where it fits."""

ACTS = [
    "BEGIN",
    *["TAKE"] * 5,
    *["UNDO"] * 3,
    *["READ"] * 2,
    *["MAKE"] * 4,
    "END",
    *["CORRECT"] * 3,
    "REOPEN",
]


def day(rng, steps, inside, made):
    """Scans that mostly fit together, and sometimes are anything at all.

    Args:
        rng: chance.
        steps: status -> steps, and "blends" -> those of them that make something.
        inside: step -> what went into it.
        made: step -> material that it made.
    """
    running = steps.get("open", [])
    act = "BEGIN" if len(running) < 3 and rng.random() < 0.5 else rng.choice(ACTS)
    blends = [step for step in running if step in steps.get("blends", [])]
    fit = {"BEGIN": [], "REOPEN": steps.get("ended", []), "CORRECT": sorted(made), "MAKE": blends}.get(
        act, running
    )
    step = rng.choice(fit) if fit else f"X{rng.randint(1, 30)}"
    thing = rng.choice(["C1", "C2"] if step in blends and rng.random() < 0.8 else THINGS)
    last = {
        "BEGIN": [f"V{rng.choice((1, 1, 3, 4, 5, 5, 6, 6))}"],
        "TAKE": rng.choice([[thing, *AFTER.get(thing[0], [])], [thing, rng.choice(TYPED)]]),
        "UNDO": [rng.choice(made.get(step, []) + inside.get(step, []) or THINGS), '"wrong card'],
        "READ": [rng.choice(TYPED[8:12])],
        "MAKE": [f"C{rng.randint(101, 109)}", rng.choice(TYPED[:2])],
        "END": ['"it was so'],
        "CORRECT": [
            rng.choice(made.get(step, THINGS)),
            rng.choice(['"9 kg', '"240 g', '"19 kg']),
            '"tare',
            "P2",
        ],
        "REOPEN": ['"card of another', "P2"],
    }[act]
    scans = ["P41", act, step, *last, "CANCEL"]
    return [rng.choice(THINGS + TYPED) if rng.random() < 0.05 else scan for scan in scans]


@cache
def played(seed):
    rng = random.Random(seed)
    floor = process_floor()
    floor.press(1, strokes=20, stacks=2)
    floor.scan(TOOL, "P1", "BLANK", "T900", "sleeve 1", '"A', '"D-1', '"good')
    floor.scan(STEPS, "P41")
    begun = len(floor.verdicts)
    while len(floor.verdicts) - begun < SCANS:
        blends = floor.read("step", "code", process="blending") + floor.read(
            "step", "code", process="grinding"
        )
        steps, inside, made = {"blends": [code for (code,) in blends]}, {}, {}
        for found, rows in (
            (steps, floor.read("step", "status", "code", order="seq")),
            (inside, floor.read("step_item", "step", "thing")),
            (made, floor.read("step_output", "step", "material", order="seq")),
        ):
            for key, value in rows:
                found.setdefault(key, []).append(value)
        floor.scan(STEPS, *day(rng, steps, inside, made))
    return floor, floor.verdicts[begun:]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_replay_gives_the_very_same_rows_and_every_entry_follows_from_its_scans(seed):
    floor, verdicts = played(seed)
    assert len({verdict.finding for verdict in verdicts}) > 8
    assert sum(verdict.word is Word.DONE for verdict in verdicts) > 10
    engine = empty_ledger()
    with floor.ledger.reading() as live, engine.begin() as fresh:
        spooled = [dict(row) for row in live.exec_driver_sql("SELECT * FROM spool").mappings()]
        replay(fresh, journal.rows(live), spooled)
        assert differences(live, fresh) == []
        again = judge_again(live)
    assert (again.unforced, again.not_judged) == (None, 0)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_went_into_a_step_and_what_was_made_add_up(seed):
    floor, _ = played(seed)
    rows = floor.rows(
        "SELECT s.code, s.taken, s.made, s.outside, "
        "COALESCE((SELECT SUM(i.amount) FROM step_item i WHERE i.step = s.code AND i.taken_back IS NULL), 0), "
        "COALESCE((SELECT SUM(o.amount) FROM step_output o WHERE o.step = s.code), 0), "
        "(SELECT COUNT(*) FROM step_reading r WHERE r.step = s.code AND r.outside = 1) FROM step s"
    )
    assert rows
    for code, taken, made, outside, items, outputs, readings in rows:
        assert (taken, made, outside) == (items, outputs, readings), code
        assert made <= taken, code


def test_the_days_reach_every_act():
    kinds = {kind for seed in SEEDS for kind in played(seed)[0].kinds() if kind.startswith("step-")}
    corrected = {"step-taken-back", "step-make-taken-back", "step-amount-corrected", "step-reopened"}
    assert kinds == {"step-begun", "step-took", "step-read", "step-made", "step-ended", *corrected}


def test_the_press_is_as_it_was():
    floor, _ = played(SEEDS[0])
    assert floor.read("lot", "counter", press=PRESS) == [(20,)]
