"""The reference pages leave nothing out that the code has: fields, settings, letters, cards, exit codes."""

import ast
import json
import re
import shutil
from pathlib import Path

import pytest
from support_cli import run
from support_each import each

from tracelink import errors
from tracelink.cli.common.ending import FAULT, STOPPED
from tracelink.cli.guide import FOLDER
from tracelink.cli.health import URGENT
from tracelink.identity.plantcode import CodeKind
from tracelink.identity.rawlines import raw_act
from tracelink.ledger.plant import plant_tables, plantchanges, plantcontacts, plantfile, plantkits
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS
from tracelink.printing.act_meanings import acts_of
from tracelink.station.acts_of_areas import AREAS


def page(name):
    return (FOLDER / f"{name}.md").read_text(encoding="utf-8")


def rows(text):
    """Cells of every table row, code marks taken off."""
    lines = [line for line in text.splitlines() if line.startswith("| ")]
    return [tuple(cell.strip(" `") for cell in line.strip("|").split("|")) for line in lines]


def section(text, heading):
    return text.split(f"\n## {heading}", 1)[1].split("\n## ", 1)[0]


READERS = {"text", "number", "flag", "code", "gtin", "one_of", "many", "optional", "table"}


def fields_read(module):
    """Every name that a reader of plant files takes from a table."""
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    calls = [
        node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    ]
    return {
        call.args[0].value
        for call in calls
        if call.func.attr in {*READERS, "pop"} and call.args and isinstance(call.args[0], ast.Constant)
    }


def test_every_field_of_a_plant_file_is_explained():
    modules = (plantfile, plant_tables, plantchanges, plantcontacts)
    names = set().union(*map(fields_read, modules)) | {"disc", "item", "prompt", "name"}
    assert {"company_prefix", "matrix_pattern", "clearance_areas", "domain", "carton_size", "lines"} <= names
    text = page("plant-file")
    missing = {name for name in names if not re.search(rf"[`\[{{ ]{name}[`\] =]", text)}
    assert missing == set()


@each("name", plant_tables.SECTIONS)
def test_every_section_of_a_plant_file_has_a_heading(name):
    assert f"\n## [[{name}]]\n" in page("plant-file")


def test_the_shapes_of_a_kit_row_are_shown():
    for shape in plantkits._SHAPES:
        assert all(f"{name} = " in page("plant-file") for name in shape)


def test_every_setting_stands_with_its_default_and_its_source():
    table = rows(section(page("plant-file"), "Settings"))[1:]
    plain = [
        (
            each.name,
            str(each.value),
            each.source.replace("from memory", "not checked against the original text"),
        )
        for each in DEFAULT_SETTINGS
    ]
    assert table == plain


def test_every_code_letter_stands_with_its_name():
    table = rows(section(page("plant-file"), "Code letters"))[1:]
    assert [(letter, noun) for letter, noun, _ in table] == [(kind.value, kind.noun) for kind in CodeKind]


def test_every_card_stands_with_what_a_scanner_sends():
    table = {(word, scan) for word, scan, _meaning in rows(page("act-cards")) if word not in {"card", "---"}}
    assert table == {(act.word, raw_act(act.word)) for area in AREAS for act in acts_of(area)}


def test_every_exit_code_is_explained():
    codes = {
        error.exit_code
        for error in vars(errors).values()
        if isinstance(error, type) and hasattr(error, "exit_code")
    }
    explained = {int(row[0]) for row in rows(page("exit-codes")) if row[0].isdigit()}
    assert explained == codes | {0, 1, FAULT, STOPPED, URGENT}


def answers():
    """Commands of the JSON page, whether each prints a list, and its fields."""
    table = section(page("json"), "What each command prints")
    rows_of_table = re.findall(r"^\| `runout (.*?)` \| (list|object) \| (.*?) \|$", table, re.MULTILINE)
    return {command: (kind, re.findall(r"`(\w+)`", fields)) for command, kind, fields in rows_of_table}


@pytest.mark.parametrize("command", answers())
def test_every_field_of_a_json_answer_is_named(command, demo, tmp_path):
    kind, fields = answers()[command]
    ledger = shutil.copy(demo / "runout.db", tmp_path)
    given = json.loads(run(*command.split(), "--format", "json", ledger=ledger).out)
    assert type(given) is {"list": list, "object": dict}[kind]
    assert list(given[0] if kind == "list" else given) == fields
