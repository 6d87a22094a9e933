"""Every figure about one consignee, collected from every command, page, PDF, workbook, notice and bundle of a ledger.

A figure has a meaning, by the heading or the key it stands under, and a value. One meaning must have one value,
wherever it stands. `tests/bench/one_figure.py` prints them for any ledger with a case.
"""

import csv
import io
import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2
from support_cli import run

HEADINGS = {
    "discs sent": "discs sent",
    "discs in cartons that may hold one": "discs in cartons that may hold one",
    "cartons that may hold one": "cartons that may hold one",
    "affected at least": "affected at least",
    "at most": "affected at most",
    "on hand when told": "on hand when told",
    "returned (they say)": "returned, they say",
    "returned (booked here)": "returned, booked here",
    "accounted for": "accounted for",
    "not accounted for": "not accounted for",
}
"""Heading of a column -> what its numbers mean."""

KEYS = {
    "sent": "discs sent",
    "may_hold": "discs in cartons that may hold one",
    "least": "affected at least",
    "most": "affected at most",
    "pieces": "discs sent or to be sent",
    "on_hand": "on hand when told",
    "returned_said": "returned, they say",
    "returned": "returned, booked here",
    "accounted": "accounted for",
    "unaccounted": "not accounted for",
}
"""Key of JSON or CSV -> what its number means."""

NAMES = ("consignee", "name", "code", "place")
"""Keys under which JSON names a consignee."""

RANGE = re.compile(r"(\d[\d ]*)(?: to (\d[\d ]*))?\*?")


@dataclass(frozen=True)
class Figure:
    """One number about the consignee."""

    meaning: str
    value: int
    source: str
    """The command or file that it stands in."""


def collect(place: Path, case: str, consignee: str, folder: Path) -> list[Figure]:
    """Return every figure about a consignee of a case.

    Args:
        place: the ledger.
        case: its code.
        consignee: the name, as orders have it.
        folder: an empty folder to write documents to.
    """
    return list(_Collector(place, case, consignee, folder).figures())


def disagreements(figures: Iterable[Figure]) -> dict[str, dict[int, list[str]]]:
    """Return the meanings that have more than one value: meaning -> value -> sources."""
    found = by_meaning(figures)
    return {meaning: values for meaning, values in found.items() if len(values) > 1}


def by_meaning(figures: Iterable[Figure]) -> dict[str, dict[int, list[str]]]:
    """Return meaning -> value -> sources."""
    found: dict[str, dict[int, list[str]]] = {}
    for one in figures:
        found.setdefault(one.meaning, {}).setdefault(one.value, []).append(one.source)
    return found


class _Collector:
    def __init__(self, place: Path, case: str, consignee: str, folder: Path) -> None:
        self.place, self.case, self.who, self.folder = place, case, consignee, folder
        shown = json.loads(self.told("case", "show", case, "--format", "json"))
        self.question = tuple(shown["words"])
        self.shown = shown

    def told(self, *words: object) -> str:
        with _wide_screen():
            done = run(*words, ledger=self.place)
        assert done.code in {0, 1}, done.err
        return done.out

    def figures(self) -> Iterator[Figure]:
        yield from self.of_containment()
        yield from self.of_case()
        yield from self.of_notice()
        yield from self.of_bundles()

    def of_containment(self) -> Iterator[Figure]:
        ask = ("contain", *self.question)
        files = {name: self.folder / f"scope.{name}" for name in ("html", "pdf", "xlsx")}
        options = [word for name, file in files.items() for word in (f"--{name}", file)]
        listed = self.folder / "consignees.csv"
        screen = self.told(*ask, *options, "--consignees", listed)
        yield from self.of_screen(screen, "contain")
        yield from self.ranges(
            rf"{re.escape(self.who)} \([A-Z, ]*\): ([\d to*]+)", screen, "contain, first screen"
        )
        together = json.loads(self.told(*ask, "--together", self.who, "--format", "json"))
        yield from self.of_json(together, "contain --format json")
        for one in together["together"]:
            yield from self.of_keys(one, "contain --together")
        yield from self.of_csv(listed.read_text(encoding="utf-8-sig"), "contain --consignees")
        yield from self.of_containers(self.told(*ask, "--format", "csv"), "contain --format csv")
        yield from self.of_page_and_paper(files["html"], files["pdf"], "contain")
        yield from self.of_book(files["xlsx"], "contain --xlsx")

    def of_case(self) -> Iterator[Figure]:
        page, paper = self.folder / "status.html", self.folder / "status.pdf"
        screen = self.told("case", "status", self.case, "--html", page, "--pdf", paper)
        yield from self.of_screen(screen, "case status")
        yield from self.of_sentences(screen, "case status, open points")
        yield from self.of_sentences(
            _text(page.read_text(encoding="utf-8")), "case status --html, open points"
        )
        yield from self.of_page_and_paper(page, paper, "case status")
        yield from self.of_json(
            json.loads(self.told("case", "status", self.case, "--format", "json")), "case status json"
        )
        yield from self.of_csv(self.told("case", "status", self.case, "--format", "csv"), "case status csv")
        newest = self.shown["scopes"][-1]
        yield from self.of_json(newest["consignees"], "case show json")
        yield from self.of_held(newest["containers"], "case show json, containers")

    def of_notice(self) -> Iterator[Figure]:
        text = self.told("case", "notice", self.case, "--consignee", self.who, "--dry-run")
        found = re.search(r"([\d ]+) cartons?, ([\d ]+) discs in cartons that may hold an affected one", text)
        assert found is not None, text
        yield Figure("cartons that may hold one", _number(found[1]), "notice")
        yield Figure("discs in cartons that may hold one", _number(found[2]), "notice")
        yield from self.ranges(
            r"Affected by our records: (?:all )?([\d to]+?)(?: of these)? discs", text, "notice"
        )

    def of_bundles(self) -> Iterator[Figure]:
        made = self.folder / "case"
        self.told("audit", "export", self.case, "--unsigned", "--out", made)
        yield from self.of_csv(
            (made / "tables" / "case-consignees.csv").read_text(encoding="utf-8-sig"), "bundle of the case"
        )
        yield from self.of_csv((made / "tables" / "consignees.csv").read_text(encoding="utf-8-sig"), "bundle of the case, cartons", {"discs_in_cartons_that_may_hold_one": "discs in cartons that may hold one"})  # fmt: skip
        yield from self.of_json(
            json.loads((made / "answer.json").read_text(encoding="utf-8")), "bundle of the case, answer.json"
        )
        yield from self.of_page_and_paper(made / "report.html", made / "report.pdf", "bundle of the case")
        yield from self.of_book(made / "tables.xlsx", "bundle of the case, workbook")
        sent = 0
        for lot in self.shown["scopes"][-1]["lots"]:
            folder = self.folder / lot
            self.told("audit", "export", lot, "--unsigned", "--out", folder)
            rows = csv.DictReader(
                io.StringIO((folder / "tables" / "consignees.csv").read_text(encoding="utf-8-sig"))
            )
            sent += sum(int(row["discs_of_these_lots"]) for row in rows if row["consignee"] == self.who)
        yield Figure("discs sent", sent, "bundles of the lots")

    def of_screen(self, text: str, source: str) -> Iterator[Figure]:
        """Tables of a terminal wide enough: cells stand under the begin or the end of their heading."""
        lines = text.splitlines()
        for place, line in enumerate(lines):
            if place and line.startswith("──"):
                heads = _cells(lines[place - 1])
                for row in lines[place + 1 :]:
                    if not row.strip():
                        break
                    if row.startswith(self.who):
                        yield from self.of_cells(heads, _cells(row), source)

    def of_cells(
        self, heads: list[re.Match[str]], cells: list[re.Match[str]], source: str
    ) -> Iterator[Figure]:
        for head in heads:
            cell = next(
                (one for one in cells if head.start() == one.start() or head.end() == one.end()), None
            )
            if cell is None:
                continue
            if head[0] == "affected":
                yield from _range(cell[0], source)
            elif head[0] in HEADINGS:
                yield Figure(HEADINGS[head[0]], _number(cell[0]), source)

    def of_sentences(self, text: str, source: str) -> Iterator[Figure]:
        pattern = rf"{re.escape(self.who)}: of ([\d ]+) discs? in cartons that may hold one, ([\d ]+) not accounted for"
        for found in re.finditer(pattern, text):
            yield Figure("discs in cartons that may hold one", _number(found[1]), source)
            yield Figure("not accounted for", _number(found[2]), source)

    def ranges(self, pattern: str, text: str, source: str) -> Iterator[Figure]:
        found = re.search(pattern, text)
        if found is not None:
            yield from _range(found[1], source)

    def of_json(self, data: Any, source: str, path: str = "") -> Iterator[Figure]:
        if isinstance(data, list):
            for each in data:
                yield from self.of_json(each, source, path)
        elif isinstance(data, dict):
            # What names a lot is a container, not the consignee as a whole.
            if (
                "lot" not in data
                and self.who in [data.get(name) for name in NAMES]
                and "certificate" not in path
            ):
                yield from self.of_keys(data, f"{source}{path}")
            for key, value in data.items():
                yield from self.of_json(value, source, f"{path}/{key}")

    def of_keys(self, data: Mapping[str, Any], source: str) -> Iterator[Figure]:
        for key, meaning in KEYS.items():
            if isinstance(data.get(key), int):
                yield Figure(meaning, data[key], source)

    def of_csv(self, text: str, source: str, keys: Mapping[str, str] = KEYS) -> Iterator[Figure]:
        for row in csv.DictReader(io.StringIO(text)):
            if row["consignee"] == self.who:
                for key, meaning in keys.items():
                    if row.get(key):
                        yield Figure(meaning, _number(str(row[key])), source)

    def of_containers(self, text: str, source: str) -> Iterator[Figure]:
        rows = [row for row in csv.DictReader(io.StringIO(text)) if row.get("consignee") == self.who]
        yield Figure("discs in cartons that may hold one", sum(int(row["pieces"]) for row in rows), source)
        yield Figure("cartons that may hold one", len({row["code"] for row in rows}), source)

    def of_held(self, held: Iterable[Mapping[str, Any]], source: str) -> Iterator[Figure]:
        theirs = [one for one in held if one["consignee"] == self.who]
        yield Figure("discs in cartons that may hold one", sum(one["pieces"] for one in theirs), source)
        yield Figure("cartons that may hold one", len({one["code"] for one in theirs}), source)

    def of_page_and_paper(self, page: Path, paper: Path, source: str) -> Iterator[Figure]:
        """A table of a page; the same row must be on paper, cell by cell."""
        reader = _Tables()
        reader.feed(page.read_text(encoding="utf-8"))
        document = pypdfium2.PdfDocument(paper)
        printed = "\n".join(sheet.get_textpage().get_text_range() for sheet in document)
        for table in reader.tables:
            yield from self.of_table(table, f"{source} --html")
            for row in table[1:]:
                numbers = list(_numbers(table[0], row)) if row[0] == self.who else []
                if numbers and _on_paper(row, printed):
                    yield from (Figure(meaning, value, f"{source} --pdf") for meaning, value in numbers)
                elif numbers:
                    yield from (Figure(meaning, -1, f"{source} --pdf: another row") for meaning, _ in numbers)

    def of_table(self, table: Sequence[Sequence[str]], source: str) -> Iterator[Figure]:
        for row in table[1:]:
            if row and row[0] == self.who:
                yield from (Figure(meaning, value, source) for meaning, value in _numbers(table[0], row))

    def of_book(self, file: Path, source: str) -> Iterator[Figure]:
        for sheet in openpyxl.load_workbook(file, read_only=True):
            rows = [
                ["" if cell is None else str(cell) for cell in row]
                for row in sheet.iter_rows(values_only=True)
            ]
            yield from self.of_table(rows, f"{source}, sheet {sheet.title}")


class _Tables(HTMLParser):
    """Tables of a page as rows of texts, the heads first."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: list[list[list[str]]] = []
        self._cell: list[str] | None = None

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag == "table":
            self.tables.append([])
        elif tag == "tr" and self.tables:
            self.tables[-1].append([])
        elif tag in {"td", "th"}:
            self._cell = []

    def handle_data(self, data: str) -> None:
        if self._cell is not None:
            self._cell.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag in {"td", "th"} and self._cell is not None:
            self.tables[-1][-1].append("".join(self._cell).strip())
            self._cell = None


@contextmanager
def _wide_screen() -> Iterator[None]:
    before = os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = "400"
    try:
        yield
    finally:
        del os.environ["COLUMNS"]
        if before is not None:
            os.environ["COLUMNS"] = before


def _numbers(heads: Sequence[str], row: Sequence[str]) -> Iterator[tuple[str, int]]:
    for head, cell in zip(heads, row, strict=False):
        if head in HEADINGS and re.fullmatch(r"[+−±-]?\d[\d\s\u202f]*\*?", cell):
            yield HEADINGS[head], _number(cell)


_LONG_WORD = 24
"""Characters; longer than any figure or code."""


def _on_paper(row: Sequence[str], printed: str) -> bool:
    """Whether a row stands on paper: its cells in order, lines broken wherever the columns break them."""
    cells = [r"\s+".join(map(_broken, cell.split())) for cell in row if cell]
    return re.search(r"\s+".join(cells).replace("−", "."), printed) is not None


def _broken(word: str) -> str:
    """A word as a pattern; one that is longer than its column may be broken anywhere, such as an address."""
    return (r"\s*" if len(word) > _LONG_WORD else "").join(map(re.escape, word))


def _cells(line: str) -> list[re.Match[str]]:
    return list(re.finditer(r"\S+(?:\s{1,2}\S+)*", line))


def _range(text: str, source: str) -> Iterator[Figure]:
    found = RANGE.fullmatch(text.strip())
    assert found is not None, (text, source)
    yield Figure("affected at least", _number(found[1]), source)
    yield Figure("affected at most", _number(found[2] or found[1]), source)


def _number(text: str) -> int:
    return int(re.sub(r"[\s\u202f+*±]", "", text).replace("−", "-"))


def _text(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))
