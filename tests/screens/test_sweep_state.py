"""The moves of a sweep, without a screen."""

from __future__ import annotations

from core.base.records import Reading, Sweep
from tui.screens.sweep.sweep_state import Cursor, SweepState, start_state


def sweep(**changes: object) -> Sweep:
    """A sweep of three stations and four marks."""
    fields: dict[str, object] = {
        "id": "s",
        "job_id": "j",
        "purpose": "working",
        "started_at": "",
        "finished_at": None,
        "roller_a_in": 6.0,
        "roller_b_in": 18.0,
        "direction": 1,
        "marks_deg": (0.0, 90.0, 180.0, 270.0),
        "resolution_in": 0.0005,
        "repeatability_in": None,
        "dial_turn_in": 0.1,
        "gauge": "",
        "measured_by": "",
        "stations_in": (6.0, 12.0, 18.0),
        "closing": False,
    }
    return Sweep(**(fields | changes))  # type: ignore[arg-type]


def entry(station_in: float, clock_deg: float | None, kind: str = "mark") -> Reading:
    """One reading that stands."""
    name = f"{station_in} {clock_deg} {kind}"
    return Reading(name, "s", station_in, clock_deg, 0.001, "1", kind, "")


def take(state: SweepState, kind: str = "") -> SweepState:
    """Enter something at the cursor."""
    place, station_in = state.place, state.station_in
    assert place is not None
    assert station_in is not None
    mended = state.standing is not None
    new = entry(station_in, place.clock_deg, kind or place.kind)
    kept = [r for r in state.readings if r.id != new.id]
    return state.with_readings([*kept, new]).after_entry(mended=mended)


def test_entries_run_round_each_station_and_then_on() -> None:
    state = start_state(sweep(), (), 0, 0)
    seen = []
    for _ in range(12):
        seen.append((state.station_in, state.place and state.place.clock_deg))
        state = take(state)
    assert seen == [(s, c) for s in (6.0, 12.0, 18.0) for c in (0.0, 90.0, 180.0, 270.0)]
    assert state.complete
    assert state.counts == (12, 12)


def test_the_closing_mark_comes_last_at_each_station() -> None:
    state = start_state(sweep(closing=True), (), 0, 0)
    for _ in range(4):
        state = take(state)
    assert state.place is not None
    assert (state.place.kind, state.place.clock_deg) == ("closing", 0.0)
    state = take(state)
    assert (state.station_in, state.place and state.place.clock_deg) == (12.0, 0.0)


def test_a_blocked_mark_fills_its_place() -> None:
    state = take(start_state(sweep(), (), 0, 0), "blocked")
    assert state.cursor == Cursor(0, 1)
    assert state.empty_places(0) == [1, 2, 3]


def test_a_mend_goes_back_to_where_reading_goes_on() -> None:
    state = start_state(sweep(), (), 0, 0)
    for _ in range(6):
        state = take(state)
    assert state.cursor == Cursor(1, 2)
    state = take(state.at(0, 1))
    assert state.cursor == Cursor(1, 2)


def test_a_mend_goes_back_past_a_station_left_out() -> None:
    state = take(start_state(sweep(), (), 0, 0))
    state = take(state.at(2))
    assert state.cursor == Cursor(2, 1)
    state = take(state.at(0, 0))
    assert state.cursor == Cursor(2, 1)


def test_reading_goes_on_round_the_shaft_not_back_to_a_gap() -> None:
    state = take(start_state(sweep(), (), 0, 0).at(0, 2))
    assert state.cursor == Cursor(0, 3)
    assert take(state).cursor == Cursor(0, 0)


def test_reading_elsewhere_goes_on_there() -> None:
    state = take(start_state(sweep(), (), 0, 0))
    state = take(state.at(2))
    assert state.cursor == Cursor(2, 1)


def test_a_station_left_out_is_asked_for_at_the_end() -> None:
    state = start_state(sweep(), (), 1, 0)
    for _ in range(8):
        state = take(state)
    assert state.cursor == Cursor(0, 0)
    assert not state.complete


def test_the_quick_way_asks_for_tir_then_high_spot() -> None:
    state = start_state(sweep(marks_deg=()), (), 0, 0)
    assert state.place is not None
    assert state.place.kind == "tir"
    state = take(state)
    assert state.place is not None
    assert state.place.kind == "high spot"
    assert take(state).station_in == 12.0


def test_marks_of_an_imported_sweep_are_shown_too() -> None:
    state = start_state(sweep(), (entry(6.0, 22.5),), 0, 0)
    assert [p.clock_deg for p in state.places(0)] == [0.0, 90.0, 180.0, 270.0, 22.5]
    assert [p.clock_deg for p in state.places(1)] == [0.0, 90.0, 180.0, 270.0]


def test_an_empty_list_of_stations_has_no_place() -> None:
    state = start_state(sweep(stations_in=()), (), 0, 0)
    assert state.station_in is None
    assert state.place is None
    assert not state.complete
    assert state.at(5).after_entry(mended=False).station_in is None


def test_stations_and_clocks_are_found_by_number() -> None:
    state = start_state(sweep(), (), 0, 0)
    assert state.find_station(12.004) == 1
    assert state.find_station(13.0) is None
    assert state.find_clock(360.0) == 0
    assert state.find_clock(269.999) == 3
    assert state.find_clock(45.0) is None
