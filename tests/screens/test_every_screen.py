"""What must hold on every screen: keys, glyphs, widths, help, brackets in names, small windows."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.binding import Binding
from textual.pilot import Pilot
from textual.screen import Screen

from core.book import customers, jobs, shafts
from tests.support.app_helpers import (
    CP437,
    LARGE,
    SMALL,
    commands,
    first_job,
    go,
    lines,
    message,
    opened,
    present_places,
    resize,
    text,
)
from tui.app import ShaftlogApp
from tui.base.commands import KEY_OF, commands_of, spoken, verb
from tui.routes import ROUTES
from tui.screens.base.ask import AskScreen
from tui.screens.base.box import Box
from tui.screens.base.help import HelpScreen
from tui.screens.base.screen import JobScreen, ShopScreen
from tui.screens.board.board import BoardScreen
from tui.screens.board.jump import JumpScreen
from tui.screens.board.notes import NotesScreen
from tui.screens.settings.settings import SettingsGroupScreen
from tui.widgets.menu import MenuItem
from tui.widgets.plain import clean, cut, plain

TUI = Path(__file__).resolve().parent.parent.parent / "tui"
FORBIDDEN = ("shift+f", "ctrl+a", "ctrl+b", "ctrl+s", "ctrl+z", "f11")
NASTY = "Ann [b]x[/b] [/] [mm] \x1b[31m\x00 ‮abc 漢字 $x 'q' \"z\""
PAD_KEYS = ("asterisk", "slash", "plus", "minus", "enter", "ctrl+j")
"""Keys that a number field deals with itself."""
ENDS = ("leave", "practice")
"""Actions that end the app."""
PARTS = 6
"""Starts of the app that the places share where nothing is entered."""
PARSED = {"Static", "Label", "update", "notify", "Button", "add_row", "add_column"}


@pytest.fixture(params=present_places())
def place(request: pytest.FixtureRequest) -> str:
    """Each place in turn."""
    return str(request.param)


@pytest.mark.slow
async def test_picture_and_keys(tmp_path: Path, place: str) -> None:
    """The picture at both sizes and odd ones; then each key reaches its action, and the screen's
    own keys do it for real. An error in an action ends the test."""
    async with opened(tmp_path, LARGE) as (app, pilot):  # test_golden opens them in a small one
        await go(app, pilot, place)
        for size in (LARGE, SMALL):
            if app.size != size:
                await resize(app, pilot, size)
            shown = lines(app)
            assert set("".join(shown)) <= CP437
            assert "F1 Help" in shown[-1]
            assert shown[0].strip().startswith(app.screen.HEADING)
        await _all_keys_reach(app, pilot)
        for size in ((20, 5), (1, 1)):
            await pilot.resize_terminal(*size)
        await pilot.press("down", "up")
        await resize(app, pilot, SMALL)
        common = {c.name for c in (*ShopScreen.ACTIONS, *JobScreen.ACTIONS)}
        own = [c for c in commands_of(ROUTES[place].load()) if c.name not in common]
        for key in [key for c in own for key in c.keys if c.name not in ENDS]:
            await _back_to(app, pilot, place)
            await pilot.press(key)
        await pilot.pause()
        assert app.is_running


@pytest.mark.slow
async def test_the_help_of_every_screen_names_every_key(tmp_path: Path) -> None:
    async with opened(tmp_path, (80, 70)) as (app, pilot):
        for place in present_places():
            screen, table = ROUTES[place].load(), commands_of(ROUTES[place].load())
            assert len(screen.HOW_TO) > 60
            app.push_screen(HelpScreen(screen.HEADING, screen.HOW_TO, table))
            await pilot.pause()
            shown = text(app)
            assert shown.strip().startswith(f"Help: {screen.HEADING}"), place
            for command in table:
                assert spoken(command.keys[0]) in shown, (place, command)
                assert command.help[:40] in shown, (place, command)
            app.back_to_board()


async def _back_to(app: ShaftlogApp, pilot: Pilot[None], place: str) -> None:
    """Close what was opened from a place, or open the place again."""
    kind = ROUTES[place].load()
    if not any(type(screen) is kind for screen in app.screen_stack):
        await go(app, pilot, place)
    while type(app.screen) is not kind:
        app.pop_screen()


async def _all_keys_reach(app: ShaftlogApp, pilot: Pilot[None]) -> None:
    """Press all keys of the screen on top, its actions replaced by notes of their names."""
    screen, ran, table = app.screen, [], commands(app)
    for command in table:
        assert callable(getattr(screen, f"action_{command.name}", None)), command
        assert command.help, command
        setattr(screen, f"action_{command.name}", lambda n=command.name: ran.append(n))
    pressed = [(key, c.name) for c in table for key in c.keys if key not in PAD_KEYS]
    await pilot.press(*(key for key, _ in pressed))
    await pilot.pause()
    assert list(zip([key for key, _ in pressed], ran, strict=True)) == pressed
    for command in table:
        delattr(screen, f"action_{command.name}")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["board", "card", "settings"])
async def test_the_common_keys_for_real(tmp_path: Path, name: str) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, name)
        for command in (*ShopScreen.ACTIONS, *JobScreen.ACTIONS):
            await _back_to(app, pilot, name)
            await pilot.press(command.keys[0])
        await pilot.pause()
        assert app.is_running


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
async def test_ascii_mode_and_names_like_markup(tmp_path: Path, part: int) -> None:
    """Names that look like markup, escape codes and control characters; ASCII paints no others."""
    async with opened(tmp_path, ascii=True) as (app, pilot):
        job = jobs.job(app.book, first_job(app))
        shaft = shafts.shaft(app.book, job.shaft_id)
        vessel = customers.vessel(app.book, shaft.vessel_id)
        customers.change_vessel(app.book, vessel.id, name=NASTY)
        customers.change_customer(app.book, vessel.customer_id, name=NASTY)
        shafts.change_shaft(
            app.book, shaft.id, position="[red]port", material="[/material]", condition=NASTY
        )
        jobs.change_job(app.book, job.id, complaint=NASTY * 50)
        jobs.add_note(app.book, job_id=job.id, text=NASTY * 20)
        for place in present_places()[part::PARTS]:
            app.back_to_board()
            await go(app, pilot, place)
            shown = text(app)
            assert shown.isascii(), place
            assert "\x1b" not in shown, place
            assert "\x00" not in shown, place
            if ROUTES[place].needs_job:
                assert "[b]x[/b] [/]" in shown, place


def _extra(app: ShaftlogApp, name: str) -> Screen[Any]:
    """Screens and boxes that are opened from others."""
    makers: dict[str, Callable[[], Screen[Any]]] = {
        "jump": JumpScreen,
        "ask": lambda: AskScreen("What [b]?", (MenuItem("a", "first [/]"), MenuItem("b", "two"))),
        "help": lambda: HelpScreen("Board", BoardScreen.HOW_TO, commands_of(BoardScreen)),
        "notes": lambda: NotesScreen(first_job(app)),
        "settings": lambda: SettingsGroupScreen("Limits"),
    }
    return makers[name]()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["jump", "ask", "help", "notes", "settings"])
async def test_boxes_and_lesser_screens(tmp_path: Path, name: str) -> None:
    """The same for what is opened from other screens; a scrollbar stands in some."""
    async with opened(tmp_path, (80, 9)) as (app, pilot):
        for number in range(20):
            jobs.add_note(app.book, job_id=first_job(app), text=f"note {number}")
        app.push_screen(_extra(app, name))
        await pilot.pause()
        assert set(text(app)) <= CP437 | {"\n"}
        await _all_keys_reach(app, pilot)


def test_tables_of_commands_are_sound() -> None:
    for name in present_places():
        screen = ROUTES[name].load()
        seen: set[str] = set()
        for command in commands_of(screen):
            assert not any(bad in key for key in command.keys for bad in FORBIDDEN), command
            assert not any(len(k) == 1 and k.isalpha() for k in command.keys), command
            assert command.help, command
            assert not set(command.keys) & seen, (name, command)
            seen |= set(command.keys)
        if ROUTES[name].needs_job:
            assert issubclass(screen, JobScreen)


def all_screens() -> list[type[ShopScreen | Box[Any]]]:
    """Every screen and box."""
    return [route.load() for route in ROUTES.values()] + [AskScreen]


def test_one_verb_one_key_on_every_screen() -> None:
    """A function key is written in one table, and stands for its verb wherever it is bound."""
    verbs = {key: name for name, key in KEY_OF.items()}
    for screen in all_screens():
        table = commands_of(screen)
        for command in table:
            for key in command.keys[:1]:
                assert command.verb == verbs.get(key, ""), (screen, command)
            assert not {k for k in command.keys[1:] if k in verbs} - {"f2"}, (screen, command)
        named = {c.name: c.verb for c in table}
        assert named.get("undo", "undo") == "undo", screen
        assert {c.verb for c in table} >= {"help", "back"}, screen
        if issubclass(screen, ShopScreen):
            assert {c.verb for c in table} >= {"jobs", "find", "note", "card", "actions"}, screen
    literal = re.compile(r"""["']f\d+["']""")
    for path in TUI.rglob("*.py"):
        if path.name not in ("commands.py", "jump.py", "help.py"):
            assert not literal.search(path.read_text()), path


def test_help_names_only_keys_of_its_screen() -> None:
    elsewhere = re.compile(r"\(?F\d+ (on|there|of)\b")
    for screen in all_screens():
        own = {spoken(c.keys[0]) for c in commands_of(screen)}
        words = elsewhere.sub("", screen.HOW_TO)
        assert set(re.findall(r"F\d+", words)) <= own, screen


@pytest.mark.slow
async def test_an_action_is_found_by_letters_of_its_name(tmp_path: Path) -> None:
    """Ctrl+P, letters, Enter: with keys only, in glyphs of every console."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        await pilot.press("ctrl+p")
        await pilot.pause(0.3)
        assert set(text(app)) <= CP437 | {"\n"}
        assert "Visits (F6)" in text(app)
        await pilot.press(*"visi")
        await pilot.pause(0.3)
        await pilot.press("enter")
        await pilot.pause(0.3)
        assert app.screen.HEADING == "Visits of this shaft"


@pytest.mark.slow
async def test_f1_works_in_boxes_too(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f2", "f1")
        await pilot.pause()
        assert "Help: Open jobs" in text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert "two digits" in text(app)


def test_a_screens_key_hides_the_same_key_of_its_base() -> None:
    class Mine(ShopScreen):
        ACTIONS = (verb("note", "own_note", "Own", "Something else"),)

    names = [command.name for command in commands_of(Mine)]
    assert "own_note" in names
    assert "note" not in names
    assert Mine._merged_bindings.key_to_bindings["f9"][0].action == "own_note"


def test_no_stray_bindings() -> None:
    """Bindings of screens come from their tables and from nowhere else."""
    for name in present_places():
        own = ROUTES[name].load().__dict__.get("BINDINGS", ())
        keys = {key for command in commands_of(ROUTES[name].load()) for key in command.keys}
        assert {b.key for b in own if isinstance(b, Binding)} <= keys


def test_no_formatted_string_is_parsed_as_markup() -> None:
    """No f-string with a variable goes straight to a parameter that Textual parses."""
    calls = ((p, n) for p in TUI.rglob("*.py") for n in ast.walk(ast.parse(p.read_text())))
    for path, node in calls:
        if not isinstance(node, ast.Call):
            continue
        called = node.func.attr if isinstance(node.func, ast.Attribute) else ""
        called = node.func.id if isinstance(node.func, ast.Name) else called
        if called in PARSED:
            risky = [a for a in node.args if isinstance(a, ast.JoinedStr)]
            assert not risky, f"{path.name}:{node.lineno}"


def test_plain_text_stays_as_it_is() -> None:
    assert str(plain("[b]x[/b] [/] [mm]")) == "[b]x[/b] [/] [mm]"
    assert clean("a\x1b[31m\x00‮b\tc\nd") == "a [31m  b c d"
    assert cut("漢字漢字", 6) == "漢字.."
    assert cut("abcdefgh", 5) == "abc.."
    assert cut("ab", 5) == "ab   "


async def test_ctrl_q_and_ctrl_c_only_say_how_to_leave(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert app.is_running
        assert "F12" in message(app)
        assert not ShaftlogApp.ENABLE_COMMAND_PALETTE
        assert app.theme == "ansi-dark"
        assert app.native_ansi_color
