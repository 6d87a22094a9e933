"""The places at which parts are once they are on pieces of a build order."""

from tracelink.identity.plantcode import CodeKind

_BUILD = CodeKind.BUILD.value


def place_of_pieces(build: str, first: int, last: int) -> str:
    """Return the place of parts that some pieces of a build order took, nobody recorded which piece took which.

    Args:
        build: the build order.
        first: first piece, from 1.
        last: last piece.
    """
    return f"{build} {first}-{last}"


def pieces_of_place(place: str) -> tuple[str, int, int] | None:
    """Return the build order and the pieces of a place as `place_of_pieces` wrote it; None for any other place."""
    # Asked of every place on a walk, nearly all of which are cartons.
    if not place.startswith(_BUILD):
        return None
    build, _, pieces = place.partition(" ")
    first, _, last = pieces.partition("-")
    if not (first.isdigit() and last.isdigit()):
        return None
    return build, int(first), int(last)
