"""Room over the key: drawn from known parts, told from what a machinist can measure of them.

The far sides S and T are worked out here from the true sizes by plane geometry (Pythagoras).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from core.base.records import Measurement
from core.fitting.keys.key_job import KeyResult, key_result
from core.fitting.measured.measurements import MeasurementSet
from tests.fitting.test_fitting_jobs import FACTS, bore_and_seat, one

WIDTH_IN = HEIGHT_IN = 0.5
JOB = replace(FACTS, diameter_in=2.0)


def key_figures(shaft_in: float, hub_in: float, room_in: float) -> list[Measurement]:
    """What is measured when the shaft at the key, the hub there and the room are truly these."""
    floor = math.sqrt(shaft_in**2 - WIDTH_IN**2) / 2 - HEIGHT_IN / 2
    return [
        one("key", "width", WIDTH_IN),
        one("key", "height", HEIGHT_IN),
        one("key", "length", 2.0),
        one("shaft keyway", "width", WIDTH_IN, depth=0.5),
        one("hub keyway", "width", WIDTH_IN, depth=0.5),
        one("shaft keyway", "far side", floor + shaft_in / 2),
        one("hub keyway", "far side", floor + HEIGHT_IN + room_in + hub_in / 2),
    ]


def told(measured: list[Measurement]) -> KeyResult:
    result = key_result(MeasurementSet(tuple(measured)), JOB)
    assert result.check is not None, result.trouble
    return result


@pytest.mark.parametrize(
    ("seat_in", "room_in", "word"),
    [
        (1.9960, -0.0015, "key-bound"),
        (1.9900, -0.0030, "key-bound"),
        (1.9960, 0.0010, "little room"),
        (1.9960, 0.0120, "clear"),
    ],
)
def test_a_worn_seat_is_taken_as_miked_not_as_the_job_says(
    seat_in: float, room_in: float, word: str
) -> None:
    hub_in = seat_in + 0.0006
    check = told(bore_and_seat(hub_in, seat_in) + key_figures(seat_in, hub_in, room_in)).check
    assert check is not None
    assert check.top.clearance_in == pytest.approx(room_in, abs=1e-6)
    assert check.top.word == word


def test_a_bore_without_a_seat_stands_for_both() -> None:
    bore = [m for m in bore_and_seat(1.9966, 1.996) if m.subject == "bore"]
    check = told(bore + key_figures(1.996, 1.9966, 0.012)).check
    assert check is not None
    assert check.top.clearance_in == pytest.approx(0.012, abs=0.0004)
    assert any("taken as the bore" in note for note in check.notes)


def on_taper() -> tuple[list[Measurement], float]:
    """Bore and seat of a taper of 3/4 in per foot, 2 in at its large end; the shaft at the key."""
    places = [one("coupling setup", "kind", None, "tapered")]
    places += [
        one(part, "diameter", 2.0 - 0.0625 * (3.5 - x), depth=x, clock=clock)
        for part in ("bore", "seat")
        for x in (0.5, 1.75, 3.0)
        for clock in (0.0, 90.0)
    ]
    return places, 2.0 - 0.0625 * (3.5 - 1.75)


def test_on_a_taper_nothing_is_said_before_the_diameter_at_the_key_is_known() -> None:
    places, at_key = on_taper()
    bound = key_figures(at_key, at_key, -0.015)
    check = told(places + bound).check
    assert check is not None
    assert check.top.word == "not measured"
    assert check.top.clearance_in is None
    assert "shaft diameter at the key" in check.missing
    assert not any("bore not measured" in note for note in check.notes)
    typed = one("key setup", "shaft diameter at the key", at_key)
    check = told([*places, *bound, typed]).check
    assert check is not None
    assert check.top.word == "key-bound"
    assert check.top.clearance_in == pytest.approx(-0.015, abs=1e-6)
    assert "shaft diameter at the key" not in check.missing


def test_on_a_taper_strength_waits_for_the_diameter_at_the_key() -> None:
    """110 thou too much of the key's side would be counted to the shaft, too little to the hub."""
    places, at_key = on_taper()
    measured = places + key_figures(at_key, at_key, 0.012)
    check = told(measured).check
    assert check is not None
    assert check.stress is None
    check = told([*measured, one("key setup", "shaft diameter at the key", at_key)]).check
    assert check is not None
    assert check.stress is not None
    # half of the key stands in the shaft, half in the hub, less what the chord takes
    assert check.stress.shaft_bearing_psi == pytest.approx(check.stress.hub_bearing_psi, rel=0.001)
    force = 250 * 63025 / 1200 / (at_key / 2)
    assert check.stress.shaft_bearing_psi == pytest.approx(force / (0.25 * 2.0), rel=0.001)


def test_a_shaft_taken_as_the_jobs_size_is_said() -> None:
    check = told(key_figures(2.0, 2.0, 0.012)).check
    assert check is not None
    assert any("taken as the job's size, 2" in note for note in check.notes)


def test_a_typed_diameter_other_than_the_miked_seat_is_said() -> None:
    measured = bore_and_seat(1.9966, 1.996) + key_figures(1.996, 1.9966, 0.012)
    for typed_in, said in ((2.0, True), (1.9961, False)):
        typed = one("key setup", "shaft diameter at the key", typed_in)
        check = told([*measured, typed]).check
        assert check is not None
        assert any("its seat was miked 1.996" in note for note in check.notes) is said


def test_a_hub_of_unknown_strength_is_not_called_strong_enough() -> None:
    """At 15,000 psi the same hub yields; without its figure only the key can be judged."""
    measured = bore_and_seat(1.9966, 1.996) + key_figures(1.996, 1.9966, 0.012)
    measured.append(one("key setup", "key material", None, "S31600"))
    light = replace(JOB, engine_hp=60.0)
    check = key_result(MeasurementSet(tuple(measured)), light).check
    assert check is not None
    assert check.stress is not None
    assert check.stress.words.startswith("the key itself is")
    assert "hub not known" in check.stress.words
    assert "yield of the hub's material" in check.missing
