"""Texts from templates that a plant edits: Jinja2 in its sandbox.

A template names values and repeats lines, and cannot reach the program. A name that does not exist is an error with its
line, never an empty place in a letter.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jinja2 import PackageLoader, StrictUndefined, TemplateError, TemplateNotFound, TemplateSyntaxError
from jinja2.exceptions import SecurityError
from jinja2.runtime import Context
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from tracelink.errors import UsageError
from tracelink.ledger.count_words import grouped
from tracelink.ledger.time_words import moment
from tracelink.limited import within_limits
from tracelink.plainfile import plain_text
from tracelink.report.format.plain import visible

_LARGEST = 200_000
"""Characters of a template or a letter: forty times a long one."""


class _Letters(ImmutableSandboxedEnvironment):
    """The sandbox, in which a letter cannot be made endless by multiplying text either."""

    intercepted_binops = frozenset({"*", "**"})

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:  # noqa: ARG002
        """Multiply numbers of a letter's size; refuse everything else."""
        numbers = isinstance(left, int) and isinstance(right, int) and max(abs(left), abs(right)) < _LARGEST
        if numbers and operator == "*":
            return left * right
        raise SecurityError(
            f"{operator} is not for a letter: {type(left).__name__} {operator} {type(right).__name__}"
        )


def filled(what: str, own: str, template: Path | None, values: Mapping[str, Any]) -> str:
    """Fill a template.

    Args:
        what: what is written, for a refusal: `notice`.
        own: name of the template of this program.
        template: the plant's own in its place; None for that of the program.
        values: what it can name.

    Raises:
        UsageError: the template cannot be read or filled, or makes too much.
    """
    where = f"the {what} template" if template is None else f"template {template}"
    environment = _Letters(
        loader=PackageLoader("tracelink.report"),
        autoescape=False,  # A letter in plain text, not a page.
        undefined=StrictUndefined,
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["moment"] = moment
    try:
        if template is None:
            found = environment.get_template(own).render(**values)
        else:
            text = _read(template)
            found = within_limits(lambda: environment.from_string(text).render(**values), where)
    except TemplateSyntaxError as problem:
        raise UsageError(f"{where}, line {problem.lineno}: {problem.message}") from None
    except TemplateNotFound as problem:
        raise UsageError(
            f"{where} takes in {problem.name!r}: expected a template that is whole in itself"
        ) from None
    except (TemplateError, ArithmeticError, LookupError, TypeError, ValueError, RecursionError) as problem:
        raise UsageError(f"{where} cannot be filled: {problem}") from None
    if len(found) > _LARGEST:
        raise UsageError(f"{where} makes {len(found)} characters: expected at most {_LARGEST}")
    return found


def _read(template: Path) -> str:
    try:
        text = plain_text(template, "utf-8")
    except OSError as problem:
        raise UsageError(f"template {template} cannot be read: {problem.strerror or problem}") from None
    except UnicodeDecodeError as problem:
        raise UsageError(
            f"template {template} is not UTF-8 text: byte {problem.start} cannot be read"
        ) from None
    if len(text) > _LARGEST:
        raise UsageError(f"template {template} has {len(text)} characters: expected at most {_LARGEST}")
    return text


def _shown(value: object) -> object:
    """Figures in groups as on a page; nothing typed or scanned may act on what shows the letter."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return grouped(value)
    if isinstance(value, str) and not isinstance(value, Markup):
        return "\n".join(visible(line) for line in value.split("\n"))
    return value
