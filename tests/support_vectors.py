"""Check values in tests/vectors: `id`, `kind`, `input`, `expected`, `source`."""

import json
from pathlib import Path


def load(name, *kinds):
    """Return the cases of some kinds in a file; a kind without any case is a mistake in the test."""
    text = (Path(__file__).parent / "vectors" / f"{name}.json").read_text(encoding="utf-8")
    cases = json.loads(text)
    for kind in kinds:
        assert any(case["kind"] == kind for case in cases), kind
    return [case for case in cases if case["kind"] in kinds]


def by_id(case):
    return case["id"]
