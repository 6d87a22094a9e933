"""A pressed plant whose pages are served: made once for a run, and copied for every test that writes into it."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from support_web import pressed, served


@pytest.fixture(scope="session")
def plant(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plant of `support_web.pressed`; nothing is written into it."""
    return pressed(tmp_path_factory.mktemp("plant"))


@pytest.fixture
def place(plant: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copy(plant, tmp_path / "plant.db"))


@pytest.fixture
def port(place: Path) -> Iterator[int]:
    """Where the pages of that copy are served."""
    with served(place) as number:
        yield number
