"""How many small mistakes in the numerical modules the tests would notice.

    python -m tests.bench.mutants [--n 100] [--seed 1] [--limit-s 60] [PART ...]

Draws n mutants (tests/bench/mutations.py) of the modules whose path holds one of the PARTs
(default: `PARTS`), runs on a copy of the project the test files that call the changed function,
quickest first, and prints each survivor and the share killed. A mutant that hangs counts as killed.
Not every survivor is a gap: some change nothing that matters, such as a tolerance.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path
from types import FrameType

from tests.support.mutations import Mutant, mutants_of

ROOT = Path(__file__).resolve().parent.parent.parent
PARTS = (
    "core/runout/", "core/bends/", "core/straightening/", "core/analysis/", "core/fitting/",
    "core/base/units.py",
)  # fmt: skip
TEST_FOLDERS = tuple(
    f"tests/{room}"
    for room in ("runout", "bends", "straightening", "analysis", "fitting", "published", "property")
)
Called = dict[str, set[tuple[str, int]]]
"""Test file -> (module, first line of a function) it calls."""


def in_child(tree: Path, test: str, limit_s: float) -> int:
    """Run one test file on a tree in a forked process: 0 green, anything else red."""
    child = os.fork()
    if child == 0:
        _silently_in(tree)
        signal.alarm(int(limit_s))
        import pytest

        os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", test])))
    return os.waitpid(child, 0)[1]


def _silently_in(tree: Path) -> None:
    """Make this process one that runs in the copied tree and says nothing."""
    os.chdir(tree)
    sys.path.insert(0, str(tree))
    sys.dont_write_bytecode = True
    for name in [n for n in sys.modules if n.split(".")[0] in ("tests", "core", "tui")]:
        del sys.modules[name]
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)


def calls_of(tree: Path, test: str, out: Path) -> float:
    """Run a test file green, write down which functions of core it calls; seconds it takes."""
    started = time.perf_counter()
    assert in_child(tree, test, 600) == 0, f"{test} is red before any change"
    took = time.perf_counter() - started
    child = os.fork()
    if child == 0:
        _silently_in(tree)
        seen: set[tuple[str, int]] = set()
        core = str(tree / "core")

        def note(frame: FrameType, event: str, _: object) -> None:
            code = frame.f_code
            if event == "call" and code.co_filename.startswith(core):
                seen.add((code.co_filename, code.co_firstlineno))

        import pytest

        sys.setprofile(note)
        pytest.main(["-q", "-p", "no:cacheprovider", test])
        sys.setprofile(None)
        out.write_text("".join(f"{Path(f).relative_to(tree)}\t{line}\n" for f, line in seen))
        os._exit(0)
    os.waitpid(child, 0)
    return took


def survey(tree: Path) -> tuple[Called, dict[str, float]]:
    """Which test file calls what, and how long each takes."""
    called: Called = {}
    seconds: dict[str, float] = {}
    out = tree / "calls.txt"
    for folder in TEST_FOLDERS:
        for path in sorted((tree / folder).glob("test_*.py")):
            name = str(path.relative_to(tree))
            seconds[name] = calls_of(tree, name, out)
            lines = [line.split("\t") for line in out.read_text().splitlines()]
            called[name] = {(file, int(line)) for file, line in lines}
    return called, seconds


def tests_for(module: str, function: int, called: Called, seconds: dict[str, float]) -> list[str]:
    """Test files that reach the function (or, outside any function, the module)."""
    reach = [
        test
        for test, seen in called.items()
        if any(file == module and function in (0, line) for file, line in seen)
    ]
    return sorted(reach, key=lambda test: seconds[test])


def killed_by(
    tree: Path, module: str, mutant: Mutant, tests: Iterable[str], limit_s: float
) -> str | None:
    """Name of the first test file that notices the mutant."""
    path = tree / module
    before = path.read_text()
    path.write_text(mutant.source)
    try:
        return next((test for test in tests if in_child(tree, test, limit_s) != 0), None)
    finally:
        path.write_text(before)


def drawn(tree: Path, parts: Iterable[str], n: int, seed: int) -> list[tuple[str, Mutant]]:
    """n mutants out of all, evenly over the modules."""
    parts = tuple(parts)
    every = [
        (name, mutant)
        for name in sorted(str(p.relative_to(tree)) for p in (tree / "core").rglob("*.py"))
        if any(part in name for part in parts)
        for mutant in mutants_of((tree / name).read_text())
    ]
    print(f"{len(every)} mutants in all, {min(n, len(every))} drawn", flush=True)
    return random.Random(seed).sample(every, min(n, len(every)))


def main() -> int:
    """Print survivors and the share killed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--n", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--limit-s", type=float, default=60)
    parser.add_argument("parts", nargs="*", default=PARTS)
    asked = parser.parse_args()
    import hypothesis  # noqa: F401  loaded once, before the forks
    import numpy  # noqa: F401
    import scipy.stats  # noqa: F401

    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "copy"
        for name in ("core", "tests", "tui", "pyproject.toml"):
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
            tree.mkdir(exist_ok=True)
            copy(ROOT / name, tree / name)
        called, seconds = survey(tree)
        killed = 0
        taken = drawn(tree, asked.parts, asked.n, asked.seed)
        for module, mutant in taken:
            tests = tests_for(module, mutant.function, called, seconds)
            by = killed_by(tree, module, mutant, tests, asked.limit_s)
            killed += by is not None
            if by is None:
                line = (ROOT / module).read_text().splitlines()[mutant.line - 1].strip()
                print(f"survived: {module}:{mutant.line} {mutant.what}   {line}", flush=True)
    print(f"killed {killed} of {len(taken)}: {100 * killed / max(len(taken), 1):.1f} %")
    return 0


if __name__ == "__main__":
    sys.exit(main())
