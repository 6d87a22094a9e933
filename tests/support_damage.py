"""Good inputs with something changed: bytes, tokens, and for JSON also values of another kind."""

import copy
import json
import random
from collections.abc import Callable, Sequence
from typing import Any

TOKENS = (b"]C1", b"]C0", b"]d2", b"]E0", b"]Q3", b"\x1d", b"\x00", b"\xff", b"\xc3\x28", b"\xed\xa0\x80", b"\xef\xbb\xbf", b"\r", b"\n", b'"', b"'", b"{", b"}", b"[", b"]", b",", b";", b":", b"=", b"#", b"%", b"%2", b"/", b"\\", b"9" * 40, b"-1", b"1e999", b"NaN", b"null", b"true", "\u202e".encode(), "\u0662".encode(), b"{{", b"{%", b"8006", b"01", b"A" * 300)  # fmt: skip
"""What trips readers: separators, halves of characters, signs of several notations, numbers too large."""

VALUES: tuple[Any, ...] = (
    None,
    True,
    -1,
    0,
    2**63,
    10**30,
    1.5,
    "",
    "x" * 5000,
    "\ud800",
    "\x00",
    [],
    {},
    [[]],
    "2031-02-30T25:00:00+99:00",
    "\u202e",
)
"""What stands in the place of a value."""


def damaged_bytes(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Return one of `seeds` with one to six changes."""
    data = bytearray(rng.choice(seeds))
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) + 1)
        end = min(len(data), at + rng.choice((1, 1, 2, 8, 64)))
        change = rng.randrange(6)
        if change == 0:
            del data[at:end]
        elif change == 1:
            data[at:end] = rng.randbytes(end - at)
        elif change == 2:
            data[at:at] = rng.choice(TOKENS)
        elif change == 3:
            data[at:at] = data[at:end]
        elif change == 4:
            other = rng.choice(seeds)
            data[at:] = other[rng.randrange(len(other) + 1) :]
        elif at < len(data):
            data[at] ^= 1 << rng.randrange(8)
    return bytes(data)


def damaged_json(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Return one of `seeds`, JSON texts, with values changed; now and then damaged as bytes."""
    if rng.random() < 0.3:
        return damaged_bytes(rng, seeds)
    document = json.loads(rng.choice(seeds))
    for _ in range(rng.randint(1, 3)):
        places = list(_places(document))
        if not places:
            break
        holder, key = rng.choice(places)
        change = rng.randrange(4)
        if change == 0:
            del holder[key]
        elif change == 1:
            holder[key] = copy.deepcopy(rng.choice(places)[0])
        else:
            holder[key] = copy.deepcopy(rng.choice(VALUES))
    return json.dumps(document).encode("utf-8", "surrogatepass")


def _places(value: Any) -> list[tuple[Any, Any]]:
    found: list[tuple[Any, Any]] = []
    todo = [value]
    while todo:
        here = todo.pop()
        for key in here if isinstance(here, dict) else range(len(here)):
            found.append((here, key))
            if isinstance(here[key], dict | list):
                todo.append(here[key])
    return found


def damaged_lines(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Return one of `seeds`, a JSON object a line, with one line damaged, dropped, doubled or moved."""
    lines = rng.choice(seeds).split(b"\n")
    at = rng.randrange(len(lines))
    change = rng.randrange(5)
    if change == 0:
        del lines[at]
    elif change == 1:
        lines.insert(at, lines[at])
    elif change == 2:
        lines.insert(rng.randrange(len(lines)), lines.pop(at))
    elif lines[at].startswith(b"{"):
        lines[at] = damaged_json(rng, [lines[at]])
    else:
        lines[at] = damaged_bytes(rng, [lines[at] or b"x"])
    return b"\n".join(lines)


Damage = Callable[[random.Random, Sequence[bytes]], bytes]
