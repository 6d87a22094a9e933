"""The section `[[reason]]` of a plant file: a reason on a card, and the acts that it is a reason for."""

from tracelink.errors import UsageError
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
    if not text.isprintable() or not 1 <= len(text) <= LONGEST:
        raise UsageError(f"{section.where}: text is {text!r}: expected one line of 1 to {LONGEST} characters")
    words = {act.area: [each.word for each in ReasonAct if each.area == act.area] for act in ReasonAct}
    area = section.one_of("area", tuple(words))
    acts = section.many("acts")
    if not acts or len(set(map(str, acts))) < len(acts) or any(each not in words[area] for each in acts):
        raise UsageError(
            f"{section.where}: acts is {acts!r}: expected one or more of {', '.join(words[area])}, each once"
        )
    return ReasonNamed(code, area, text, tuple(acts))
