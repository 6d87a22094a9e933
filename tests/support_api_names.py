"""The reference page of the public package, written from its docstrings: `python tests/support_api_names.py`."""

import ast
import inspect
import re
import sys
from dataclasses import is_dataclass
from enum import Enum
from functools import cached_property
from pathlib import Path

import runout
from runout._areas import Area

PAGE = Path(__file__).parents[1] / "tracelink" / "guide" / "api-names.md"
_HEAD = """# Every name of the package runout

For: programmers who look a name up

What another program may rely on: functions, the open ledger with its areas, and what goes in and comes out. `runout guide api`
shows how they are used.
"""


def reference():
    """Return the whole page."""
    shown = {name: getattr(runout, name) for name in runout.__all__ if name != "errors"}
    functions = {name: each for name, each in shown.items() if inspect.isfunction(each)}
    areas = areas_of(runout.OpenLedger)
    rest = {
        name: each
        for name, each in shown.items()
        if name not in functions and each is not runout.OpenLedger and each not in areas.values()
    }
    parts = [
        _HEAD,
        _table(
            "Functions", "function", [(_call(name, each), _first(each)) for name, each in functions.items()]
        ),
        _table("The open ledger", "of `ledger`", list(_members("ledger", runout.OpenLedger, skip=areas))),
        *(
            _table(f"`ledger.{name}`", _first(area), list(_members(f"ledger.{name}", area)))
            for name, area in areas.items()
        ),
        *(_table(f"`{name}`", _first(each), list(_inside(each))) for name, each in rest.items()),
    ]
    return "\n".join(parts)


def areas_of(ledger):
    """The areas of an open ledger: name -> class."""
    found = {
        name: getattr(runout, each.fget.__annotations__["return"])
        for name, each in inspect.getmembers(ledger, lambda member: isinstance(member, property))
        if each.fget.__qualname__.startswith("Areas.")
    }
    assert all(issubclass(area, Area) for area in found.values())
    return found


def public(cls):
    """Name -> member of a class, inherited ones too, in the order in which they are written."""
    found = {}
    for base in reversed(cls.__mro__[:-1]):
        found |= {name: member for name, member in vars(base).items() if not name.startswith("_")}
    return found


def _members(owner, cls, skip=()):
    for name, member in public(cls).items():
        if name in skip:
            continue
        if isinstance(member, property | cached_property):
            yield f"`{owner}.{name}`", _first(member)
        elif callable(member) or isinstance(member, classmethod | staticmethod):
            yield _call(f"{owner}.{name}", getattr(cls, name)), _first(getattr(cls, name))


def _inside(cls):
    if not inspect.isclass(cls):
        return
    if issubclass(cls, Enum):
        yield from ((f"`{one.name}`", f'"{one.value}"') for one in cls)
        return
    fields = _fields(cls) if is_dataclass(cls) else {}
    yield from ((f"`{name}`", text) for name, text in fields.items())
    for name, member in public(cls).items():
        if isinstance(member, property):
            yield f"`{name}`", _first(member)
        elif name not in fields and inspect.isfunction(member):
            yield _call(name, member), _first(member)


def _fields(cls):
    """Each field with the text that stands under it."""
    found = {}
    for base in reversed(cls.__mro__[:-1]):
        [tree] = ast.parse(inspect.cleandoc("\n" + inspect.getsource(base))).body
        for node, after in zip(tree.body, [*tree.body[1:], None], strict=True):
            if not isinstance(node, ast.AnnAssign) or node.target.id.startswith("_"):
                continue
            said = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
            text = _line(after.value.value) if said else ""
            found[node.target.id] = text or found.get(node.target.id, "")
    return found


def _call(name, function):
    signature = inspect.signature(function)
    given = [
        each.replace(annotation=inspect.Parameter.empty)
        for each in signature.parameters.values()
        if each.name not in ("self", "cls")
    ]
    shown = str(inspect.Signature(given))
    return f"`{name}{re.sub(r'<function .*? at 0x[0-9a-f]+>', '...', shown)}`"


def _first(thing):
    return _line((inspect.getdoc(thing) or "").partition("\n\n")[0])


def _line(text):
    return " ".join(text.split()).replace("|", "\\|")


def _table(title, about, rows):
    lines = [f"## {title}", "", *([f"{about}", ""] if about[0].isupper() else [])]
    if rows:
        lines += ["| name | what it is |", "|---|---|", *(f"| {name} | {text} |" for name, text in rows), ""]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.path.insert(0, str(PAGE.parents[1] / "public"))
    PAGE.write_text(reference(), encoding="utf-8")
