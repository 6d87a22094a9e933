"""What limits and sampling plans of a plant file must be before they are recorded."""

from tracelink.errors import UsageError
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.measuring.lab_test_entries import LimitSet
from tracelink.ledger.kinds.measuring.plan_entries import SamplingPlanKept
from tracelink.quality.sampling.sampling_asked import SamplingAsked
from tracelink.station.common.queries import StationQueries
from tracelink.store.office.office_acts import OfficeAct, authorised

_ANY_LOT = 1000
"""Discs of a lot by which a plan is tried: every plan of the tables is there for it."""


def require_for_lab(
    body: LimitSet | SamplingPlanKept, queries: StationQueries, stamp: Stamp, *, has_people: bool
) -> None:
    """Refuse a plan that there is not, and a limit or plan of somebody who may not set one, or for days that are over.

    Args:
        body: what the file says.
        queries: the ledger, in the transaction of the act.
        stamp: who hands the file in, when.
        has_people: False while a ledger is made, when everything of before may be said.

    Raises:
        UsageError, RefusedByRule: as above.
    """
    if isinstance(body, SamplingPlanKept):
        require_plan(body)
    if not has_people:
        return
    authorised(queries, stamp.person, OfficeAct.CHANGE_PLANT)
    today = stamp.event_time[:10]
    if body.since < today:
        raise UsageError(
            f"since is {body.since}, before today: what was done since then was done under what held then; expected "
            f"{today} or later"
        )


def require_plan(body: SamplingPlanKept) -> None:
    """Refuse a plan that there is not.

    Raises:
        UsageError: the tables have no such AQL, level or severity, or a share or confidence is out of its range.
    """
    asked = SamplingAsked(body.aql, body.level, body.severity, body.detect, body.confidence, body.one_in)
    asked.plan(_ANY_LOT)
