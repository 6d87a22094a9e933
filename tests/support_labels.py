"""Made-up labels in any number: a layout, its data, and the line a scanner must send, as the room of identity writes it."""

import random
import string
from dataclasses import dataclass, field

from support_printing import code

from tracelink.devices.images import read_pixels
from tracelink.errors import ImageDoubtful, LabelNotProven, UsageError
from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.aitable import CSET_82
from tracelink.identity.rawlines import raw_act, raw_disc, raw_numbered_sleeve, raw_plant, raw_sleeve
from tracelink.printing.act_meanings import act_words
from tracelink.printing.label import make_label
from tracelink.printing.label_proof import measure, prove_apart
from tracelink.printing.layout import load_layout

WORDS = ("Paper", "Comet", "Moth", "Nine", "Pale", "Windmills", "Grüße", "0", "99", "IlO0", "(Part 2)")


def generated(chance):
    """Return layout name, data and line of one label; all kinds of small labels in turn by chance."""
    return chance.choice(_MAKERS)(chance)


def _gtin(chance):
    body = "952" + "".join(chance.choice(string.digits) for _ in range(9))
    return body + gs1_check_digit(body)


def _text(chance):
    return " ".join(chance.choice(WORDS) for _ in range(chance.randint(1, 3)))[:20]


def _plant(chance, letter):
    # Short and long numbers, and often ones that begin or end in nines, which Code 128 libraries trip over.
    number = chance.choice(
        (chance.randint(1, 999), chance.randint(1, 999_999_999), 990_000 + chance.randint(0, 9999))
    )
    return code(letter, number)


def _sample(chance):
    text = _plant(chance, "S")
    data = {
        "code": text,
        "lot": _plant(chance, "L"),
        "stroke": str(chance.randint(1, 99_999)),
        "drawn": "today",
    }
    return "sample-tag", data, raw_plant(text)


def _badge(chance):
    text = _plant(chance, "P")
    return "badge", {"code": text, "name": _text(chance), "work": _text(chance)}, raw_plant(text)


def _compound(chance):
    text = _plant(chance, chance.choice("CKLBW"))
    return "plant-code", {"code": text, "what": _text(chance)}, raw_plant(text)


def _tool(chance):
    text = _plant(chance, "T")
    return "tool-tag", {"code": text, "kind": "stamper", "matrix": _text(chance)}, "]d1" + text


def _act(chance):
    word = chance.choice(sorted(act_words()))
    return "act-row", {"act": word, "meaning": _text(chance)}, raw_act(word)


def _sleeve(chance):
    gtin = _gtin(chance)
    return "sleeve-ean", {"gtin": gtin, "catalogue": _text(chance)}, raw_sleeve(gtin)


def _disc(chance):
    gtin, total = _gtin(chance), chance.randint(1, 99)
    piece = chance.randint(1, total)
    data = {"gtin": gtin, "piece": str(piece), "total": str(total), "catalogue": "EX 101", "side": "A"}
    return "disc-label", data, raw_disc(gtin, piece, total)


def _numbered(chance):
    gtin = _gtin(chance)
    # A bracket cannot be handed to the writer of the symbol, and is refused; see the tests of symbols.
    allowed = sorted(CSET_82 - {"("})
    serial = "".join(chance.choice(allowed) for _ in range(chance.randint(1, 20)))
    return (
        "numbered-sleeve",
        {"gtin": gtin, "serial": serial, "edition": "500"},
        raw_numbered_sleeve(gtin, serial),
    )


_MAKERS = (_sample, _badge, _compound, _tool, _act, _sleeve, _disc, _numbered)


@dataclass
class Tally:
    """What came of reading drawn labels."""

    right: int = 0
    refused: int = 0
    """Not drawn: something does not fit, and a sentence says what."""
    wrong: list[str] = field(default_factory=list)
    """Read as something else by both readers: the worst that can be."""
    unread: list[str] = field(default_factory=list)
    """Not read, or the readers disagree: the label would not have been written."""


def roundtrip(count, seed, dpis, tick=lambda: None):
    """Draw `count` labels and read each back, as a picture from the floor is read and symbol by symbol."""
    chance = random.Random(seed)
    layouts = {}
    tally = Tally()
    for _ in range(count):
        name, data, line = generated(chance)
        layout = layouts.setdefault(name, load_layout(name))
        try:
            label = make_label(layout, data, chance.choice(dpis))
        except UsageError:
            tally.refused += 1
            tick()
            continue
        image = label.image()
        _read(image, name, line, tally)
        _read_apart(image, label, line, tally)
        tick()
    return tally


def _read_apart(image, label, line, tally):
    """Prove the label as a label of a batch is, too: what is refused there counts as not read."""
    try:
        measure(image, label.parts, label.layout.name, label.dpi)
        prove_apart(image, label.parts, label.expected)
    except LabelNotProven as error:
        tally.unread.append(f"{label.layout.name} {line!r}, symbol by symbol: {error}")


def _read(image, name, line, tally):
    try:
        found = read_pixels(image, name)
    except ImageDoubtful as error:
        tally.unread.append(f"{name} {line!r}: {error}")
        return
    if found == [line]:
        tally.right += 1
    elif found:
        tally.wrong.append(f"{name} {line!r}: read as {found}")
    else:
        tally.unread.append(f"{name} {line!r}: not read")
