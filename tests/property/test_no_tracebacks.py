"""No scan is an exception: whatever a reader or a keyboard sends, every station answers with a verdict."""

import random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from support_plant import DOCK, LAB, LINE, PRESS, TOOL, Floor, n, raw

from tracelink.errors import IdentifierError
from tracelink.identity.reading import Reading, read_scan
from tracelink.ledger.packs import RawScan, storable, unpack_scans
from tracelink.station.common.outcome import Verdict, Word
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import rebuild

HANDS = {
    TOOL: ["P1", "LACQUER", "T900", '"A'],
    PRESS: ["P1", "SETUP", "L2", "T24", "T34"],
    LAB: ["P1", "MEASURE", "S1"],
    LINE: ["P1", "CLEAR", "P2", "B3", "K41", "carton 1", "disc 3.1", "sleeve 3 no 1", "disc 3.1"],
    DOCK: ["P1", "PALLET"],
}
"""Something half done at every station, where a careless rule would trip."""

GOOD = [
    raw(line)
    for line in ("P1", "P9", "T4", "L1", "K41", "S1", "B3", "C1", "E1", "H1", "D1", "O1", "W1", "STOP", "CANCEL", "CLOSE", "REJECT",
                 "NOREAD", "CLEAR", "SETUP", "HOLD", "SHIP", "carton 1", "pallet 1", "disc 1.1", "disc 4.2", "sleeve 1",
                 "sleeve 3 no 2", "sleeve 3 no 100", "#12", "#999999999", '"good', '"EX-101-A', '"mass=1.5 g')
]  # fmt: skip

PIECES = ["]C0", "]C1", "]d1", "]d2", "]E0", "]e0", "]Q3", "]", "\x1d", "8006", "01", "21", "00", "10", "37", "02", '"', "#", "\x00",
          n("sleeve 1"), n("carton 1"), n("T4"), "0" + n("sleeve 3"), "A", "9" * 20, " ", "é", "\ud800", "\U0001f3b5", "\u202e"]  # fmt: skip


def damaged(rng):
    """A good line with one to three characters changed, dropped, doubled or moved."""
    line = rng.choice(GOOD)
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(line) + 1)
        other = rng.choice(GOOD)
        line = rng.choice(
            [
                line[:at] + line[at + 1 :],
                line[:at] + rng.choice("0A]\x1d#\"'é\x00") + line[at:],
                line[:at] + line[at:][::-1],
                line + other,
            ]
        )
    return line


LINES = st.one_of(
    st.text(max_size=260),
    st.binary(max_size=80).map(lambda data: data.decode("utf-8", errors="surrogateescape")),
    st.binary(max_size=80).map(lambda data: data.decode("latin-1")),
    st.lists(st.sampled_from(PIECES), max_size=8).map("".join),
    st.sampled_from(GOOD),
    st.randoms(use_true_random=False).map(damaged),
)


@pytest.fixture(scope="module")
def floor():
    made = Floor.copy()
    made.press(4)
    made.scan(LAB, "P1", "SAMPLE", "L4", "S1", "#3", "K41")
    for station, lines in HANDS.items():
        made.scan(station, *lines)
    assert [verdict for verdict in made.verdicts if verdict.finding] == []
    return made


@given(lines=st.lists(st.tuples(st.sampled_from(sorted(HANDS)), LINES), min_size=1, max_size=20))
@example(
    lines=[
        (station, line)
        for station in sorted(HANDS)
        for line in ("", "]", "\ud800", "\x00", "]C0", "#", '"', "]d2\x1d\x1d", "]C1" + "9" * 300)
    ]
)
def test_garbage_is_a_verdict_and_is_kept(floor, lines):
    for station, line in lines:
        verdict = floor.ledger.scan(station, line, floor.at)
        assert isinstance(verdict, Verdict)
        assert verdict.sentence or verdict.word is Word.MATCH
        if not is_readable(line):
            assert verdict.word is Word.STOP
            assert verdict.finding
            assert newest_scan(floor, station) == storable(line)


def reading_or_problem(line):
    try:
        return read_scan(line)
    except IdentifierError as problem:
        return problem


def is_readable(line):
    return not isinstance(reading_or_problem(line), IdentifierError)


def newest_scan(floor, station):
    """The raw scan packed with the newest entry."""
    with floor.ledger.reading() as conn:
        [row] = journal.rows(conn, after=journal.head(conn).seq - 1)
    return unpack_scans(row.pack)[-1].raw


@given(line=LINES)
def test_reading_a_line_gives_a_reading_or_one_of_our_sentences(line):
    found = reading_or_problem(line)
    assert isinstance(found, IdentifierError | Reading)
    assert str(found)


@pytest.mark.parametrize("station", sorted(HANDS))
def test_thousands_of_damaged_good_lines_in_one_transaction(floor, station):
    rng = random.Random(station)
    words = set()
    with floor.ledger.writing() as booking:
        for _ in range(1500):
            line = damaged(rng) if rng.random() < 0.8 else rng.choice(GOOD)
            number = booking.last_number(station) + 1
            words.add(booking.book(station, RawScan(number, floor.at, line)).word)
    assert Word.STOP in words
    assert len(words) > 1


def test_after_all_of_it_the_journal_verifies_and_rebuilds(floor):
    """Runs last in this file, on what the tests above have left."""
    assert floor.ledger.verify() == floor.ledger.head()
    before = floor.read("stock", order="place lot"), floor.read("station", order="code")
    with floor.ledger.transaction() as conn:
        rebuild(conn)
    assert (
        floor.read("stock", order="place lot"),
        floor.read("station", order="code"),
    ) == before
