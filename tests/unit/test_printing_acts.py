"""Cards of stations and pictures of layouts."""

from contextlib import nullcontext
from types import SimpleNamespace

import pypdfium2
import pytest
from click.testing import CliRunner
from PIL import Image, ImageChops
from support_drawn import draw_label, expected_of
from support_printing import DATA, code

from tracelink.cli.label import label as command
from tracelink.datadir import data_dir
from tracelink.devices.images import read_image, read_pixels
from tracelink.errors import UsageError
from tracelink.identity.rawlines import raw_act, raw_plant
from tracelink.ledger.packs import RawScan
from tracelink.printing.act_cards import FIRST, ROW, ReasonRow, write_acts
from tracelink.printing.act_meanings import acts_of
from tracelink.printing.label import make_label, write_label
from tracelink.printing.layout import layout_names, load_layout
from tracelink.printing.preview import DPI, write_preview
from tracelink.station.acts_of_areas import AREAS
from tracelink.station.common.form_state import FormState
from tracelink.station.common.station_facts import Person
from tracelink.station.decide import decide
from tracelink.station.line.state import LineState

ROLES = ("tool", "press", "lab", "line", "dock", "process", "assembly", "quality")


def silent(_length):
    return nullcontext(SimpleNamespace(update=lambda steps: None))


def refused_at(area, word):
    """Scan an act card and return what the station says it expected."""
    person = Person("P0000171", "Ida Example", frozenset(ROLES))
    queries = SimpleNamespace(
        person=lambda code: person,
        station_closed=lambda code: None,
        setting=lambda name: 0,
        last_scan=lambda station: None,
    )
    desk = LineState(person=person.code) if area == "line" else FormState(person=person.code)
    scan = RawScan(1, "2031-03-03T08:00:00+01:00", raw_act(word))
    return decide(area, desk, "W0000011", scan, queries)


@pytest.mark.parametrize("area", AREAS)
def test_a_card_has_the_acts_that_the_station_knows(area):
    """A station asked for an act it does not know names all that it does."""
    decision = refused_at(area, "NOSUCHACT")
    assert decision.verdict.finding == "act-not-here"
    _, _, listed = decision.verdict.sentence.rpartition("Actions here: ")
    known = set(listed.rstrip(".").split(", "))
    assert {act.word for act in acts_of(area)} - {"CANCEL"} == known


def rendered(path, dpi):
    document = pypdfium2.PdfDocument(path)
    pages = [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]
    document.close()
    return pages


@pytest.mark.parametrize("area", AREAS)
def test_a_card_is_one_page_of_the_acts_of_its_area_and_reads_back(area, tmp_path):
    path = tmp_path / "card.pdf"
    # The line's card has most; on it, bars of the usual printer are looked at.
    dpi = 300 if area == "line" else 203
    words = write_acts(path, area, dpi, silent)
    assert sorted(words) == sorted(act.word for act in acts_of(area))
    (page,) = rendered(path, dpi)
    assert sorted(read_pixels(page, area)) == sorted(map(raw_act, words))


@pytest.mark.parametrize("area", AREAS)
def test_every_act_says_what_it_does(area):
    for act in acts_of(area):
        assert len(act.meaning) > len("Scan it"), act.word
        assert len(act.meaning) <= 80, "two lines"


def made_up(count):
    return tuple(
        ReasonRow(
            code("R", number),
            f"Reason of the plant, number {number}, as long as one may be",
            ("REJECT", "CLOSE", "TAKEOUT", "REOPEN", "MERGE"),
        )
        for number in range(1, count + 1)
    )


@pytest.mark.parametrize(
    ("area", "count", "sheets"), [("line", 9, 1), ("line", 18, 2), ("dock", 3, 2), ("tool", 50, 3)]
)
def test_the_reasons_of_a_plant_stand_below_its_acts_or_on_pages_of_their_own(area, count, sheets, tmp_path):
    path = tmp_path / "card.pdf"
    reasons = made_up(count)
    words = write_acts(path, area, 203, silent, reasons)
    assert words[-count:] == [reason.text for reason in reasons]
    pages = rendered(path, 203)
    assert len(pages) == sheets
    expected = [
        *(raw_act(act.word) for act in acts_of(area)),
        *(raw_plant(reason.code) for reason in reasons),
    ]
    assert sorted(line for page in pages for line in read_pixels(page, area)) == sorted(expected)


@pytest.mark.parametrize(
    ("area", "word"),
    [("line", "STOP"), ("press", "STOP"), ("tool", "CANCEL"), ("lab", "CANCEL"), ("dock", "CANCEL")],
)
def test_what_stops_or_cancels_stands_first_and_largest(area, word):
    assert acts_of(area)[0].word == word
    first, row = load_layout(FIRST), load_layout(ROW)
    assert first.symbols[0].height_mm > row.symbols[0].height_mm
    assert first.texts[0].letter_mm > 2 * row.texts[0].letter_mm


@pytest.mark.parametrize("dpi", [203, 600])
def test_what_an_act_does_fits_below_its_word_at_every_printer(dpi):
    for area in AREAS:
        for act in acts_of(area):
            make_label(load_layout(ROW), {"act": act.word, "meaning": act.meaning}, dpi)


def test_too_many_acts_for_a_page_are_refused(tmp_path, monkeypatch):
    many = [*acts_of("dock"), *acts_of("press")]
    monkeypatch.setattr("tracelink.printing.act_cards.acts_of", lambda area: many)
    with pytest.raises(UsageError, match=f"{len(many) - 1} acts do not fit below each other on an A4 page"):
        write_acts(tmp_path / "card.pdf", "dock", 300, silent)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("layout", ["act-card", "act-first", "act-row"])
def test_an_act_that_no_station_knows_is_not_drawn(layout, tmp_path):
    with pytest.raises(UsageError) as caught:
        write_label(tmp_path / "card.png", load_layout(layout), {"act": "CLOSECARTON", "meaning": "x"}, 300)
    assert str(caught.value) == (
        f"Label {layout}, act (the act's word, 2 to 14 capitals): there is no act CLOSECARTON: expected one that a "
        "station knows, as on the cards of `runout label acts`."
    )
    assert not list(tmp_path.iterdir())


def test_an_area_that_is_not_there_is_named(tmp_path):
    with pytest.raises(UsageError) as caught:
        write_acts(tmp_path / "card.pdf", "attic", 300, silent)
    assert str(caught.value) == (
        "There is no work area 'attic'; expected one of tool, press, lab, dock, process, assembly, line."
    )
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", layout_names())
def test_a_layout_has_an_example_and_its_picture_is_up_to_date(name, tmp_path):
    """Letters may differ by dots from one version of the type library to the next; bars and sizes may not."""
    layout = load_layout(name)
    kept = data_dir("labels") / "preview" / f"{name}.png"
    assert kept.stat().st_size < 30_000
    written = write_preview(tmp_path, name)
    with Image.open(kept) as image, Image.open(written) as proven:
        # What was written was read back before; the same dots say the same.
        assert image.tobytes() == proven.tobytes() or read_image(kept) == read_image(written)
        now = draw_label(layout, layout.example, DPI)
        assert image.size == now.size
        different = ImageChops.logical_xor(image.convert("1"), now).convert("L").histogram()[255]
        assert different < 0.01 * image.width * image.height


@pytest.mark.parametrize("name", ["act-card", "act-first", "act-row"])
def test_the_example_of_an_act_is_one_that_is_printed(name):
    example = load_layout(name).example
    assert (example["act"], example["meaning"]) in {(each.word, each.meaning) for each in acts_of("line")}


def test_no_picture_is_left_of_a_layout_that_is_gone():
    kept = {path.stem for path in (data_dir("labels") / "preview").iterdir()}
    assert kept == set(layout_names())


def test_an_example_is_judged_when_the_layout_is_read(tmp_path):
    content = (data_dir("labels") / "spindle-card.toml").read_text(encoding="utf-8")
    example = DATA["spindle-card"]["code"]
    (tmp_path / "card.toml").write_text(content.replace(example, "K0014270"), encoding="utf-8")
    with pytest.raises(UsageError, match="Label card, example, code"):
        load_layout("card", tmp_path)


def test_the_preview_command_names_its_files(tmp_path):
    result = CliRunner().invoke(command, ["preview", "badge", "--into", str(tmp_path / "new")])
    assert result.stdout == f"{tmp_path}/new/badge.png\n"
    assert read_image(tmp_path / "new" / "badge.png") == list(
        expected_of(load_layout("badge"), load_layout("badge").example).scans
    )
