"""What every subcommand shares: refusals in one plain line, exit codes, never a traceback."""

from __future__ import annotations

import argparse
import codecs
import errno
import importlib
import os
import sys
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from core.base.errors import ShaftlogError
from core.base.paths import default_book_path
from core.base.text import one_line, plain_ascii
from core.base.whole_file import whole_file
from core.cli import COMMANDS, WITHOUT_BOOK, module_of

if TYPE_CHECKING:
    from core.book.connection import Book

DONE, NOTHING, REFUSED = 0, 1, 2


class OneLineParser(argparse.ArgumentParser):
    """Says what is wrong with the arguments in one line, without the usage block."""

    def error(self, message: str) -> NoReturn:
        if sys.stderr is not None:
            sys.stderr.write(one_line(f"{self.prog}: {message} (see {self.prog} --help)") + "\n")
        raise SystemExit(REFUSED)


def at_least(least: int) -> Callable[[str], int]:
    """A whole number of an option that must not be smaller."""

    def whole(text: str) -> int:
        try:
            number = int(text)
        except ValueError:
            number = least - 1
        if number < least:
            raise argparse.ArgumentTypeError(f"{text!r} is no whole number from {least} up")
        return number

    return whole


def run_command(
    command: str, arguments: Sequence[str], given: Mapping[str, str | bool] | None = None
) -> int:
    """Carry out one subcommand and return its exit code; nothing escapes as a traceback.

    `given` : options that stood before the command, by name; each must be one of its own.
    """
    module = importlib.import_module(module_of(command))
    parser = OneLineParser(
        prog=f"shaftlog {command}", description=COMMANDS[command], allow_abbrev=False
    )
    if command not in WITHOUT_BOOK:
        parser.add_argument("--book", metavar="FILE", help="the job book to work on")
    module.add_arguments(parser)
    for name in given or {}:
        if not any(name == action.dest for action in parser._actions):
            return refuse(command, f"this command takes no --{name}. Leave it out.")
    parser.set_defaults(**(given or {}))
    if sys.stdout is None:
        return refuse(
            command,
            "standard output is closed, so nothing can be printed, and nothing was done. Send it "
            "to a file, or to /dev/null if it is not wanted.",
        )
    args = parser.parse_args(list(arguments))
    _let_any_text_out()
    try:
        code: int = module.run(args)
        sys.stdout.flush()
    except BrokenPipeError:
        return _reader_went_away()
    except ShaftlogError as error:
        return refuse(command, str(error))
    except OSError as error:
        return refuse(command, file_trouble(error))
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        return refuse(command, damage_words(args) or fault_words(error))
    return code


def refuse(command: str | None, message: str) -> int:
    """One plain line on stderr, exit code 2."""
    name = f"shaftlog {command}" if command else "shaftlog"
    if sys.stderr is not None:
        sys.stderr.write(one_line(f"{name}: {message}") + "\n")
    return REFUSED


def file_trouble(error: OSError) -> str:
    """What went wrong with a file, in words: which file and why."""
    if error.filename is None and error.errno in (errno.ENOSPC, errno.EIO):
        return "the output could not be written to its end: its disk is full or does not answer"
    named = error.filename if error.filename is not None else "file"
    name = os.fsdecode(named) if isinstance(named, str | bytes) else str(named)
    reasons = {
        FileNotFoundError: "there is no such file",
        IsADirectoryError: "that is a folder, not a file",
        NotADirectoryError: "part of that path is not a folder",
        PermissionError: "not allowed to open it; see who owns it",
        FileExistsError: "there is such a file already; name a new one",
    }
    folder = Path(name).parent
    if isinstance(error, FileNotFoundError) and not folder.is_dir():
        return f"{name}: there is no folder {folder}"
    reason = reasons.get(type(error), (error.strerror or "cannot be used").lower())
    return f"{name}: {reason}"


def fault_words(error: Exception) -> str:
    """A fault of the program's own in one line: what and where, for the report of it."""
    frames = traceback.extract_tb(error.__traceback__)
    where = f" at {Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else ""
    return (
        f"a fault in the program ({type(error).__name__}: {error}{where}); nothing was changed,"
        " please report it with what you typed"
    )


def damage_words(args: argparse.Namespace) -> str:
    """What a command stumbled over when the book it works on is damaged; '' when it is sound."""
    from core.book.upkeep.check import check_book

    try:
        path = book_path(args) if hasattr(args, "book") else None
        report = None if path is None else check_book(path)
    except (ShaftlogError, OSError):
        return ""
    if report is None or report.sound:
        return ""
    return (
        f"the job book is damaged: {report.findings[0]}. Run `shaftlog check`, then restore the "
        "last good backup."
    )


@contextmanager
def shop_book(args: argparse.Namespace, *, by: str = "", read_only: bool = False) -> Iterator[Book]:
    """The job book a subcommand works on, with words and numbers in the unit of its shop."""
    from core.book import settings
    from core.book.opening import open_book

    with open_book(book_path(args), create=False, by=by, read_only=read_only) as book:
        settings.follow_unit(book)
        yield book


def named_book(args: argparse.Namespace) -> Path:
    """The place of the job book, whether there is one or not; a folder is refused."""
    path = default_book_path() if args.book is None else Path(args.book)
    if path.is_dir():
        raise ShaftlogError(f"{path} is a folder; name the job book in it")
    return path


def read_input(name: str, most: int) -> bytes:
    """The content of a file, or of standard input for '-', up to one byte more than `most`."""
    if name == "-":
        return sys.stdin.buffer.read(most + 1)
    with Path(name).open("rb") as file:
        return file.read(most + 1)


def write_new(name: str, content: bytes) -> None:
    """Write a new file, a device, or standard output for '-'; never over a file."""
    if name == "-":
        sys.stdout.buffer.write(content)
        return
    place = Path(name)
    if place.exists() and not place.is_file() and not place.is_dir():
        place.write_bytes(content)
        return
    with whole_file(place) as part:
        part.write_bytes(content)


def book_path(args: argparse.Namespace) -> Path:
    """The job book a subcommand works on; it must be there already."""
    path = named_book(args)
    if not path.exists():
        raise ShaftlogError(
            f"{path}: there is no job book there; name one with --book FILE, or open shaftlog once"
        )
    if path.is_file() and path.stat().st_size == 0:
        raise ShaftlogError(
            f"{path} is empty (0 bytes): it is no job book any more. `shaftlog restore` puts a "
            "backup in its place"
        )
    return path


def _let_any_text_out() -> None:
    """A pipe or a terminal in plain ASCII gets letters without accents and '?' for the rest."""
    codecs.register_error(_NEAREST, lambda error: (_nearest(error), _end(error)))
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=_NEAREST)


_NEAREST = "shaftlog.nearest"


def _nearest(error: UnicodeError) -> str:
    assert isinstance(error, UnicodeEncodeError)
    return plain_ascii(error.object[error.start : error.end])


def _end(error: UnicodeError) -> int:
    assert isinstance(error, UnicodeEncodeError)
    return error.end


def _reader_went_away() -> int:
    """The program reading our output has ended (head, less): stop quietly, as others do."""
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, sys.stdout.fileno())
    return 128 + 13
