"""One demo book for all command tests, and commands run in this process or in one of their own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from tui.main import main

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Ran:
    """What a command did."""

    code: int
    out: str
    err: str


Shaftlog = Callable[..., Ran]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A copy of the shipped demo to work on; `tests/demo` compares it with what is made."""
    copy = tmp_path / "book.db"
    shutil.copyfile(ROOT / "demo.db", copy)
    return copy


@pytest.fixture
def shaftlog(capsys: pytest.CaptureFixture[str]) -> Shaftlog:
    """Run the command in this process."""

    def run(*arguments: object) -> Ran:
        capsys.readouterr()
        try:
            code = main([str(a) for a in arguments])
        except SystemExit as leaving:
            code = int(leaving.code or 0)
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return run


@pytest.fixture
def shaftlog_process() -> Shaftlog:
    """Run the command as a process of its own, as a shell does."""

    def run(*arguments: object, **environment: str) -> Ran:
        done = subprocess.run(
            [sys.executable, "-m", "tui.main", *(str(a) for a in arguments)],
            cwd=ROOT,
            env={**os.environ, **environment},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=60,
            check=False,
        )
        return Ran(done.returncode, done.stdout.decode(), done.stderr.decode())

    return run


def assert_refused(ran: Ran, *words: str) -> None:
    """Exit 2 and one plain line on stderr that says these words; nothing on stdout."""
    assert ran.code == 2, ran
    assert ran.out == ""
    assert ran.err.count("\n") == 1, ran.err
    assert ran.err.endswith("\n")
    assert "Traceback" not in ran.err
    for word in words:
        assert word in ran.err
