"""Inputs grown towards lines of code that no input has reached yet, before one reader.

Run by hand, with the package atheris installed: python tests/bench/fuzz_guided.py READER [SECONDS]
Ends at the first input that is neither deserves to be taken nor is refused by us, and keeps it in a file beside; else after SECONDS (60).
"""

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import atheris

with atheris.instrument_imports(include=["tracelink"]):
    from support_readers import READERS

    from tracelink.errors import LedgerError
    from tracelink.report.bundle.verify_bundle import Fault


def main():
    reader = READERS[sys.argv[1]]
    seconds = sys.argv[2] if len(sys.argv) > 2 else "60"
    with tempfile.TemporaryDirectory() as folder:
        known = Path(folder) / "known"
        known.mkdir()
        for place, data in enumerate(reader.seeds(Path(folder))):
            (known / str(place)).write_bytes(data)
        file = Path(folder) / f"x{reader.suffix}"

        def read(data):
            try:
                answer = reader.read(data, file)
            except (LedgerError, Fault):
                return
            assert reader.accepted(answer, data)

        atheris.Setup(
            [sys.argv[0], str(known), f"-max_total_time={seconds}", "-timeout=10", "-max_len=4096"], read
        )
        atheris.Fuzz()


if __name__ == "__main__":
    main()
