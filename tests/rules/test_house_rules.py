"""Rules about the shape of the code, kept as tests so that they stay true."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted(p for folder in ("core", "tui") for p in (ROOT / folder).rglob("*.py"))
CORE = [p for p in SOURCES if p.is_relative_to(ROOT / "core")]
MAX_LINES = 400
MAX_FUNCTION = 60
NUMERICAL = (
    "runout", "bends", "straightening", "analysis", "fitting", "measured", "coupling", "keys",
    "shaft",
)  # fmt: skip
SQL_HOME = ROOT / "core" / "book"


def _name(path: Path) -> str:
    return str(path.relative_to(ROOT))


def _imports(path: Path) -> set[str]:
    """Absolute names of the modules a file imports anywhere."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("path", SOURCES, ids=_name)
def test_files_and_functions_stay_small(path: Path) -> None:
    text = path.read_text()
    assert len(text.splitlines()) <= MAX_LINES
    long = {
        node.name: node.end_lineno - node.lineno + 1
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno - node.lineno + 1 > MAX_FUNCTION
    }
    assert not long


def test_files_of_tests_stay_small_too() -> None:
    long = {_name(p) for p in (ROOT / "tests").rglob("*.py")
            if len(p.read_text().splitlines()) > MAX_LINES}  # fmt: skip
    assert not long


@pytest.mark.parametrize("path", CORE, ids=_name)
def test_core_never_imports_the_screen(path: Path) -> None:
    roots = {name.split(".")[0] for name in _imports(path)}
    assert not roots & {"textual", "rich", "plotext", "tui"}


@pytest.mark.parametrize("path", SOURCES, ids=_name)
def test_only_the_job_book_speaks_sql(path: Path) -> None:
    if path.is_relative_to(SQL_HOME):
        return
    assert not {n.split(".")[0] for n in _imports(path)} & {"sqlite3", "sqlite_utils"}


def test_no_import_circles() -> None:
    """Imports at module level form no circle (imports inside functions are lazy loads)."""
    names = {
        ".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): p
        for p in SOURCES
    }
    graph: dict[str, set[str]] = {}
    for name, path in names.items():
        top = {
            node
            for node in ast.parse(path.read_text()).body
            if isinstance(node, ast.Import | ast.ImportFrom)
        }
        wanted: set[str] = set()
        for node in top:
            if isinstance(node, ast.Import):
                wanted |= {a.name for a in node.names}
            elif node.module:
                subs = {f"{node.module}.{a.name}" for a in node.names}
                wanted |= {s for s in subs if s in names} or {node.module}
        graph[name] = {w for w in wanted if w in names and w != name}
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail[trail.index(name) :], name))
        if name in done:
            return
        for other in graph[name]:
            visit(other, (*trail, name))
        done.add(name)

    for name in graph:
        visit(name, ())


def test_numerical_core_loads_no_database_and_no_screen() -> None:
    """Loading every module of core outside the job book leaves these libraries unloaded."""
    modules = [
        ".".join(p.relative_to(ROOT).with_suffix("").parts)
        for p in CORE
        if p.parent.name in NUMERICAL and p.name != "__init__.py"
    ]
    code = (
        f"import importlib, sys\nfor m in {modules!r}: importlib.import_module(m)\n"
        "bad = {'sqlite3', 'sqlite_utils', 'textual', 'rich', 'plotext'} & set(sys.modules)\n"
        "assert not bad, bad"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
