"""Files that are there whole or not at all, and a sentence where they cannot be."""

import pytest

from tracelink.errors import UsageError
from tracelink.printing.output import whole_file


def test_a_file_is_made_whole(tmp_path):
    with whole_file(tmp_path / "a.txt", "The letter") as part:
        part.write_text("x")
    assert [one.name for one in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.parametrize("between", ["missing", "taken"])
def test_a_place_that_is_no_folder_has_its_sentence(tmp_path, between):
    (tmp_path / "taken").write_text("x")
    target = tmp_path / between / "a.txt"
    with pytest.raises(UsageError) as caught, whole_file(target, "The letter") as part:
        part.write_text("x")
    assert str(caught.value).startswith(f"The letter cannot be written to {target}: ")
