"""The search for a common cause, as rows and as text."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from tracelink.genealogy.commoncause.candidate import SIGNIFICANT, Candidate
from tracelink.genealogy.commoncause.compare import CommonCause
from tracelink.ledger.count_words import counted, grouped, kind_words
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = (
    Column("kind", "kind"),
    Column("code", "code"),
    Column("bad_with", "bad with it", Kind.COUNT),
    Column("good_with", "good with it", Kind.COUNT),
    Column("bad_without", "bad without", Kind.COUNT),
    Column("good_without", "good without", Kind.COUNT),
    Column("p", "p", Kind.MEASURE),
    Column("adjusted_p", "corrected p", Kind.MEASURE),
    Column("odds_ratio", "odds ratio", Kind.MEASURE),
    Column("odds_low", "from", Kind.MEASURE),
    Column("odds_high", "to", Kind.MEASURE),
    Column("within_p", "p within strata", Kind.MEASURE),
    Column("within_odds_ratio", "odds ratio within", Kind.MEASURE),
    Column("onset_after", "rise after"),
    Column("onset_p", "p of rise", Kind.MEASURE),
    Column("apart", "bad apart from the first", Kind.COUNT),
    Column("significant", "stands out"),
    Column("aliases", "same discs as", Kind.TEXT),
)
SCREEN_COLUMNS = (
    Column("kind", "kind"),
    Column("code", "code"),
    Column("with_it", "bad with it", Kind.MEASURE),
    Column("without", "without it", Kind.MEASURE),
    Column("apart", "not by first", Kind.COUNT),
    Column("stands_out", "stands out"),
)
"""What a person compares; the statistics behind it are in csv and json."""
_BOTH = "pieces"
"""What discs and built pieces are called together."""
_OF_BUILT = frozenset({"reel", "part-lot", "build"})
_OF_BOTH = frozenset({"equipment", "operator"})
_OFTEN, _SELDOM = 0.5, 1e-9
_SHOWN = 15
"""Rows on a screen; json and csv have all."""


def rows(found: CommonCause) -> list[dict[str, Cell]]:
    """Return one row per candidate, keys of `COLUMNS`; chances with six significant digits."""
    return [_row(one) for one in found.candidates]


def _row(one: Candidate) -> dict[str, Cell]:
    (bad_with, good_with), (bad_without, good_without) = one.table
    return {
        "kind": one.kind,
        "code": one.code,
        "bad_with": bad_with,
        "good_with": good_with,
        "bad_without": bad_without,
        "good_without": good_without,
        "p": _short(one.p),
        "adjusted_p": _short(one.adjusted),
        "odds_ratio": _short(one.odds.ratio),
        "odds_low": _short(one.odds.low),
        "odds_high": _short(one.odds.high),
        "within_p": None if one.within is None else _short(one.within.p),
        "within_odds_ratio": None
        if one.within is None or one.within.ratio is None
        else _short(one.within.ratio),
        "onset_after": None if one.onset is None else one.onset.after,
        "onset_p": None if one.onset is None else _short(one.onset.p),
        "apart": one.apart,
        "significant": "yes" if one.significant else "no",
        "aliases": ", ".join(one.aliases),
    }


def as_json(found: CommonCause, asked: dict[str, Any]) -> dict[str, Any]:
    """Return everything as plain data.

    Args:
        found: the comparison.
        asked: what stands first: the question and the journal head.
    """
    return {
        **asked,
        "judged": {"bad": found.bad, "good": found.good},
        "stratum": found.stratum,
        "false_discovery_rate": SIGNIFICANT,
        "candidates": [
            {
                **_row(one),
                "aliases": list(one.aliases),
                "significant": one.significant,
                "within": None
                if one.within is None
                else {name: getattr(one.within, name) for name in one.within.__slots__},
                "onset": None
                if one.onset is None
                else {name: getattr(one.onset, name) for name in one.onset.__slots__},
            }
            for one in found.candidates
        ],
        "shared": list(found.shared),
        "cautions": list(found.cautions),
    }


def common_sentences(found: CommonCause, defect: str | None) -> list[str]:
    """Say how many are bad, and which candidates stand out."""
    every = found.bad + found.good
    both = f" ({counted(every - found.built, 'disc')}, {counted(found.built, 'built piece')})"
    sorts = both if 0 < found.built < every else ""
    judged = f"{found.bad} of {every} judged {found.many}{sorts} are bad, defect {defect or 'any'}."
    parts = [judged]
    if not found.bad:
        parts.append(f"Without a bad {found.many.removesuffix('s')} there is nothing to compare.")
    leading = [one for one in found.candidates if one.significant]
    told = [one for place, one in enumerate(leading) if place == 0 or one.apart]
    parts += [_sentence(one, found) for one in told]
    if len(leading) > len(told):
        first = leading[0]
        parts.append(
            f"{len(leading) - len(told)} more stand out only through the first: each bad {_pieces_of(first, found).removesuffix('s')} of theirs was made with "
            f"{kind_words(first.kind)} {first.code} as well."
        )
    if found.bad and not leading:
        parts.append(
            "No candidate stands out after the correction for their number: no common cause is shown."
        )
    return parts


def screen_rows(found: CommonCause) -> list[dict[str, Cell]]:
    """Return one row for each candidate that a bad piece was made with, keys of `SCREEN_COLUMNS`."""
    return [_on_screen(one) for one in found.candidates if one.table[0][0]]


def shared_sentence(found: CommonCause) -> str:
    """Say what everything that was judged was made with; empty if there is no such thing."""
    return (
        f"{_shared(found)}{', '.join(_in_words(found.shared))}: nothing to compare." if found.shared else ""
    )


def common_text(found: CommonCause, defect: str | None) -> str:
    """Return the report for a screen: who stands out first, then the table, then the cautions."""
    parts = common_sentences(found, defect)
    shown = screen_rows(found)
    if shown:
        parts += ["", render(shown[:_SHOWN], SCREEN_COLUMNS, "table").rstrip("\n")]
        left = f"{len(shown) - _SHOWN} more candidates have bad {found.many}. " if len(shown) > _SHOWN else ""
        parts.append(f"{left}The statistics of all are in --format csv.")
    if found.shared:
        parts += ["", shared_sentence(found)]
    return "\n".join([*parts, "", *(f"- {caution}" for caution in found.cautions)]) + "\n"


def _sentence(one: Candidate, found: CommonCause) -> str:
    many = _pieces_of(one, found)
    text = (
        f"{kind_words(one.kind).capitalize()} {one.code}: {_of(one.table[0])} {many} made with it are bad, "
        f"{_of(one.table[1])} without it. A split like this by chance: {by_chance(one.adjusted)}."
    )
    if one.within is not None:
        text += f" Within each {found.stratum}: {by_chance(one.within.p)}."
    if one.onset is not None:
        text += (
            f" Bad {many} become more frequent between {one.onset.after} and {one.onset.first}; "
            f"by chance: {by_chance(one.onset.p)}."
        )
    if one.aliases:
        text += f" The judged {many} do not tell it from {', '.join(one.aliases)}."
    return text


def _pieces_of(one: Candidate, found: CommonCause) -> str:
    """What a candidate is in: a stamper in discs, a reel in built pieces, whatever else was judged."""
    if found.many != _BOTH or one.kind in _OF_BOTH:
        return found.many
    return "built pieces" if one.kind in _OF_BUILT else "discs"


def _shared(found: CommonCause) -> str:
    if found.many == _BOTH:
        # A stamper is in every disc and a reel in every unit: neither is in all that was judged.
        return "Every judged piece of its sort was made with "
    return f"Every judged {found.many.removesuffix('s')} was made with "


def _in_words(named: Iterable[str]) -> Iterator[str]:
    for kind, _, code in (each.partition(" ") for each in named):
        yield f"{kind_words(kind)} {code}"


def _of(counts: Sequence[int]) -> str:
    bad, good = counts
    return f"{grouped(bad)} of {grouped(bad + good)}"


def _on_screen(one: Candidate) -> dict[str, Cell]:
    return {
        "kind": kind_words(one.kind),
        "code": one.code,
        "with_it": _of(one.table[0]),
        "without": _of(one.table[1]),
        "apart": one.apart,
        "stands_out": "yes" if one.significant else "no",
    }


def by_chance(p: float) -> str:
    """Return a probability in words: `about 1 in 4 million`; never as a certainty.

    Args:
        p: 0 to 1.
    """
    if p > _OFTEN:
        return "often"
    if p < _SELDOM:
        return "less than 1 in 1000 million"
    times = 1 / p
    # One significant digit, two below a thousand: what is behind a p value is not known more closely.
    digits = 2 if times < 1000 else 1
    rounded = int(float(f"{times:.{digits}g}"))
    return f"about 1 in {rounded // 10**6} million" if rounded >= 10**6 else f"about 1 in {grouped(rounded)}"


def _short(value: float) -> float:
    """Six significant digits: more would be noise, and rounding to decimals would hide what is small."""
    return float(f"{value:.6g}")
