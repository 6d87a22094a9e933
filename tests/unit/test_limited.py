"""What comes from outside costs so much time and memory and no more; what costs more is refused with a sentence."""

import csv
import io
import resource
import subprocess
import sys
import time
import zipfile

import pytest
from openpyxl import Workbook
from support_plant import Floor, raw
from support_readers import READERS

from tracelink import limited
from tracelink.devices.images import read_image
from tracelink.errors import UsageError
from tracelink.limited import within_limits
from tracelink.report.case.letter_template import filled
from tracelink.services.badge_proof import Badge
from tracelink.services.cases.scope_check import check_scope
from tracelink.services.desks.order_files import COLUMNS, read_orders
from tracelink.services.desks.partner_documents import read_in
from tracelink.services.upkeep.plant_files import read_file

TOO_MUCH = "{} needs more than {} s or 300 MB to be read, and was not read: expected a file of the usual size and form"


@pytest.fixture
def short(monkeypatch):
    monkeypatch.setattr(limited, "SECONDS", 1)


class TestWithinLimits:
    def test_it_gives_the_answer_and_raises_the_error(self):
        assert within_limits(lambda: {"a": [1, 2]}, "x") == {"a": [1, 2]}
        with pytest.raises(UsageError, match=r"^no such thing$"):
            within_limits(self.refuse, "x")

    @staticmethod
    def refuse():
        raise UsageError("no such thing")

    def test_more_memory_is_refused(self):
        with pytest.raises(UsageError) as refused:
            within_limits(lambda: len(bytearray(400 << 20)), "this")
        assert str(refused.value) == TOO_MUCH.format("this", 10)
        assert within_limits(lambda: len(bytearray(200 << 20)), "this") == 200 << 20

    def test_more_time_is_refused(self, short):
        begun = time.monotonic()
        with pytest.raises(UsageError) as refused:
            within_limits(lambda: sum(1 for _ in iter(int, 1)), "this")
        assert str(refused.value) == TOO_MUCH.format("this", 1)
        assert time.monotonic() - begun < 25

    def test_a_reader_that_only_waits_is_ended_too(self, monkeypatch):
        monkeypatch.setattr(limited, "_WAIT_SECONDS", 0.2)
        with pytest.raises(UsageError):
            within_limits(lambda: time.sleep(60), "this")

    def test_a_program_that_was_started_with_limits_of_its_own_reads_too(self):
        """Whoever has no right to raise a limit must not be refused every file."""
        program = (
            "import resource; from tracelink.limited import within_limits\n"
            "size = int(open('/proc/self/statm').read().split()[0]) * resource.getpagesize() + (64 << 20)\n"
            "resource.setrlimit(resource.RLIMIT_AS, (size, size)); resource.setrlimit(resource.RLIMIT_CPU, (8, 8))\n"
            "import encodings.ascii, os; os.getuid() or os.setuid(65534)\n"
            "print(within_limits(lambda: 7, 'it'))"
        )
        found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
        assert found.stdout == "7\n"

    def test_a_reader_that_falls_over_is_a_sentence(self):
        with pytest.raises(UsageError):
            within_limits(
                lambda: resource.setrlimit(resource.RLIMIT_CPU, (0, 0)) or sum(range(10**9)), "this"
            )


def workbook(rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def with_sheet(book, sheet):
    return with_part(book, "xl/worksheets/sheet1.xml", sheet)


def with_part(data, name, text):
    """Put another text in the place of a part of a workbook."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            new.writestr(part.filename, text if part.filename == name else old.read(part))
    return made.getvalue()


SHEET = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{}</sheetData></worksheet>'


class TestOrders:
    def test_a_workbook_that_unzips_to_much_is_refused_at_once(self, tmp_path):
        file = tmp_path / "orders.xlsx"
        file.write_bytes(with_sheet(workbook([COLUMNS]), SHEET.format(" " * (80 << 20))))
        begun = time.process_time()
        with pytest.raises(
            UsageError, match=r"unzips to 83,\d{3},\d{3} bytes: expected at most 67,108,864"
        ) as refused:
            read_orders(str(file))
        assert str(refused.value).startswith(f"order file {file} unzips")
        assert time.process_time() - begun < 5

    def test_a_sheet_that_says_it_has_a_million_rows_is_refused(self, tmp_path):
        file = tmp_path / "orders.xlsx"
        cell = '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
        file.write_bytes(with_sheet(workbook([COLUMNS]), SHEET.format(cell)))
        with pytest.raises(UsageError, match="has more than 100,000 lines: expected several files"):
            read_orders(str(file))

    @pytest.mark.parametrize(
        ("part", "content", "why"),
        [
            ("xl/worksheets/sheet1.xml", "<worksheet><sheetData></worksheet>", "mismatched tag: line 1, column 24"),
            ("xl/worksheets/sheet1.xml", SHEET.format('<row r="1"><c r="A1" t="s"><v>9</v></c></row>'), "list index out of range"),
        ],
    )  # fmt: skip
    def test_a_workbook_whose_sheet_is_broken_is_refused(self, tmp_path, part, content, why):
        """Found by `tests/bench/fuzz.py`: the parser of a sheet begins only when its rows are asked for."""
        file = tmp_path / "orders.xlsx"
        file.write_bytes(with_part(workbook([COLUMNS]), part, content))
        with pytest.raises(UsageError) as refused:
            read_orders(str(file))
        assert str(refused.value) == f"order file {file} is not an XLSX workbook: {why}"

    def test_a_workbook_without_a_sheet_is_empty(self, tmp_path):
        """Found by `tests/bench/fuzz.py`: the list of sheets lost its only one."""
        file = tmp_path / "orders.xlsx"
        listed = (
            '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheets/></workbook>'
        )
        file.write_bytes(with_part(workbook([COLUMNS]), "xl/workbook.xml", listed))
        with pytest.raises(UsageError) as refused:
            read_orders(str(file))
        assert (
            str(refused.value)
            == f"order file {file} is empty: expected a first row with {', '.join(COLUMNS)}"
        )

    def test_a_workbook_of_a_usual_size_is_read(self, tmp_path):
        file = tmp_path / "orders.xlsx"
        file.write_bytes(workbook([COLUMNS, *[["", "", "", "", ""]] * 50, ["O0000019", "x", "DE", "4", 1]]))
        with pytest.raises(UsageError, match=r"^no order was taken\nline 52: "):
            read_orders(str(file))

    @pytest.mark.parametrize("line", ["\n", ",\n"])
    def test_a_list_of_millions_of_lines_is_refused(self, tmp_path, line):
        file = tmp_path / "orders.csv"
        file.write_text(line * 2_000_000)
        with pytest.raises(UsageError, match="has more than 100,000 lines"):
            read_orders(str(file))

    def test_a_line_of_millions_of_cells_is_refused(self, tmp_path):
        file = tmp_path / "orders.csv"
        file.write_text("," * 30_000_000)
        with pytest.raises(UsageError) as refused:
            read_orders(str(file))
        assert str(refused.value) in {
            TOO_MUCH.format(f"order file {file}", 10),
            f"order file {file} is empty",
        }

    def test_a_hundred_thousand_lines_are_read(self, tmp_path):
        file = tmp_path / "orders.csv"
        with file.open("w", newline="") as opened:
            csv.writer(opened).writerows([COLUMNS, *[["x", "y", "DE", "4", "1"]] * 20_000])
        with pytest.raises(UsageError, match="line 20001: ") as refused:
            read_orders(str(file))
        assert str(refused.value).startswith("no order was taken\n")


class TestPlantFiles:
    def test_a_key_of_very_many_parts_is_refused(self, tmp_path, short):
        """The reader of TOML looks at every beginning of the key: minutes for a file of a megabyte."""
        file = tmp_path / "plant.toml"
        file.write_text(".".join("a" * 60_000) + " = 1\n")
        with pytest.raises(UsageError) as refused:
            read_file(file, new_ledger=True)
        assert str(refused.value) == TOO_MUCH.format(f"plant file {file}", 1)

    def test_one_that_is_nested_too_deeply_is_refused(self, tmp_path):
        file = tmp_path / "plant.toml"
        file.write_text("a = " + "[" * 100_000)
        with pytest.raises(UsageError, match=r"^plant file .* (is nested too deeply|is not TOML)"):
            read_file(file, new_ledger=True)


class TestDocuments:
    """Of a few characters each, so that reading takes many times the memory of the text.

    Twice what the limit needs: what the process has set aside already, and does not use, comes on top of it.
    """

    def test_a_scope_of_millions_of_objects_is_refused(self, tmp_path):
        file = tmp_path / "scope.json"
        file.write_text("[" + "{}," * 8_000_000 + "{}]")
        with pytest.raises(UsageError) as refused:
            check_scope(Floor.copy().ledger, str(file))
        assert str(refused.value) == TOO_MUCH.format(file, 10)

    def test_a_partners_document_of_millions_of_lists_is_refused(self, tmp_path):
        file = tmp_path / "document.json"
        file.write_text("[" + ("[" * 20 + "]" * 20 + ",") * 400_000 + "[]]")
        with pytest.raises(UsageError) as refused:
            read_in(Floor.copy().ledger, str(file), Badge("P0000016"), {}, dry_run=True)
        assert str(refused.value) == TOO_MUCH.format(file, 10)


class TestLetters:
    @pytest.mark.parametrize(
        "text",
        [
            "{% for a in range(99999) %}{% for b in range(99999) %}{% endfor %}{% endfor %}",
            "{{ '%500000000d' % 1 }}",
            "{% set ns = namespace(x='aaaaaaaa') %}{% for a in range(40) %}{% set ns.x = ns.x ~ ns.x %}{% endfor %}",
        ],
    )
    def test_a_template_without_end_is_refused(self, tmp_path, short, text):
        file = tmp_path / "notice.txt"
        file.write_text(text)
        with pytest.raises(UsageError, match=f"^template {file} ") as refused:
            filled("notice", "notice.txt", file, {})
        assert len(str(refused.value)) < 300


class TestPictures:
    def test_a_length_that_says_a_gigabyte_sets_nothing_aside(self, tmp_path):
        """Found by `tests/bench/fuzz.py`: one bit of a length was changed."""
        [good, _] = READERS["picture"].seeds(tmp_path)
        at = good.index(b"IDAT") - 4
        file = tmp_path / "label.png"
        file.write_bytes(good[:at] + b"\x40" + good[at + 1 :])
        assert within_limits(lambda: read_image(file), "this") == [raw("P1")]
