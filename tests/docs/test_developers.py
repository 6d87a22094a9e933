"""DEVELOPERS.md is a map: every file and name on it exists."""

import re

import pytest
from support_demo import ROOT
from support_each import each

TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").replace("\n", " ")
PLACES = sorted(set(re.findall(r"`([\w/.*-]+\.(?:py|md|sh|toml|json)|[\w/*-]+/)(?:: ([\w.]+))?`", TEXT)))
FOLDERS = ("tracelink", "tests", "demo", "labels", "migrations")


def files():
    inside = [
        path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if "__pycache__" not in path.parts
    ]
    return [*inside, *(ROOT / folder for folder in FOLDERS), *ROOT.glob("*.*")]


@pytest.fixture(scope="module")
def tree():
    return {"/" + str(path.relative_to(ROOT)): path for path in files()}


@each(("place", "name"), PLACES, ids=lambda value: value or "-")
def test_what_the_map_names_is_there(place, name, tree):
    pattern = re.escape("/" + place.rstrip("/")).replace(r"\*", "[^/]*") + "$"
    found = [path for text, path in tree.items() if re.search(pattern, text)]
    assert found
    parts = name.split(".") if name else []
    sources = [path.read_text(encoding="utf-8") for path in found if path.is_file()] if parts else []
    assert [part for part in parts if not any(re.search(rf"\b{part}\b", source) for source in sources)] == []
