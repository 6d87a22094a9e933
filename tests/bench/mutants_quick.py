"""A quick look at mutants: the code of one function is swapped in a child of a process that has all tests in hand.

Importing the program, its tests and the libraries costs more than most mutants need to be noticed, so it is done once.
What happens when a module is imported or was made before the fork is not seen: only "noticed" counts here, and what is
not noticed is tried again from scratch.
"""

import os
import resource
import sys
import types
from collections.abc import Callable, Sequence
from functools import cached_property
from importlib import import_module
from pathlib import Path

import pytest
from mutants_edits import Edit
from sqlalchemy import TextClause

OUT_OF_TIME = "noticed by running out of time"


def look(
    root: Path,
    tries: Sequence[tuple[Edit, list[str]]],
    seconds: int,
    tell: Callable[[int, str | None], None],
) -> None:
    """Try mutants, each with its tests, and tell which test noticed it, or None."""
    files = sorted({test.partition("::")[0] for _, tests in tries for test in tests})
    os.chdir(root)
    sys.path[:0] = [str(root)]
    # No terminal: a child would write into it.
    plain = ["-s", "-p", "no:terminal", "-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib"]
    pytest.main([*plain, *files], plugins=[_Forking(root, tries, seconds, tell)])


class _Forking:
    """Runs mutants in place of tests, once these are collected."""

    def __init__(
        self,
        root: Path,
        tries: Sequence[tuple[Edit, list[str]]],
        seconds: int,
        tell: Callable[[int, str | None], None],
    ) -> None:
        self._root, self._tries, self._seconds, self._tell = root, tries, seconds, tell

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        found = {item.nodeid: item for item in session.items}
        import support_plant  # noqa: PLC0415  from the folder of the tests

        support_plant.Floor.copy()  # is kept: most stations' tests begin with it
        for number, (edit, tests) in enumerate(self._tries):
            self._tell(number, self._noticed(session, edit, [found[test] for test in tests if test in found]))
        return True

    def _noticed(self, session: pytest.Session, edit: Edit, items: list[pytest.Item]) -> str | None:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            self._run(session, edit, items, writing)
        os.close(writing)
        with os.fdopen(reading) as told:
            failed = told.read()
        _, status = os.waitpid(child, 0)
        return failed or (OUT_OF_TIME if os.waitstatus_to_exitcode(status) < 0 else None)

    def _run(self, session: pytest.Session, edit: Edit, items: list[pytest.Item], writing: int) -> None:
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (self._seconds, self._seconds))
            if not swapped(self._root, edit):
                os._exit(0)
            for item, after in zip(items, [*items[1:], None], strict=True):
                session.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
                if session.testsfailed:
                    os.write(writing, f"FAILED {item.nodeid}".encode())
                    os._exit(0)
        finally:
            os._exit(0)


def can_be_swapped(edit: Edit) -> bool:
    """Return whether a place is within reach: in a function, or in a statement of SQL that a module keeps."""
    return bool(edit.where.partition(" SQL ")[0]) or edit.where.startswith(" SQL ")


def swapped(root: Path, edit: Edit) -> bool:
    """Give the function of an edit its changed code, or the statement its text; False if the place is out of reach."""
    changed = compile(edit.applied((root / edit.module).read_bytes()), edit.module, "exec")
    module = import_module(edit.module.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
    where = edit.where.partition(" SQL ")[0]
    return _swap_code(module, changed, where.split(".")) if where else _swap_texts(module, changed)


def _swap_texts(module: types.ModuleType, changed: types.CodeType) -> bool:
    """Give statements that a module keeps their changed texts, in place: others may have them by name."""
    other = dict(vars(module))
    exec(changed, other)
    found = [
        (kept, other[name])
        for name, kept in vars(module).items()
        if isinstance(kept, TextClause) and other[name].text != kept.text
    ]
    for kept, text in found:
        kept.text = text.text
    import_module("tracelink.store.statements.short_reads")._SQLITE.clear()
    return bool(found)


def _swap_code(owner: object, code: types.CodeType | None, where: Sequence[str]) -> bool:
    for name in where:
        code = next((one for one in code.co_consts if _is_code(one, name)), None)
        found = vars(owner).get(name) if hasattr(owner, "__dict__") else None
        if code is None or found is None:
            return False
        owner = _function(found)
        if isinstance(owner, types.FunctionType):
            owner.__code__ = code
            return True
    return False


def _is_code(one: object, name: str) -> bool:
    return isinstance(one, types.CodeType) and one.co_name == name


def _function(found: object) -> object:
    match found:
        case property():
            found = found.fget
        case cached_property():
            found = found.func
        case staticmethod() | classmethod():
            found = found.__func__
    while hasattr(found, "__wrapped__"):
        found = found.__wrapped__
    return found
