"""Packing one unit: disc and sleeve, disc by disc, with the mishaps that the incidents name."""

from collections.abc import Callable

from clockwork import Station
from incidents import (
    DUPLICATE_AT,
    DUPLICATE_OF,
    LEFT_BEHIND,
    MISHAPS,
    NO_READ_SHARE,
    REJECT_SHARE,
    Mishap,
)
from plantdata import Product
from reasons import LOOKS_WRONG
from stock import Plant, Spindle

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.rawlines import raw_act, raw_disc, raw_numbered_sleeve, raw_plant, raw_sleeve

DISC_S, SLEEVE_S = 7, 3
"""Seconds to take a disc and to find its sleeve; a choice of this plant."""


class UnitWork:
    """The hands at one line."""

    def __init__(self, plant: Plant, station: Station) -> None:
        self.plant = plant
        self.station = station
        self.dice = plant.dice(f"hands {station.name}")
        self.product: Product
        self.open: dict[int, Spindle] = {}
        """By disc of the set."""
        self.in_carton: list[int] = []
        """Numbers of the units in the open carton that were not rechecked yet; 0 where there are none."""
        self._at_sleeve: dict[Mishap | None, Callable[[int], None]] = {
            Mishap.NO_READ: self._no_read_once,
            Mishap.NO_READ_REJECT: self._no_read_reject,
            Mishap.MISREAD: self._misread,
            Mishap.WRONG_SLEEVE: self._wrong_sleeve,
        }
        """What happens between a disc and its sleeve."""

    def begin(self, product: Product) -> None:
        """Take over a cleared line for a product."""
        self.product, self.open = product, {}
        self.in_carton = []

    def new_carton(self) -> None:
        """Begin an empty carton."""
        self.in_carton = []

    def open_stacks(self) -> None:
        """Scan the card of every stack that is needed next."""
        for piece in range(1, self.product.discs + 1):
            self._stack(piece)

    def pack_one(self, carton: str) -> list[Spindle]:
        """Pack one unit into the open carton and return the stacks its discs came from.

        Args:
            carton: SSCC of the open carton.
        """
        gtin = self.product.gtin
        number = self._next_number()
        unit = self.plant.packed[gtin] + 1
        mishap = MISHAPS.get((self.product, unit))
        self._random_reject()
        for piece in range(1, self.product.discs + 1):
            self._stack(piece)
            if piece == 2 and mishap is Mishap.SECOND_COPY:
                self._second_copy()
            self._disc(piece)
            if mishap in self._at_sleeve:
                self._at_sleeve[mishap](piece)
            if number == self._repeat_at():
                self._repeated_number(piece)
            if self.dice.random() < NO_READ_SHARE:
                self._no_read("a sleeve does not read at first")
            self._sleeve(number)
            self._take(piece)
        for place in range(1, len(self.product.items) + 1):
            self.station.scan(raw_plant(self.product.item(place)), pace=SLEEVE_S)
        self.plant.packed[gtin] += 1
        self.in_carton.append(number)
        if number:
            self.plant.numbered_in[number] = carton
        return list(self.open.values())

    def _next_number(self) -> int:
        return len(self.plant.numbered_in) + 1 if self.product.edition else 0

    def _stack(self, piece: int) -> None:
        rack = self.plant.racks[self.product.gtin, piece]
        if rack[0] is not self.open.get(piece):
            self.open[piece] = rack[0]
            self.station.scan(raw_plant(rack[0].code))

    def _take(self, piece: int) -> None:
        spindle = self.open[piece]
        spindle.remaining -= 1
        if spindle.remaining == 0:
            self.plant.racks[self.product.gtin, piece].remove(spindle)

    def _disc(self, piece: int) -> None:
        pace = self.plant.scale.seconds(DISC_S + SLEEVE_S) - SLEEVE_S
        self.station.scan(raw_disc(self.product.gtin, piece, self.product.discs), pace=pace)

    def _sleeve(self, number: int) -> None:
        gtin = self.product.gtin
        raw = raw_numbered_sleeve(gtin, str(number)) if number else raw_sleeve(gtin)
        self.station.scan(raw, pace=SLEEVE_S)

    def _random_reject(self) -> None:
        """Throw out a disc that looks wrong, as long as another can take its place."""
        if (
            self.plant.ready_discs(self.product) < 2
            or self.dice.random() >= REJECT_SHARE * self.product.discs
        ):
            return
        self._stack(1)
        self._disc(1)
        self._reject(1)

    def _reject(self, piece: int) -> None:
        self.station.scan(raw_act("REJECT"), LOOKS_WRONG.scan)
        self._take(piece)

    def _no_read(self, what: str) -> None:
        self.station.scan(raw_act("NOREAD"))
        self.plant.stops(self.station, "no-read", what)

    def _no_read_once(self, _piece: int) -> None:
        self._no_read(Mishap.NO_READ.value)

    def _no_read_reject(self, piece: int) -> None:
        self._no_read(Mishap.NO_READ_REJECT.value)
        self._reject(piece)
        self._stack(piece)
        self._disc(piece)

    def _misread(self, _piece: int) -> None:
        digits = self.product.gtin
        wrong = str((int(gs1_check_digit(digits[:-1])) + 5) % 10)
        raw = raw_sleeve(digits)[:-1] + wrong
        self.station.scan(raw)
        self.plant.stops(self.station, "wrong-check-character", Mishap.MISREAD.value, read=raw[3:])

    def _wrong_sleeve(self, piece: int) -> None:
        other = LEFT_BEHIND[self.product]
        self.station.scan(raw_sleeve(other.gtin))
        self.plant.stops(
            self.station,
            "wrong-title",
            Mishap.WRONG_SLEEVE.value,
            expected=self.product.gtin,
            found=other.gtin,
            spindle=self.open[piece].code,
        )
        self.station.scan(raw_act("STOP"))
        self._recheck()
        self._disc(piece)

    def _second_copy(self) -> None:
        self._disc(1)
        self.plant.stops(
            self.station,
            "second-copy",
            Mishap.SECOND_COPY.value,
            product=self.product.gtin,
            spindle=self.open[1].code,
        )
        self.station.scan(raw_act("STOP"))
        self._recheck()

    def _recheck(self) -> None:
        """After a wrong read every unit packed since the last good check is scanned again, in the order of packing."""
        if not self.in_carton:
            return
        self.station.scan(raw_act("RECHECK"))
        for number in self.in_carton:
            for piece in range(1, self.product.discs + 1):
                self._disc(piece)
                self._sleeve(number)
        self.in_carton = []

    def _repeat_at(self) -> int:
        return round(self.plant.edition * DUPLICATE_AT) if self.product.edition else -1

    def _repeated_number(self, piece: int) -> None:
        """The number printer repeats itself: the carton with the first copy is held, the second put aside."""
        again = round(self.plant.edition * DUPLICATE_OF)
        held = self.plant.hold_carton(self.product, self.plant.numbered_in[again])
        self._sleeve(again)
        self.plant.stops(
            self.station,
            "duplicate-number",
            "the number printer repeats a number after a new ribbon",
            product=self.product.gtin,
            number=str(again),
            carton=held,
        )
        self.station.scan(raw_act("STOP"))
        self._disc(piece)
