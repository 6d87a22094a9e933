"""What documents for strangers must not have: names that nothing declares, children packed before they are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from tracelink.report.epcis.prov import _ENDS
from tracelink.report.epcis.values import Wrong, instant

_DECLARES = ("entity", "activity", "agent")


def dangling(document: Mapping[str, Any]) -> list[str]:
    """Return the names that relations use and nothing declares; readers of PROV do not look for them."""
    declared = {name for section in _DECLARES for name in document.get(section, {})}
    return sorted(
        {
            str(relation[end])
            for section, ends in _ENDS.items()
            for relation in document.get(section, {}).values()
            for end in ends
            if relation[end] not in declared
        }
    )


def packed_before_commissioned(events: Sequence[Mapping[str, Any]]) -> Iterator[tuple[int, Wrong]]:
    """Find children that were packed before the document says that they came to be.

    For documents that should be whole, such as our own exports; a partner's may begin later.
    """
    born: dict[str, Any] = {}
    for event in events:
        if event.get("action") == "ADD" and event.get("bizStep") == "commissioning":
            for epc in event.get("epcList", []):
                born.setdefault(epc, instant(event.get("eventTime")))
    for place, event in enumerate(events, 1):
        if event.get("type") != "AggregationEvent" or event.get("action") != "ADD":
            continue
        at = instant(event.get("eventTime"))
        for child in event.get("childEPCs", []):
            if child not in born:
                yield place, ("childEPCs", f"{child} to be commissioned in this document", "it is not")
            elif at is not None and born[child] is not None and born[child] > at:
                yield place, ("childEPCs", f"{child} to be commissioned before it is packed", "it is later")
