"""The page for programmers is true: its programs run, in order, in one folder with the demo ledger."""

import contextlib
import io
import re
import shutil

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
    methods = [name for name in dir(runout.OpenLedger) if not name.startswith("_")]
    assert [
        name for name in methods if f"{name}(" not in PAGE and name not in ("close", "head", "place")
    ] == []
    for name in re.findall(r"^\| (`.*?`) \|", PAGE.split("## Errors")[1], re.MULTILINE):
        for error in re.findall(r"`(\w+)`", name):
            assert issubclass(getattr(runout.errors, error), runout.errors.LedgerError)
