"""Many cheap checks as one test: a test of its own costs more than most of them.

`each` stands where `pytest.mark.parametrize` would. All cases are tried, and those that fail are named with what their
ids would have been; the first of them is shown in full. A case that cannot be tried here skips itself alone.
"""

import inspect
from collections.abc import Callable, Iterable, Sequence
from functools import wraps
from typing import Any

import pytest

_NAMED = 20
"""So many failed cases are named."""


def each(names: str | Sequence[str], cases: Iterable[Any], ids: Any = None) -> Callable[[Any], Any]:
    """Call a test for every case, with the arguments as `pytest.mark.parametrize` would give them."""
    wanted = [name.strip() for name in names.split(",")] if isinstance(names, str) else list(names)
    given = [tuple(case) if len(wanted) > 1 else (case,) for case in cases]
    assert given, "no case to try"
    called = [_id(values, ids) for values in given] if ids is None or callable(ids) else list(map(str, ids))

    def made(test: Callable[..., None]) -> Callable[..., None]:
        @wraps(test)
        def whole(*args: Any, **fixtures: Any) -> None:
            failed, skipped = [], []
            for name, values in zip(called, given, strict=True):
                try:
                    test(*args, **fixtures, **dict(zip(wanted, values, strict=True)))
                except pytest.skip.Exception as reason:
                    skipped.append(reason)
                except (Exception, pytest.fail.Exception) as problem:  # noqa: BLE001  whatever a check raises
                    failed.append((name, problem))
            if failed:
                _name, first = failed[0]
                told = ", ".join(name for name, _problem in failed[:_NAMED])
                first.add_note(f"{len(failed)} of {len(given)} cases failed: {told}")
                raise first
            if skipped:
                pytest.skip(f"{skipped[0].msg} ({len(skipped)} of {len(given)} cases; the others were tried)")

        # What is left for pytest to give are the fixtures.
        asked = inspect.signature(test)
        left = [parameter for name, parameter in asked.parameters.items() if name not in wanted]
        assert len(left) == len(asked.parameters) - len(wanted), f"{test.__name__} lacks one of {wanted}"
        whole.__signature__ = asked.replace(parameters=left)
        return whole

    return made


def _id(values: tuple[Any, ...], ids: Callable[[Any], Any] | None) -> str:
    told = (ids(value) if ids else None for value in values)
    return "-".join(
        repr(value) if name is None else str(name) for value, name in zip(values, told, strict=True)
    )
