"""Recovery of a case by day: the figures, the picture, and that both say what the status says."""

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from support_casescope import carton, scope

from tracelink.genealogy.case.recovery import RecoveryDay, recovery_of
from tracelink.genealogy.case.standing import Back, CaseRecord, Reply, status_of
from tracelink.report.case.recovery_section import RECOVERY_COLUMNS, recovery_rows
from tracelink.report.format import svg as svg_module
from tracelink.report.pictures.recovery_svg import recovery_svg

SVG = "{http://www.w3.org/2000/svg}"
HEAD = (1234, "ab" * 32)
SENT = [
    carton("1", pieces=50, most=20, consignee="Shop 1", shipped=True),
    carton("3", pieces=10, least=2, most=10, consignee="Shop 2", shipped=True),
]
OPENED, NOW = "2031-03-04T09:00:00+01:00", "2031-03-20T16:05:00+01:00"


def on(day):
    return f"2031-03-{day:02}T10:00:00+01:00"


RECORD = replace(
    CaseRecord((scope(containers=SENT),), (), (), (), None, None, (), 0),
    back=(
        Back("Shop 1", 20, 0, on(6)),
        Back("Shop 1", 0, 20, on(9)),
        Back("Shop 2", 10, 0, on(9)),
    ),
    # Twenty came back already; thirty-five were on hand when it was told; later it says less.
    replies=(
        Reply(6, "Shop 1", 35, 20, None, on(8)),
        Reply(9, "Shop 1", 30, 20, None, on(12)),
    ),
)


def figures(record=RECORD, opened=OPENED, now=NOW):
    return [
        (one.day[-2:], one.returned, one.destroyed, one.accounted, one.unaccounted)
        for one in recovery_of(record, opened, now)
    ]


def test_each_day_has_what_was_recorded_up_to_its_end():
    assert figures() == [
        ("04", 0, 0, 0, 60),
        ("06", 20, 0, 20, 40),
        ("08", 20, 0, 35, 25),
        ("09", 30, 20, 45, 15),
        ("12", 30, 20, 40, 20),
        ("20", 30, 20, 40, 20),
    ]


def test_the_last_day_says_what_the_status_says():
    last, lines = recovery_of(RECORD, OPENED, NOW)[-1], status_of(RECORD).lines
    for name in ("returned", "destroyed", "accounted", "may_hold", "unaccounted"):
        assert getattr(last, name) == sum(getattr(line, name) for line in lines), name


def test_what_is_dated_before_the_opening_counts_on_its_day():
    early = replace(RECORD, back=(Back("Shop 2", 10, 0, on(1)),), replies=())
    assert figures(early) == [("04", 10, 0, 10, 50), ("20", 10, 0, 10, 50)]


def test_a_clock_that_runs_back_ends_the_picture_on_the_last_booking():
    assert [day for day, *_ in figures(now="2031-03-01T00:00:00Z")] == ["04", "06", "08", "09", "12"]


def test_a_case_of_one_day_is_one_row():
    assert figures(replace(RECORD, back=(), replies=()), now=OPENED) == [("04", 0, 0, 0, 60)]


def drawn(days):
    return ET.fromstring(recovery_svg(days, title="Case <Q1>: recovered", head=HEAD, at=NOW))


def bars(root, row):
    """Widths in a row of bars, by pattern."""
    top = 68.0 + 22.0 * row
    found = {}
    for one in root.iter(f"{SVG}rect"):
        if float(one.get("x")) == 130.0 and top <= float(one.get("y")) < top + 22.0:
            dashed = one.get("stroke-dasharray") is not None
            full, accent = (one.get(name) == svg_module.ACCENT for name in ("fill", "stroke"))
            name = "sent" if dashed else "destroyed" if full else "returned" if accent else "accounted"
            found[name] = float(one.get("width"))
    return found


def test_bars_are_as_long_as_their_numbers():
    root = drawn(recovery_of(RECORD, OPENED, NOW))
    whole = bars(root, 0)["sent"]
    assert bars(root, 0) == {"sent": whole}
    assert bars(root, 1) == pytest.approx(
        {"sent": whole, "accounted": whole * 20 / 60, "returned": whole * 20 / 60}, abs=0.1
    )
    assert bars(root, 3) == pytest.approx(
        {
            "sent": whole,
            "accounted": whole * 45 / 60,
            "returned": whole * 30 / 60,
            "destroyed": whole * 20 / 60,
        },
        abs=0.1,
    )


def test_the_picture_has_every_number_and_names_itself():
    root = drawn(recovery_of(RECORD, OPENED, NOW))
    shown = [one.text or "" for one in root.iter(f"{SVG}text")]
    at = shown.index("2031-03-09")
    assert shown[at + 1 : at + 5] == ["20", "30", "45", "+15"]
    assert "sent in cartons that may hold one: 60 discs" in shown
    assert root.get("aria-label") == "Case <Q1>: recovered"
    assert any("Printed 2031-03-20 16:05 +01:00" in text for text in shown)


def test_more_accounted_for_than_was_sent_stays_in_the_picture_with_its_sign():
    root = drawn([RecoveryDay("2031-03-04", 0, 0, 80, 60)])
    widths = bars(root, 0)
    assert widths["sent"] == pytest.approx(widths["accounted"] * 60 / 80, abs=0.1)
    assert 130.0 + widths["accounted"] < 600
    assert "−20" in [one.text for one in root.iter(f"{SVG}text")]


def test_the_newest_days_are_drawn_and_the_others_counted():
    days = [RecoveryDay(f"2031-03-{day:02}", day, 0, day, 60) for day in range(1, 32)]
    shown = [one.text or "" for one in drawn(days).iter(f"{SVG}text")]
    assert "2031-03-01" not in shown
    assert {"2031-03-02", "2031-03-31"} <= set(shown)
    assert "1 earlier day is not drawn; the table has all." in shown


def test_the_table_has_every_day_and_every_column():
    days = recovery_of(RECORD, OPENED, NOW)
    rows = recovery_rows(days)
    assert [row["day"] for row in rows] == [day.day for day in days]
    assert all(set(row) == {column.key for column in RECOVERY_COLUMNS} for row in rows)
    assert rows[3]["unaccounted"] == 15
