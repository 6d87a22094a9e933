"""The published EPCIS schema and documents, read from beside the repository: they are others' work and not copied."""

import json
from functools import cache
from pathlib import Path

import jsonschema
import pytest

HERE = Path(__file__).resolve()
EPCIS = next(
    (root / "shared/checks/epcis" for root in HERE.parents if (root / "shared/checks/epcis").is_dir()),
    HERE.parents[2] / "shared/checks/epcis",
)


def document(name):
    """Return a document of that folder, such as "examples/x.jsonld"; skips by name if it is not there."""
    path = EPCIS / name
    if not path.exists():
        pytest.skip(f"{path.name} is not beside the repository")
    return json.loads(path.read_text(encoding="utf-8"))


@cache
def validator():
    """Return the published schema with format checking on."""
    schema = document("EPCIS-JSON-Schema.json")
    return jsonschema.Draft7Validator(schema, format_checker=jsonschema.Draft7Validator.FORMAT_CHECKER)


def given(case):
    """Return the document of a check value."""
    inside = case["input"]
    return inside["document"] if "document" in inside else document(inside["file"].removeprefix("epcis/"))
