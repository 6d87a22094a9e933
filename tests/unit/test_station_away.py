"""Scans made while the ledger was away, judged once more by what it knows when they are booked."""

from support_judged import judged
from support_plant import LINE, Floor, carton_sscc, gtin, raw

from tracelink.identity.rawlines import AwayRead, code_in, raw_away, read_away
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Word


def line():
    """A line with two units in its carton."""
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    assert floor.match(1, 2).word is Word.MATCH
    return floor


def away(floor, scanned, shown):
    return floor.ledger.scan(LINE, raw_away(raw(scanned), shown), floor.at)


def test_the_line_is_read_back():
    line = raw_away("]d28006", "NEXT")
    assert read_away(line) == AwayRead("]d28006", "NEXT")
    assert code_in(line) == "]d28006"
    for other in ("]d28006", "away", "away x", "away [1,2]", 'away ["NEXT"]', "away " + "[" * 10_000):
        assert read_away(other) is None


def test_a_scan_judged_alike_counts_like_any_other():
    floor = line()
    assert away(floor, "disc 1.1", "NEXT").word is Word.NEXT
    told = away(floor, "sleeve 1", "MATCH")
    assert (told.word, told.count) == (Word.MATCH, "3 of 5 in carton")
    assert floor.count("hold") == 0


def test_a_scan_that_would_be_stopped_now_holds_the_carton_once():
    floor = line()
    for _ in range(2):
        told = away(floor, "disc 2.1", "NEXT")
        assert told.word is Word.STOP
        assert told.sentence.startswith("While the ledger was away this scan was shown NEXT. Now: ")
    why = "packed while the ledger was away: a scan shown NEXT is judged otherwise now"
    assert floor.read("hold", "reason") == [(why,)]
    assert floor.read("hold_item", "subject") == [(carton_sscc(1),)]


def test_a_piece_put_aside_then_does_not_count_now():
    floor = line()
    told = away(floor, "disc 1.1", "STOP")
    assert (told.word, told.finding) == (Word.STOP, FindingCode.STOPPED_AWAY)
    assert floor.count("hold") == 0
    assert floor.scan(LINE, "disc 1.1").word is Word.NEXT
    assert floor.scan(LINE, "sleeve 1").count == "3 of 5 in carton"


def test_the_carton_whose_label_was_scanned_is_held_too():
    floor = line()
    floor.match(1, 3)
    floor.scan(LINE, "CLOSE")
    told = away(floor, "carton 1", "DONE")
    assert told.word is Word.STOP
    assert floor.read("hold_item", "subject") == [(carton_sscc(1),)]
    assert gtin(1) not in told.sentence


def test_it_is_judged_again_from_the_records_to_the_same():
    floor = line()
    away(floor, "disc 2.1", "NEXT")
    away(floor, "disc 1.1", "STOP")
    found = judged(floor)
    assert found.unforced is None
    assert found.forced
