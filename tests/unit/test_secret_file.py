"""What only its owner may read is looked at where it is written, not where somebody misses it later."""

import os
import stat

import pytest

from tracelink.errors import RefusedByRule, StorageFailed
from tracelink.store.journal import keys, pin_key
from tracelink.store.only_reading import only_reading


@pytest.fixture(params=["signing key", "PIN key"])
def make(request, tmp_path):
    """Make a secret of one kind; returns its file."""
    if request.param == "PIN key":
        return lambda: (pin_key.make_key(f"{tmp_path}/plant.db"), tmp_path / "plant.db.pin-key")[1]
    return lambda: (keys.make_key(tmp_path / "plant.db.key", "k"), tmp_path / "plant.db.key")[1]


@pytest.mark.parametrize("umask", [0o000, 0o777])
def test_it_is_for_its_owner_whatever_the_umask(make, umask):
    before = os.umask(umask)
    try:
        file = make()
    finally:
        os.umask(before)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_where_permissions_are_not_kept_nothing_is_written(make, monkeypatch, tmp_path):
    """As on a share or a stick whose files are everybody's, whatever a program asks for."""
    made = os.open
    monkeypatch.setattr(os, "fchmod", lambda handle, mode: None)
    monkeypatch.setattr(
        os, "open", lambda file, how, mode=0o777: made(file, how, 0o644 if mode == 0o600 else mode)
    )
    with pytest.raises(
        StorageFailed, match=r"could be read or changed by others there \(mode 0644\): expected 0600"
    ):
        make()
    assert list(tmp_path.iterdir()) == []


def test_half_a_secret_is_not_left(make, monkeypatch, tmp_path):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StorageFailed, match="cannot be written: No space left on device"):
        make()
    assert list(tmp_path.iterdir()) == []


def test_none_is_made_in_an_auditors_session(make, tmp_path):
    with only_reading(), pytest.raises(RefusedByRule, match="--read-only"):
        make()
    assert list(tmp_path.iterdir()) == []
