"""The small mutilations of a module: one thing changed at one place of its text."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

_COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_COMPUTED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult}
_CALLED = {"min": "max", "max": "min", "all": "any", "any": "all"}
_SQL = re.compile(r"\b(SELECT|UPDATE|DELETE|JOIN|WHERE|ORDER BY)\b")
_IN_SQL = [
    (r"<=", "<"), (r">=", ">"), (r"(?<![<>!])<(?![=>])", "<="), (r"(?<![<>])>(?!=)", ">="), (r"(?<![<>!])=", "<>"), (r"<>", "="),
    (r"\bAND\b", "OR"), (r"\bOR\b", "AND"), (r"\bIS NULL\b", "IS NOT NULL"), (r"\bIS NOT NULL\b", "IS NULL"),
    (r"\bmin\(", "max("), (r"\bmax\(", "min("), (r"\bNOT (?=EXISTS|IN\b)", ""), (r" DESC\b", ""), (r"\bLEFT JOIN\b", "JOIN"),
]  # fmt: skip
_HOW_IT_IS_WRITTEN = {"frozen", "slots", "order", "strict"}
"""Words of dataclasses and of `zip` that hold what the code never does: it would be an error and no other result."""


@dataclass(frozen=True)
class Edit:
    """One thing changed in a module."""

    module: str
    """Below the root of the tree."""
    where: str
    """The function or class it stands in."""
    before: str
    after: str
    line: int
    last_line: int
    span: tuple[int, int] = field(compare=False)
    """Of the bytes of the module that `after` takes the place of."""

    @property
    def named(self) -> tuple[str, str, str, str]:
        """How the list of equivalents names it: lines move, these do not."""
        return self.module, self.where, self.before, self.after

    def applied(self, source: bytes) -> bytes:
        """Return the module with the change."""
        first, end = self.span
        return source[:first] + self.after.encode() + source[end:]


def edits_of(root: Path, module: str) -> list[Edit]:
    """Return all that can be changed in a module."""
    source = (root / module).read_bytes()
    return list(_Walk(module, source).of(ast.parse(source), ""))


class _Walk:
    def __init__(self, module: str, source: bytes) -> None:
        self._module, self._source = module, source
        self._starts = [0]
        for line in source.splitlines(keepends=True):
            self._starts.append(self._starts[-1] + len(line))

    def of(self, node: ast.AST, where: str) -> Iterator[Edit]:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            where = f"{where}.{node.name}".removeprefix(".")
        for other in _others(node):
            yield self._edit(node, where, other)
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and self._module.startswith("tracelink/store/")
        ):
            yield from self._in_sql(node, where)
        for inner in _inside(node):
            yield from self.of(inner, where)

    def _edit(self, node: ast.AST, where: str, other: str) -> Edit:
        if isinstance(node, ast.If | ast.IfExp):
            node = node.test
        first, end = self._at(node.lineno, node.col_offset), self._at(node.end_lineno, node.end_col_offset)
        before = " ".join(self._source[first:end].decode().split())
        return Edit(self._module, where, before, other, node.lineno, node.end_lineno, (first, end))

    def _at(self, line: int, column: int) -> int:
        return self._starts[line - 1] + column

    def _in_sql(self, node: ast.Constant, where: str) -> Iterator[Edit]:
        if not _SQL.search(node.value):
            return
        begin = self._at(node.lineno, node.col_offset)
        text = self._source[begin : self._at(node.end_lineno, node.end_col_offset)].decode()
        for pattern, other in _IN_SQL:
            for found in re.finditer(pattern, text):
                ahead = len(text[: found.start()].encode())
                line = node.lineno + text.count("\n", 0, found.start())
                span = begin + ahead, begin + ahead + len(found[0].encode())
                near = " ".join(text[max(0, found.start() - 40) : found.end() + 40].split())
                yield Edit(
                    self._module, f"{where} SQL ...{near}...", found[0], other, node.lineno, line, span
                )


def _inside(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what stands inside a node; texts, types, decorators and how things are written are left as they are."""
    for name, value in ast.iter_fields(node):
        if name in {"annotation", "returns", "decorator_list"} or isinstance(value, ast.JoinedStr):
            continue
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, ast.keyword) and inner.arg in _HOW_IT_IS_WRITTEN:
                continue
            if isinstance(inner, ast.AST) and not isinstance(inner, ast.JoinedStr):
                yield inner


def _others(node: ast.AST) -> Iterator[str]:
    """Yield what can stand in the place of a node, or of its condition."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in _COMPARED:
            yield f"({ast.unparse(ast.Compare(node.left, [_COMPARED[type(op)]()], node.comparators))})"
        case ast.BinOp(op=op) if type(op) in _COMPUTED and not _is_text(node):
            yield f"({ast.unparse(ast.BinOp(node.left, _COMPUTED[type(op)](), node.right))})"
        case ast.BoolOp(op=op, values=values):
            yield f"({ast.unparse(ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values))})"
            for left_out in range(len(values)):
                kept = [value for at, value in enumerate(values) if at != left_out]
                yield f"({ast.unparse(ast.BoolOp(op, kept) if len(kept) > 1 else kept[0])})"
        case ast.Constant(value=bool(value)):
            yield str(not value)
        case ast.Constant(value=int(value)):
            yield str(value + 1)
        case ast.Call(func=ast.Name(id=name)) if name in _CALLED:
            yield ast.unparse(ast.Call(ast.Name(_CALLED[name]), node.args, node.keywords))
        case ast.UnaryOp(op=ast.Not()):
            yield f"bool({ast.unparse(node.operand)})"
        case ast.IfExp() | ast.If():
            yield f"(not ({ast.unparse(node.test)}))"
        case ast.Expr(value=ast.Call()):
            yield "None"
        case ast.Raise():
            yield "pass"


def _is_text(node: ast.BinOp) -> bool:
    return any(
        isinstance(inner, ast.JoinedStr) or isinstance(getattr(inner, "value", 0), str)
        for inner in ast.walk(node)
    )
