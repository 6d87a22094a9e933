"""The demo plant books clean: what its stations stop is what its story tells, and nothing else."""

import json
import os
import shutil
import subprocess
import sys
import tomllib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import text
from support_asking import contain
from support_demo import SCALE, after_phase_1, played_demo

from tracelink.devices.images import read_image
from tracelink.devices.stationlog import merged, read_log
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.containment.wanted_holds import holds_for
from tracelink.genealogy.model.shapes import Shape
from tracelink.identity.rawlines import raw_act, raw_disc, raw_plant, raw_sleeve, raw_sscc
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.common.outcome import Word
from tracelink.store.journal import rebuild
from tracelink.store.ledger import Ledger
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.answers import SqlStationQueries

BUILD = Path(__file__).resolve().parents[2] / "demo" / "build.py"
CHUNK = 500
MORNING = Stamp("2025-03-14T05:00:00+01:00", "2025-03-14T04:00:00Z")

DESIGNED = {
    "wrong-title",
    "second-copy",
    "no-read",
    "duplicate-number",
    "pair-swapped",
    "wrong-check-character",
    "superseded-sleeve",
}
"""Findings of the first phase, one or more of each."""


def build(folder, *options, hash_seed="0"):
    command = [sys.executable, str(BUILD), str(folder), *options]
    environment = os.environ | {"PYTHONHASHSEED": hash_seed}
    done = subprocess.run(command, check=False, capture_output=True, text=True, env=environment)
    assert done.returncode == 0, done.stderr
    return folder


@dataclass
class Played:
    """The small demo plant, both phases booked."""

    out: Path
    story: dict
    ledger: Ledger
    scope: Scope
    stops: dict[int, list[tuple[str, int, str]]]
    """By phase: station, number of the scan, finding."""


def play(ledger, logs):
    stops = []
    todo = list(merged(read_log(log) for log in logs))
    for start in range(0, len(todo), CHUNK):
        with ledger.writing() as booking:
            for station, scan in todo[start : start + CHUNK]:
                verdict = booking.book(station, scan)
                if verdict.word is Word.STOP:
                    stops.append((station, scan.number, verdict.finding))
    return stops


def scope_of(connection, stamper):
    return contain(SqlRecords(connection), stamper, Shape.FROM_ONSET)


def hold(ledger, stamper):
    """Do what `contain --hold` does, at a time of the story."""
    with ledger.writing() as booking:
        held = holds_for(scope_of(booking.connection, stamper))
        items = tuple(HeldItem(item.subject, item.first, item.last) for item in held)
        code = SqlStationQueries(booking.connection).next_code("H")
        booking.record(HoldPlaced(code, stamper, items), MORNING, "repeating scratch")


@pytest.fixture(scope="module")
def played(tmp_path_factory):
    """The small demo: its first nine days as the story plays them, the hold, and the tenth day without the rest."""
    out = played_demo(tmp_path_factory)
    story = json.loads((out / "story.json").read_text(encoding="utf-8"))
    phase_1, stops = after_phase_1(out)
    ledger = Ledger.open(shutil.copy(phase_1, tmp_path_factory.mktemp("demo")))
    with ledger.reading() as connection:
        scope = scope_of(connection, story["bad_stamper"]["code"])
    hold(ledger, story["bad_stamper"]["code"])
    found = {
        1: [tuple(stop) for stop in json.loads(stops.read_text(encoding="utf-8"))],
        2: play(ledger, sorted((out / "logs").glob("phase2-*.jsonl"))),
    }
    yield Played(out, story, ledger, scope, found)
    ledger.close()


def rows(played, query, **values):
    with played.ledger.reading() as conn:
        return [tuple(row) for row in conn.execute(text(query), values)]


def told(played, phase):
    return [
        (each["station"], each["scan"], each["finding"])
        for each in played.story["incidents"]
        if f"/phase{phase}-" in each["log"]
    ]


@pytest.mark.parametrize("phase", [1, 2])
def test_stations_stop_what_the_story_tells_and_nothing_else(played, phase):
    assert played.stops[phase] == told(played, phase)


def test_every_designed_finding_is_there(played):
    found = Counter(finding for _station, _scan, finding in played.stops[1])
    assert set(found) == DESIGNED
    assert all(found[finding] == 1 for finding in DESIGNED - {"no-read"})
    assert found["no-read"] >= 2
    after = Counter(finding for _station, _scan, finding in played.stops[2])
    assert after["on-hold"] == 4
    assert set(after) <= {"on-hold", "no-read"}
    assert played.story["stops"] == {"1": dict(sorted(found.items())), "2": dict(sorted(after.items()))}


def test_incidents_name_their_line_in_the_log(played):
    for each in played.story["incidents"]:
        line = (played.out / each["log"]).read_text(encoding="utf-8").splitlines()[each["line"] - 1]
        assert (json.loads(line)["n"], json.loads(line)["at"]) == (each["scan"], each["at"])


def test_the_journal_verifies_and_rebuilds_to_the_same_rows(played):
    head = played.ledger.verify()
    assert head == played.ledger.head()
    tables = [table.name for table in rebuild.SHADOW]
    before = {name: sorted(rows(played, f"SELECT * FROM {name}"), key=repr) for name in tables}
    with played.ledger.transaction() as conn:
        assert rebuild.rebuild(conn) == head
    assert {name: sorted(rows(played, f"SELECT * FROM {name}"), key=repr) for name in tables} == before


def test_the_stamper_is_narrowed_to_its_samples(played):
    bad = played.story["bad_stamper"]
    first, second = bad["lots"]
    stroke = {one["life"]: one["stroke"] for one in bad["samples"]}
    last_good, first_bad = stroke[bad["last_good_life"]], stroke[bad["first_bad_life"]]
    mounted = stroke[1]
    spans = [(t.name.value, t.lot, [(s.first, s.last) for s in t.strokes.spans]) for t in played.scope.tiers]
    pressed = dict(rows(played, "SELECT code, counter FROM lot"))
    remounted = bad["life"] - (pressed[first] - mounted + 1)
    assert spans == [
        ("cleared", first, [(mounted, last_good)]),
        ("possible", first, [(last_good + 1, first_bad - 1)]),
        ("proven", first, [(first_bad, pressed[first])]),
        ("proven", second, [(1, remounted)]),
    ]
    assert bad["last_good_life"] < bad["true_onset_life"] <= bad["first_bad_life"]
    assert remounted >= 1
    assert not played.scope.contradictions
    judged = [one["judged_bad_at"][:10] for one in bad["samples"] if one["defect"]]
    assert set(judged) == {"2025-03-13"}  # the evening before the hold, days after the disc was drawn


def test_its_discs_are_in_every_kind_of_place(played):
    places = {place.place: place for place in played.scope.places}
    for name in ("shipped", "loading", "carton closed", "spindle stacked"):
        assert places[name].most > 0, name
    assert places["unaccounted"].pieces == 0
    held = {item.subject for item in holds_for(played.scope)}
    affected = played.story["affected"]
    named = [affected["loaded_pallet"], *affected["accepted_pallets"], *affected["closed_pallets"]]
    named += affected["spindles"] + affected["loose_cartons"]
    assert affected["spindles"]
    assert affected["accepted_pallets"]
    assert affected["closed_pallets"]
    assert affected["shipped"]
    assert set(named) <= held
    assert not {one["pallet"] for one in affected["shipped"]} & held


def test_the_stack_across_the_onset_fills_several_cartons(played):
    spindle = played.story["bad_stamper"]["onset_spindle"]
    cartons = {
        target
        for (target,) in rows(played, "SELECT target FROM movement WHERE source = :s", s=spindle)
        if target != "scrap"
    }
    bounds = [held for held in played.scope.containers if held.code in cartons and held.kind == "carton"]
    assert len(bounds) >= 3
    assert any(held.least < held.most for held in bounds)


def test_the_lost_stack_stays_where_it_was(played):
    lost = played.story["lost_spindle"]
    stacked, scrapped, elsewhere = (
        rows(played, f"SELECT COALESCE(SUM(quantity), 0) FROM movement WHERE {where}", s=lost)[0][0]
        for where in ("target = :s", "source = :s AND target = 'scrap'", "source = :s AND target <> 'scrap'")
    )
    assert elsewhere == 0
    assert rows(played, "SELECT quantity FROM stock WHERE place = :s", s=lost) == [(stacked - scrapped,)]
    assert stacked - scrapped > 0


def test_the_carton_with_the_first_copy_stays_held_and_in_house(played):
    carton = played.story["held_carton"]
    assert rows(
        played,
        "SELECT COUNT(*) FROM hold_item i JOIN hold h ON h.code = i.hold "
        "WHERE i.subject = :c AND h.lifted_seq IS NULL",
        c=carton,
    ) == [(1,)]
    assert rows(played, "SELECT parent FROM nesting WHERE child = :c", c=carton) == []


def test_first_and_last_discs_of_every_stamper_are_judged_good_but_by_design(played):
    judged = dict(
        rows(
            played,
            "SELECT s.lot || ' ' || s.stroke, j.good FROM sample s JOIN judgement j ON j.sample = s.code",
        )
    )
    # The first segment of each stamper's life, without the last day: its samples may still wait for the lab.
    begun = rows(
        played,
        'SELECT lot, "first" FROM run_segment r JOIN lot l ON l.code = r.lot '
        "WHERE (life_a = 0 OR life_b = 0) AND l.decision = 'released'",
    )
    assert len(begun) > 20
    assert [judged.get(f"{lot} {first}") for lot, first in begun] == [1] * len(begun)
    bad = {key for key, good in judged.items() if not good}
    told_bad = {
        f"{one['lot']} {one['stroke']}" for one in played.story["bad_stamper"]["samples"] if one["defect"]
    }
    unrelated = played.story["unrelated_bad_sample"]
    # Its last disc, where a fresh stamper came after it in the same lot.
    last = [f"{lot} {first - 1}" for lot, first in begun if first > 1]
    assert len(last) > 10
    assert [key for key in last if judged.get(key) != 1 and key not in told_bad] == []
    assert bad == told_bad | {f"{unrelated['lot']} {unrelated['stroke']}"}


def test_no_stamper_lives_longer_than_sources_say(played):
    # 500 to 2,500 pressings by the quality wanted: collectors' forum, 2015 (one source of several; a setting).
    lives = rows(
        played,
        'SELECT stamper, SUM(n) FROM (SELECT stamper_a AS stamper, "last" - "first" + 1 AS n FROM run_segment '
        'UNION ALL SELECT stamper_b, "last" - "first" + 1 FROM run_segment) GROUP BY stamper',
    )
    assert max(life for _stamper, life in lives) <= 2500 * float(SCALE)
    remounted = rows(
        played,
        "SELECT COUNT(*) FROM (SELECT stamper_a FROM run_segment GROUP BY stamper_a HAVING COUNT(DISTINCT lot) > 1)",
    )
    assert remounted[0][0] >= 3


@pytest.mark.parametrize(
    "name", ["disc-1-of-set", "sleeve", "sleeve-wrong", "spindle-card", "act-close", "pallet", "reason"]
)
def test_label_pictures_say_what_the_story_needs(played, name):
    story = played.story
    set_gtin = next(each for each in story["incidents"] if each["finding"] == "second-copy")["codes"][
        "product"
    ]
    wrong = next(each for each in story["incidents"] if each["finding"] == "wrong-title")["codes"]
    says = {
        "disc-1-of-set": raw_disc(set_gtin, 1, 2),
        "sleeve": raw_sleeve(wrong["expected"]),
        "sleeve-wrong": raw_sleeve(wrong["found"]),
        "spindle-card": raw_plant(story["bad_stamper"]["onset_spindle"]),
        "act-close": raw_act("CLOSE"),
        "reason": raw_plant(story["reasons"]["Edge chip"]),
        "pallet": raw_sscc(story["affected"]["shipped"][0]["pallet"]),
    }
    assert read_image(played.out / story["pictures"][name]) == [says[name]]


STORY = """
from pathlib import Path
from play import Teller
teller = Teller(Path("."))
teller.run("init", "--plant", "none.toml", allowed=(2,))
teller.run("findings", "--help", shown=1)
teller.run("nonsense")
"""


def test_the_commands_of_the_story_run_the_installed_program(tmp_path):
    environment = os.environ | {"PYTHONPATH": str(BUILD.parent)}
    command = [sys.executable, "-c", STORY]
    told = subprocess.run(command, cwd=tmp_path, check=False, capture_output=True, text=True, env=environment)
    assert "plant file none.toml cannot be read" in told.stderr
    assert "$ runout findings --help\nUsage: runout findings" in told.stdout
    assert told.stderr.endswith("runout nonsense ended with 2; expected one of [0]\n")
    assert told.returncode == 1


def test_two_builds_are_the_same_byte_for_byte(played, tmp_path):
    again = build(tmp_path / "again", "--scale", SCALE, hash_seed="7")
    files = sorted(path.relative_to(again) for path in again.rglob("*") if path.is_file())
    assert len(files) > 25
    for file in files:
        assert (again / file).read_bytes() == (played.out / file).read_bytes(), file


def test_the_full_plant_is_as_large_as_promised(tmp_path):
    out = build(tmp_path, "--no-labels")
    counters = []
    for number in (1, 2, 3):
        act = last = ""
        for log in sorted((out / "logs").glob(f"phase*-press-{number}.jsonl")):
            for scan in read_log(log).scans:
                if scan.raw == raw_act("SETUP"):
                    counters.append(0)
                if scan.raw.startswith("]C0A"):
                    act = scan.raw
                elif scan.raw.startswith("#") and act != raw_act("SCRAP"):
                    last = int(scan.raw[1:])
                    counters[-1] = last
    assert sum(counters) >= 60_000
    plant = tomllib.loads((out / "plant.toml").read_text())
    assert len(plant["product"]) >= 8
    assert len({order["country"] for order in plant["order"]}) >= 4
