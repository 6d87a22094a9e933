"""A code that has to be of one kind. It stands by itself, so that a command that needs no more imports no more."""

from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind, PlantCode


def code_of(kind: CodeKind, given: str) -> str:
    """Return the plant code of a thing of one kind.

    Args:
        kind: what it is to be.
        given: the code.

    Raises:
        IdentifierError: it is no plant code.
        UsageError: it is the code of something else.
    """
    code = PlantCode.parse(given)
    if code.kind is not kind:
        raise UsageError(f"{given} is a {code.kind.noun}: expected a {kind.noun}")
    return code.text
