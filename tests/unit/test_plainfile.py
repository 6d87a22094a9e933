"""Pipes and devices where a file is asked for, and pictures of odd sizes: a sentence at once, never a wait."""

import os
from pathlib import Path

import pytest
from PIL import Image
from support_cli import run

from tracelink.devices.images import MAX_SIDE, read_image
from tracelink.devices.stationlog import read_log
from tracelink.errors import ImageUnread, LedgerError, StorageFailed, UsageError
from tracelink.plainfile import NotPlainError, plain_bytes, plain_text
from tracelink.printing.output import whole_file, whole_folder
from tracelink.report.case import letter_template
from tracelink.services.cases import scope_check
from tracelink.services.desks.order_files import read_orders
from tracelink.services.given_files import first_bytes
from tracelink.store.journal.keys import held_key
from tracelink.store.journal.pin_key import read_key

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX")


def _key(file):
    with held_key(file):
        pass


# Whoever opens a file that somebody names, and the ending that it must have. Each waited for ever for a writer.
READERS = {
    "picture": (read_image, ".png"),
    "log": (read_log, ".log"),
    "orders": (lambda file: read_orders(str(file)), ".xlsx"),
    "note": (lambda file: first_bytes(file, 10), ".txt"),
    "template": (letter_template._read, ".toml"),
    "scope": (lambda file: scope_check._document(str(file)), ".json"),
    "signing key": (_key, ".key"),
    "PIN key": (lambda file: read_key(str(file).removesuffix(".pin-key")), ".db.pin-key"),
}


@pytest.mark.parametrize("what", READERS)
def test_a_pipe_is_refused_where_a_file_is_asked_for(what, tmp_path):
    read, ending = READERS[what]
    pipe = tmp_path / f"p{ending}"
    os.mkfifo(pipe)
    with pytest.raises(LedgerError, match="not a plain file: pipes and devices are not read"):
        read(pipe)


def test_a_device_is_refused_behind_a_link_too(tmp_path):
    link = tmp_path / "plant.toml"
    link.symlink_to("/dev/zero")
    for place in (link, Path("/dev/zero"), Path("/dev/null")):
        with pytest.raises(NotPlainError):
            plain_bytes(place)
        done = run("init", "--plant", place, ledger=tmp_path / "plant.db")
        assert done.code == 2
        assert "pipes and devices are not read" in done.err
    assert not (tmp_path / "plant.db").exists()


def test_a_plain_file_is_read_up_to_its_limit(tmp_path):
    file = tmp_path / "a.txt"
    file.write_bytes(b"\xef\xbb\xbfone\r\ntwo\rthree\n")
    assert plain_text(file) == "one\ntwo\nthree\n"
    size = file.stat().st_size
    assert len(plain_bytes(file, size)) == size
    with pytest.raises(OSError, match=f"more than the {size - 1} bytes that are read"):
        plain_bytes(file, size - 1)
    with pytest.raises(IsADirectoryError):
        plain_bytes(tmp_path)


@pytest.mark.parametrize("size", [(1, 65_536), (65_536, 1), (3, 200_000), (MAX_SIDE + 1, 1)])
def test_a_picture_of_an_odd_size_is_refused_with_its_size(size, tmp_path):
    """zxing-cpp raises an error of its own above 65,535 pixels a side: a few hundred bytes that stopped a line."""
    file = tmp_path / "strip.png"
    Image.new("1", size, 1).save(file)
    with pytest.raises(
        ImageUnread, match=rf"has {size[0]} x {size[1]} pixels: expected at most 16,384 a side"
    ):
        read_image(file)
    done = run("label", "read", file)
    assert done.code == 2
    assert "16,384 a side" in done.err


def test_a_picture_as_long_as_may_be_is_looked_at(tmp_path):
    file = tmp_path / "strip.png"
    Image.new("1", (MAX_SIDE, 9), 1).save(file)
    with pytest.raises(ImageUnread, match="shows no symbol"):
        read_image(file)


@pytest.mark.parametrize("whole", [whole_file, whole_folder])
@pytest.mark.parametrize(("number", "kind"), [(28, StorageFailed), (122, StorageFailed), (13, UsageError)])
def test_a_report_without_room_is_a_want_of_room_and_no_wrong_usage(whole, number, kind, tmp_path):
    assert (StorageFailed.exit_code, UsageError.exit_code) == (4, 2)
    with (
        pytest.raises(kind, match=r"The report cannot be written to .*: words"),
        whole(tmp_path / "r", "The report"),
    ):
        raise OSError(number, "words")
    assert list(tmp_path.iterdir()) == []
