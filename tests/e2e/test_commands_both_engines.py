"""Every command and every station on a file and on a server: one day of work, typed into both, says and books the same.

`RUNOUT_TEST_ENGINE=postgresql` runs all tests that scan on a plant in memory on a server instead (`support_plant.py`).
"""

import json
import re
import shutil
from pathlib import Path

from support_cases import shipped_file
from support_cli import run
from support_clock import station_clock
from support_commands import commands
from support_typed_day import INVESTIGATION, day

from runout import copy_ledger
from tracelink.store.journal import journal
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import read_ledger

NO_LEDGER = {
    "demo", "guide", "agreement", "gauge-study", "code read", "case rules", "audit check", "audit verifier", "label read",
    "label draw", "label preview", "label check", "label batch", "station-key make",
}  # fmt: skip
"""Commands that open none, or only draw."""
ELSEWHERE = {
    **dict.fromkeys(("group publish", "group add", "group take", "group status"), "test_group.py"),
    **dict.fromkeys(("group trace", "group contain", "group find"), "test_group.py"),
    **dict.fromkeys(
        ("browser enrol", "browser withdraw"), "what they give out is of chance; they ask the public package"
    ),
    "serve": "a server does not end; its pages ask the public package, as all commands do",
    "init": "test_plan_postgres.py",
    "copy": "test_copy.py",
    "backup": "for files; a server has its own tools",
    "restore": "for files; a server has its own tools",
    "upgrade": "test_tree_postgres.py",
    "audit export": "test_audit_bundle_postgres.py",
    "health": "what it measures is of this moment; on a server it asks for no checkpoint beside a file",
    "process": "test_both_engines.py",
    "assembly": "test_both_engines.py",
}
"""Commands that are tried on a server in another place, or have no place there."""


REFUSED = {"chart", "baseline", "capability", "read-results", "check-cartons", "label numbers"}
"""Commands that this plant has nothing for (no lab test, no carton that was not shipped, no batch without numbers): they say so alike."""


class Engine:
    """A ledger, into which is typed from a folder of its own."""

    def __init__(self, place, folder, monkeypatch):
        self.place = place
        self._folder = folder
        self._monkeypatch = monkeypatch
        folder.mkdir()

    def type(self, made):
        self._monkeypatch.chdir(self._folder)
        # Keys of its own: beside a key is kept what was signed last.
        for key in ("ours.key", "eye.key"):
            if not Path(key).exists():
                shutil.copy(f"../{key}", key)
        words = [self._investigation() if word is INVESTIGATION else word for word in made.words]
        return run(*words, ledger=self.place, scans=made.scans)

    def _investigation(self):
        with read_ledger(self.place) as conn:
            return conn.exec_driver_sql("SELECT MAX(seq) FROM investigation").scalar()

    def entries(self):
        """What every entry says, apart from the times of this run and what follows from them."""
        with read_ledger(self.place) as conn:
            assert examine(conn).faults == []
            bodies = [json.loads(row.canonical) for row in journal.rows(conn)]
        return [
            (each["kind"], plain(json.dumps(each["body"])), each["station"], each["person"])
            for each in bodies
        ]


_OF_THIS_RUN = re.compile(
    r"[0-9a-f]{16,64}|20\d\d-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?(Z|[ ]?[+-]\d\d:\d\d)?|\b\d+\.\d+\b|[A-Za-z0-9+/]{40,}=*"
)


def plain(text):
    """Return what was said without times and hashes of this run, and without the widths that they gave to columns."""
    text = text.replace("\u202f", "")
    return re.sub(r"[ ─]+", " ", _OF_THIS_RUN.sub("#", text))


def names(words):
    """The name of the command that words begin with."""
    return next(
        " ".join(map(str, words[:size])) for size in (2, 1) if " ".join(map(str, words[:size])) in commands()
    )


def test_a_day_typed_into_a_file_and_into_a_server_is_the_same(tmp_path, pg_place, monkeypatch):
    file = shipped_file(tmp_path)
    copy_ledger(file, pg_place)
    engines = [
        Engine(str(file), tmp_path / "file", monkeypatch),
        Engine(pg_place, tmp_path / "server", monkeypatch),
    ]
    steps = day(tmp_path)
    # Relative: each engine has the key in its own folder.
    monkeypatch.setenv("RUNOUT_PIN_KEY", "pin.key")
    apart = []
    with station_clock():
        for made in steps:
            one, other = (engine.type(made) for engine in engines)
            is_expected = (one.code in (0, 1)) != (names(made.words) in REFUSED)
            said = [
                plain((each.out + each.err).replace(engine.place, "LEDGER"))
                for each, engine in zip((one, other), engines, strict=True)
            ]
            if not is_expected or one.code != other.code or said[0] != said[1]:
                apart.append((made.words, one, other))
    assert apart == []
    assert engines[0].entries() == engines[1].entries()


def test_every_command_is_tried_on_a_server(tmp_path):
    tried = {names(made.words) for made in day(tmp_path)}
    assert {*commands()} == tried | NO_LEDGER | {*ELSEWHERE}
    assert not tried & (NO_LEDGER | {*ELSEWHERE})
