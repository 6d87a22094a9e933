"""Charts at the bench of a ledger on a server."""

from support_drift import DRIFT, measured
from support_lab import LAB_DATA, add_to
from support_plant import LAB, PRESS, n

from tracelink.services.badge_proof import Badge
from tracelink.services.desks.charts.chart_baselines import BaselineAsked, freeze_baseline
from tracelink.services.desks.charts.charted_values import ChartAsked
from tracelink.store.database.in_lists import of_codes


def test_a_press_that_has_a_baseline_warns_and_the_value_is_booked(pg_grown):
    """A press has no stampers of its own: the list of them is empty, and a server must be told of what."""
    floor = pg_grown
    add_to(floor, LAB_DATA)
    floor.press(1, strokes=40, stacks=1)
    floor.scan(LAB, "P1")
    for disc, value in enumerate(DRIFT[:20], 1):
        measured(floor, disc, value)
    freeze_baseline(
        floor.ledger, PRESS, BaselineAsked(ChartAsked("noise", "individuals")), "quiet", Badge(n("P1"))
    )
    told = measured(floor, 21, DRIFT[0])
    assert "signal" not in told
    told = measured(floor, 22, -56.0)
    assert f"is a signal on the chart of {PRESS}" in told
    assert floor.count("lab_result") == 22


def test_a_question_about_no_codes_has_no_answer(pg_plant):
    with pg_plant.ledger.reading() as conn:
        assert conn.execute(of_codes("SELECT code FROM lot WHERE code IN :codes"), {"codes": []}).all() == []
