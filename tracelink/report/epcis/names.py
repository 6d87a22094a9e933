"""How the plant's things are called in EPCIS and PROV: GS1 Digital Link where a GS1 key exists, else the plant's URIs.

A carton and a pallet have an SSCC, a numbered unit a GTIN and a serial, discs a GTIN and a lot (for a disc of a set the
number of the piece, AI 8006). Tools, materials, spindles, samples, stations, orders and people have none: they get an
address under the domain that the plant owns, such as https://id.example.org/tool/T000104C.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import quote

from tracelink.errors import IdentifierError
from tracelink.facts.bundle_content import BundleFacts
from tracelink.identity.gs1.digitallink import write_link

_WORDS = {
    "T": "tool",
    "L": "lot",
    "C": "material",
    "E": "material",
    "K": "spindle",
    "S": "sample",
    "B": "sleeves",
    "W": "station",
    "D": "shipment",
    "P": "person",
    "X": "step",
    "V": "equipment",
    "M": "part-lot",
    "F": "reel",
    "N": "build-order",
    "U": "piece",
}
_SSCC_DIGITS = 18
_CLASSES = frozenset("MFN")


@dataclass(frozen=True, slots=True)
class LotName:
    """What a lot presses."""

    gtin: str
    piece: int
    total: int
    """Discs to a unit."""


@dataclass(frozen=True, slots=True)
class Names:
    """The names of one ledger's things."""

    domain: str
    """Host name, optionally with a path, without scheme and slash at its end."""
    lots: Mapping[str, LotName]
    """Lot -> what it presses; a lot that is not here gets an address of the plant."""
    units: Mapping[str, str] = field(default_factory=dict)
    """Built piece that is a product -> GTIN; any other piece gets an address of the plant."""

    def address(self, what: str, code: str) -> str:
        """Return an address of the plant, such as `https://id.example.org/order/4711`."""
        return f"https://{self.domain}/{what}/{quote(code, safe='')}"

    @property
    def namespace(self) -> str:
        """The prefix of the plant's own words."""
        return f"https://{self.domain}/ns/"

    def thing(self, code: str) -> str:
        """Return the name of a thing by the form of its code: an SSCC or a plant code."""
        if len(code) == _SSCC_DIGITS and code.isascii() and code.isdigit():
            return write_link({"00": code})
        if code in self.units:
            return self.unit(self.units[code], code)
        return self.address(_WORDS.get(code[:1], "thing"), code)

    def is_class(self, code: str) -> bool:
        """Return whether a code stands for many things alike: discs of a lot, parts of a lot or reel, pieces of an order."""
        return code in self.lots or code[:1] in _CLASSES

    def discs(self, lot: str) -> str:
        """Return the name of the discs of a lot, as a class."""
        made = self.lots.get(lot)
        if made is None:
            return self.thing(lot)
        gtin = f"{made.gtin:0>14}"
        key = {"01": gtin} if made.total == 1 else {"8006": f"{gtin}{made.piece:02}{made.total:02}"}
        try:
            return write_link({**key, "10": lot})
        except IdentifierError:
            return self.thing(lot)

    def unit(self, gtin: str, number: str) -> str:
        """Return the name of one numbered unit."""
        try:
            return write_link({"01": f"{gtin:0>14}", "21": number})
        except IdentifierError:
            return self.address("unit", f"{gtin}-{number}")

    def product(self, gtin: str) -> str:
        """Return the name of finished units of a product, as a class."""
        return write_link({"01": f"{gtin:0>14}"})


def names_for(facts: BundleFacts) -> Names:
    """Return the names of the things of a bundle."""
    lots = {
        code: LotName(note.gtin, note.piece, facts.products[note.gtin].discs)
        for code, note in facts.lots.items()
        if note.gtin in facts.products
    }
    return Names(facts.domain, lots, facts.units)
