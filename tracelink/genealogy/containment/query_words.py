"""A containment query as words of a command line: for showing it, and for cases of older programs that kept it so."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from tracelink.errors import UsageError
from tracelink.genealogy.containment.next_test import DEFAULT_TESTS
from tracelink.genealogy.containment.query import ContainmentQuery, Evidence, parse_defect, parse_window
from tracelink.genealogy.model.shapes import Shape


def to_words(query: ContainmentQuery) -> tuple[str, ...]:
    """Return what a person would type behind `runout contain` to ask the same."""
    return tuple(_words(query))


def question_words(query: ContainmentQuery) -> str:
    """Return the question itself in one text: how many tests it names makes no other question."""
    return " ".join(to_words(replace(query, next_tests=DEFAULT_TESTS)))


def _words(query: ContainmentQuery) -> Iterator[str]:
    yield query.cause
    yield from ("--shape", query.shape.value)
    for one in query.evidence:
        yield from ("--evidence", str(one))
    if query.defect is not None:
        yield from ("--defect", query.defect)
    if query.window is not None:
        yield from ("--window", f"{query.window[0]}-{query.window[1]}")
    for code in query.also:
        yield from ("--also", code)
    for clause in query.only_with:
        yield from ("--only-with", ",".join(clause))
    if query.since is not None:
        yield from ("--from", query.since)
    if query.until is not None:
        yield from ("--to", query.until)
    if query.next_tests != DEFAULT_TESTS:
        yield from ("--next-tests", str(query.next_tests))


def from_words(words: Sequence[str]) -> ContainmentQuery:
    """Read a query back from its words.

    Raises:
        UsageError: this program does not know such words.
        IdentifierError: a code in them is wrong.
    """
    cause, options = _split(words)
    values: dict[str, Any] = {}
    for name, text in options:
        field, read, several = _OPTIONS[name]
        value = read(text)
        values[field] = (*values.get(field, ()), value) if several else value
    if cause is None or "shape" not in values:
        missing = "CODE, the cause" if cause is None else "--shape, how the fault began"
        raise UsageError(f"the question {' '.join(words)!r} cannot be read: it names no {missing}")
    return ContainmentQuery(cause, **values)


def _split(words: Sequence[str]) -> tuple[str | None, list[tuple[str, str]]]:
    cause: str | None = None
    options: list[tuple[str, str]] = []
    rest = iter(words)
    for word in rest:
        if word in _OPTIONS:
            value = next(rest, None)
            if value is None:
                raise UsageError(f"the question {' '.join(words)!r} cannot be read: {word} has no value")
            options.append((word, value))
        elif cause is None and not word.startswith("--"):
            cause = word
        else:
            raise UsageError(f"the question {' '.join(words)!r} cannot be read: {word!r} is not known here")
    return cause, options


def _shape(text: str) -> Shape:
    try:
        return Shape(text)
    except ValueError:
        known = ", ".join(shape.value for shape in Shape)
        raise UsageError(f"--shape is {text!r}: expected one of {known}") from None


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise UsageError(f"--next-tests is {text!r}: expected a whole number")
    return int(text)


_OPTIONS: dict[str, tuple[str, Callable[[str], Any], bool]] = {
    "--shape": ("shape", _shape, False),
    "--evidence": ("evidence", Evidence.parse, True),
    "--defect": ("defect", parse_defect, False),
    "--window": ("window", parse_window, False),
    "--also": ("also", str, True),
    "--only-with": ("only_with", lambda text: tuple(text.split(",")), True),
    "--from": ("since", str, False),
    "--to": ("until", str, False),
    "--next-tests": ("next_tests", _count, False),
}
"""Option -> field of the query, how its text is read, and whether it may be given several times."""
