"""Text that wants to act: terminal controls, reversed writing, markup, formulas. Wherever it is shown, it is only shown.

One plant in which every text that people or readers can put in is hostile; then every display path that shows any of it.
"""

import csv
import io
import json
import re
import unicodedata
from html.parser import HTMLParser
from xml.etree import ElementTree as ET

import openpyxl
import pytest
from support_cli import run, write_plant_file
from support_plant import (
    DOCK,
    LAB,
    LINE,
    PRESS,
    Floor,
    add_kits,
    carton_sscc,
    code,
    n,
    pallet_sscc,
    plant_data,
    raw,
)

from tracelink.store.ledger import Ledger

EVIL = "=1+cmd|' /C x'!A0<script>alert(1)</script>\"'&<img src=x onerror=alert(1)>"
"""Printable: it may be keyed at a station."""

WORSE = EVIL + "\x1b]0;owned\x07\x1b[2J\x9b31m\u202egnorw\u2066\u2028\u200b\x08\r\ufeff"
"""With what a keyboard cannot send and a file or a command line can."""

ADA = code("P", 1)
SHOWN_ONLY = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def hostile_plant(folder):
    """A plant file in which every free text is hostile, and a ledger made from it by command."""
    data = plant_data()
    add_kits(data)
    data["location"] = [{"code": code("Y", 1), "name": WORSE}]
    data["plant"] |= {"name": WORSE, "clearance_areas": [WORSE], "settings": {"line_reasons": 0}}
    # One badge a person: names that are alike would be refused.
    for number, person in enumerate(data["person"], 1):
        person["name"] = f"{WORSE}{number}"
    for station in data["station"]:
        station["name"] = WORSE
    for product in data["product"]:
        product |= {"title": WORSE, "catalogue_number": WORSE}
    for item in data["item"]:
        item["name"] = WORSE
    for material in data["material"]:
        material["detail"] = WORSE
    for order in data["order"]:
        order |= {"consignee": WORSE, "country": WORSE}
    made = run("init", "--plant", write_plant_file(folder / "plant.toml", data), ledger=folder / "plant.db")
    assert made.code == 0, made.err
    return folder / "plant.db"


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """One lot pressed, judged, packed, shipped; findings, holds, an investigation, a partner's document."""
    folder = tmp_path_factory.mktemp("hostile")
    place = hostile_plant(folder)
    floor = Floor(Ledger.open(str(place)))
    floor.tools()
    floor.press(1)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#3", "K11", "BAD", "S1", f'"{EVIL[:60]}')
    floor.scan(LAB, "SAMPLE", "L1", "S2", "#12", "K12", "GOOD", "S2", "MEASURE", "S2", '"mass=1.5 g')
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    floor.scan(LAB, "OVERRULE", "L1", f'"{EVIL}', "P2")
    floor.scan(DOCK, "P1", "PALLET", pallet_sscc(1), carton_sscc(1), "CLOSE", "ACCEPT", pallet_sscc(1))
    floor.scan(DOCK, "SHIP", "O1", pallet_sscc(1), "DEPART")
    floor.scan(LAB, "HOLD", "K12", f'"{EVIL}')
    floor.scan(LINE, WORSE, f"]d2{WORSE}", f"]C0{EVIL}", f'"{WORSE}', "sleeve 2")
    for station in (PRESS, LAB, DOCK):
        floor.scan(station, f"]C0{WORSE}")
    floor.ledger.close()
    floor.ledger = None
    told = run(
        "contain", n("T4"), "--shape", "whole-life", "--hold", "--by", ADA, "--reason", WORSE, ledger=place
    )
    assert told.code == 1, told
    only_shows(told.out + told.err)
    assert run("balance", n("B1"), "--investigate", "--by", ADA, "--reason", WORSE, ledger=place).code == 1
    event = {
        "type": "ObjectEvent",
        "eventID": "urn:uuid:3f2a1b00-0000-4000-8000-000000000001",
        "eventTime": "2031-03-02T08:15:00Z",
        "eventTimeZoneOffset": "+01:00",
        "action": "ADD",
        "bizStep": "commissioning",
        "quantityList": [{"epcClass": f"x:{code('C', 9)}", "quantity": 5}],
        "ilmd": {"m:detail": WORSE},
    }
    document = {
        "@context": [
            "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld",
            {"m": "https://m.example.com/"},
        ],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": "2031-03-02T12:00:00Z",
        "epcisBody": {"eventList": [event, {**event, "eventID": WORSE, WORSE: WORSE}]},
    }
    (folder / "d.jsonld").write_text(json.dumps(document), encoding="utf-8")
    taken = run("audit", "import", folder / "d.jsonld", "--by", ADA, ledger=place)
    assert taken.code == 1
    only_shows(taken.out + taken.err)
    opened = run(
        "case", "open", n("T4"), "--shape", "whole-life", "--by", ADA, "--reason", WORSE, ledger=place
    )
    assert opened.code in (0, 1), opened
    only_shows(opened.out + opened.err)
    return place


def only_shows(text):
    """Nothing in it moves a cursor, turns writing round or ends a line but line feeds."""
    strange = {hex(ord(ch)) for ch in text if unicodedata.category(ch) in SHOWN_ONLY and ch != "\n"}
    assert strange == set()


READING = [
    ("board", "--once"),
    ("findings", "--last", "500"),
    ("hold", "--lifted"),
    ("find", pallet_sscc(1)),
    ("search", "00", "--most", "100"),
    ("find", n("Y1")),
    ("trace", n("L1")),
    ("trace", n("T4"), "--forward"),
    ("trace", carton_sscc(1), "--back"),
    ("contain", n("T4"), "--shape", "whole-life"),
    ("cause",),
    ("samples", n("L1"), "--aql", "1.5"),
    ("results", n("L1")),
    ("faults",),
    ("pace",),
    ("chart", n("L1"), "--test", "judged", "--chart", "p"),
    ("balance", n("L1")),
    ("balance", n("B1")),
    ("investigate", "list"),
    ("person", "list"),
    ("case", "list"),
    ("case", "show", n("Q1")),
    ("case", "summary", n("Q1")),
    ("case", "status", n("Q1")),
    ("label", "confusable"),
    ("audit", "rules"),
    ("audit", "verify"),
]


@pytest.mark.parametrize("fmt", ["table", "json", "csv"])
@pytest.mark.parametrize("words", READING, ids=" ".join)
def test_what_is_printed_is_only_shown(place, words, fmt):
    if words[0] == "board" and fmt == "csv":
        pytest.skip("a board has no csv")
    done = run(*words, "--format", fmt, ledger=place)
    assert done.code in (0, 1), done.err
    assert done.out
    only_shows(done.out + done.err)
    if fmt == "json":
        json.loads(done.out)
    if fmt == "csv":
        no_formula(done.out)


def no_formula(text):
    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            is_number = re.fullmatch(r"-?[0-9.]+", cell)
            assert is_number or not re.match(r"[=+\-@\t\r]", cell), cell


def test_the_hostile_text_is_really_there(place):
    """So that the tests above look at something."""
    shown = {
        words: run(*words, ledger=place).out
        for words in (("hold",), ("findings", "--last", "500"), ("board", "--once"), ("person", "list"))
    }
    for words, out in shown.items():
        assert "script>" in out, words
        assert "\\u202e" in out, words


@pytest.mark.parametrize("kind", [["label", "issue", "carton", "--count", "2"], ["allocate", n("O1")]])
def test_refusals_that_name_a_person_are_only_shown(place, kind):
    refused = run(*kind, "--by", code("P", 3), ledger=place)
    assert refused.code == 4
    only_shows(refused.out + refused.err)
    assert "script>" in refused.err


def test_a_letter_that_is_looked_at_is_only_shown(place):
    done = run("case", "notice", n("Q1"), "--all", "--by", ADA, "--dry-run", ledger=place)
    assert "script>" in done.out, done
    only_shows(done.out + done.err)


@pytest.mark.parametrize("area", ["lab", "line"])
def test_a_stations_verdicts_are_only_shown(place, area):
    station = {"lab": LAB, "line": LINE}[area]
    scans = "\n".join([raw("P1"), "STOP", WORSE.replace("\r", ""), f"]C0{EVIL}", f'"{EVIL}'])
    done = run(area, "--station", station, ledger=place, scans=scans.encode())
    only_shows(done.out + done.err)


class Tags(HTMLParser):
    """The elements and attributes of a page."""

    def __init__(self):
        super().__init__()
        self.tags, self.attributes, self.text = set(), set(), ""

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data):
        self.text += data


PAGES = [
    ("trace", n("L1"), "--html"),
    ("contain", n("T4"), "--shape", "whole-life", "--html"),
    ("audit", "rules", "--html"),
]


@pytest.mark.parametrize("words", PAGES, ids=" ".join)
def test_pages_have_no_element_of_a_strangers(place, tmp_path, words):
    file = tmp_path / "page.html"
    assert run(*words, file, ledger=place).code in (0, 1)
    page = Tags()
    page.feed(file.read_text(encoding="utf-8"))
    assert not page.tags & {"script", "img", "iframe", "object", "embed", "link", "base", "form"}
    assert not [name for name in page.attributes if name.startswith("on")]
    only_shows(page.text)
    if words[0] != "audit":
        assert "<script>alert(1)</script>" in page.text


def test_pictures_are_well_formed_and_hold_no_element_of_a_strangers(place, tmp_path):
    assert run("trace", n("L1"), "--svg", tmp_path / "x.svg", ledger=place).code == 0
    root = ET.fromstring((tmp_path / "x.svg").read_text(encoding="utf-8"))
    names = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert not names & {"script", "foreignObject", "image", "a", "use", "animate", "set"}
    assert not [name for element in root.iter() for name in element.attrib if name.startswith("on")]
    only_shows("".join(root.itertext()))


def test_workbooks_hold_no_formula(place, tmp_path):
    made = run("contain", n("T4"), "--shape", "whole-life", "--xlsx", tmp_path / "x.xlsx", ledger=place)
    assert made.code == 1, made
    book = openpyxl.load_workbook(tmp_path / "x.xlsx")
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert [cell.value for cell in cells if cell.data_type == "f"] == []
    assert any("script>" in str(cell.value) for cell in cells)
    only_shows("".join(str(cell.value) for cell in cells))


def test_the_list_of_consignees_holds_no_formula(place, tmp_path):
    file = tmp_path / "x.csv"
    assert run("contain", n("T4"), "--shape", "whole-life", "--consignees", file, ledger=place).code == 1
    text = file.read_text(encoding="utf-8")
    assert "script>" in text
    no_formula(text)
    only_shows(text)


def test_documents_of_the_dock_can_be_made(place, tmp_path):
    """PDFs draw glyphs and run nothing; that hostile text makes one at all is what is looked at."""
    [(shipment,)] = Floor(Ledger.open(str(place), read_only=True)).read("shipment", "code")
    done = run("packlist", shipment, tmp_path / "p.pdf", ledger=place)
    assert done.code == 0, done.err
    assert b"/JavaScript" not in (tmp_path / "p.pdf").read_bytes()
    only_shows(done.out)


def test_the_ledger_is_whole_after_all_of_it(place):
    assert run("audit", "verify", ledger=place).code == 0
