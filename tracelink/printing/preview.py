"""Pictures of layouts with the example data of their files, for people who choose or change a label."""

from pathlib import Path

from tracelink.errors import UsageError
from tracelink.printing.label import write_label
from tracelink.printing.layout import load_layout

DPI = 203
"""The coarsest printer in use: what is legible here is legible everywhere."""


def write_preview(folder: Path, name: str) -> Path:
    """Write the picture of a layout, proven like any label, and return where it is.

    Args:
        folder: made if it is not there.
        name: the layout.

    Raises:
        UsageError: there is no such layout, it has no example, or the picture cannot be written.
    """
    layout = load_layout(name)
    if not layout.example:
        raise UsageError(f"Label {name} has no [example] in its file; add a value for every field.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UsageError(f"{folder} cannot be made: {error.strerror}.") from error
    path = folder / f"{name}.png"
    write_label(path, layout, layout.example, DPI)
    return path
