"""The demo that the pages' examples run on, and that reference pages are compared with."""

import pytest
from support_demo import played_demo


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    """Shared: only to be read or copied."""
    return played_demo(tmp_path_factory)
