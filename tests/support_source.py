"""The package's own source for tests that look at it: each text parsed and walked once in a process."""

import ast
from functools import cache


@cache
def nodes_of(source: str) -> tuple[ast.AST, ...]:
    """Return all nodes of a source, the module first, as `ast.walk` finds them."""
    return tuple(ast.walk(ast.parse(source)))
