"""The pure rooms import neither the outside world nor an edge room; read from the source, not by importing."""

import ast
import re
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from support_source import nodes_of

import tracelink

PACKAGE = Path(tracelink.__file__).parent
PURE = ("identity", "ledger", "station", "genealogy", "quality", "balance", "facts")
BUILT = [room for room in PURE if (PACKAGE / room).is_dir()]
EDGE = ("clock", "store", "devices", "printing", "report", "services", "web", "cli", "datadir")
FORBIDDEN = {
    "sqlalchemy", "alembic", "pysqlite3", "sqlite3", "click", "rich", "os", "io", "sys", "time", "pathlib", "shutil",
    "subprocess", "random", "secrets", "socket", "threading", "asyncio", "logging", "tempfile", "locale",
    *(f"tracelink.{room}" for room in EDGE),
}  # fmt: skip
THIRD_PARTY = {"rfc8785", "biip", "scipy"}
"""What a pure room may use beside the standard library."""


def modules(room):
    return sorted((PACKAGE / room).rglob("*.py"))


def imported(nodes):
    """Every module that a source imports, wherever in it."""
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def nodes_in(path):
    return nodes_of(path.read_text(encoding="utf-8"))


@cache
def imports_of(path):
    return tuple(imported(nodes_in(path)))


def forbidden(name):
    parts = name.split(".")
    return any(".".join(parts[: length + 1]) in FORBIDDEN for length in range(len(parts)))


def test_the_rooms_are_all_there():
    rooms = {path.name for path in PACKAGE.iterdir() if (path / "__init__.py").is_file()}
    assert rooms <= {*PURE, *EDGE}
    assert rooms >= {"identity", "ledger", "station", "genealogy", "store", "cli"}


def test_the_checker_sees_what_it_must():
    source = "import os.path\ndef f():\n    from tracelink.store import journal\n    import time as t\n"
    assert [name for name in imported(nodes_of(source)) if forbidden(name)] == [
        "os.path", "tracelink.store", "tracelink.store.journal", "time",
    ]  # fmt: skip
    assert forbidden("tracelink.store.stations.answers")
    assert not forbidden("tracelink.storehouse")
    assert not forbidden("operator")


@pytest.mark.parametrize("room", BUILT)
def test_a_pure_room_imports_nothing_of_the_outside(room):
    sources = {path: nodes_in(path) for path in modules(room)}
    found = [
        (path.name, name) for path, nodes in sources.items() for name in imported(nodes) if forbidden(name)
    ]
    assert found == []
    foreign = {name.split(".")[0] for nodes in sources.values() for name in imported(nodes)} - {
        "tracelink",
        *sys.stdlib_module_names,
    }
    assert foreign <= THIRD_PARTY


@pytest.mark.parametrize("room", BUILT)
def test_a_pure_room_asks_no_clock_and_opens_no_file(room):
    clocks = {"now", "utcnow", "today", "localtime"}
    for path in modules(room):
        for node in nodes_in(path):
            if isinstance(node, ast.Attribute):
                assert node.attr not in clocks, f"{path.name}:{node.lineno}"
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in {"open", "input", "print", "eval", "exec", "__import__"}, path.name


def test_what_is_slow_to_import_is_imported_where_it_is_used_and_not_before():
    """biip costs a tenth of a second at every start, scipy several."""
    for room in BUILT:
        for path in modules(room):
            at_top = [
                node for node in nodes_in(path)[0].body if isinstance(node, ast.Import | ast.ImportFrom)
            ]
            names = [*imported(at_top)]
            assert not any(name.split(".")[0] in {"biip", "scipy"} for name in names), path.name


LONG = {
    "public/runout/__init__.py": "names alone: whoever looks for one finds all of them in one list",
    "report/bundle/verify_bundle.py": "one file that must run by itself, copied out of a bundle",
}
"""The modules of more than 300 lines, each with the reason why it is not cut."""


def test_a_module_is_short_or_says_why_not():
    lengths = {
        path.relative_to(PACKAGE).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in PACKAGE.rglob("*.py")
    }
    assert len(lengths) > 100
    assert {name for name, lines in lengths.items() if lines > 300} == {*LONG}


AREAS = ("line", "dock", "press", "lab", "toolroom", "process", "assembly")


def foreign_areas(area, name):
    """Whether a module of `area`, or of common if that is None, imports another area of the stations."""
    parts = name.split(".")
    return parts[:2] == ["tracelink", "station"] and len(parts) > 2 and parts[2] in {*AREAS} - {area}


def test_the_areas_of_the_stations_share_only_what_is_common():
    assert foreign_areas("line", "tracelink.station.dock.rules")
    assert foreign_areas(None, "tracelink.station.line")
    assert not foreign_areas("line", "tracelink.station.line.state")
    assert not foreign_areas("line", "tracelink.station.common.refusals")
    found = [
        (f"{area}/{path.name}", name)
        for area in (*AREAS, "common")
        for path in modules(f"station/{area}")
        for name in imports_of(path)
        if foreign_areas(area if area in AREAS else None, name)
    ]
    assert found == []


PURE_BELOW = {"identity", "ledger", "station", "genealogy", "quality", "balance", "facts", "errors"}

ROOM_USES = {
    "errors": set(),
    "datadir": {"errors"},
    "clock": set(),
    "plainfile": set(),
    "limited": {"errors"},
    "identity": {"errors"},
    "quality": {"errors"},
    "ledger": {"errors", "identity"},
    "station": {"errors", "identity", "ledger"},
    "balance": {"errors", "ledger"},
    "genealogy": {"errors", "identity", "ledger", "quality"},
    "facts": {"ledger", "balance", "genealogy"},
    "devices": {"errors", "identity", "ledger", "plainfile"},
    "printing": {"errors", "identity", "station", "devices", "datadir", "plainfile"},
    "report": {*PURE_BELOW, "printing", "plainfile", "limited"},
    "store": {*PURE_BELOW, "datadir", "clock", "plainfile"},
    "services": {*PURE_BELOW, "clock", "plainfile", "limited", "store", "report", "devices", "printing"},
    "public": {*PURE_BELOW, "clock", "store", "services"},
    "web": {*PURE_BELOW, "clock", "report", "public"},
    "cli": {*PURE_BELOW, "datadir", "clock", "plainfile", "report", "devices", "printing", "public", "web"},
}
"""Which other rooms each room uses, wherever in its modules; each stands below it, so that there is no circle."""


def rooms_of(names):
    """The rooms that some imports come from; the public package is imported by its own name."""
    parts = [name.split(".") for name in names]
    rooms = {each[1] for each in parts if each[0] == "tracelink" and each[1:]}
    return rooms | {"public" for each in parts if each[0] == "runout"}


def test_the_rooms_stand_one_above_the_other():
    below = set()
    for room, uses in ROOM_USES.items():
        assert uses <= below, room
        below.add(room)
    assert {*ROOM_USES} == {
        path.stem for path in PACKAGE.iterdir() if path.suffix == ".py" or (path / "__init__.py").is_file()
    } - {"__init__"} | {"public"}


@pytest.mark.parametrize("room", ROOM_USES)
def test_a_room_imports_only_from_the_rooms_below_it(room):
    assert rooms_of(["tracelink.store.journal", "tracelink", "click.store", "runout.errors"]) == {
        "store",
        "public",
    }
    single = PACKAGE / f"{room}.py"
    found = {
        (path.name, used)
        for path in (modules(room) or [single])
        for used in rooms_of(imports_of(path)) - {room, *ROOM_USES[room]}
    }
    assert found == set()


OUTSIDE = {
    "services": {"sqlalchemy", "sqlalchemy.Connection"},
    "cli": {"click", "rich"},
}
"""What a room may use of these libraries: services pass a connection on, and only `store/` writes SQL."""


def library_names(names):
    return {name for name in names if name.split(".")[0] in {"sqlalchemy", "alembic", "click", "rich"}}


@pytest.mark.parametrize("room", OUTSIDE)
def test_sql_is_written_in_the_store_and_words_in_commands(room):
    assert library_names(["sqlalchemy", "sqlalchemy.text", "json"]) - OUTSIDE[room]
    found = {
        (path.name, name)
        for path in modules(room)
        for name in library_names(imports_of(path))
        if name not in OUTSIDE[room] and name.split(".")[0] not in OUTSIDE[room] - {"sqlalchemy"}
    }
    assert found == set()


REPORT_USES = {
    "format": set(),
    "pictures": {"format"},
    **{package: {"format", "pictures"} for package in ("scope", "bundle", "case", "epcis", "pages")},
}
"""Which other packages of the reports each uses."""


def subpackages_of(room, names):
    return {
        parts[2]
        for parts in (name.split(".") for name in names)
        if parts[:2] == ["tracelink", room] and parts[2:]
    }


def test_the_packages_of_the_reports_share_only_forms_and_pictures():
    folders = {path.name for path in (PACKAGE / "report").iterdir() if (path / "__init__.py").is_file()}
    assert folders == {*REPORT_USES}
    assert subpackages_of("report", ["tracelink.report.case.rows", "tracelink.report"]) == {"case"}
    found = [
        (f"{package}/{path.name}", used)
        for package, uses in REPORT_USES.items()
        for path in modules(f"report/{package}")
        for used in subpackages_of("report", imports_of(path))
        if used not in {package, *uses}
    ]
    assert found == []


GENEALOGY_USES = {
    "model": set(),
    "flow": {"model"},
    "walk": {"model", "flow"},
    "suspects": {"model", "flow"},
    "containment": {"model", "flow", "suspects"},
    "commoncause": {"model", "suspects"},
    "charting": {"model", "suspects"},
    "sampling": {"model"},
    "certificate": {"model", "flow", "containment"},
    "case": {"model", "containment"},
    "totals": {"model", "flow", "containment"},
}
"""Which other packages of genealogy each uses: no circle, and nothing below knows what is built on it."""


def test_the_packages_of_genealogy_build_on_each_other_in_one_order():
    folders = {path.name for path in (PACKAGE / "genealogy").iterdir() if (path / "__init__.py").is_file()}
    assert folders == {*GENEALOGY_USES}
    found = [
        (f"{package}/{path.name}", used)
        for package, uses in GENEALOGY_USES.items()
        for path in modules(f"genealogy/{package}")
        for used in subpackages_of("genealogy", imports_of(path))
        if used not in {package, *uses}
    ]
    assert found == []


MODULES_AT_MOST = 25


def test_a_folder_can_be_taken_in_at_a_glance():
    sizes = {
        folder.relative_to(PACKAGE).as_posix(): len({*folder.glob("*.py")} - {folder / "__init__.py"})
        for folder in (PACKAGE, *(path for path in PACKAGE.rglob("*") if path.is_dir()))
    }
    assert sizes["genealogy/flow"] > 1
    assert {name: size for name, size in sizes.items() if size > MODULES_AT_MOST} == {}


def test_the_public_package_knows_of_the_store_only_the_open_ledger():
    used = {name for path in modules("public") for name in imports_of(path)}
    of_the_store = {name for name in used if name.startswith("tracelink.store")}
    assert of_the_store == {
        "tracelink.store.ledger",
        "tracelink.store.ledger.Ledger",
    }


CALLED_FROM_OUTSIDE = {
    # By click and jinja2.
    "list_commands", "get_command", "call_binop",
    # By whoever writes the guide's page of codes anew.
    "codes_as_markdown",
}  # fmt: skip


def test_what_only_tests_call_stands_with_the_tests():
    sources = {path: path.read_text(encoding="utf-8") for path in modules(".")}
    templates = [path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.j2")]
    words = Counter(word for text in (*sources.values(), *templates) for word in re.findall(r"\w+", text))
    alone = {
        node.name
        for path in sources
        for node in nodes_in(path)
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and words[node.name] == 1
        and not node.name.startswith("__")
        and not any("command" in ast.unparse(each) for each in node.decorator_list)
    }
    assert alone == CALLED_FROM_OUTSIDE


WORK_AREAS = {
    "access", "balance", "case", "dock", "drill", "lab", "label_stock", "line", "orders", "packing", "partners", "press",
    "returns", "setup", "tools", "warehouse",
}  # fmt: skip
"""What entry kinds are sorted by; a module elsewhere about such an area may be called the same."""


def command_modules():
    """The modules that are called as a command in them is."""
    for path in modules("cli"):
        for node in nodes_in(path):
            if isinstance(node, ast.FunctionDef) and node.name.strip("_") == path.stem.strip("_"):
                written = [ast.unparse(each) for each in node.decorator_list]
                if any(".command(" in each or ".group(" in each for each in written):
                    yield path


def test_no_two_rooms_have_a_module_of_one_name():
    named = {*command_modules()}
    assert PACKAGE / "cli" / "hold.py" in named
    assert PACKAGE / "cli" / "label_store.py" not in named
    rooms = {}
    for path in modules("."):
        kind = path.parent == PACKAGE / "ledger" / "kinds" and path.stem in WORK_AREAS
        if path.name != "__init__.py" and not kind and path not in named:
            rooms.setdefault(path.stem, set()).add(path.relative_to(PACKAGE).parts[0])
    assert {name: each for name, each in rooms.items() if len(each) > 1} == {}


def test_a_name_of_a_class_stands_for_one_thing():
    places = {}
    for path in modules("."):
        for node in nodes_in(path):
            if isinstance(node, ast.ClassDef):
                places.setdefault(node.name, []).append(path.relative_to(PACKAGE).as_posix())
    assert len(places) > 300
    assert {name: paths for name, paths in places.items() if len(paths) > 1} == {}


def test_a_module_that_a_text_names_is_there():
    root = Path(__file__).parents[2]
    places = [
        path.as_posix() for folder in ("tracelink", "tests", "demo") for path in (root / folder).rglob("*.py")
    ]
    found = {
        (path.name, named)
        for path in modules(".")
        for named in re.findall(r"[\w*/]*\w\.py\b", path.read_text(encoding="utf-8"))
        if not any(
            re.search("/" + named.lstrip("/").replace(".", r"\.").replace("*", "[^/]*") + "$", place)
            for place in places
        )
    }
    assert found == set()


def test_the_schema_of_now_is_written_down():
    """Here because every change passes here; what it must say is held in `test_store_schema.py`."""
    written = [file.name for file in (PACKAGE.parent / "migrations").glob("schema_*.sql")]
    newest = max(file.name[:4] for file in (PACKAGE.parent / "migrations" / "versions").glob("[0-9]*.py"))
    assert written == [f"schema_{newest}.sql"], (
        "run `python tests/support_schema.py` after each new migration"
    )
