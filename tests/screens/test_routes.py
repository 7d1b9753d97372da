"""The route table: every screen opens by name, and an option that it does not know is refused."""

from __future__ import annotations

import ast
from inspect import signature
from pathlib import Path

import pytest

from core.jobs import steps
from tests.support.app_helpers import first_job, message, opened
from tui.app import UnknownOption
from tui.routes import ROUTES
from tui.screens.base.box import Box
from tui.screens.base.screen import JobScreen, ShopScreen

TUI = Path(__file__).resolve().parents[2] / "tui"


def test_every_route_loads_a_screen() -> None:
    for name, route in ROUTES.items():
        cls = route.load()
        assert issubclass(cls, ShopScreen | Box), name
        assert issubclass(cls, JobScreen) == route.needs_job, name


@pytest.mark.slow
def test_every_call_of_go_names_a_route_and_its_options() -> None:
    """Whatever the source opens by a literal name exists and takes the options given."""
    seen = 0
    for path in TUI.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if not isinstance(node, ast.Call):
                continue
            called = ast.unparse(node.func)
            args = node.args[1:] if called == "partial" else node.args
            if not (called.endswith(".go") or called == "go" or _is_go(called, node)):
                continue
            if not args or not isinstance(args[0], ast.Constant):
                continue
            seen += 1
            cls = ROUTES[str(args[0].value)].load()
            options = {keyword.arg for keyword in node.keywords if keyword.arg}
            assert options <= set(signature(cls).parameters), f"{path.name}:{node.lineno}"
    assert seen > 60


def _is_go(called: str, node: ast.Call) -> bool:
    """`partial(go, "plot", ...)`."""
    return called == "partial" and bool(node.args) and ast.unparse(node.args[0]).endswith("go")


def test_no_screen_is_opened_past_the_router() -> None:
    """Only the base pushes: its question box and its help."""
    users = {
        str(path.relative_to(TUI))
        for path in TUI.rglob("*.py")
        if "push_screen(" in path.read_text()
    }
    assert users == {"app.py", "screens/base/box.py", "screens/base/screen.py"}


async def test_an_unknown_option_is_refused_and_opens_nothing(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job_id, board = first_job(app), app.screen
        for name, route in ROUTES.items():
            with pytest.raises(UnknownOption, match="no_such_option"):
                app.go(name, job_id if route.needs_job else None, no_such_option=1)
            assert app.screen is board
        with board.in_words():
            board.context.go("sweep", job_id, purpos="final")
        await pilot.pause()
        assert "knows no option purpos" in message(app)


def test_every_step_of_a_job_has_a_route() -> None:
    names = {node.value for node in ast.walk(ast.parse(Path(steps.__file__).read_text()))
             if isinstance(node, ast.Constant) and node.value in ROUTES}  # fmt: skip
    assert {"sweep", "penetrant", "straighten", "release"} <= names
