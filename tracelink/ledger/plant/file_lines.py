"""In which line of a plant file something stands: the parser of TOML does not say.

The text was parsed already, so that it is right TOML; here only heads of tables and names of fields are looked for,
outside of texts over several lines and of lists and tables in brackets.
"""

import re
from collections import Counter
from dataclasses import replace

from tracelink.ledger.plant.plantsection import FilePlace

_HEAD = re.compile(r"\s*\[\[?\s*([A-Za-z0-9_-]+)(?:\s*\.\s*([A-Za-z0-9_-]+))?[^\]]*\]")
_FIELD = re.compile(r"\s*([A-Za-z0-9_-]+)\s*(?:\.[^=]*)?=")
_TOKENS = re.compile(r'"""|\'\'\'|"(?:\\.|[^"\\])*"|\'[^\']*\'|#.*|[\[\]{}]|\\.')


class FileLines:
    """The lines of a file in which tables and fields begin."""

    def __init__(self, text: str) -> None:
        """Args: text: of the file."""
        self._lines: dict[FilePlace, int] = {}
        self._place = FilePlace()
        self._inside = ""
        self._heads = Counter[str]()
        depth, until = 0, ""
        for number, line in enumerate(text.splitlines(), 1):
            if not depth and not until:
                self._begin(line, number)
            depth, until = _open_after(line, depth, until)

    def line_of(self, place: FilePlace) -> int | None:
        """Return the line of a place, or of its table if the field is not written there; None if nothing is."""
        for wanted in (place, replace(place, field=""), replace(place, number=1, field="")):
            if wanted in self._lines:
                return self._lines[wanted]
        return None

    def _begin(self, line: str, number: int) -> None:
        head = _HEAD.match(line)
        field = None if head else _FIELD.match(line)
        if head and head[2]:
            # [plant.settings] and [[product.parts]] stand in a field of the table above them.
            self._keep(replace(self._place, field=head[2]), number)
            self._inside = head[2]
        elif head:
            many = line.lstrip().startswith("[[")
            self._heads[head[1]] += 1
            self._place = FilePlace(head[1], self._heads[head[1]] if many else 0)
            self._keep(self._place, number)
            self._inside = ""
        elif field and not self._inside:
            self._keep(replace(self._place, field=field[1]), number)

    def _keep(self, place: FilePlace, number: int) -> None:
        self._lines.setdefault(place, number)


def _open_after(line: str, depth: int, until: str) -> tuple[int, str]:
    """Return how many brackets are open after a line, and by what a text that goes on ends."""
    is_head = not depth and not until and _HEAD.match(line) is not None
    for token in _TOKENS.findall(line):
        if until:
            until = "" if token == until else until
        elif token in ('"""', "'''"):
            until = token
        elif not is_head:
            depth += (token in ("[", "{")) - (token in ("]", "}"))
    return depth, until
