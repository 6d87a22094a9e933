"""The second hall of the demo as a graph for networkx: a node for every single part, built from the tables by plain SQL."""

from collections import defaultdict


def add_hall(graph, rows):
    """Add parts, reels, part lots, pieces and their build orders; nesting is in the graph already.

    Args:
        graph: codes, and tuples for what has none.
        rows: asks the ledger.
    """
    reels = dict(rows("SELECT code, holds FROM reel"))
    for reel, holds in reels.items():
        graph.add_edges_from((reel, ("part", reel, position)) for position in range(1, holds + 1))
    for row in rows("SELECT * FROM reel_item"):
        positions = range(row.first, row.last + 1)
        graph.add_edges_from((row.part_lot, ("part", row.reel, position)) for position in positions)
        # From a lot its reels are found, but not all that is on them.
        graph.add_edge(row.part_lot, ("is on", row.reel))
    pieces = defaultdict(list)
    for row in rows("SELECT * FROM piece"):
        pieces[row.build].append(row)
        graph.add_edge(row.build, row.code)
    for move in rows("SELECT * FROM part_move WHERE source = 'counter'"):
        if move.target.startswith("N"):
            _placed(graph, move, pieces[move.build])
        elif move.target.startswith("U"):
            first, last = (1, reels[move.reel]) if move.first is None else (move.first, move.last)
            graph.add_edges_from(
                (("part", move.reel, position), move.target) for position in range(first, last + 1)
            )
    for step, build, first, last in rows(
        'SELECT step, thing, "first", "last" FROM step_item WHERE what = \'strokes\' AND taken_back IS NULL'
    ):
        graph.add_edges_from(
            (("step", step), piece.code) for piece in pieces[build] if first <= piece.number <= last
        )


def _placed(graph, move, pieces):
    """One part after the other onto one piece after the other; among them, somewhere, what was thrown away."""
    for piece in pieces:
        before = (piece.number - move.from_piece) * move.per_piece - move.lead
        taken = [place for place in range(before, before + move.per_piece) if 0 <= place < move.quantity]
        positions = [move.first + place for place in taken]
        if taken and move.last - move.first + 1 != move.quantity:
            positions = range(move.first, move.last + 1)
        graph.add_edges_from((("part", move.reel, position), piece.code) for position in positions)
