"""What a page is sent: a verdict and what stands beside it, as JSON."""

from __future__ import annotations

from typing import Any

from runout import LiveStation, ScreenBeside, ScreenButton, Verdict
from tracelink.report.format.first_instruction import first_instruction
from tracelink.report.format.plain import visible
from tracelink.web.station.field_words import for_field
from tracelink.web.station.page_answer import Answer


def answered(answer: Answer) -> dict[str, Any]:
    """Return what a page is sent after a scan; what stands beside it follows, so that nobody waits for that."""
    return {
        "number": answer.number,
        "booked": answer.is_booked,
        "verdict": verdict_fields(answer.verdict),
    }


def standing(live: LiveStation) -> dict[str, Any]:
    """Return what a page is sent when it asks where the station stands."""
    found = live.standing
    who = f"{found.person} is signed on" if found.person else "Nobody is signed on"
    return {
        "number": live.last,
        "booked": False,
        "verdict": verdict_fields(live.waits_for) | {"hides": live.awaits_pin},
        "beside": beside_fields(live.beside),
        "note": visible(f"{who}. {found.doing[:1].upper()}{found.doing[1:]}."),
    }


def verdict_fields(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as the fields of a screen; every text can be shown as it is."""
    sentence = visible(for_field(verdict.sentence))
    first = first_instruction(sentence) if sentence else ""
    panel = verdict.panel
    return {
        "word": verdict.word.value,
        "first": first,
        "sentence": "" if sentence == first else sentence,
        "count": visible(verdict.count),
        "finding": verdict.finding.value if verdict.finding is not None else "",
        "hides": verdict.hides,
        "part": None
        if verdict.part is None
        else {"done": verdict.part.done, "of": verdict.part.of, "told": str(verdict.part)},
        "panel": []
        if panel is None
        else [visible(told) for told in (panel.product, panel.left, panel.check, panel.read) if told],
    }


def beside_fields(beside: ScreenBeside) -> dict[str, Any]:
    """Return what stands beside a verdict."""
    return {
        "acts": [_button(each) for each in beside.acts],
        "reasons": [_button(each) for each in beside.reasons],
        "unfinished": beside.is_unfinished,
        "awaited": beside.awaited,
        "keyed": list(beside.keyed),
        "units": [
            {"title": visible(unit.title), "edition": visible(unit.edition), "number": visible(unit.number)}
            for unit in beside.units
        ],
    }


def _button(button: ScreenButton) -> dict[str, str]:
    return {"raw": button.raw, "word": visible(button.word), "meaning": visible(button.meaning)}
