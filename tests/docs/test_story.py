"""The story of the demo leaves what it says, and stops what it tells."""

import re
import shutil
import sqlite3
import subprocess
import sys
from importlib.resources import files

from runout import Badge, open_ledger
from tracelink.datadir import data_dir
from tracelink.store.compact.stored_rows import said


def test_the_story_leaves_its_pages(demo):
    for name in ("scope.html", "genealogy.svg", "genealogy.html"):
        assert (demo / name).stat().st_size > 2000
    scope = (demo / "scope.html").read_text(encoding="utf-8")
    assert "The records were loaded later: " in scope
    assert re.search(r"Recorded before they happened</dt>\s*<dd[^>]*>0<", scope)


def test_reasons_are_scanned_from_cards_that_the_demo_prints(demo):
    with sqlite3.connect(demo / "runout.db") as conn:
        cards = dict(conn.execute("SELECT code, text FROM reason").fetchall())
        why = "SELECT stored FROM journal WHERE kind = ? ORDER BY seq"
        rejects = [said(row)["reason"] for (row,) in conn.execute(why, ("disc-rejected",))]
        returns = [said(row)["reason"] for (row,) in conn.execute(why, ("carton-returned",))]
    assert len(cards) == 8
    looks, twice = (
        f"{text} ({code})" for code, text in cards.items() if text in ("Looks wrong", "Delivered twice")
    )
    assert rejects
    assert set(rejects) == {looks}
    assert returns == [twice]
    for area in ("line", "dock"):
        assert (demo / f"labels/cards-{area}.pdf").stat().st_size > 5000


def test_what_comes_after_the_ten_days_is_as_the_story_tells_it(demo):
    """Small orders, a pallet that leaves in part, returns, a count that differs: each booked, two of them stopped."""
    with sqlite3.connect(demo / "runout.db") as conn:
        stops = "SELECT finding FROM finding f JOIN station s ON s.code = f.station WHERE s.name = 'Dock, gate 3' ORDER BY f.seq"
        assert conn.execute(stops).fetchall() == [
            ("destroyed-number",),
            ("count-differs",),
        ]
        sent = (
            "SELECT order_code, status FROM shipment WHERE order_code IN ('O020851Y', 'O020852W') ORDER BY 1"
        )
        assert conn.execute(sent).fetchall() == [("O020851Y", "shipped"), ("O020852W", "shipped")]
        assert conn.execute("SELECT status FROM return_line ORDER BY number").fetchall() == [
            ("restocked",),
            ("destroyed",),
        ]
        assert conn.execute("SELECT COUNT(*) FROM investigation").fetchone() == (1,)
        # Every finished unit of the kit holds each of its items.
        kits = "SELECT DISTINCT c.units - i.quantity FROM carton c JOIN carton_item i ON i.carton = c.sscc"
        assert conn.execute(kits).fetchall() == [(0,)]


def test_the_chart_of_the_noisy_stamper_warns_before_a_disc_is_over_its_limit(demo):
    for name in ("chart.svg", "chart.html"):
        assert (demo / name).stat().st_size > 2000
    with sqlite3.connect(demo / "runout.db") as conn:
        found = "SELECT MIN(seq) FROM finding WHERE finding = ?"
        [(warned,)] = conn.execute(found, ("chart-signal",)).fetchall()
        [(outside,)] = conn.execute(found, ("value-outside",)).fetchall()
        [(baseline,)] = conn.execute("SELECT seq FROM chart_baseline").fetchall()
    assert baseline < warned < outside


def test_a_wash_bath_that_went_bad_is_held_with_the_stacks_that_stood_in_it(demo):
    for name in ("bath.svg", "bath.html"):
        assert (demo / name).stat().st_size > 2000
    with sqlite3.connect(demo / "runout.db") as conn:
        outside = (
            "SELECT s.equipment, i.thing FROM step s JOIN step_item i ON i.step = s.code WHERE s.outside = 1"
        )
        [(bath, first), (_, second)] = conn.execute(f"{outside} ORDER BY i.seq").fetchall()
        held = "SELECT h.subject FROM hold_item h JOIN hold ON hold.code = h.hold WHERE hold.reason = ?"
        subjects = {row for (row,) in conn.execute(held, ("rinse water ran out",))}
        [(taken, made)] = conn.execute("SELECT taken, made FROM step WHERE made > 0").fetchall()
    assert {first, second} <= subjects
    assert bath not in subjects
    assert (taken, made) == (100_000, 99_200)


def test_the_demo_is_made_ready_to_be_tried_in_a_browser(demo, tmp_path):
    """The PINs and the code that the demo says at its end are those that work, and the guide says the same."""
    shutil.copy(demo / "runout.db", tmp_path / "runout.db")
    trial = data_dir("demo") / "trial.py"
    done = subprocess.run(
        [sys.executable, str(trial), str(tmp_path)], check=True, capture_output=True, text=True
    )
    people = re.findall(r"(\w+), badge (\w+), PIN (\d+):", done.stdout)
    names = ["Kofi", "June", "Nadia"]
    assert [name for name, _badge, _pin in people] == names
    with open_ledger(tmp_path / "runout.db") as ledger:
        assert [ledger.people.sign_in(Badge(badge, pin)).name for _name, badge, pin in people] == names
        assert ledger.browsers.opens(re.search(r"the code ([0-9A-Z-]+):", done.stdout)[1], "W000016W")
    told = (files("tracelink") / "guide" / "browser.md").read_text(encoding="utf-8")
    for name, badge, pin in people:
        assert re.search(rf"{name} \({badge}, [^)]*\) has {pin}", told)
