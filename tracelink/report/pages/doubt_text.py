"""An honest "cannot tell" as a sentence."""

from collections.abc import Callable

from tracelink.ledger.count_words import counted, grouped
from tracelink.quality.cannot_tell import CannotTell, Doubt


def doubt_sentence(doubt: CannotTell, things: str, one: str | None = None) -> str:
    """Say why the data do not allow an answer, and what would.

    Args:
        doubt: what stands in the way.
        things: what there are too few of, or what is alike, such as "values".
        one: one of them, if that is not `things` without its last letter.
    """
    if doubt.why is Doubt.TOO_FEW:
        there = counted(int(doubt.found), one or things.removesuffix("s"), things)
        return f"Cannot tell: {there}, and {grouped(doubt.needed)} or more are needed."
    return f"Cannot tell: {_WHY[doubt.why](doubt, things)}."


def measure(value: float) -> str:
    """Return a number with five digits that count, as people read it."""
    return f"{value:.5g}"


def _all_alike(doubt: CannotTell, things: str) -> str:
    return (
        f"all {things} are {measure(doubt.found)}. Nothing scatters, so nothing can be told from it; does the gauge read "
        "finely enough?"
    )


_WHY: dict[Doubt, Callable[[CannotTell, str], str]] = {
    Doubt.ALL_ALIKE: _all_alike,
    Doubt.ALL_GOOD: lambda doubt, things: (
        f"none of {grouped(doubt.found)} {things} is bad, so nothing says how often one is; limits need some bad ones"
    ),
    Doubt.ALL_BAD: lambda doubt, things: f"all {grouped(doubt.found)} {things} are bad",
    Doubt.NOT_IN_CONTROL: lambda doubt, _things: (
        f"point {grouped(doubt.found)} is a signal, so the process was not the same all along; find out why first"
    ),
    Doubt.NOT_NORMAL: lambda doubt, things: (
        f"the {things} are not normally distributed (chance {measure(doubt.found)}, below {measure(doubt.needed)}), and how "
        "many lie beyond a limit does not follow from their spread"
    ),
    Doubt.NO_LIMIT: lambda _doubt, _things: "no limit is set that they could be compared with",
}
