"""Notes and errors as one JSON object on each line, for programs that collect logs."""

import io
import json
from typing import TextIO

from tracelink.clock import utc_now


class JsonLines(io.TextIOBase):
    """Stands where standard error was, and writes each line of it as an object: `at`, `level` (note or error), `text`."""

    # Asked for by whoever prints; what is written is ASCII, whatever it says.
    encoding = "utf-8"
    errors = "backslashreplace"

    def __init__(self, target: TextIO) -> None:
        self._target = target
        self._begun = ""

    def write(self, text: str) -> int:
        """Take in text, and write each line that is whole."""
        *whole, self._begun = (self._begun + text).split("\n")
        for line in whole:
            if line.strip():
                self._write_line(line)
        return len(text)

    def _write_line(self, line: str) -> None:
        level = "error" if line.startswith("runout: ") else "note"
        said = {"at": utc_now(), "level": level, "text": line.removeprefix("runout: ")}
        self._target.write(json.dumps(said) + "\n")

    def flush(self) -> None:
        """Hand on what is written."""
        self._target.flush()

    def isatty(self) -> bool:
        """Tell that nobody reads this on a screen."""
        return False
