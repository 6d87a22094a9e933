"""The pictures of the README are what the program shows: they are made again from the demo and compared."""

import importlib.util
import re

import pytest
from support_demo import ROOT

from tracelink.cli.guide import FOLDER


@pytest.fixture(scope="module")
def pictures():
    spec = importlib.util.spec_from_file_location("demo_pictures", ROOT / "demo" / "pictures.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def kept(name):
    return (FOLDER / "pictures" / name).read_text(encoding="utf-8")


def without_bytes(picture):
    """Another version of the picture library packs the same label into other bytes."""
    return re.sub(r"base64,[^\"]*", "", picture)


def test_the_life_of_the_stamper_is_the_one_of_the_demo(pictures, demo):
    assert pictures.stamper_life(demo) == kept("stamper-life.svg")


def test_the_family_of_the_washed_lot_is_the_one_of_the_demo(pictures, demo):
    assert pictures.washed_lot(demo) == kept("washed-lot.svg")


def test_the_turntable_and_the_bad_reel_are_those_of_the_demo(pictures, demo):
    assert pictures.turntable(demo) == kept("turntable.svg")
    assert pictures.bad_reel(demo) == kept("bad-reel.svg")


def test_the_verdict_is_the_screen_of_the_line(pictures, demo, monkeypatch):
    monkeypatch.setenv("COLUMNS", "96")
    monkeypatch.setenv("LINES", "24")
    assert without_bytes(pictures.verdict_beside_sleeve(demo)) == without_bytes(kept("verdict.svg"))
