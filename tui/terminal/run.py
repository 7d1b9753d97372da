"""Everything about the terminal that a stock Textual app gets wrong, in one place.

`main` calls, in this order::

    words = refusal()            # cheap, before textual is imported
    if words: print it to stderr, exit 2
    app = ShaftlogApp(path, ascii=wants_ascii() or args.ascii)
    sys.exit(run_app(app))

What is mended here: bytes that are not UTF-8 and reports nobody asked for end a stock app; a crash
leaves exit status 0 and a traceback; SIGTERM and SIGHUP leave the terminal raw; LANG=C still paints
UTF-8; colour codes in spite of NO_COLOR; terminals without a second screen keep the last picture.
Private names of Textual are used here, in `calm_keys` and in what paints (`sharp_paint`).
"""

from __future__ import annotations

import codecs
import locale
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

RESTORE = "\x1b[?2004l\x1b[?7h\x1b[?1004l\x1b[?2048l\x1b[<u\x1b[?1049l\x1b[?25h\x1b[0m"
"""Bracketed paste off, wrap on, focus reports off, main screen, cursor on, no colour."""
WIPE_SCREEN = "\x1b[m\x1b[H\x1b[2J"
LEAVE_WITHIN_S = 1.5
"""After a signal the app has this long to leave in order before it is ended the hard way."""


class RunnableApp(Protocol):
    """What is run here: the app, as far as the terminal is concerned."""

    fault: BaseException | None

    @property
    def fault_file(self) -> Path:
        """Where details of a fault go."""

    @property
    def return_code(self) -> int | None:
        """Exit status asked for."""

    def run(self, *, mouse: bool) -> object:
        """Show the screens until they are left."""

    def pace(self, baud: int) -> None:
        """Speed of the line."""

    def leave_on_signal(self, status: int) -> None:
        """Leave in order."""

    def close_book(self) -> None:
        """After all."""


def refusal() -> str | None:
    """Why no screen can be drawn here, in words; None when one can."""
    if not (
        sys.__stdin__ and sys.__stdin__.isatty() and sys.__stderr__ and sys.__stderr__.isatty()
    ):
        return (
            "shaftlog: the screens need a terminal, and this is not one (input or output goes to "
            "a file or a pipe). Start it in a terminal, or see `shaftlog --help` for the commands "
            "that work without one."
        )
    if os.environ.get("TERM", "") in ("", "dumb", "unknown"):
        return (
            "shaftlog: this terminal (TERM="
            f"{os.environ.get('TERM', '') or 'not set'}) cannot place text on the screen. Use "
            "another terminal, or see `shaftlog --help` for the commands that work here."
        )
    return None


def wants_ascii() -> bool:
    """Whether the locale cannot show anything but plain ASCII (LANG=C, POSIX).

    Python itself sets LC_CTYPE to C.UTF-8 when it is started in the C locale (PEP 538), so that
    this value is not about the terminal.
    """
    coerced = os.environ.get("LC_CTYPE", "") in ("C.UTF-8", "C.utf8", "UTF-8")
    if not os.environ.get("LC_ALL") and coerced:
        return "utf" not in os.environ.get("LANG", "").lower()
    for name in ("LC_ALL", "LC_CTYPE", "LANG"):
        value = os.environ.get(name, "")
        if value:
            return "utf" not in value.lower()
    return "utf" not in locale.getpreferredencoding(False).lower()


def line_baud() -> int:
    """Bits a second of the line to the terminal, as the system has it; 0 when it is unknown.

    A terminal in a window or behind ssh reports a speed that is made up (38400, most often);
    `stty ospeed 9600` sets it there.
    """
    try:
        import termios

        speed = termios.tcgetattr(sys.__stderr__.fileno())[5]  # type: ignore[union-attr]
        names = (name for name in dir(termios) if name[0] == "B" and name[1:].isdigit())
        return next(int(name[1:]) for name in names if getattr(termios, name) == speed)
    except Exception:
        return 0


def run_app(app: RunnableApp) -> int:
    """Run the app and give back the exit status: 0, 1 after a fault, 128 + n after signal n."""
    words = refusal()
    if words:
        print(words, file=sys.stderr)
        return 2
    _mend_decoder()
    _keep_keys_plain()
    _leave_no_picture()
    saved = _terminal_state()
    restore = _handle_signals(app, saved)
    app.pace(line_baud())
    try:
        app.run(mouse=False)
    finally:
        restore()
        app.close_book()
    if app.fault is not None:
        print(_note_fault(app.fault, app.fault_file), file=sys.stderr)
        return 1
    return app.return_code or 0


def _latin1(error: UnicodeError) -> tuple[str, int]:
    """Bytes that are no UTF-8: read as Latin-1 letters; line noise is dropped."""
    assert isinstance(error, UnicodeDecodeError)
    bad = error.object[error.start : error.end]
    return "".join(chr(byte) for byte in bad if byte >= 0xA0), error.end


class _AnyBytes:
    """Decoder of the keyboard: takes any byte, and knows that an empty read is a lost line."""

    def __init__(self) -> None:
        self._inner = codecs.getincrementaldecoder("utf-8")(errors="shaftlog-latin1")

    def decode(self, data: bytes, final: bool = False) -> str:
        """Text of `data`; nothing at all means that the terminal is gone (a stock app spins)."""
        if not data and not final:
            os.kill(os.getpid(), signal.SIGHUP)
            time.sleep(0.2)
        return self._inner.decode(data, final)


def _mend_decoder() -> None:
    """Let Textual's keyboard thread take any bytes (its decoder and its parser are strict)."""
    from textual.drivers import linux_driver

    from tui.terminal.parser import TolerantParser

    vars(linux_driver)["XTermParser"] = TolerantParser
    codecs.register_error("shaftlog-latin1", _latin1)
    vars(linux_driver)["getincrementaldecoder"] = lambda _encoding: _AnyBytes


def _keep_keys_plain() -> None:
    """No keyboard protocol that renames the keys of the number pad."""
    from textual import constants

    constants.DISABLE_KITTY_KEY = True  # type: ignore[misc]


def _leave_no_picture() -> None:
    """Wipe the picture on leaving: some terminals have no second screen to come back from."""
    from textual.drivers.linux_driver import LinuxDriver

    leave = LinuxDriver.stop_application_mode

    def wipe_and_leave(self: LinuxDriver) -> None:
        self.write(WIPE_SCREEN)
        leave(self)

    LinuxDriver.stop_application_mode = wipe_and_leave  # type: ignore[method-assign]


def _terminal_state() -> list[Any] | None:
    try:
        import termios

        return termios.tcgetattr(sys.__stdin__.fileno())  # type: ignore[union-attr]
    except Exception:
        return None


def _hard_restore(saved: list[Any] | None) -> None:
    """Put the terminal back by hand; whatever fails (the line is gone) does not matter now."""
    try:
        import termios

        if saved is not None:
            termios.tcsetattr(sys.__stdin__.fileno(), termios.TCSANOW, saved)  # type: ignore[union-attr]
        os.write(sys.__stderr__.fileno(), RESTORE.encode())  # type: ignore[union-attr]
    except Exception:
        return


def _handle_signals(app: RunnableApp, saved: list[Any] | None) -> Callable[[], None]:
    """SIGTERM and SIGHUP: leave in order; if that takes too long, restore and go."""

    def leave(number: int, _frame: object) -> None:
        signal.signal(number, signal.SIG_IGN)
        app.leave_on_signal(128 + number)

        def watch() -> None:
            time.sleep(LEAVE_WITHIN_S)
            _hard_restore(saved)
            os._exit(128 + number)

        threading.Thread(target=watch, daemon=True).start()

    before = {n: signal.signal(n, leave) for n in (signal.SIGTERM, signal.SIGHUP)}

    def restore() -> None:
        for number, handler in before.items():
            signal.signal(number, handler)

    return restore


def _note_fault(fault: BaseException, path: Path) -> str:
    """Write the details of a fault to a file and say so in words."""
    from tui.terminal.crash_recovery import note_fault

    noted = note_fault(fault, path)
    where = f"Details for the maker of the program are in {noted}." if noted else ""
    return (
        "shaftlog stopped because of a fault in the program. Every reading that was shown as "
        f"taken is in the book; start it again to go on. {where or type(fault).__name__}"
    )
