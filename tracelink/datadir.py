"""Where the folders that travel with the program are: label layouts, migrations."""

from pathlib import Path

from tracelink.errors import UsageError


def data_dir(name: str) -> Path:
    """Return the folder `name` that came with the program.

    An installed wheel carries the folder inside the package, under `_data/`; in a checkout, and in an
    editable install of one, it lies beside the package.

    Args:
        name: a folder such as "labels" or "migrations".

    Returns:
        An existing folder.

    Raises:
        UsageError: neither place has it, so the installation is incomplete.
    """
    here = Path(__file__).resolve().parent
    candidates = (here / "_data" / name, here.parent / name)
    for candidate in candidates:
        if candidate.is_dir():
            return candidate
    places = " and ".join(str(candidate) for candidate in candidates)
    raise UsageError(
        f"The program's folder {name!r} is missing: looked in {places}. Install the program again."
    )
