"""README.md and DEVELOPERS.md name files that exist, and every program that measures."""

from __future__ import annotations

import re

import pytest

from tests.rules.imports import ROOT

PATH = re.compile(r"`((?:core|tui|tests|\.ci)/[\w/.]+)`")
MODULE = re.compile(r"`((?:core|tui)(?:\.\w+)+)`")
PLACEHOLDERS = ("ROOM", "NAME")
BENCH = ROOT / "tests" / "bench"


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_files_named_exist(document: str) -> None:
    text = (ROOT / document).read_text()
    named = [*PATH.findall(text), *(m.replace(".", "/") for m in MODULE.findall(text))]
    assert named
    real = [name for name in named if not any(word in name for word in PLACEHOLDERS)]
    assert not [n for n in real if not ((ROOT / n).exists() or (ROOT / f"{n}.py").exists())]


def test_every_program_that_measures_is_in_the_table() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    rows = [row.split("|")[1] for row in text.splitlines() if row.startswith("|")]
    listed = {name.strip() for row in rows for name in row.split(",")}
    programs = {
        ".".join(path.relative_to(BENCH).with_suffix("").parts)
        for path in BENCH.rglob("*.py")
        if "__main__" in path.read_text()
    }
    assert programs
    assert not programs - listed
