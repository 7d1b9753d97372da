"""Three programs on one book, every form: `python -m tests.bench.benches_at_forms [FORM ...]`.

All three stand at the same form in terminals of their own. The first stores a value: measured is
how long it takes until the two others show it (target: two seconds). Then the second has a value
half typed while the first stores another one, and presses Enter at once: it must be asked, and the
third must see the first one's value. After the question is answered with Enter a second later, both
others see the second one's value.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from tests.bench.two_benches import Bench

DEMO = Path(__file__).resolve().parents[2] / "demo.db"
LIMIT_S = 2.0
UP, DOWN, ESC = b"\x1b[A", b"\x1b[B", b"\x1b"
F2, F4, F7, F8, F9, F12 = b"\x1bOQ", b"\x1bOS", b"\x1b[18~", b"\x1b[19~", b"\x1b[20~", b"\x1b[24~"
JOB = b"08"
"""Digits of the demo's job 26-008."""
Way = tuple[tuple[bytes, str], ...]
"""Keys, and the words that come to stand on the screen after them."""


def card(job: bytes = JOB) -> Way:
    """From any screen to the card of a job."""
    return (F2, "two digits"), (job, "Job card")


@dataclass(frozen=True)
class Place:
    """A form and one of its fields."""

    name: str
    way: Way
    """From the job card."""
    field: bytes
    """From the first field to this one."""
    typed: tuple[bytes, bytes, bytes]
    shown: tuple[str, str, str] = ("", "", "")
    """How the values are shown; '' = as typed."""
    again: bytes = UP
    """After Enter, the first bench's way back to the field."""
    back: Way = ()
    """After Enter, the way back to the form, where Enter leaves it."""
    choice: bool = False
    job: bytes = JOB
    asked: str = "Another bench stored"

    def words(self, number: int) -> str:
        """How a value is shown."""
        return self.shown[number] or self.typed[number].decode()


def _measuring(step: bytes, words: str) -> Way:
    return (step, words), (F8, "set-up")


WEAR_SETUP: Way = ((F8, "Wear: stations"),)
END_SETUP: Way = ((F8, "Shaft end: set-up"),)
NOTE: Way = ((F7, "What else"), (b"4", "Note on this area"))
PLACES = (
    Place("intake", ((F4, "Intake"),), DOWN, (b"555-0171", b"555-0172", b"555-0173")),
    Place("riding areas", ((F4, "Intake"), (F4, "Riding areas")), DOWN, (b"tube", b"cone", b"hub")),
    Place("sweep set-up", ((b"1", "Runout"), (F12, "Type the digit"), (b"5", "Set up a sweep")),
          DOWN * 10, (b"dial 71", b"dial 72", b"dial 73"), job=b"04"),
    Place("press", ((b"4", "ROUND 3"), (F8, "Press gives")), DOWN, (b"Ann", b"Bea", b"Cis")),
    Place("prices", ((b"3", "Repair or replace"), (F8, "Prices of this job")), b"",
          (b"71", b"72", b"73")),
    Place("note on an area", ((b"2", "Penetrant check"), *NOTE), b"",
          (b"line 71", b"line 72", b"line 73"), again=b"", back=NOTE),
    Place("coupling set-up", _measuring(b"7", "Bore at"), DOWN, (b"0.51", b"0.52", b"0.53")),
    Place("face set-up", _measuring(b"8", "Radius"), DOWN, (b"12", b"6", b"4"),
          ("[12]", "[6]", "[4]"), choice=True),
    Place("key set-up", _measuring(b"9", "Key width"), DOWN, (b"0.51", b"0.52", b"0.53")),
    Place("key check list", ((b"9", "Key width"), (F12, "Check list")), b"Ada\r" + DOWN,
          (b"dull 71", b"dull 72", b"dull 73")),
    Place("shaft end set-up", ((F7, "What else"), (b"2", "Shaft end"), *END_SETUP), b"",
          (b"3", b"4", b"2"), ("[3 metric", "[4 none]", "[2 J755]"), again=b"", back=END_SETUP,
          choice=True),
    Place("parts", ((F7, "What else"), (b"2", "Shaft end"), (F12, "Papers"),
                    (b"1", "Parts to offer")), DOWN, (b"71", b"72", b"73")),
    Place("wear stations", ((F7, "What else"), (b"7", "Wear at"), *WEAR_SETUP), b"",
          (b"51", b"52", b"53"), again=b"", back=WEAR_SETUP),
    Place("bore figure", ((b"7", "Bore at"),), b"", (b"2.5001", b"2.5002", b"2.5003"),
          asked="is not stored"),
    Place("settings", ((ESC, "Open jobs"), (F8, "Settings of the shop"), (b"1", "Name on the")),
          b"", (b"Quay 71", b"Quay 72", b"Quay 73")),
)  # fmt: skip
SEEN_ONLY = (
    ("note on the job", card(), card(), F9 + b"rust at the log", b"\r", "rust at the log"),
    ("penetrant stage", (*card(), (b"2", "Penetrant check")),
     (*card(), (b"2", "Penetrant check")), DOWN * 2, F4, "48.5 dwell"),
    ("hit", (*card(), (b"4", "ROUND 3")), (*card(), (b"4", "ROUND 3")), b"", F4, "made since"),
    ("a job that waits", card(), (*card(), (ESC, "Open jobs")), F7 + b"3", b"1",
     "Waiting for the"),
)  # fmt: skip
"""Name, way of the first bench and of the others, keys before, the key that stores, words."""


def walk(benches: tuple[Bench, ...], way: Way) -> bool:
    """All of them go the same way, each in its own time."""
    for keys, words in way:
        for bench in benches:
            bench.terminal.send(keys)
        if not all(bench.watch(words) for bench in benches):
            return False
        for bench in benches:
            bench.look(0.15)  # what follows the words
    return True


def seen_after(benches: tuple[Bench, ...], words: str) -> float | None:
    """Seconds until all of them show the words; None = one never did."""
    began = time.perf_counter()
    shown = all(bench.watch(words, 6.0) for bench in benches)
    return time.perf_counter() - began if shown else None


def at_form(benches: tuple[Bench, ...], place: Place) -> tuple[list[float], list[str]]:
    """Seconds of each store until the others showed it, and what went wrong."""
    first, second, third = benches
    if not walk(benches, (*card(place.job), *place.way)):
        return [], ["the form was not reached"]
    enter = b"" if place.choice else b"\r"
    for bench in benches:
        bench.terminal.send(place.field)
        bench.look(0.3)
    times: list[float] = []
    wrong: list[str] = []

    def store(bench: Bench, keys: bytes, number: int, others: tuple[Bench, ...]) -> None:
        bench.terminal.send(keys)
        took = seen_after(others, place.words(number))
        if took is None or took > LIMIT_S:
            wrong.append(f"value {number + 1} seen after {took} s")
        if took is not None:
            times.append(took)

    store(first, place.typed[0] + enter, 0, (second, third))
    first.look(0.3)
    if place.back and not place.choice:
        walk((first,), place.back)
    elif place.again:
        first.terminal.send(place.again)
        first.look(0.2)
    if not place.choice:
        second.terminal.send(place.typed[2])
        second.look(0.3)
    first.terminal.send(place.typed[1] + enter)
    first.look(0.4)  # stored; the second may have seen it or not
    second.terminal.send(place.typed[2] if place.choice else enter)
    if not second.watch(place.asked, 2.0):
        wrong.append("the second was not asked")
    if seen_after((third,), place.words(1)) is None:
        wrong.append("the third never saw the first one's value")
    second.look(1.2)
    store(second, place.typed[2] if place.choice else enter, 2, (third,))
    for bench in benches:
        bench.terminal.send(ESC)
        bench.look(0.5)
    return times, wrong


def main(names: list[str]) -> int:
    """Print a line for each form; 1 when anything is wrong."""
    bad, every = 0, []
    with tempfile.TemporaryDirectory() as folder:
        book = Path(shutil.copyfile(DEMO, Path(folder) / "shop.db"))
        benches = tuple(Bench(book, name, ()) for name in ("Ada", "Bo", "Cy"))
        for place in PLACES:
            if names and place.name not in names:
                continue
            times, wrong = at_form(benches, place)
            every += times
            bad += bool(wrong)
            spans = ", ".join(f"{t:.2f}" for t in times)
            print(f"{place.name:<18} seen after {spans} s  {'; '.join(wrong)}", flush=True)
        for name, way, others_way, before, last, words in SEEN_ONLY:
            if names and name not in names:
                continue
            reached = walk(benches[:1], way) and walk(benches[1:], others_way)
            benches[0].terminal.send(before)
            benches[0].look(0.5)
            benches[0].terminal.send(last)
            took = seen_after(benches[1:], words) if reached else None
            bad += took is None or took > LIMIT_S
            every += [] if took is None else [took]
            print(f"{name:<18} seen after {took} s", flush=True)
        for bench in benches:
            bench.terminal.end(0.0)
    if every:
        print(f"{len(every)} entries, worst {max(every):.2f} s; {bad} places with a fault")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
