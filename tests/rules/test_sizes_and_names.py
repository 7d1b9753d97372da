"""Small files and functions; one name for one thing."""

from __future__ import annotations

import ast
from collections import Counter, defaultdict
from collections.abc import Iterator

from tests.rules.imports import ROOT, sources

MAX_LINES = 400
MAX_FUNCTION = 60
MAX_FILES = 25


def test_files_stay_small() -> None:
    long = {s.name: s.lines for s in sources().values() if s.lines > MAX_LINES}
    for path in (ROOT / "tests").rglob("*.py"):
        lines = path.read_text().count("\n")
        if lines > MAX_LINES:
            long[path.name] = lines
    assert not long


def test_functions_stay_small() -> None:
    long = {
        f"{source.name}.{node.name}": node.end_lineno - node.lineno + 1
        for source in sources().values()
        for node in ast.walk(source.tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno is not None
        and node.end_lineno - node.lineno + 1 > MAX_FUNCTION
    }
    assert not long


def test_folders_are_not_crowded_and_core_has_no_loose_file() -> None:
    folders = Counter(
        s.path.parent.relative_to(ROOT).as_posix()
        for s in sources().values()
        if s.path.name != "__init__.py"
    )
    assert folders["core"] == 0
    assert not {folder: n for folder, n in folders.items() if n > MAX_FILES}


def test_a_class_name_means_one_thing() -> None:
    homes = defaultdict(set)
    for source in sources().values():
        for node in source.tree.body:
            if isinstance(node, ast.ClassDef):
                homes[node.name].add(source.name)
    assert not {name: where for name, where in homes.items() if len(where) > 1}


def _constants() -> Iterator[tuple[str, str]]:
    for source in sources().values():
        for node in source.tree.body:
            if isinstance(node, ast.Assign | ast.AnnAssign) and isinstance(
                node.value, ast.Constant
            ):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                for target in targets:
                    if (
                        isinstance(target, ast.Name)
                        and target.id.isupper()
                        and not target.id.startswith("_")
                    ):
                        yield target.id, repr(node.value.value)


def test_a_constant_has_one_value() -> None:
    values = defaultdict(set)
    for name, value in _constants():
        values[name].add(value)
    assert not {name: found for name, found in values.items() if len(found) > 1}
