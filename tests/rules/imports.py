"""Every import of `core` and `tui`: at the top, inside functions, for types only, by route name."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_MODULE = re.compile(r"(core|tui)(\.\w+)+")
Graph = dict[str, set[str]]


@dataclass(frozen=True)
class Source:
    """One file of the program, parsed once."""

    name: str
    """Dotted name of the module."""
    path: Path
    lines: int
    tree: ast.Module
    imports: set[str] = field(default_factory=set)
    """Modules of the program that it imports anywhere."""
    outside: set[str] = field(default_factory=set)
    """Top names of other packages that it imports anywhere."""


@cache
def sources() -> dict[str, Source]:
    """All modules by dotted name."""
    found: dict[str, Source] = {}
    for top in ("core", "tui"):
        for path in sorted((ROOT / top).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
            text = path.read_text()
            found[name] = Source(name, path, text.count("\n"), ast.parse(text))
    for source in found.values():
        for target in _targets(source.tree):
            known = _longest(target, found)
            if known and known != source.name:
                source.imports.add(known)
            elif not known:
                source.outside.add(target.split(".")[0])
    return found


def _targets(tree: ast.Module) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and _MODULE.fullmatch(node.value)
        ):
            found.add(node.value)
    return found


def _longest(target: str, known: dict[str, Source]) -> str:
    """The module that a dotted name leads to; '' = none of ours."""
    while target and target not in known:
        target = target.rpartition(".")[0]
    return target


def room_of(name: str) -> str:
    """The folder a module belongs to: 'core.runout', 'tui.screens.sweep'; 'tui' for loose files."""
    parts = name.split(".")
    depth = 3 if parts[:2] == ["tui", "screens"] else 2
    package = sources()[name].path.name == "__init__.py"
    return ".".join(parts[: min(depth, len(parts) - (not package))])


def file_graph() -> Graph:
    """Which module imports which."""
    return {name: set(source.imports) for name, source in sources().items()}


def room_graph() -> Graph:
    """Which room imports which."""
    graph: Graph = defaultdict(set)
    for name, targets in file_graph().items():
        graph[room_of(name)] |= {room_of(t) for t in targets} - {room_of(name)}
    return graph


def circles(graph: Graph) -> list[list[str]]:
    """Groups of nodes that lead back to themselves (strongly connected, by Tarjan's method)."""
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(node: str) -> None:
        order[node] = low[node] = len(order)
        stack.append(node)
        for other in graph.get(node, ()):
            if other not in order:
                visit(other)
                low[node] = min(low[node], low[other])
            elif other in stack:
                low[node] = min(low[node], order[other])
        if low[node] == order[node]:
            part = stack[stack.index(node) :]
            del stack[stack.index(node) :]
            if len(part) > 1:
                found.append(sorted(part))

    for node in list(graph):
        if node not in order:
            visit(node)
    return found
