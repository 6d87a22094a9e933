"""How many scans are parsed and judged in a second, next to biip's own parse of the same strings.

Run by hand: python tests/bench/identity_speed.py [ROUNDS]
Both read the same strings in turns in the same run, so that both meet the same machine; the median round counts. The
two do not do the same: biip decodes prefixes, dates and amounts, which no station asks for; we judge check digits,
carriers and what goes together, which biip leaves to its caller. A ratio below 1.00 says that ours costs less.
"""

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import biip
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from biip.gs1_messages import GS1Message

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_identity import GS, SINGLE, SSCC

from tracelink.identity.confusable import confusable
from tracelink.identity.gs1.association import check_association
from tracelink.identity.gs1.digitallink import parse_link
from tracelink.identity.gs1.elements import parse_elements
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.reading import (
    raw_act,
    raw_carton,
    raw_disc,
    raw_numbered_sleeve,
    raw_plant,
    raw_sleeve,
    raw_sscc,
    read_scan,
)

TIMES = 400
"""Reads of one string in one round."""

STATION = {
    "disc": raw_disc(SINGLE, 1, 2),
    "sleeve": raw_sleeve(SINGLE),
    "numbered sleeve": raw_numbered_sleeve(SINGLE, "000123"),
    "pallet": raw_sscc(SSCC),
    "carton": raw_carton(None, SINGLE, 20, "L0000421"),
}
OWN = {"spindle card": raw_plant("K0001422"), "act card": raw_act("STOP")}
"""The plant's own codes, which biip has no grammar for."""

LABELS = {
    "carton label, 5 elements": f"0000614141123456789002006141410004181521022810451214{GS}3720",
    "asset with serial": "80030061414112345232a/b",
    "weight and order": f"00006141411234567890330200150040012345{GS}4100614141123452",
    "product, lot, dates": f"0109501101530003112603311728033110AB-{GS}240X7",
}
LINK = f"https://id.gs1.org/01/{SINGLE.zfill(14)}/10/ABC1/21/12345?17=280426"


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    print(f"median of {rounds} rounds of {TIMES} reads")
    for name, raw in STATION.items():
        compare(name, rounds, lambda raw=raw: read_scan(raw), lambda raw=raw: biip.parse(raw))
    for name, payload in LABELS.items():
        compare(
            name,
            rounds,
            lambda payload=payload: check_association(parse_elements(payload, used=None)),
            lambda payload=payload: GS1Message.parse(payload),
        )
    compare("web address", rounds, lambda: parse_link(LINK), lambda: GS1DigitalLinkURI.parse(LINK))
    for name, raw in OWN.items():
        ours = statistics.median(timed(lambda raw=raw: read_scan(raw)) for _ in range(rounds))
        print(f"{name:<26} ours {1 / ours:>9,.0f}/s")
    codes = [str(Sscc.build("2", "9520000", serial)) for serial in range(100_000)]
    began = time.perf_counter()
    found = confusable(codes, reach=2)
    print(
        f"{len(codes):,} SSCCs compared in {time.perf_counter() - began:.2f} s: {len(found):,} pairs one swap apart"
    )


def compare(name: str, rounds: int, ours: Callable[[], object], theirs: Callable[[], object]) -> None:
    """Read in turns and print both rates and what ours costs of biip's."""
    mine, other = [], []
    for _ in range(rounds):
        mine.append(timed(ours))
        other.append(timed(theirs))
    one, two = statistics.median(mine), statistics.median(other)
    print(
        f"{name:<26} ours {1 / one:>9,.0f}/s   biip {1 / two:>9,.0f}/s   ours costs {one / two:.2f} of biip's"
    )


def timed(read: Callable[[], object]) -> float:
    """Return seconds for one read."""
    began = time.perf_counter()
    for _ in range(TIMES):
        read()
    return (time.perf_counter() - began) / TIMES


if __name__ == "__main__":
    main()
