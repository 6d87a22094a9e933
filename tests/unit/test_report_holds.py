"""What is on hold on a screen: how much first, then hold by hold, nothing cut inside a code."""

from tracelink.report.pages.hold_text import hold_text


def row(hold, subject, **more):
    plain = {
        "first": None,
        "last": None,
        "cause": "T1",
        "reason": "scratch",
        "person": "P1",
        "seq": 5,
        "lifted_seq": None,
    }
    return {"hold": hold, "subject": subject, **plain, **more}


def test_how_much_stands_first():
    rows = [row("H1", "K1"), row("H1", "L1", first=3, last=9), row("H2", "K1", reason="count", person=None)]
    assert hold_text(rows) == (
        "2 open holds on 2 codes.\n"
        "\n"
        "H1  scratch\n"
        "  because of T1, placed by P1, entry 5\n"
        "  2 codes held: K1, L1 strokes 3-9\n"
        "\n"
        "H2  count\n"
        "  because of T1, placed by the station, entry 5\n"
        "  1 code held: K1\n"
    )


def test_a_long_hold_says_how_many_it_leaves_out_and_breaks_no_code():
    codes = [f"0952000000{number:08d}" for number in range(72)]
    text = hold_text([row("H1", code) for code in codes])
    assert text.startswith("1 open hold on 72 codes.\n")
    assert " and 48 more (--format csv lists each)" in " ".join(text.split())
    assert all(code in text for code in codes[:24])
    assert all(len(line) <= 80 for line in text.split("\n"))


def test_lifted_ones_are_told_apart_and_none_is_told_as_none():
    assert hold_text([]) == "Nothing is on hold.\n"
    text = hold_text([row("H1", "K1", lifted_seq=9)])
    assert text.startswith("Nothing is on hold; 1 lifted hold shown as well.\n")
    assert "entry 5, lifted by entry 9" in text


def test_what_strangers_wrote_acts_on_no_terminal():
    evil = "a\x1b[2Jb\u202e"
    text = hold_text([row("H1", evil, reason=evil, cause=evil)])
    assert all(line.isprintable() for line in text.split("\n"))
