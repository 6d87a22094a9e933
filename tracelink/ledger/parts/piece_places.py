"""The places at which parts are once they are on pieces of a build order."""


def place_of_pieces(build: str, first: int, last: int) -> str:
    """Return the place of parts that some pieces of a build order took, nobody recorded which piece took which.

    Args:
        build: the build order.
        first: first piece, from 1.
        last: last piece.
    """
    return f"{build} {first}-{last}"
