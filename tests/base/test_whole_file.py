"""A file or folder has its name only when it is whole: errors, killed and running programs."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from core.base.paths import OWNER_ONLY
from core.base.whole_file import (
    PART,
    discard_left_over,
    discard_left_overs,
    whole_file,
    whole_folder,
)

WRITER = """
import sys, time
from pathlib import Path
from core.base.whole_file import whole_file, whole_folder
how, place = (whole_folder if sys.argv[1] == "folder" else whole_file), Path(sys.argv[2])
with how(place) as part:
    (part / "job.csv" if part.is_dir() else part).write_text("half")
    print("writing", flush=True)
    time.sleep(60)
"""


def writing(kind: str, place: Path) -> subprocess.Popen[str]:
    """A program that is in the middle of writing `place`."""
    program = subprocess.Popen(
        [sys.executable, "-c", WRITER, kind, str(place)], stdout=subprocess.PIPE, text=True
    )
    assert program.stdout is not None
    assert program.stdout.readline() == "writing\n"
    return program


def kill(program: subprocess.Popen[str]) -> None:
    """kill -9."""
    program.send_signal(signal.SIGKILL)
    program.communicate()


def names(folder: Path) -> list[str]:
    """What lies in a folder."""
    return sorted(file.name for file in folder.iterdir())


def test_a_file_gets_its_name_at_the_end(tmp_path: Path) -> None:
    place = tmp_path / "ticket.pdf"
    with whole_file(place) as part:
        part.write_bytes(b"all")
        assert names(tmp_path) == ["ticket.pdf.shaftlog-part"]
    assert place.read_bytes() == b"all"
    assert names(tmp_path) == ["ticket.pdf"]
    assert place.stat().st_mode & 0o777 == OWNER_ONLY


def test_after_an_error_midway_nothing_is_left(tmp_path: Path) -> None:
    def fill(folder: Path) -> None:
        with whole_folder(folder) as part, whole_file(part / "job.csv") as file:
            file.write_text("half")
            assert not (part / "job.csv").exists()
            raise KeyboardInterrupt

    for place in (tmp_path / "book", tmp_path):
        with pytest.raises(KeyboardInterrupt):
            fill(place)
    assert names(tmp_path) == []


def test_what_is_there_is_never_written_over(tmp_path: Path) -> None:
    place = tmp_path / "a.csv"
    place.write_text("first")
    with pytest.raises(FileExistsError), whole_file(place):
        pass
    late = tmp_path / "late.csv"

    def come_second() -> None:
        with whole_file(late) as part:
            part.write_text("second")
            late.write_text("somebody was faster")

    with pytest.raises(FileExistsError):
        come_second()
    assert late.read_text() == "somebody was faster"
    with pytest.raises(FileExistsError), whole_folder(tmp_path):
        pass
    assert names(tmp_path) == ["a.csv", "late.csv"]


@pytest.mark.parametrize("kind", ["file", "folder"])
def test_a_killed_run_leaves_a_part_that_the_next_run_throws_away(
    tmp_path: Path, kind: str
) -> None:
    """Found: the half file had its final name."""
    place = tmp_path / "book"
    kill(writing(kind, place))
    assert names(tmp_path) == [f"book{PART}"]
    if kind == "folder":
        with whole_folder(place) as part:
            (part / "job.csv").write_text("all")
        assert names(place) == ["job.csv"]
    else:
        with whole_file(place) as part:
            part.write_text("all")
        assert place.read_text() == "all"
    assert names(tmp_path) == ["book"]


def test_an_empty_folder_is_filled_at_the_end_also_after_a_killed_run(tmp_path: Path) -> None:
    """A stick: its top folder cannot be renamed."""
    kill(writing("folder", tmp_path))
    assert names(tmp_path) == [f"export{PART}"]
    with whole_folder(tmp_path, last="about.json") as part:
        for name in ("about.json", "hit.csv", "job.csv"):
            (part / name).write_text(name)
        assert names(tmp_path) == [f"export{PART}"]
    assert names(tmp_path) == ["about.json", "hit.csv", "job.csv"]


def test_a_part_that_is_being_written_is_no_left_over(tmp_path: Path) -> None:
    program = writing("file", tmp_path / "shop.db")
    try:
        discard_left_overs(tmp_path)
        assert names(tmp_path) == [f"shop.db{PART}"]
        with whole_file(tmp_path / "shop.db") as part:
            assert part.name == f"shop.db{PART}-2"
    finally:
        kill(program)
    discard_left_overs(tmp_path)
    assert names(tmp_path) == ["shop.db"]


def test_only_parts_are_thrown_away(tmp_path: Path) -> None:
    for name in (
        "a.csv",
        "part",
        "a.partial.csv",
        f"b.csv{PART}",
        f"b.csv{PART}-2",
        f"b.csv{PART}-wal",
        "c.part",
    ):
        (tmp_path / name).write_text("")
    os.symlink(tmp_path / "a.csv", tmp_path / f"link{PART}")
    discard_left_overs(tmp_path)
    assert names(tmp_path) == ["a.csv", "a.partial.csv", "c.part", f"link{PART}", "part"]
    discard_left_over(tmp_path / f"not there{PART}")
