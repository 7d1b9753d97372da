"""Who may import whom: rooms stand on floors, and no import leads upwards or in a circle."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.rules.imports import ROOT, circles, file_graph, room_graph, room_of, sources

BELOW: dict[str, tuple[str, ...]] = {
    "core.base": (),
    "core.tables": ("core.base",),
    "core.book": ("core.base",),
    "core.runout": ("core.base", "core.tables"),
    "core.bends": ("core.base", "core.tables", "core.runout"),
    "core.straightening": ("core.base", "core.tables", "core.runout", "core.bends"),
    "core.analysis": (
        "core.base",
        "core.tables",
        "core.runout",
        "core.bends",
        "core.straightening",
    ),
    "core.fitting": ("core.base", "core.tables", "core.runout"),
    "core.penetrant": ("core.base", "core.tables"),
}
"""What each room of the lower floors may import."""
NUMERICAL = ("core.runout", "core.bends", "core.straightening", "core.analysis", "core.fitting",
             "core.penetrant")  # fmt: skip
_JOBS_BELOW = {*BELOW}
UPPER: dict[str, set[str]] = {
    "core.jobs": _JOBS_BELOW,
    "core.reports": {*_JOBS_BELOW, "core.jobs"},
    "core.demo": {*_JOBS_BELOW, "core.jobs", "core.reports"},
    "core.cli": {*_JOBS_BELOW, "core.jobs", "core.reports", "core.demo"},
}
"""What the use cases, the papers, the demo and the command line may import."""


@pytest.mark.slow
def test_core_stands_on_its_floors() -> None:
    allowed = {**{room: set(below) for room, below in BELOW.items()}, **UPPER}
    wrong = {
        (room, other)
        for room, targets in room_graph().items()
        for other in targets
        if room.startswith("core.") and other != "core" and other not in allowed[room]
    }
    assert not wrong, sorted(wrong)


SCREEN_ROOMS = ("base", "intake", "sweep", "shape", "board")
"""Rooms of screens that others may import, the lowest first; every other room stands alone."""


def test_tui_stands_on_its_floors() -> None:
    """base < terminal < widgets < screens, each room on those before it < background < app."""
    graph = {room: {t for t in targets if t.startswith("tui")} for room, targets in
             room_graph().items()}  # fmt: skip
    low = {"tui.base", "tui.terminal", "tui.widgets"}
    assert not graph["tui.base"]
    assert not graph["tui.terminal"]
    assert graph["tui.widgets"] <= {"tui.base", "tui.terminal"}
    assert graph["tui.background"] <= {"tui.base"}
    for room, targets in graph.items():
        if room.startswith("tui.screens."):
            name = room.removeprefix("tui.screens.")
            upto = SCREEN_ROOMS.index(name) if name in SCREEN_ROOMS else len(SCREEN_ROOMS) - 1
            below = {f"tui.screens.{other}" for other in SCREEN_ROOMS[:upto]}
            assert targets <= low | below, room


def test_no_circle_of_files() -> None:
    assert not circles(file_graph())


def test_no_circle_of_rooms() -> None:
    assert not circles(room_graph())


def test_widgets_and_terminal_know_no_jobs_and_no_screens() -> None:
    wrong = {
        (room, other)
        for room in ("tui.widgets", "tui.terminal")
        for other in room_graph()[room]
        if other.startswith("tui.screens") or (other.startswith("core.") and other != "core.base")
    }
    assert not wrong


def test_only_the_job_book_speaks_sql() -> None:
    wrong = [
        source.name
        for source in sources().values()
        if source.outside & {"sqlite3", "sqlite_utils"} and room_of(source.name) != "core.book"
    ]
    assert not wrong


def test_core_never_imports_the_screen() -> None:
    screen = {"textual", "rich", "plotext"}
    wrong = [
        source.name
        for source in sources().values()
        if source.name.startswith("core") and source.outside & screen
    ]
    assert not wrong
    assert not any(
        target.startswith("tui")
        for name, targets in file_graph().items()
        if name.startswith("core")
        for target in targets
    )


@pytest.mark.slow
def test_computing_loads_no_database_and_no_screen() -> None:
    modules = [name for name in sources() if name.startswith(NUMERICAL)]
    code = (
        f"import importlib, sys\nfor m in {modules!r}: importlib.import_module(m)\n"
        "bad = {'sqlite3', 'sqlite_utils', 'textual', 'rich', 'plotext'} & set(sys.modules)\n"
        "assert not bad, bad"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
