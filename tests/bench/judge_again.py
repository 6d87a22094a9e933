"""How long judging a journal again takes next to booking it, and how many forged entries it names.

Run by hand: python tests/bench/judge_again.py [HISTORIES [SCANS]]
Plays random histories of a plant (32 of 500 scans unless told otherwise) and judges each again; both in processor time
of one run. Then every kind of entry is put at the end of a plant's journal once more, rightly chained and with all that a
rule leaves on it, and what is not named is listed: only what can be done twice may be among it, because its scan, if it
was one, would lead to just that (whether it was one only a station that signs its scans can tell). Exit code 1 if an entry of a history is not forced, or another forgery passes.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_cases import shipped
from support_histories import dock_history, history
from support_judged import copied, forgeries, insert, judged

MAY_PASS = {"signed-on", "sleeves-opened", "spindle-opened"}


def main() -> None:
    histories = int(sys.argv[1]) if len(sys.argv) > 1 else 32
    scans = int(sys.argv[2]) if len(sys.argv) > 2 else 500
    bad = play(histories, scans)
    missed = forge()
    print(f"forged entries that passed: {', '.join(sorted(missed)) or 'none'}")
    sys.exit(1 if bad or missed - MAY_PASS else 0)


def play(histories: int, scans: int) -> int:
    """Book and judge; returns how many histories have an entry that no scan forces."""
    return play_and_count(histories, scans)[0]


def play_rates(histories: int, scans: int) -> tuple[float, float]:
    """Scans judged again a second, and those booked."""
    _bad, judged_rate, booked_rate = play_and_count(histories, scans)
    return judged_rate, booked_rate


def play_and_count(histories: int, scans: int) -> tuple[int, float, float]:
    """Book and judge; returns the histories with an entry that no scan forces, and both rates."""
    booking = judging = 0.0
    booked = judged_scans = forced = bad = 0
    for seed in range(histories):
        made = history(seed) if seed % 4 else dock_history(seed)
        before = made.floor.rows("SELECT SUM(last_number) FROM station")[0][0] or 0
        began = time.process_time()
        made.run(scans)
        booking += time.process_time() - began
        booked += made.floor.rows("SELECT SUM(last_number) FROM station")[0][0] - before
        began = time.process_time()
        found = judged(made.floor)
        judging += time.process_time() - began
        judged_scans += found.scans
        forced += found.forced
        if found.unforced is not None:
            bad += 1
            print(f"history {seed}: {found.unforced.sentence}")
    print(f"booked live: {booked} scans, {booked / booking:.0f} a second")
    print(
        f"judged again: {judged_scans} scans, {judged_scans / judging:.0f} a second; {forced} entries forced, "
        f"{forced / judging:.0f} a second"
    )
    print(f"ratio for one scan: {judging / judged_scans / (booking / booked):.2f}")
    return bad, judged_scans / judging, booked / booking


def forge() -> set[str]:
    """Put every kind of entry at the end once more; returns the kinds that pass."""
    plant = shipped()
    passed, tried = set(), 0
    for number, forgery in enumerate(forgeries(plant)):
        floor = copied(plant)
        forged = insert(floor, list(forgeries(floor))[number].entry, forgery.scan)
        found = judged(floor).unforced
        tried += 1
        if found is None or found.seq != forged.seq:
            passed.add(forged.kind)
    print(f"forged entries: {tried} kinds, {tried - len(passed)} named")
    return passed


if __name__ == "__main__":
    main()
