"""The terminal itself: odd bytes, signals, colours, ASCII, refusals, exit status; through a pty."""

from __future__ import annotations

import re
import signal
import sqlite3
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from textual.events import Key

from tests.support.glass import Glass
from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book
from tui.terminal.ascii_filter import to_ascii
from tui.terminal.parser import TolerantParser
from tui.terminal.run import RESTORE, wants_ascii

F2, F4, F12, CTRL_Q = b"\x1bOQ", b"\x1bOS", b"\x1b[24~", b"\x11"
COLOUR = re.compile(rb"\x1b\[[0-9;]*m")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A small book."""
    return make_book(tmp_path / "shop.db", count=2)


def start(book: Path, **env: str) -> Terminal:
    """The program, its first screen painted and settled."""
    terminal = Terminal(python("-m", "tui.main", "--book", str(book)), env=env)
    terminal.wait_for(b"F12")
    terminal.drain(0.3, 3.0)
    return terminal


def press(terminal: Terminal, keys: bytes, words: bytes) -> bytes:
    """Type, wait until `words` are painted and all is quiet; what was painted."""
    terminal.forget()
    terminal.send(keys)
    terminal.wait_for(words, 10.0)
    terminal.drain(0.2)
    return terminal.output


def leave(terminal: Terminal) -> None:
    """F12 on the board."""
    terminal.send(F12)
    assert terminal.end() == 0


@pytest.mark.slow
def test_the_last_picture_does_not_stay(book: Path) -> None:
    """GNU screen as it comes, vt220 and others have no second screen to come back from."""
    terminal = start(book)
    leave(terminal)
    glass = Glass()
    glass.feed(terminal.output.replace(b"\x1b[?1049l", b""))
    assert glass.text.strip() == ""


@pytest.mark.slow
def test_bytes_that_are_not_utf8_do_no_harm(book: Path) -> None:
    terminal = start(book)
    terminal.send(b"\xff\xfe\x80\xc3")
    terminal.drain()
    press(terminal, b"\x15" + b"gan", b"opened")
    assert terminal.process.poll() is None
    leave(terminal)


@pytest.mark.parametrize(
    "noise",
    [
        "\x1b[48;24;80;0;0t\x1b[<0;10;5M",  # a window of no pixels, then a mouse in it
        "\x1b[48;99999;99999;1;1t\x1b[?2048;2$y",
        "\x1b[<99999999999;1;1M\x1b[1114112;1u",
    ],
)
def test_reports_nobody_asked_for_do_no_harm(noise: str) -> None:
    parser = TolerantParser()
    found = [*parser.feed(noise), *parser.feed("12"), *parser.tick()]
    assert [key.key for key in found if isinstance(key, Key)][-2:] == ["1", "2"]
    assert all(isinstance(key, Key) for key in found)


@pytest.mark.slow
def test_a_keyboard_that_cannot_be_read_ends_with_words_and_status_1(book: Path) -> None:
    code = (
        "import sys; from tui.terminal import parser as calm_keys; "
        "from tui.app import ShaftlogApp\n"
        "from tui.terminal.run import run_app\n"
        "calm_keys.TolerantParser.feed = lambda self, data: 1 / 0\n"
        f"sys.exit(run_app(ShaftlogApp({str(book)!r})))"
    )
    terminal = Terminal(python("-c", code))
    terminal.wait_for(b"F12")
    terminal.send(b"1")
    assert terminal.end(10.0) == 1
    tail = terminal.output[terminal.output.rindex(b"\x1b[?1049l") :]
    assert b"fault in the program" in tail
    assert b"Traceback" not in tail
    assert "ZeroDivisionError" in book.with_suffix(".fault.txt").read_text()


@pytest.mark.slow
def test_a_latin1_keyboard_types_its_letters(book: Path) -> None:
    terminal = start(book)
    press(terminal, b"J\xf8rg", "ø".encode())
    leave(terminal)


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_signals_restore_the_terminal_and_keep_the_book(book: Path, number: int) -> None:
    terminal = start(book)
    assert terminal.settings_now()[3] & termios.ECHO == 0
    terminal.forget()
    terminal.signal(number)
    while terminal.process.poll() is None:
        terminal.read(0.05)
    settings = terminal.settings_now()
    assert terminal.end() == 128 + number
    assert settings[3] == terminal.before[3]
    assert b"\x1b[?1049l" in terminal.output
    assert b"\x1b[?25h" in terminal.output
    con = sqlite3.connect(book)
    assert con.execute("SELECT count(*) FROM job").fetchone() == (2,)
    con.close()


@pytest.mark.slow
def test_a_lost_line_ends_the_program(book: Path) -> None:
    assert start(book).hang_up() == 128 + signal.SIGHUP


def test_what_is_restored_by_hand_is_what_the_screen_had_set() -> None:
    for switched in ("?2004l", "?1049l", "?25h", "?1004l", "?7h"):
        assert f"\x1b[{switched}" in RESTORE


@pytest.mark.slow
def test_ctrl_q_does_not_end_a_sweep(book: Path) -> None:
    terminal = start(book)
    press(terminal, CTRL_Q, b"To leave Shaftlog")
    assert terminal.process.poll() is None
    leave(terminal)


@pytest.mark.slow
def test_no_color_paints_no_colour(book: Path) -> None:
    terminal = start(book, NO_COLOR="1")
    painted = terminal.output + press(terminal, F2, b"two digits")
    codes = {code for found in COLOUR.findall(painted) for code in found[2:-1].split(b";")}
    colours = {code for code in codes if code and (30 <= int(code) <= 38 or 40 <= int(code) <= 48
                                                   or 90 <= int(code) <= 107)}  # fmt: skip
    assert not colours
    press(terminal, b"\x1b", b"Leave")
    leave(terminal)


@pytest.mark.slow
@pytest.mark.parametrize("env", [{"LANG": "C", "LC_ALL": "C"}, {"LANG": "POSIX"}])
def test_lang_c_paints_ascii_only(book: Path, env: dict[str, str]) -> None:
    terminal = start(book, **{"LC_ALL": "", "LC_CTYPE": "", **env})
    assert (terminal.output + press(terminal, F2, b"=====")).isascii()
    press(terminal, b"\x1b", b"Leave")
    leave(terminal)


def test_a_dumb_terminal_is_refused_in_words(book: Path) -> None:
    terminal = Terminal(python("-m", "tui.main", "--book", str(book)), env={"TERM": "dumb"})
    assert terminal.end(10.0) == 2
    assert b"another terminal" in terminal.output.replace(b"\r\n", b" ")
    assert b"\x1b" not in terminal.output


def test_no_terminal_is_refused_in_words(book: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tui.main", "--book", str(book)],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "need a terminal" in done.stderr
    assert "Traceback" not in done.stderr


def faulty(book: Path) -> Terminal:
    """The program with a fault in F4 of the board."""
    code = (
        "import sys; from tui.app import ShaftlogApp; from tui.terminal.run import run_app\n"
        "from tui.screens.board.board import BoardScreen\n"
        "BoardScreen.action_new_job = lambda self: 1 / 0\n"
        f"sys.exit(run_app(ShaftlogApp({str(book)!r})))"
    )
    terminal = Terminal(python("-c", code))
    terminal.wait_for(b"F12")
    terminal.drain(0.3, 3.0)
    return terminal


@pytest.mark.slow
def test_a_fault_is_told_and_the_program_goes_on(book: Path) -> None:
    terminal = faulty(book)
    press(terminal, F4, b"Something went wrong")
    press(terminal, F2, b"two digits")
    press(terminal, b"\x1b", b"Leave")
    leave(terminal)
    noted = book.with_suffix(".fault.txt")
    assert noted.read_text().count("ZeroDivisionError") == 1
    assert noted.stat().st_mode & 0o077 == 0


@pytest.mark.slow
def test_fault_upon_fault_ends_with_words_and_status_1(book: Path) -> None:
    terminal = faulty(book)
    for _ in range(5):
        terminal.send(F4)
        terminal.drain(0.2)
    assert terminal.process.poll() is None
    terminal.send(F4)
    terminal.drain(0.5, 4.0)
    assert terminal.end() == 1
    tail = terminal.output[terminal.output.rindex(b"\x1b[?1049l") :]
    assert b"fault in the program" in tail
    assert b"Traceback" not in tail
    assert "ZeroDivisionError" in book.with_suffix(".fault.txt").read_text()


def test_ascii_keeps_the_width() -> None:
    drawn = "╔═│█°½ñ漢"
    assert to_ascii(drawn).isascii()
    assert len(to_ascii(drawn)) == 9


@pytest.mark.parametrize(
    ("env", "wanted"),
    [
        ({"LANG": "C"}, True),
        ({"LANG": "C", "LC_CTYPE": "C.UTF-8"}, True),
        ({"LC_CTYPE": "en_GB.UTF-8"}, False),
        ({"LANG": "en_GB.UTF-8"}, False),
        ({"LANG": "C", "LC_ALL": "C.UTF-8"}, False),
        ({"LANG": "de_DE.ISO-8859-1"}, True),
    ],
)
def test_locale_decides_about_ascii(
    monkeypatch: pytest.MonkeyPatch, env: dict[str, str], wanted: bool
) -> None:
    for name in ("LC_ALL", "LC_CTYPE", "LANG"):
        monkeypatch.delenv(name, raising=False)
    for name, value in env.items():
        monkeypatch.setenv(name, value)
    assert wants_ascii() is wanted


@pytest.mark.slow
def test_keys_typed_while_the_program_starts_are_not_lost(tmp_path: Path) -> None:
    """The first one was, and Enter then opened a job of another number."""
    book = make_book(tmp_path / "shop.db", count=21)
    with Terminal(python("-m", "tui.main", "--book", str(book))) as terminal:
        for key in (b"0", b"2", b"\r"):
            terminal.send(key)
        terminal.wait_for(b"Job card")
        terminal.drain()
        tag = re.search(rb"Job card \S* *(\d\d-\d\d\d)", terminal.output)
        assert tag is not None
        assert tag[1].endswith(b"02")
