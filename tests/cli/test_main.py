"""The entry: which words are a command, what loads when, help, refusals."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from core.base.paths import default_book_path
from core.book import jobs, sweeps
from core.book.opening import open_book
from core.cli import COMMANDS, module_of
from core.demo.copy import demo_copy
from tests.support.command_fixtures import ROOT, Shaftlog, assert_refused
from tui.main import command_at, main


@pytest.mark.parametrize(
    ("arguments", "place"),
    [
        ([], None),
        (["--demo"], None),
        (["--book", "sweep"], None),
        (["--book=x"], None),
        (["sweep", "f.csv"], 0),
        (["--book", "b.db", "check"], 2),
        (["--demo", "check"], 1),
    ],
)
def test_command_is_the_first_word_that_is_no_option(
    arguments: list[str], place: int | None
) -> None:
    assert command_at(arguments) == place


def test_help_names_every_command(shaftlog: Shaftlog) -> None:
    ran = shaftlog("--help")
    assert ran.code == 0
    assert all(name in ran.out for name in COMMANDS)
    assert max(map(len, ran.out.splitlines())) <= 80


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_refuses_nonsense(shaftlog: Shaftlog, command: str) -> None:
    ran = shaftlog(command, "--help")
    assert ran.code == 0
    assert f"shaftlog {command}" in ran.out
    assert_refused(shaftlog(command, "--no-such-option"), f"shaftlog {command}:")


def test_nonsense_is_refused(shaftlog: Shaftlog) -> None:
    assert_refused(shaftlog("frobnicate"), "frobnicate")
    assert_refused(shaftlog("--frobnicate"), "frobnicate")
    assert_refused(shaftlog("\x1b[2J"), "no command")


def test_screens_need_a_terminal(shaftlog_process: Shaftlog, tmp_path: Path) -> None:
    ran = shaftlog_process("--book", tmp_path / "b.db")
    assert_refused(ran, "terminal")
    assert not (tmp_path / "b.db").exists()


def loaded_by(*arguments: str) -> set[str]:
    """Modules a run has loaded by its end."""
    code = (
        "import sys\nfrom tui.main import main\n"
        f"try:\n main({list(arguments)!r})\nexcept SystemExit: pass\n"
        "sys.stderr.write(' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return set(done.stderr.split())


@pytest.mark.slow
def test_nothing_loads_before_it_is_needed(book: Path) -> None:
    heavy = {"numpy", "textual", "rich", "plotext", "sqlite_utils"}
    assert not loaded_by("--help") & (heavy | {"sqlite3"})
    assert not loaded_by("history", "vask", "--brief", "--book", str(book)) & heavy
    assert not loaded_by("export", "26-002", "--csv", "--book", str(book)) & heavy
    assert not loaded_by("sweep", "none.csv", "--rollers", "1", "2") & (heavy | {"sqlite3"})


def test_every_command_has_its_module() -> None:
    for command in COMMANDS:
        path = ROOT / (module_of(command).replace(".", "/") + ".py")
        assert path.exists(), path


def test_demo_copy_keeps_what_was_entered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    first = demo_copy()
    assert first.parent == tmp_path / "data" / "shaftlog"
    assert first.stat().st_mode & 0o077 == 0
    before = first.stat().st_mtime_ns
    assert demo_copy() == first
    assert first.stat().st_mtime_ns == before
    named = demo_copy(tmp_path / "named.db")
    assert named.stat().st_mode & 0o077 == 0


def test_demo_copy_without_a_home_goes_to_a_temporary_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "data"
    blocked.write_text("a file where the folder should be")
    monkeypatch.setenv("XDG_DATA_HOME", str(blocked))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    place = demo_copy()
    assert place.exists()
    assert place.name == "demo.db"


def test_ci_runs_the_command_of_the_readme() -> None:
    readme = (ROOT / "README.md").read_text()
    blocks = [block.partition("```")[0] for block in readme.split("```sh\n")[1:]]
    assert blocks[0].strip().endswith(".venv/bin/shaftlog --demo")
    assert blocks[1].strip().endswith(".venv/bin/pytest -n auto")
    assert all(block.startswith("python3 -m venv .venv && ") for block in blocks[:2])
    assert "README" in (ROOT / ".ci" / "run").read_text()


def test_damaged_book_names_the_way_back(
    book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Opened at a terminal: words, the newest good backup, exit 2, the file as it was."""
    from core.book.upkeep.backup import daily

    monkeypatch.setattr("tui.terminal.run.refusal", lambda: None)
    assert daily(book) is not None
    damaged = book.read_bytes()[:100_000]
    book.write_bytes(damaged)
    assert main(["--book", str(book)]) == 2
    said = capsys.readouterr().err
    assert "shaftlog restore" in said
    assert "book-backups" in said
    assert "Traceback" not in said
    assert book.read_bytes() == damaged


@pytest.mark.parametrize("options", [(), ("--demo",)])
def test_folder_that_is_not_there(
    tmp_path: Path,
    options: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr("tui.terminal.run.refusal", lambda: None)
    assert main(["--book", str(tmp_path / "none" / "b.db"), *options]) == 2
    assert f"The folder {tmp_path / 'none'} does not exist" in capsys.readouterr().err


def test_the_demo_before_a_command_leaves_the_own_book_alone(
    shaftlog: Shaftlog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    own = default_book_path()
    own.parent.mkdir(parents=True)
    own.write_bytes(demo_copy(tmp_path / "own.db").read_bytes())
    before = own.read_bytes()
    ran = shaftlog("--demo", "erase", "Isolde Crake", "--confirm", "Isolde Crake")
    assert ran.code == 0, ran.err
    assert own.read_bytes() == before
    assert "Isolde Crake" not in shaftlog("--demo", "history", "Crake").out
    assert "Isolde Crake" in shaftlog("history", "Crake").out


@pytest.mark.slow
def test_options_before_a_command_are_used_or_refused(shaftlog: Shaftlog, book: Path) -> None:
    assert shaftlog("--book", book, "check").code == 0
    assert_refused(shaftlog("--by", "Odo", "check"), "takes no --by")
    ran = shaftlog("--ascii", "--book", book, "ticket", "25-049")
    assert ran.code == 0, ran.err
    assert ran.out.isascii()
    assert not shaftlog("--book", book, "ticket", "25-049").out.isascii()


def test_who_works_here_may_stand_before_the_command(
    shaftlog: Shaftlog, book: Path, tmp_path: Path
) -> None:
    lines = [f"{x},{clock},0" for x in (24, 48, 72) for clock in range(0, 360, 45)]
    file = tmp_path / "sweep.csv"
    file.write_text("station_in,clock_deg,reading_thou\n" + "\n".join(lines) + "\n")
    ran = shaftlog("--by", "Odo", "import-sweep", "26-003", file, "--book", book)
    assert ran.code == 0, ran.err
    with open_book(book) as opened:
        job = jobs.job_by_tag(opened, "26-003")
        assert sweeps.sweeps_of(opened, job.id)[-1].measured_by == "Odo"
