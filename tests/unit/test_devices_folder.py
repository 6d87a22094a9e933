"""A watched folder: pictures in order of arrival, half-written ones waited for, none twice, none lost."""

import itertools
import os

import pytest
from support_printing import code, draw_code128, draw_data_matrix, on_paper

from tracelink.devices import folder as module
from tracelink.devices.folder import PATIENCE_LOOKS, FolderWatch
from tracelink.devices.unread_bars import read_picture_file
from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.rawlines import raw_picture
from tracelink.identity.reading import read_scan

CODES = [code("K", number) for number in range(1, 9)]
clock = itertools.count(1_900_000_000)


def picture(path, text, *more):
    on_paper(*[draw_code128(each, 300, 0.33, 10) for each in (text, *more)]).save(path)
    arrived(path)


def arrived(path):
    """Give a file a time of its own, a second after the one before."""
    moment = next(clock)
    os.utime(path, (moment, moment))


def look(watch):
    return list(watch.look())


def line(name, *codes):
    """The one line of a picture."""
    return raw_picture(name, [f"]C0{text}" for text in codes])


@pytest.fixture
def watch(tmp_path):
    return FolderWatch(tmp_path, read_picture_file)


def test_a_picture_is_read_when_it_no_longer_changes(watch, tmp_path):
    picture(tmp_path / "a.png", CODES[0])
    assert look(watch) == []
    assert look(watch) == [line("a.png", CODES[0])]
    assert look(watch) == []


def test_pictures_come_in_order_of_arrival_and_not_of_name(watch, tmp_path):
    for name, text in (("z.png", CODES[0]), ("a.jpg", CODES[1]), ("m.JPEG", CODES[2])):
        picture(tmp_path / name, text)
    assert look(watch) == []
    assert look(watch) == [
        line("z.png", CODES[0]),
        line("a.jpg", CODES[1]),
        line("m.JPEG", CODES[2]),
    ]


def test_a_picture_of_two_symbols_is_one_line_with_both(watch, tmp_path):
    picture(tmp_path / "a.png", CODES[0], CODES[1])
    look(watch)
    assert look(watch) == [line("a.png", CODES[0], CODES[1])]


def test_what_was_there_before_is_not_read(tmp_path):
    picture(tmp_path / "old.png", CODES[0])
    watch = FolderWatch(tmp_path, read_picture_file)
    assert watch.passed_over == 1
    picture(tmp_path / "new.png", CODES[1])
    assert look(watch) + look(watch) == [line("new.png", CODES[1])]


def test_a_file_written_anew_under_its_name_is_a_new_picture(watch, tmp_path):
    path = tmp_path / "latest.png"
    for text in CODES[:3]:
        picture(path, text)
        assert look(watch) + look(watch) == [line("latest.png", text)]


def test_a_half_written_picture_is_waited_for_and_later_ones_wait_too(watch, tmp_path):
    picture(tmp_path / "whole.png", CODES[0])
    content = (tmp_path / "whole.png").read_bytes()
    look(watch)
    look(watch)
    slow = tmp_path / "slow.png"
    slow.write_bytes(content[: len(content) // 2])
    arrived(slow)
    picture(tmp_path / "next.png", CODES[1])
    for _ in range(5):
        assert look(watch) == []
    slow.write_bytes(content)
    arrived(slow)
    assert look(watch) == [], "it has just changed"
    assert look(watch) == [line("slow.png", CODES[0]), line("next.png", CODES[1])]


def test_an_empty_file_is_waited_for(watch, tmp_path):
    path = tmp_path / "a.png"
    path.touch()
    for _ in range(4):
        assert look(watch) == []
    picture(path, CODES[0])
    assert look(watch) + look(watch) == [line("a.png", CODES[0])]


def test_a_picture_that_stays_unreadable_becomes_a_line_that_no_reader_accepts(watch, tmp_path):
    (tmp_path / "bad.png").write_bytes(b"no picture")
    picture(tmp_path / "next.png", CODES[1])
    lines = [look(watch) for _ in range(PATIENCE_LOOKS + 1)]
    assert lines[:-1] == [[]] * PATIENCE_LOOKS
    refused, following = lines[-1]
    assert refused == (f"picture bad.png: {tmp_path}/bad.png is not an image: expected a PNG or JPEG file.")
    assert following == line("next.png", CODES[1])
    with pytest.raises(IdentifierError):
        read_scan(refused)


def test_a_picture_without_a_symbol_is_a_refused_line(watch, tmp_path):
    on_paper(draw_code128(CODES[0], 300, 0.33, 10)).point(lambda value: 255).save(tmp_path / "white.png")
    (lines,) = [found for _ in range(PATIENCE_LOOKS + 1) if (found := look(watch))]
    assert lines[0].startswith("picture white.png: ")
    assert "shows no symbol that can be read" in lines[0]


def test_a_doubtful_picture_is_a_refused_line_at_once(watch, tmp_path, monkeypatch):
    from tracelink.devices import images  # noqa: PLC0415  # its reader is replaced

    monkeypatch.setattr(images, "read_linear", lambda grey: set())
    picture(tmp_path / "a.png", CODES[0])
    look(watch)
    (refused,) = look(watch)
    assert "the two readers do not agree" in refused


def test_a_file_that_goes_before_it_is_read_is_forgotten(watch, tmp_path):
    picture(tmp_path / "a.png", CODES[0])
    picture(tmp_path / "b.png", CODES[1])
    assert look(watch) == []
    (tmp_path / "a.png").unlink()
    assert look(watch) == [line("b.png", CODES[1])]


def test_hidden_files_folders_and_others_are_passed_over(watch, tmp_path):
    picture(tmp_path / ".a.png", CODES[0])
    (tmp_path / "b.png").mkdir()
    (tmp_path / "c.txt").write_text("]C0K0000010")
    assert look(watch) + look(watch) == []


def test_a_renamed_part_file_is_read_when_it_has_its_name(watch, tmp_path):
    picture(tmp_path / "a.png", CODES[0])
    (tmp_path / "a.png").rename(tmp_path / "a.part")
    assert look(watch) + look(watch) == []
    (tmp_path / "a.part").rename(tmp_path / "a.png")
    assert look(watch) + look(watch) == [line("a.png", CODES[0])]


def test_nothing_is_read_twice_when_the_folder_was_away(watch, tmp_path):
    picture(tmp_path / "a.png", CODES[0])
    look(watch)
    assert look(watch) == [line("a.png", CODES[0])]
    away = tmp_path.with_name(tmp_path.name + "-away")
    tmp_path.rename(away)
    assert look(watch) == []
    away.rename(tmp_path)
    assert look(watch) + look(watch) == []


class Stop(Exception):  # noqa: N818  # ends a test
    pass


def test_lines_look_and_wait_by_turns(tmp_path):
    naps, notes = [], []
    picture(tmp_path / "old.png", CODES[0])

    def wait(seconds):
        naps.append(seconds)
        if len(naps) == 2:
            on_paper(draw_data_matrix(code("T", 64), 300, 0.75)).save(tmp_path / "new.png")
        if len(naps) == 6:
            raise Stop
        return ["#4"] if len(naps) == 4 else []

    lines = module.lines(tmp_path, read_picture_file, notes.append, wait)
    assert notes == [f"1 pictures were in {tmp_path} before and are not read."]
    assert next(lines) == raw_picture("new.png", [f"]d1{code('T', 64)}"])
    assert naps == [module.LOOK_S] * 3
    assert next(lines) == "#4", "what was keyed while it waited"
    with pytest.raises(Stop):
        next(lines)


def test_a_folder_that_is_not_there_is_named(tmp_path):
    with pytest.raises(UsageError) as caught:
        module.lines(tmp_path / "none", read_picture_file, print, lambda seconds: [])
    assert str(caught.value) == f"There is no folder {tmp_path}/none."
