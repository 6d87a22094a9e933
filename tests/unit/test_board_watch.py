"""One look at the ledger for all boards that are open."""

import asyncio
from concurrent.futures import ThreadPoolExecutor

from tracelink.web.board_watch import AWAY, BoardWatch, look_at

SECONDS = 0.01
LONGEST_S = 20


class Looks:
    """Boards that change when a test says so."""

    def __init__(self):
        self.boards = {None: "all 1", "line": "line 1", "lab": "lab 1"}
        self.asked = []

    def __call__(self, areas):
        self.asked.append(areas)
        return {area: self.boards[area] for area in areas}


def watched(story):
    """Run a story with a watch, with a bound."""
    looks = Looks()

    async def bounded():
        await asyncio.wait_for(story(looks, BoardWatch(looks, SECONDS)), LONGEST_S)

    # In a thread of its own: a browser of other tests may have a loop running in this one.
    with ThreadPoolExecutor(1) as own:
        own.submit(asyncio.run, bounded()).result()
    return looks


def test_twenty_pages_cost_one_look_and_all_are_told():
    told = []

    async def story(looks, watch):
        pages = [watch.seen(area) for area in [None, "line"] * 10]
        first = await asyncio.gather(*(anext(page) for page in pages))
        assert first == ["all 1", "line 1"] * 10
        before = len(looks.asked)
        looks.boards["line"] = "line 2"
        while (await anext(pages[1])) != "line 2":
            pass
        told.extend(await asyncio.gather(*(anext(page) for page in pages)))
        assert len(looks.asked) - before <= 4
        for page in pages:
            await page.aclose()

    looks = watched(story)
    assert looks.asked[-1] == {None, "line"}
    assert set(told[1::2]) <= {"line 1", "line 2"}
    assert set(told[::2]) == {"all 1"}


def test_nobody_watching_costs_no_look():
    async def story(looks, watch):
        assert looks.asked == []
        page = watch.seen("lab")
        assert await anext(page) == "lab 1"
        await page.aclose()
        before = len(looks.asked)
        await asyncio.sleep(10 * SECONDS)
        # One that was on its way may still end.
        assert len(looks.asked) <= before + 1
        again = watch.seen("lab")
        assert await anext(again) == "lab 1"
        await again.aclose()

    watched(story)


def test_whoever_comes_later_is_told_of_an_area_that_nobody_watched():
    async def story(_looks, watch):
        first = watch.seen(None)
        await anext(first)
        later = watch.seen("lab")
        assert await anext(later) == "lab 1"
        await first.aclose()
        assert await anext(later) == "lab 1"
        await later.aclose()

    watched(story)


def test_a_ledger_that_is_away_is_told_to_all(tmp_path):
    look = look_at(str(tmp_path / "gone.db"))
    assert look(frozenset({None, "line"})) == {None: AWAY, "line": AWAY}
