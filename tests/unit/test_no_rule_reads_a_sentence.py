"""Rules look at fields: no room that holds rules takes apart, or searches, a sentence that was made for a person.

Otherwise a sentence could not be put better, or said in another language, without changing what is counted or stopped.
"""

import ast
import re
from pathlib import Path

import pytest
from support_source import nodes_of

import tracelink

PACKAGE = Path(tracelink.__file__).parent
ROOMS = ("station", "ledger", "genealogy", "balance", "quality", "store", "services")
SENTENCES = {"sentence", "message", "told"}
"""Attributes and names that hold what a person is told."""
SPEAKERS = {"problem", "refused", "fault", "finding", "verdict", "error"}
"""Names under which an error, a finding or a verdict goes; `except ... as` and loops over faults add theirs."""
CUTS = {
    "partition", "rpartition", "split", "rsplit", "splitlines", "startswith", "endswith", "removeprefix",
    "removesuffix", "find", "rfind", "index", "rindex", "replace", "count",
}  # fmt: skip
PATTERNS = {"match", "search", "fullmatch", "findall", "finditer", "sub", "split"}
SQL = re.compile(
    r"\b(sentence|message)\s+(NOT\s+)?(LIKE|GLOB|SIMILAR)\b|instr\(\s*sentence|position\(.*IN sentence",
    re.IGNORECASE,
)


def speakers(nodes):
    """The names that hold an error, a finding or a fault in this source."""
    names = set(SPEAKERS)
    for node in nodes:
        if isinstance(node, ast.ExceptHandler) and node.name:
            names.add(node.name)
        over = getattr(getattr(node, "iter", None), "attr", None)
        if over in {"faults", "findings"} and isinstance(node.target, ast.Name):
            names.add(node.target.id)
    return names


def is_sentence(node, names):
    if isinstance(node, ast.Attribute):
        held = node.attr == "text" and isinstance(node.value, ast.Name) and node.value.id in names
        return node.attr in SENTENCES or held
    if isinstance(node, ast.Name):
        return node.id in SENTENCES
    if isinstance(node, ast.Subscript):
        return is_sentence(node.value, names)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in {"str", "repr"} and any(
            (isinstance(given, ast.Name) and given.id in names) or is_sentence(given, names)
            for given in node.args
        )
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        return node.func.attr in {"lower", "upper", "strip", "casefold"} and is_sentence(
            node.func.value, names
        )
    return False


def reads(node, names):
    if isinstance(node, ast.Compare):
        looked_in = [
            side
            for operator, side in zip(node.ops, node.comparators, strict=True)
            if isinstance(operator, ast.In | ast.NotIn)
        ]
        return any(is_sentence(side, names) for side in looked_in)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        cut = node.func.attr in CUTS and is_sentence(node.func.value, names)
        return cut or (node.func.attr in PATTERNS and any(is_sentence(each, names) for each in node.args))
    if isinstance(node, ast.Subscript):
        return isinstance(node.slice, ast.Slice) and is_sentence(node.value, names)
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and bool(SQL.search(node.value))


def readings(source):
    """The lines at which a source reads a sentence."""
    nodes = nodes_of(source)
    names = speakers(nodes)
    return sorted({node.lineno for node in nodes if reads(node, names)})


@pytest.mark.parametrize(
    "planted",
    [
        'query = "SELECT found FROM finding WHERE sentence LIKE :batch"',
        'told, _, _rest = sentence.rpartition(" and scan STOP")',
        'first = finding.sentence.removesuffix("Scan STOP.")',
        'x = [one for one in last.faults if "was changed" in str(one)]',
        'try:\n    f()\nexcept LedgerError as trouble:\n    late = "missing" in str(trouble)',
        'if verdict.sentence.lower().startswith("put both"):\n    pass',
        'found = re.search("batch (.*)", refused.finding.sentence)',
        "short = problem.message[:20]",
        'if "PIN" in finding.told:\n    pass',
    ],
)
def test_the_detector_sees_a_planted_reading(planted):
    assert len(readings(planted)) == 1


@pytest.mark.parametrize(
    "fine",
    [
        'sentence = f"{told} {more}"',
        'if finding.code in LASTING:\n    sentence = "Stop."',
        'code = reading.text.split("=")',
        'rows = "SELECT sentence FROM finding WHERE finding = :finding"',
        "say(str(problem))",
    ],
)
def test_the_detector_lets_making_a_sentence_pass(fine):
    assert readings(fine) == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_rule_reads_a_sentence(room):
    sources = {path: path.read_text(encoding="utf-8") for path in (PACKAGE / room).rglob("*.py")}
    assert sources
    found = [(str(path.relative_to(PACKAGE)), readings(source)) for path, source in sources.items()]
    assert [(path, lines) for path, lines in found if lines] == []
