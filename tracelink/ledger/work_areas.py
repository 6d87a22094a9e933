"""The areas that a station belongs to, in the order in which discs pass them."""

AREAS = ("tool", "press", "lab", "line", "dock", "process", "assembly")
