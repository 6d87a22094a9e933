"""How a command ends: each error as one sentence and an exit code, and what nobody foresaw as a file with the details.

Nothing gets past `ended`: a traceback on a screen helps nobody who stands there, and Python's own exit code for one is 1,
which means findings.
"""

import errno
import io
import os
import sys
from collections.abc import Callable, Container
from contextlib import suppress

import click

from tracelink.errors import LedgerError, without_password

STOPPED = 130
FAULT = 5
_NO_ROOM = {errno.ENOSPC, errno.EDQUOT}


def ended(run: Callable[[], object], commands: Container[str]) -> int:
    """Run a command to its end, whatever that is, and return the exit code.

    Args:
        run: what to run; returns the exit code, or anything else for 0.
        commands: the names of commands, which may stand in the details of a fault.
    """
    try:
        status = run()
    except (KeyboardInterrupt, click.exceptions.Abort):
        return _told("Stopped by hand. What was booked before is booked; nothing is half booked.", STOPPED)
    except SystemExit:
        # No command leaves like this: click does, where the reader of our output left, as `head` does.
        return 0
    except LedgerError as problem:
        more = "".join(f". {note}" for note in getattr(problem, "__notes__", ()))
        return _told(f"runout: {problem}{more}", problem.exit_code)
    except Exception as problem:  # noqa: BLE001  nothing may get past here
        code = _after_known(problem)
        return _told(f"runout: {fault_sentence(problem, commands)}", FAULT) if code is None else code
    return status if isinstance(status, int) else 0


def _after_known(problem: Exception) -> int | None:
    """Say what is wrong if it is of a kind that can happen to anybody; return the exit code, None if it is not."""
    if isinstance(problem, click.ClickException):
        shown = io.StringIO()
        problem.show(shown)
        with suppress(OSError):
            click.echo(without_password(shown.getvalue()), err=True, nl=False)
        return problem.exit_code
    if isinstance(problem, UnicodeEncodeError):
        return _after_character(problem)
    if isinstance(problem, OSError) and problem.errno is not None:
        return _after_file(problem)
    return None


def _after_character(problem: UnicodeEncodeError) -> int | None:
    """Say what is wrong with words that were given, or with the output; None if the character comes from neither."""
    from tracelink.report.format.plain import can_draw  # noqa: PLC0415  only needed where something is wrong

    found, shown = problem.object[problem.start : problem.end], getattr(sys.stdout, "encoding", None)
    # Bytes of a command line that are no UTF-8 come as lone surrogates; no database takes them.
    if not can_draw("utf-8", found):
        if any(found in word for word in _given_words()):
            return _told(
                f"runout: {found!a} is not a character of {problem.encoding}: expected words in UTF-8", 2
            )
    elif shown and not can_draw(shown, found):
        return _told(
            f"runout: the output is in {problem.encoding}, which has no {found[0]!a}: expected UTF-8, as with the variable "
            "PYTHONIOENCODING=utf-8",
            2,
        )
    return None


def _given_words() -> list[str]:
    """Return the words of the command line, and those that variables give to its options."""
    return [*sys.argv[1:], *(value for name, value in os.environ.items() if name.startswith("RUNOUT_"))]


def _after_file(problem: OSError) -> int:
    """Say which place cannot be used; such as a file in a folder of somebody else."""
    place = without_password(str(problem.filename or "a file"))
    if problem.errno in _NO_ROOM:
        where = place if problem.filename else "the output"
        return _told(f"runout: there is no room for {where}: {problem.strerror}. Make room and try again", 4)
    return _told(f"runout: {place} cannot be used: {problem.strerror or problem}", 2)


def fault_sentence(problem: Exception, commands: Container[str] = ()) -> str:
    """Write the details of what nobody foresaw to a file; return what is said of it."""
    from tracelink.cli.common.fault_file import write_details  # noqa: PLC0415  only needed where something is wrong

    try:
        where = f"the details are in {write_details(problem, commands)}: send that file to whoever looks after runout"
    except Exception as second:  # noqa: BLE001  the sentence counts more than the file
        where = f"the details could not be written ({type(second).__name__})"
    return (
        f"this is a fault in runout that nobody foresaw ({type(problem).__name__}). What was booked before is "
        f"booked; look with `runout board` before you scan again; {where}"
    )


def _told(sentence: str, code: int) -> int:
    """Print a sentence where people look; the code is the same where that cannot be."""
    from tracelink.cli.common.say import say  # noqa: PLC0415  only needed where something is wrong

    with suppress(OSError, ValueError):
        say(sentence, err=True)
    return code
