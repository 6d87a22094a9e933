"""What a scope says about its cause, for the terminal: the level, the samples, the next test."""

from collections.abc import Iterable

from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.suspects.lookat import NextTest, Sibling
from tracelink.genealogy.suspects.samples import caution
from tracelink.report.format.disc_columns import worded
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind

TEST_COLUMNS = (
    Column("lot", "lot"),
    Column("stroke", "stroke", Kind.NUMBER),
    Column("place", "where"),
    Column("kind", "kind"),
    Column("inside", "inside"),
    Column("if_good", "left if good", Kind.COUNT),
    Column("if_bad", "left if bad", Kind.COUNT),
    Column("expected", "left on average", Kind.MEASURE),
)


def cause_text(scope: Scope) -> list[str]:
    """Return the lines on level, samples and next tests; none for a cause that is followed by place."""
    parts: list[str] = []
    if scope.levels is not None:
        parts += ["", "Which level carries the fault", f"  {scope.levels.sentence}"]
        parts += [f"  - {sentence}" for sentence in missing_tests(scope.siblings)]
    if scope.samples:
        parts += ["", "What the judged samples show"]
        parts += [f"  - {shown.sentence}" for shown in scope.samples]
        parts += [f"  {caution(scope.words)}"]
    if scope.next_tests.sentence:
        parts += ["", "What to test next", f"  {scope.next_tests.sentence}"]
    if scope.next_tests.tests:
        parts += [
            render(test_rows(scope.next_tests.tests), worded(TEST_COLUMNS, scope.words), "table").rstrip("\n")
        ]
    return parts


def test_rows(tests: Iterable[NextTest]) -> list[dict[str, Cell]]:
    """Return one row per test, keys of `TEST_COLUMNS`."""
    return [
        {
            "lot": test.lot,
            "stroke": "any" if test.stroke is None else test.stroke,
            "place": test.place,
            "kind": test.kind,
            "inside": " in ".join(test.parents),
            "if_good": test.if_good,
            "if_bad": test.if_bad,
            "expected": f"{test.expected:.1f}",
        }
        for test in tests
    ]


def missing_tests(siblings: Iterable[Sibling]) -> list[str]:
    """Return one sentence per stamper of the family without a judged disc: which disc would tell."""
    found = []
    for sibling in siblings:
        kept = sibling.kept
        which = "any disc" if sibling.stroke is None else f"disc {sibling.stroke}"
        where = (
            "the records know no place in the plant that holds only discs of it"
            if kept is None
            else f"{which} of lot {kept.lot} in {kept.kind} {kept.place} would tell"
        )
        found.append(f"Stamper {sibling.stamper} has no judged disc: {where}.")
    return found
