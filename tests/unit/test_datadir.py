"""Finding the folders that travel with the program."""

import pytest

from tracelink import datadir
from tracelink.datadir import data_dir
from tracelink.errors import UsageError


def test_the_labels_are_there():
    assert (data_dir("labels") / "lot-card.toml").is_file()


def test_an_installed_wheel_comes_before_a_checkout(tmp_path, monkeypatch):
    package = tmp_path / "tracelink"
    (package / "_data" / "labels").mkdir(parents=True)
    (tmp_path / "labels").mkdir()
    monkeypatch.setattr(datadir, "__file__", str(package / "datadir.py"))
    assert data_dir("labels") == package / "_data" / "labels"
    (package / "_data" / "labels").rmdir()
    assert data_dir("labels") == tmp_path / "labels"


def test_a_missing_folder_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr(datadir, "__file__", str(tmp_path / "tracelink" / "datadir.py"))
    with pytest.raises(UsageError) as caught:
        data_dir("labels")
    assert str(caught.value) == (
        f"The program's folder 'labels' is missing: looked in {tmp_path}/tracelink/_data/labels and "
        f"{tmp_path}/labels. Install the program again."
    )
