"""Published documents that are others' work and not copied: they lie where RUNOUT_TEST_DOCUMENTS says."""

import os
from pathlib import Path

import pytest

VARIABLE = "RUNOUT_TEST_DOCUMENTS"


def outside(name: str) -> Path:
    """Return a file or folder of them, such as "epcis/examples"; skips the test by name if it is not there."""
    folder = os.environ.get(VARIABLE)
    if not folder:
        pytest.skip(f"{name} is not at hand: {VARIABLE} does not say where outside documents lie")
    path = Path(folder, name)
    if not path.exists():
        pytest.skip(f"{name} is not at hand: {path} does not exist")
    return path
