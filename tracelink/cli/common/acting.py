"""Who acts by command: a badge, and its PIN where the owner has one."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial

import click

from runout import Badge
from tracelink.cli.common.opened import opened
from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.services import badge_proof
from tracelink.store.ledger import Ledger
from tracelink.store.stations.booking import Booking

PIN_VARIABLE = "RUNOUT_PIN"
SECOND_PIN_VARIABLE = "RUNOUT_SECOND_PIN"
"""Where the PIN of a second person is taken from."""


@contextmanager
def acting(place: str, by: str) -> Iterator[Booking]:
    """Open a write transaction for an act of the owner of badge `by`, whose PIN is checked before.

    Raises:
        RefusedByRule: the PIN is wrong, or comes too early after wrong ones; the attempt is recorded.
        UsageError: a PIN is needed, and there is nobody to ask and no RUNOUT_PIN.
    """
    ledger = opened(place)
    require_pin(ledger, by)
    with ledger.writing() as booking:
        yield booking


def require_pin(ledger: Ledger, by: str, variable: str = PIN_VARIABLE) -> None:
    """Check the PIN of badge `by` if its owner has one; call before the transaction of the act.

    Args:
        ledger: open for writing.
        by: the badge.
        variable: of the environment that may hold the PIN.

    Raises:
        RefusedByRule, UsageError: as for `acting`.
    """
    badge_proof.require_pin(ledger, by, partial(keyed_pin, by, variable))


def badge_of(by: str, variable: str = PIN_VARIABLE) -> Badge:
    """Return who acts, as said with --by; their PIN is asked for when it is needed.

    Args:
        by: the badge.
        variable: of the environment that may hold the PIN.
    """
    return Badge(by, partial(keyed_pin, by, variable))


def keyed_pin(by: str, variable: str = PIN_VARIABLE) -> str:
    """Return the PIN of a badge, from the environment or keyed at the terminal.

    Raises:
        UsageError: there is nobody to ask, and no such variable.
    """
    badge = PlantCode.parse(by).text
    given = os.environ.get(variable)
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise UsageError(
            f"badge {badge} has a PIN: expected it in {variable}, or a terminal at which it can be keyed"
        )
    return str(click.prompt(f"PIN of {badge}", hide_input=True, err=True))
