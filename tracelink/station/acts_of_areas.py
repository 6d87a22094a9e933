"""The acts of each kind of station that works by acts; a packing line has its own machine."""

from collections.abc import Mapping

from tracelink.station.assembly import acts as assembly_acts
from tracelink.station.common.forms import StationActs
from tracelink.station.dock import acts as dock_acts
from tracelink.station.lab import acts as lab_acts
from tracelink.station.press import acts as press_acts
from tracelink.station.process import acts as process_acts
from tracelink.station.toolroom import acts as toolroom_acts

ACTS_OF: Mapping[str, StationActs] = {
    "tool": toolroom_acts.ACTS,
    "press": press_acts.ACTS,
    "lab": lab_acts.ACTS,
    "dock": dock_acts.ACTS,
    "process": process_acts.ACTS,
    "assembly": assembly_acts.ACTS,
}

AREAS = (*ACTS_OF, "line")
"""Kinds of stations."""
