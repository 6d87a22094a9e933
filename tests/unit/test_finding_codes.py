"""The list of finding codes: complete, nothing in it that nothing raises, and plain text in the journal."""

import ast
import json
from pathlib import Path

from click.testing import CliRunner
from support_source import nodes_of

import tracelink
from tracelink import errors
from tracelink.cli import cli
from tracelink.ledger.codec import from_body, to_body
from tracelink.ledger.finding_codes import FindingCode, codes_as_markdown
from tracelink.ledger.kinds.station import ScanRefused

PACKAGE = Path(tracelink.__file__).parent
LIST = PACKAGE / "ledger" / "finding_codes.py"


def names_used(source):
    """The members of FindingCode that a source names."""
    return {
        node.attr
        for node in nodes_of(source)
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "FindingCode"
    }


def literals_given(source):
    """Codes that a source writes out where a member belongs: `Refused("...")`, `Finding("...")`, `finding="..."`."""
    found = []
    for node in nodes_of(source):
        if isinstance(node, ast.Call):
            callee = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            first = node.args[:1] if callee in {"Refused", "Finding"} else []
            given = [*first, *(one.value for one in node.keywords if one.arg == "finding")]
            found += [
                one.value for one in given if isinstance(one, ast.Constant) and isinstance(one.value, str)
            ]
    return found


def sources():
    return {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py") if path != LIST}


def of_errors():
    classes = [one for one in vars(errors).values() if isinstance(one, type)]
    return {one.finding for one in classes if issubclass(one, errors.IdentifierError)}


def test_the_detectors_see_what_they_must():
    assert names_used("x = FindingCode.ON_HOLD") == {"ON_HOLD"}
    assert literals_given('raise Refused("on-hold", "No.", subject="x")') == ["on-hold"]
    assert literals_given('v = ActResult((), "No.", finding="no-read")') == ["no-read"]
    assert literals_given("raise Refused(FindingCode.ON_HOLD, 'No.')") == []


def test_every_code_is_listed_and_every_code_listed_is_used():
    assert of_errors() >= {"wrong-format", "wrong-check-character"}
    used = {FindingCode[name] for source in sources().values() for name in names_used(source)}
    assert used | {FindingCode(code) for code in of_errors()} == set(FindingCode)


def test_no_source_writes_a_code_out_beside_the_list():
    assert {path.name: found for path, source in sources().items() if (found := literals_given(source))} == {}


def test_every_code_has_a_meaning_and_what_to_do_in_one_plain_line():
    assert list(FindingCode) == sorted(FindingCode)
    for code in FindingCode:
        assert FindingCode[code.upper().replace("-", "_")] is code
        for sentence in (code.meaning, code.to_do):
            assert sentence[0].isupper(), code
            assert sentence.endswith("."), code
            assert "|" not in sentence, "a cell of a Markdown table"


def test_a_code_is_its_text_in_the_journal_and_an_old_code_stays_readable():
    body = to_body(ScanRefused(FindingCode.ON_HOLD, "L000001S", "", "", "No."))
    assert type(body["finding"]) is str
    assert json.dumps(body) == (
        '{"finding": "on-hold", "subject": "L000001S", "expected": "", "found": "", "sentence": "No."}'
    )
    assert from_body(ScanRefused, {**body, "finding": "gone-since"}, "scan-refused").finding == "gone-since"


def test_the_command_lists_them_without_a_ledger(tmp_path):
    run = CliRunner().invoke(
        cli, ["--ledger", str(tmp_path / "none.db"), "findings", "--codes", "--format", "json"]
    )
    assert run.exit_code == 0
    assert json.loads(run.stdout) == [
        {"code": str(code), "meaning": code.meaning, "to_do": code.to_do} for code in FindingCode
    ]
    both = CliRunner().invoke(cli, ["findings", "--codes", "--late"])
    assert str(both.exception) == "--codes lists every code: leave out --finding, --station and --late"


def test_the_page_of_the_guide_is_the_list():
    page = (PACKAGE / "guide" / "findings.md").read_text(encoding="utf-8")
    assert page == codes_as_markdown()
    assert page.count("\n| `") == len(FindingCode)
