"""The section `[[reason]]` of a plant file: a reason on a card, and the acts that it is a reason for."""

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.station import ReasonNamed
from tracelink.ledger.plant.plantsection import PlantSection

LONGEST = 60
"""Most characters of a reason, so that it can be read on its card."""


def reason(section: PlantSection) -> ReasonNamed:
    """Read one reason.

    Raises:
        UsageError: it has no text or too long a one, or names an act of its area that asks for no reason.
    """
    code = section.code("code", CodeKind.REASON)
    text = section.text("text").strip()
    short = text.isprintable() and 1 <= len(text) <= LONGEST
    section.require(short, "text", f"text is {text!r}: expected one line of 1 to {LONGEST} characters")
    words = {act.area: [each.word for each in ReasonAct if each.area == act.area] for act in ReasonAct}
    area, acts = section.text("area"), section.many("acts")
    section.require(area in words, "area", f"area is {area!r}: expected one of {', '.join(words)}")
    if area in words:
        # Which acts there are nobody can say of an area that there is not.
        once = bool(acts) and len(set(map(str, acts))) == len(acts)
        known = all(each in words[area] for each in acts)
        expected = f"expected one or more of {', '.join(words[area])}, each once"
        section.require(once and known, "acts", f"acts is {acts!r}: {expected}")
    return ReasonNamed(code, area, text, tuple(acts))
