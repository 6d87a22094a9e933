"""Who acts by command: a badge, and its PIN where the owner has one."""

from __future__ import annotations

import os
import sys
from functools import partial

import click

import runout
from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode

PIN_VARIABLE = "RUNOUT_PIN"
SECOND_PIN_VARIABLE = "RUNOUT_SECOND_PIN"
"""Where the PIN of a second person is taken from."""


def badge_of(by: str, variable: str = PIN_VARIABLE) -> runout.Badge:
    """Return who acts, as said with --by; their PIN is asked for when it is needed.

    Args:
        by: the badge.
        variable: of the environment that may hold the PIN.
    """
    return runout.Badge(by, partial(keyed_pin, by, variable))


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
