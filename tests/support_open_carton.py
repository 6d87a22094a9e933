"""A line in an open carton that takes hundreds of discs: what is killed, cut off or filled up in the middle of a stream."""

from support_plant import Floor


def open_carton(place: object) -> None:
    """Make a line with an open carton and 400 discs for it: for `support_ledgers.filled`."""
    floor = Floor.new(str(place), carton_size=400)
    floor.tools()
    floor.press(1, strokes=400, stacks=1)
    floor.open_line(1, [11], 1)
    floor.ledger.close()
