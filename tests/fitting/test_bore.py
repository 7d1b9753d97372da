"""Coupling bore against seat: form, clearance, verdict, remedies, doubts, what is missing."""

from __future__ import annotations

import math

import pytest

from core.base.errors import ShaftlogError
from core.fitting.coupling.bore import DiameterReading, fit
from core.fitting.coupling.press_fit import press_fit
from core.fitting.measured.band import Band

QUARTER = math.pi / 2
SLIDING = Band(0.0005, 0.0010, "sliding fit")


def cylinder(size, depths=(0.25, 1.5, 2.75), oval=0.0, taper=0.0, bell_at=None, bell=0.0):
    """Readings of a part whose form is known."""
    return [
        DiameterReading(
            depth,
            clock,
            size + taper * depth + (oval if clock else 0.0) + (bell if depth == bell_at else 0.0),
        )
        for depth in depths
        for clock in (0.0, QUARTER)
    ]


def test_size_taper_and_ovality_are_what_was_put_in() -> None:
    found = fit(bore=cylinder(1.75, oval=0.0006, taper=0.0004), seat=cylinder(1.7492))
    bore = found.bore
    assert bore is not None
    assert bore.taper_in_per_in == pytest.approx(0.0004)
    assert bore.taper_in == pytest.approx(0.0004 * 2.5)
    assert bore.ovality_in == pytest.approx(0.0006)
    assert "wide at the hub end" in bore.words
    assert "oval" in bore.words


@pytest.mark.parametrize("depths", [(0.25, 1.5, 2.75), (0.25, 1.0, 2.0, 3.0), (0, 1, 2, 3, 4)])
@pytest.mark.parametrize("end", ["face end", "hub end"])
def test_bell_mouth_is_told_from_taper(depths, end: str) -> None:
    at = depths[0] if end == "face end" else depths[-1]
    bore = fit(bore=cylinder(1.75, depths, bell_at=at, bell=0.002), seat=[]).bore
    assert bore is not None
    seen = {form.end: form.excess_in for form in bore.ends if form.seen}
    assert seen == {end: pytest.approx(0.002)}
    assert bore.taper_in_per_in == pytest.approx(0.0, abs=1e-9)
    assert f"bell mouth at the {end}" in bore.words


@pytest.mark.parametrize("depths", [(0.25, 1.5, 2.75), (0, 1, 2, 3)])
def test_pure_taper_is_no_bell_mouth(depths) -> None:
    bore = fit(bore=cylinder(1.75, depths, taper=0.0005), seat=[]).bore
    assert bore is not None
    assert not any(form.seen for form in bore.ends)
    assert bore.taper_in_per_in == pytest.approx(0.0005)


def test_clearance_least_mean_most() -> None:
    found = fit(
        bore=cylinder(1.7508, oval=0.0002), seat=cylinder(1.7500, oval=0.0002), band=SLIDING
    )
    clearance = found.clearance
    assert clearance is not None
    assert clearance.least_in == pytest.approx(0.0006)
    assert clearance.mean_in == pytest.approx(0.0008)
    assert clearance.most_in == pytest.approx(0.0010)
    assert clearance.u95_in == pytest.approx(math.hypot(0.0002, 0.0002))
    assert clearance.interference_in == pytest.approx((-0.0010, -0.0008, -0.0006))


def test_clearance_follows_the_same_depth() -> None:
    """Bore and seat that taper alike fit alike all along, though their sizes differ by depth."""
    found = fit(
        bore=cylinder(1.7508, (0, 1, 2, 3), taper=0.001),
        seat=cylinder(1.7500, (0, 1.5, 3), taper=0.001),
    )
    assert found.clearance is not None
    assert found.clearance.least_in == pytest.approx(0.0008)
    assert found.clearance.most_in == pytest.approx(0.0008)


def test_setback_moves_the_seat_along() -> None:
    bore = cylinder(1.7508, (0, 1, 2, 3), taper=0.001)
    seat = cylinder(1.7500, (0, 1, 2, 3), taper=0.001)
    back = fit(bore=bore, seat=seat, setback_in=0.5).clearance
    assert back is not None
    assert back.least_in == pytest.approx(0.0008 + 0.0005)


@pytest.mark.parametrize(
    ("clearance", "rule", "word"),
    [
        (0.00075, "simple", "right"),
        (0.00075, "guarded", "too close to call"),
        (0.0002, "guarded", "too tight"),
        (0.0014, "guarded", "too loose"),
        (0.0011, "guarded", "too close to call"),
        (0.0011, "simple", "too loose"),
    ],
)
def test_verdict(clearance: float, rule, word: str) -> None:
    found = fit(bore=cylinder(1.75 + clearance), seat=cylinder(1.75), band=SLIDING, rule=rule)
    assert found.verdict.word == word


def test_fine_gauges_make_the_guarded_verdict_right() -> None:
    found = fit(
        bore=cylinder(1.75075),
        seat=cylinder(1.75),
        band=SLIDING,
        bore_u95_in=0.0001,
        seat_u95_in=0.0001,
    )
    assert found.verdict.word == "right"


def test_no_band_means_no_verdict() -> None:
    found = fit(bore=cylinder(1.7508), seat=cylinder(1.75))
    assert found.verdict.word == "not measured"
    assert "choose" in found.verdict.words


def test_class_of_b4_1_judges_fit_and_each_part() -> None:
    found = fit(
        bore=cylinder(1.7505), seat=cylinder(1.75), nominal_in=1.75, fit_class="LT1", rule="simple"
    )
    assert found.band is not None
    assert (found.band.least_in, found.band.most_in) == pytest.approx((-0.0003, 0.0013))
    assert found.verdict.word == "right"
    assert all("within" in words for words in found.class_words)
    memory = fit(bore=[], seat=[], nominal_in=1.75, fit_class="H7/k6").band
    assert memory is not None
    assert "from memory" in memory.name


def test_class_without_nominal_names_it() -> None:
    found = fit(bore=cylinder(1.7505), seat=cylinder(1.75), fit_class="LT1")
    assert any("nominal" in words for words in found.missing)
    assert found.verdict.word == "not measured"


def test_too_loose_offers_new_bore_sleeve_and_plating() -> None:
    found = fit(bore=cylinder(1.7540), seat=cylinder(1.7500), band=SLIDING, hub_outside_in=3.5)
    ways = {remedy.name: remedy for remedy in found.remedies}
    assert set(ways) == {"new bore", "sleeve the bore", "plate the seat"}
    assert ways["new bore"].bore_in == pytest.approx(1.75075)
    assert ways["sleeve the bore"].figure_in == pytest.approx(1.7540 + 0.25)
    assert ways["sleeve the bore"].possible
    assert ways["plate the seat"].seat_in == pytest.approx(1.75325)
    assert ways["plate the seat"].figure_in == pytest.approx(0.00325 / 2)


def test_remedies_say_what_cannot_be() -> None:
    loose, seat = cylinder(1.80), cylinder(1.75)
    thin = fit(bore=loose, seat=seat, band=SLIDING, hub_outside_in=2.2)
    ways = {remedy.name: remedy for remedy in thin.remedies}
    assert ways["sleeve the bore"].possible is False
    assert ways["plate the seat"].possible is False
    unknown = fit(bore=loose, seat=seat, band=SLIDING)
    assert {r.name: r.possible for r in unknown.remedies}["sleeve the bore"] is None


def test_too_tight_opens_the_bore() -> None:
    found = fit(bore=cylinder(1.7490), seat=cylinder(1.7500), band=SLIDING)
    assert [remedy.name for remedy in found.remedies] == ["open the bore"]
    assert found.remedies[0].figure_in == pytest.approx(0.00175)


def test_an_uneven_seat_is_trued_first() -> None:
    found = fit(bore=cylinder(1.7540), seat=cylinder(1.7500, oval=0.002), band=SLIDING)
    assert found.remedies[0].name == "true the seat"


@pytest.mark.parametrize("typed", [44.45, 1750.0, 17.5, 0.0689])
def test_wrong_units_are_asked_about_not_swallowed(typed: float) -> None:
    bore = [*cylinder(1.7508), DiameterReading(1.0, 0.0, typed)]
    found = fit(bore=bore, seat=cylinder(1.75), band=SLIDING)
    assert found.verdict.word == "in doubt"
    assert found.clearance is None
    assert [doubt.value_in for doubt in found.doubts] == [typed]
    assert found.doubts[0].likely_in == pytest.approx(1.75, rel=0.01)
    assert "1.75" in found.doubts[0].sentence


def test_everything_in_millimetres_is_asked_about_too() -> None:
    found = fit(bore=cylinder(44.47), seat=cylinder(44.45), band=SLIDING)
    assert found.verdict.word == "in doubt"
    assert all(doubt.unit == "millimetres" for doubt in found.doubts)


def test_missing_measurements_are_named() -> None:
    found = fit(bore=[], seat=[DiameterReading(1.0, 0.0, 1.75)], band=SLIDING)
    assert found.clearance is None
    assert found.verdict.word == "not measured"
    text = " / ".join(found.missing)
    assert "bore: no diameters" in text
    assert "one depth only" in text
    assert "one clock only" in text
    assert found.seat is not None
    assert found.seat.taper_in_per_in is None
    assert found.seat.ovality_in is None


def test_half_turn_apart_is_the_same_clock() -> None:
    same = [DiameterReading(d, c, 1.75) for d in (0, 1) for c in (0.0, math.pi)]
    bore = fit(bore=same, seat=[]).bore
    assert bore is not None
    assert bore.ovality_in is None


def test_three_lobes_are_admitted_to_be_invisible() -> None:
    """A true three-lobed part of constant width measures round: the note must say so."""
    lobed = [
        DiameterReading(d, c, sum(0.875 + 0.001 * math.cos(3 * (c + t)) for t in (0, math.pi)))
        for d in (0, 1, 2)
        for c in (0.0, QUARTER)
    ]
    found = fit(bore=lobed, seat=cylinder(1.75))
    assert found.bore is not None
    assert found.bore.ovality_in == pytest.approx(0.0, abs=1e-12)
    assert any("three lobes cannot be seen" in note for note in found.notes)


def test_split_bore_asks_for_its_gap() -> None:
    bore, seat = cylinder(1.7508), cylinder(1.75)
    assert any("split" in words for words in fit(bore=bore, seat=seat, kind="split").missing)
    closed = fit(bore=bore, seat=seat, kind="split", split_gap_in=0.0)
    assert any("CLOSED" in note for note in closed.notes)
    straight = fit(bore=bore, seat=seat)
    assert any("contradict" in note for note in straight.notes)


def taper(size: float, per_ft: float, depths=(0, 1, 2, 3)):
    return cylinder(size, depths, taper=per_ft / 12)


def test_tapered_bore_draw_up_and_first_touch() -> None:
    found = fit(
        bore=taper(1.500, 0.750),
        seat=taper(1.499, 0.750),
        kind="tapered",
        wanted_interference_in=0.001,
        blue_share=0.8,
    )
    assert found.taper is not None
    assert found.taper.draw_up_in == pytest.approx(0.016)
    assert found.taper.first_touch_in == pytest.approx(0.016)
    assert found.verdict.word == "right"
    assert found.clearance is None


@pytest.mark.parametrize(
    ("bore_per_ft", "share", "word", "words"),
    [
        (0.760, 0.9, "not right", "small end"),
        (0.740, 0.9, "not right", "large end"),
        (0.750, 0.5, "not right", "too little"),
        (0.750, None, "not measured", "blueing share not noted"),
    ],
)
def test_tapers_that_do_not_match(bore_per_ft, share, word: str, words: str) -> None:
    found = fit(
        bore=taper(1.5, bore_per_ft), seat=taper(1.5, 0.750), kind="tapered", blue_share=share
    )
    assert found.verdict.word == word
    assert words in found.verdict.words


@pytest.mark.parametrize(
    ("bore", "more"),
    [
        ([DiameterReading(0, 0, -1.75)], {}),
        ([DiameterReading(0, 0, float("nan"))], {}),
        (cylinder(1.75), {"hub_outside_in": 1.5}),
        (cylinder(1.75), {"bore_u95_in": 0.0}),
        (cylinder(1.75), {"band": Band(0, 0, "x"), "fit_class": "XX", "nominal_in": 1.75}),
    ],
)
def test_impossible_figures_are_refused_in_plain_words(bore, more) -> None:
    with pytest.raises(ShaftlogError) as caught:
        fit(bore=bore, seat=cylinder(1.75), **more)
    assert str(caught.value).count(".") >= 1


def test_depths_that_nowhere_meet() -> None:
    with pytest.raises(ShaftlogError, match="nowhere meet"):
        fit(bore=cylinder(1.75, (0, 1)), seat=cylinder(1.75, (5, 6)))


def test_upside_down_band() -> None:
    with pytest.raises(ShaftlogError, match="upside down"):
        Band(0.001, -0.001, "mine")


def test_interference_goes_on_to_the_press_fit() -> None:
    found = fit(bore=cylinder(1.7490), seat=cylinder(1.7500, oval=0.0004))
    assert found.clearance is not None
    least, mean, most = found.clearance.interference_in
    assert (least, most) == pytest.approx((0.0010, 0.0014))
    pressures = [
        press_fit(
            diameter_in=1.75,
            hub_outside_in=3.5,
            interference_in=amount,
            hub_e_psi=29e6,
            shaft_e_psi=28e6,
        ).pressure_psi
        for amount in (least, mean, most)
    ]
    assert pressures == sorted(pressures)


def test_hub_taper_tolerance_is_a_setting() -> None:
    bore, seat = taper(1.5, 0.7450, (0, 2, 4, 8)), taper(1.5, 0.7500, (0, 2, 4, 8))
    tight = fit(bore=bore, seat=seat, kind="tapered", blue_share=0.9)
    wide = fit(
        bore=bore, seat=seat, kind="tapered", blue_share=0.9, taper_tolerance_in_per_ft=0.006
    )
    assert tight.verdict.word == "not right"
    assert wide.verdict.word == "right"
    assert "within the hub tolerance" in wide.verdict.words
