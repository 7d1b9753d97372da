"""Small changes of a module's source, one at a time, as a mistake of the hand would make them.

Used by `tests.bench.mutants`. Kinds: a comparison, an arithmetic sign, a number, `and`/`or`, `not`,
a returned value's sign. Docstrings, annotations and words are left alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SIGNS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.Pow: ast.Mult, ast.MatMult: ast.Add,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """A changed source."""

    line: int
    function: int
    """First line of the innermost function round it (0: the module itself)."""
    what: str
    source: str


def mutants_of(source: str) -> Iterator[Mutant]:
    """Every mutant of a module."""
    tree = ast.parse(source)
    for node, function in _nodes(tree, 0):
        for what, old, new, where in _changes(node):
            setattr(node, where, new)
            yield Mutant(node.lineno, function, what, ast.unparse(tree))
            setattr(node, where, old)


def _nodes(node: ast.AST, function: int) -> Iterator[tuple[ast.expr, int]]:
    """Expressions that compute something, each with its function."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "bases"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or _is_words(child):
                continue
            inside = function
            if isinstance(child, ast.FunctionDef):
                inside = min([child.lineno, *(d.lineno for d in child.decorator_list)])
            if isinstance(child, ast.expr):
                yield child, inside
            yield from _nodes(child, inside)


def _is_words(node: ast.AST) -> bool:
    """Docstrings, f-strings, messages of errors."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True
    return isinstance(node, (ast.JoinedStr, ast.Raise, ast.Assert, ast.Import, ast.ImportFrom))


def _changes(node: ast.expr) -> Iterator[tuple[str, object, object, str]]:
    """(what, old value, new value, attribute) of one expression."""
    if isinstance(node, ast.Compare):
        for k, op in enumerate(node.ops):
            if type(op) in COMPARISONS:
                ops = [*node.ops[:k], COMPARISONS[type(op)](), *node.ops[k + 1 :]]
                yield f"{type(op).__name__} -> {type(ops[k]).__name__}", node.ops, ops, "ops"
    elif isinstance(node, ast.BinOp) and type(node.op) in SIGNS:
        new = SIGNS[type(node.op)]()
        yield f"{type(node.op).__name__} -> {type(new).__name__}", node.op, new, "op"
    elif isinstance(node, ast.BoolOp):
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield f"{type(node.op).__name__} -> {type(other).__name__}", node.op, other, "op"
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        yield f"{type(node.op).__name__} left out", node.op, ast.UAdd(), "op"
    elif isinstance(node, ast.Constant) and isinstance(node.value, (bool, int, float)):
        yield from _numbers(node)


def _numbers(node: ast.Constant) -> Iterator[tuple[str, object, object, str]]:
    value = node.value
    if isinstance(value, bool):
        yield f"{value} -> {not value}", value, not value, "value"
    elif isinstance(value, int):
        yield f"{value} -> {value + 1}", value, value + 1, "value"
    else:
        new = value * 1.3 if value else 1.0
        yield f"{value} -> {new:g}", value, new, "value"
