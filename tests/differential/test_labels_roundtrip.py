"""Made-up labels are read as what they are; the same at any number by tests/bench/labels_roundtrip.py."""

import random

from support_campaign import tries
from support_labels import _MAKERS, Tally, _read, generated, roundtrip
from support_printing import code, draw_code128

from tracelink.identity.reading import read_scan


def test_no_label_is_read_as_something_else():
    count = tries(120)
    tally = roundtrip(count, 20310303, (203, 300))
    assert tally.wrong == []
    assert tally.unread == []
    assert tally.right + tally.refused == count
    assert tally.right >= 0.75 * count


def test_all_kinds_of_small_labels_are_made():
    chance = random.Random(5)
    names = {generated(chance)[0] for _ in range(200)}
    assert len(names) == len(_MAKERS)


def test_every_made_up_line_is_one_that_a_station_takes():
    chance = random.Random(6)
    for _ in range(300):
        read_scan(generated(chance)[2])


def test_the_tally_can_tell_a_wrong_read():
    tally = Tally()
    image = draw_code128(code("K", 1), 300, 0.33, 10)
    _read(image, "card", f"]C0{code('K', 2)}", tally)
    _read(image.point(lambda value: 1), "card", f"]C0{code('K', 1)}", tally)
    assert (tally.right, len(tally.wrong), len(tally.unread)) == (0, 1, 1)
