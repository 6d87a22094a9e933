"""The page for programmers is true: its programs run, in order, in one folder with the demo ledger."""

import contextlib
import inspect
import io
import re
import shutil

from support_api_names import PAGE as NAMES
from support_api_names import areas_of, public, reference
from support_demo import ROOT, played_demo

import runout

PAGE = (ROOT / "tracelink" / "guide" / "api.md").read_text(encoding="utf-8")
PROGRAMS = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)


def test_its_programs_run_one_after_the_other(tmp_path_factory, tmp_path, monkeypatch):
    out = tmp_path / "out"
    shutil.copytree(played_demo(tmp_path_factory), out)
    monkeypatch.chdir(out)
    told, names = io.StringIO(), {}
    with contextlib.redirect_stdout(told):
        for program in PROGRAMS:
            exec(compile(program, "api.md", "exec"), names)
    lines = told.getvalue().splitlines()
    assert re.fullmatch(r".+ has \d+ to \d+ affected discs, of \d+", lines[0])
    assert any(re.fullmatch(r"\d+ True", line) for line in lines), "the demo's journal verifies"
    assert "L0047070" in lines[-1]


def test_it_names_every_method_and_error():
    areas = areas_of(runout.OpenLedger)
    methods = [
        f"{name}(" for name in public(runout.OpenLedger) if name not in ("close", "head", "place", *areas)
    ]
    methods += [f"{name}.{method}(" for name, area in areas.items() for method in public(area)]
    assert [name for name in methods if name not in PAGE] == []
    functions = [name for name in runout.__all__ if inspect.isfunction(getattr(runout, name))]
    assert [name for name in functions if f"{name}(" not in PAGE] == []
    for name in re.findall(r"^\| (`.*?`) \|", PAGE.split("## Errors")[1], re.MULTILINE):
        for error in re.findall(r"`(\w+)`", name):
            assert issubclass(getattr(runout.errors, error), runout.errors.LedgerError)


def test_the_page_of_names_is_written_from_the_package():
    """If it is not: `python tests/support_api_names.py` writes it anew."""
    assert NAMES.read_text(encoding="utf-8") == reference()
