"""The published EPCIS schema and documents: others' work, read from where the run says."""

import json
from functools import cache

from support_documents import outside


def document(name):
    """Return a document of that folder, such as "examples/x.jsonld"; skips by name if it is not there."""
    return json.loads(outside(f"epcis/{name}").read_text(encoding="utf-8"))


@cache
def validator():
    """Return the published schema with format checking on."""
    import jsonschema  # noqa: PLC0415  builds its grammars of formats when it is imported, which takes seconds

    schema = document("EPCIS-JSON-Schema.json")
    return jsonschema.Draft7Validator(schema, format_checker=jsonschema.Draft7Validator.FORMAT_CHECKER)


def given(case):
    """Return the document of a check value."""
    inside = case["input"]
    return inside["document"] if "document" in inside else document(inside["file"].removeprefix("epcis/"))
