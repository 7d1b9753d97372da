"""Kills and power cuts: what was confirmed is on the disk."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from core.book.opening import open_book
from core.book.readings import readings_of
from tests.bench import kill_nine


@pytest.mark.slow
def test_readings_survive_kills(tmp_path: Path) -> None:
    tally = kill_nine.run(4, 11, tmp_path)
    assert tally.kills == 4
    assert tally.confirmed > 4
    assert tally.clean, tally


@pytest.mark.slow
@pytest.mark.skipif(not shutil.which("strace"), reason="strace is not installed")
def test_the_disk_has_each_reading_before_it_is_confirmed(tmp_path: Path) -> None:
    """Traced: between the last write to the log and the confirmation stands an fsync."""
    path = tmp_path / "shop.db"
    sweep_id = kill_nine.start(path)
    trace = tmp_path / "trace"
    code = (
        "import os\nfrom core.book.readings import take_reading\n"
        "from core.book.opening import open_book\n"
        f"book = open_book({str(path)!r})\n"
        "for n in range(100):\n"
        f"    take_reading(book, {sweep_id!r}, station_in=float(n), clock_deg=0.0, "
        "value_in=0.001, raw='1')\n"
        "    os.write(1, b'taken %d' % n)\n"
    )
    calls = "trace=fsync,fdatasync,pwrite64,write"
    subprocess.run(
        ["strace", "-f", "-y", "-e", calls, "-o", str(trace), sys.executable, "-c", code],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    assert confirmed_after_sync(trace.read_text()) == (100, 100)


def confirmed_after_sync(trace: str) -> tuple[int, int]:
    """Confirmations seen, and how many of them came with everything written already synced."""
    dirty, seen, safe = True, 0, 0
    for line in trace.splitlines():
        if re.search(r"pwrite64\(\d+<[^>]*-wal>", line):
            dirty = True
        elif re.search(r"f(?:data)?sync\(\d+<[^>]*-wal>\).*= 0", line):
            dirty = False
        elif re.search(r'write\(1<[^>]*>, "taken', line):
            seen += 1
            safe += not dirty
            dirty = True  # the next one needs a sync of its own
    return seen, safe


@pytest.mark.skipif(sys.platform == "win32", reason="no file size limits there")
def test_a_disk_that_takes_no_more_loses_nothing_confirmed(tmp_path: Path) -> None:
    """The operating system itself refuses the write, in the middle of a sweep."""
    path = tmp_path / "shop.db"
    sweep_id = kill_nine.start(path)
    code = (
        "import resource, signal\n"
        "from core.book.readings import take_reading\n"
        "from core.book.errors import DiskFull\n"
        "from core.book.opening import open_book\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        f"book = open_book({str(path)!r})\n"
        "def take(n):\n"
        f"    take_reading(book, {sweep_id!r}, station_in=float(n), clock_deg=0.0, "
        "value_in=0.001, raw=str(n))\n"
        "take(0)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, resource.RLIM_INFINITY))\n"
        "n = 0\n"
        "try:\n"
        "    for n in range(1, 400): take(n)\n"
        "except DiskFull as error:\n"
        "    assert 'not stored yet' in str(error) or 'not been stored' in str(error), error\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)\n"
        "assert 1 < n < 399, n\n"
        "take(n)\n"
        "print(n)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], check=True, stdout=subprocess.PIPE, text=True
    )
    with open_book(path) as book:
        stored = [int(r.raw) for r in readings_of(book, sweep_id)]
        assert stored == list(range(int(done.stdout) + 1))
        assert book.one("PRAGMA integrity_check") == ("ok",)
