"""Where the next figure goes: a number never lands on a figure that nobody went to."""

from __future__ import annotations

from core.base.records import Measurement
from core.fitting.measured.cursor import (
    FigureCursor,
    after_taking,
    moved,
    moved_to_part,
    resume,
)
from core.fitting.measured.measurements import MeasurementRequest, MeasurementSet

WANTED = tuple(
    MeasurementRequest(part, name, name, part=part)
    for part, name in (("shaft", "a"), ("shaft", "b"), ("shaft", "c"), ("hub", "d"), ("hub", "e"))
)
KEYS = tuple(w.key for w in WANTED)


def taken(*names: str) -> MeasurementSet:
    rows = [w for name in names for w in WANTED if w.what == name]
    return MeasurementSet(
        tuple(
            Measurement(f"{n:03}", "job", w.subject, w.what, 1, None, None, 1.0, "1", "2026")
            for n, w in enumerate(rows)
        )
    )


def test_entry_goes_on_after_the_figure_taken_last() -> None:
    assert resume(WANTED, taken()).index(WANTED) == 0
    assert resume(WANTED, taken("a", "b")).index(WANTED) == 2
    assert resume(WANTED, taken("c")).index(WANTED) == 3


def test_a_correction_returns_to_where_entry_was() -> None:
    """Widths a and b taken, entry at c; a is corrected; the next number is c's, not d's."""
    cursor = FigureCursor(KEYS[2], KEYS[2])
    back = moved(moved(cursor, -1, WANTED), -1, WANTED)
    assert back == FigureCursor(KEYS[0], KEYS[2])
    assert after_taking(back, True, WANTED, taken("b", "a")).at == KEYS[2]


def test_a_correction_with_a_gap_before_it_does_not_go_to_the_gap() -> None:
    cursor = FigureCursor(KEYS[3], KEYS[4])
    assert after_taking(cursor, True, WANTED, taken("a", "c", "d")).at == KEYS[4]


def test_when_all_are_in_no_figure_is_asked_for() -> None:
    full = taken("a", "b", "c", "d", "e")
    assert after_taking(FigureCursor(KEYS[4], KEYS[4]), False, WANTED, full).at is None
    assert resume(WANTED, full).at is None
    assert after_taking(FigureCursor(KEYS[1], None), True, WANTED, full).at is None


def test_from_nowhere_down_is_the_first_and_up_the_last() -> None:
    nowhere = FigureCursor()
    assert moved(nowhere, 1, WANTED).at == KEYS[0]
    assert moved(nowhere, -1, WANTED).at == KEYS[4]
    assert moved_to_part(nowhere, 1, WANTED).at == KEYS[0]
    assert moved_to_part(nowhere, -1, WANTED).at == KEYS[3]
    assert moved(nowhere, 1, ()) == nowhere


def test_an_open_figure_filled_out_of_turn_takes_entry_with_it() -> None:
    cursor = FigureCursor(KEYS[3], KEYS[1])
    assert after_taking(cursor, False, WANTED, taken("a", "d")).at == KEYS[4]


def test_passes_go_on_when_all_else_is_in() -> None:
    passes = (
        *WANTED,
        MeasurementRequest("shaft keyway", "width after pass 1", "1", part="passes", optional=True),
        MeasurementRequest("shaft keyway", "width after pass 2", "2", part="passes", optional=True),
    )
    first = Measurement(
        "9", "job", "shaft keyway", "width after pass 1", 1, None, None, 1.0, "1", "2026"
    )
    figures = MeasurementSet((*taken("a", "b", "c", "d", "e").taken, first))
    cursor = FigureCursor(passes[5].key, None)
    assert after_taking(cursor, False, passes, figures).at == passes[6].key
