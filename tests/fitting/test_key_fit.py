"""A measured key in its keyways."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.base.errors import ShaftlogError
from core.fitting.keys.trial_checks import (
    TRIAL_CHECKS,
    MeasuredKey,
    MeasuredKeyway,
    check_key,
    keyseat_depth,
    peening,
    standard_key,
)

KEY = MeasuredKey(0.5000, 0.5000, 3.0)
SHAFT = MeasuredKeyway((0.5010,), far_side_in=1.718, length_in=3.5)
HUB = MeasuredKeyway((0.5015,), far_side_in=2.223, length_in=3.5)


def check(key=KEY, shaft=SHAFT, hub=HUB, **more):
    return check_key(diameter_in=2.0, bore_in=2.0, key=key, shaft=shaft, hub=hub, **more)


def test_standard_depths_leave_the_standard_room_on_top() -> None:
    """Keyways cut to S and T of the standard leave C = 0.005 over the key."""
    for diameter in (1.0, 1.75, 2.0, 2.5):
        size = standard_key(diameter_in=diameter)
        found = check_key(
            diameter_in=diameter,
            bore_in=diameter,
            key=MeasuredKey(size.width_in, size.height_in, 2.0),
            shaft=MeasuredKeyway((size.width_in,), far_side_in=size.depth.shaft_s_in),
            hub=MeasuredKeyway((size.width_in,), far_side_in=size.depth.hub_t_in),
        )
        assert found.top.clearance_in == pytest.approx(0.005)
        assert found.top.word == "clear"


def test_side_depths_give_the_same_room_as_far_sides() -> None:
    far = check()
    depth = keyseat_depth(diameter_in=2.0, width_in=0.501, height_in=0.5)
    edge = 2.0 - depth.chord_in
    hub_depth = keyseat_depth(diameter_in=2.0, width_in=0.5015, height_in=0.5)
    hub_edge = 2.0 - hub_depth.chord_in
    near = check(
        shaft=MeasuredKeyway((0.5010,), side_depth_in=edge - 1.718, length_in=3.5),
        hub=MeasuredKeyway((0.5015,), side_depth_in=2.223 - hub_edge, length_in=3.5),
    )
    assert near.top.clearance_in == pytest.approx(far.top.clearance_in)


@pytest.mark.parametrize(
    ("hub_t", "word"),
    [
        (2.223, "clear"),
        (2.220, "little room"),
        (2.2182, "too close to call"),
        (2.2177, "too close to call"),
        (2.2150, "key-bound"),
    ],
)
def test_top_verdict(hub_t: float, word: str) -> None:
    found = check(hub=replace(HUB, far_side_in=hub_t))
    assert found.top.word == word


def test_a_larger_bore_lowers_the_roof() -> None:
    """With the shaft in the middle of a loose bore, half the clearance is lost over the key."""
    tight = check_key(diameter_in=2.0, bore_in=2.0, key=KEY, shaft=SHAFT, hub=HUB)
    loose = check_key(diameter_in=2.0, bore_in=2.002, key=KEY, shaft=SHAFT, hub=HUB)
    assert tight.top.clearance_in - loose.top.clearance_in == pytest.approx(0.001)
    assumed = check_key(diameter_in=2.0, key=KEY, shaft=SHAFT, hub=HUB)
    assert any("bore not measured" in note for note in assumed.notes)


def test_side_fits_and_wear() -> None:
    found = check(shaft=replace(SHAFT, widths_in=(0.5010, 0.5040, 0.5012)))
    assert found.shaft_side.least_in == pytest.approx(0.001)
    assert found.shaft_side.most_in == pytest.approx(0.004)
    assert found.shaft_side.worn_in == pytest.approx(0.003)
    assert "worn" in found.shaft_side.words
    assert found.hub_side.least_in == pytest.approx(0.0015)
    assert found.backlash_rad == pytest.approx(0.0025 / 1.0)


def test_loose_key_and_width_to_gain() -> None:
    found = check(key=replace(KEY, width_in=0.4960))
    assert found.shaft_side.verdict.word == "too loose"
    assert found.peening is not None
    assert found.peening.to_gain_in == pytest.approx(0.005)
    assert "make a new key" in found.peening.words


def test_peening_pass_by_pass() -> None:
    start = peening(key_width_in=0.4990, keyway_width_in=0.5010)
    assert start.to_gain_in == pytest.approx(0.002)
    assert start.passes_left is None
    two = peening(
        key_width_in=0.4990, keyway_width_in=0.5010, widths_after_pass_in=(0.4996, 0.5001)
    )
    assert two.gained_in == pytest.approx((0.0006, 0.0005))
    assert two.to_gain_in == pytest.approx(0.0009)
    assert two.passes_left == 2
    done = peening(key_width_in=0.4990, keyway_width_in=0.5010, widths_after_pass_in=(0.5010,))
    assert "trial fit" in done.words
    over = peening(key_width_in=0.4990, keyway_width_in=0.5010, widths_after_pass_in=(0.5020,))
    assert "dress" in over.words
    snug = peening(key_width_in=0.4990, keyway_width_in=0.5010, wanted_side_in=-0.0005)
    assert snug.to_gain_in == pytest.approx(0.0025)


def test_stress_at_engine_torque() -> None:
    found = check(engine_torque_lbf_in=12000, key_yield_psi=50000)
    stress = found.stress
    assert stress is not None
    assert stress.force_lbf == pytest.approx(12000)
    assert stress.shear_psi == pytest.approx(12000 / (0.5 * 3.0))
    assert stress.shear_factor == pytest.approx(0.577 * 50000 / 8000)
    # the key stands about half in the shaft and half in the hub
    assert stress.shaft_bearing_psi == pytest.approx(12000 / (0.25 * 3.0), rel=0.01)
    assert stress.hub_bearing_psi == pytest.approx(12000 / (0.25 * 3.0), rel=0.01)
    assert "strong enough" in stress.words
    weak = check(engine_torque_lbf_in=120000, key_yield_psi=50000).stress
    assert weak is not None
    assert "yields" in weak.words


def test_rounded_ends_and_short_hub_shorten_the_working_length() -> None:
    rounded = check(key=replace(KEY, round_ends=2), engine_torque_lbf_in=1000, key_yield_psi=1e5)
    assert rounded.stress is not None
    assert rounded.stress.working_length_in == pytest.approx(2.5)
    short = check(hub=replace(HUB, length_in=2.0), engine_torque_lbf_in=1000, key_yield_psi=1e5)
    assert short.stress is not None
    assert short.stress.working_length_in == pytest.approx(2.0)
    assert any("longer than the hub" in note for note in short.notes)


def test_alignment_against_the_limits() -> None:
    found = check(shaft=replace(SHAFT, offset_in=0.012, lead_in=0.0015))
    assert "OVER" in found.alignment[0]
    assert "within" in found.alignment[1]


def test_missing_figures_are_named_and_cost_their_answer() -> None:
    found = check_key(
        diameter_in=2.0, key=MeasuredKey(), shaft=MeasuredKeyway(), hub=MeasuredKeyway()
    )
    for name in ("key width", "key height", "depth of the hub keyway", "engine torque"):
        assert name in found.missing
    assert found.top.word == "not measured"
    assert found.top.clearance_in is None
    assert found.shaft_side.verdict.word == "not measured"
    assert found.peening is None
    assert found.stress is None
    assert found.backlash_rad is None
    # without its yield the softest part, shaft or hub, is not judged
    found = check(engine_torque_lbf_in=1000, key_yield_psi=50000)
    assert found.missing == ("yield of the shaft's material", "yield of the hub's material")
    known = {"key_yield_psi": 5e4, "shaft_yield_psi": 4e4, "hub_yield_psi": 3e4}
    assert not check(engine_torque_lbf_in=1000, **known).missing


@pytest.mark.parametrize(
    "change",
    [
        {"key": replace(KEY, width_in=12.7)},
        {"key": replace(KEY, height_in=500.0)},
        {"shaft": replace(SHAFT, widths_in=(0.501, 12.72))},
        {"shaft": replace(SHAFT, far_side_in=43.6)},
        {"hub": replace(HUB, far_side_in=56.5)},
    ],
)
def test_wrong_units_are_asked_about(change) -> None:
    if change.get("key", KEY).width_in > 2:
        with pytest.raises(ShaftlogError):
            check(**change)
        return
    found = check(**change)
    assert found.doubts
    assert found.top.word == "in doubt"
    assert found.shaft_side.verdict.word == "in doubt"
    assert found.stress is None


def test_key_longer_than_its_keyway_is_refused() -> None:
    with pytest.raises(ShaftlogError, match="longer than its keyway"):
        check(key=replace(KEY, length_in=4.0))


@pytest.mark.parametrize(
    "bad",
    [
        {"key": replace(KEY, width_in=-0.5)},
        {"key": replace(KEY, height_in=0.0)},
        {"shaft": replace(SHAFT, widths_in=(float("nan"),))},
        {"hub": replace(HUB, length_in=-1.0)},
        # floor so low and key so short that nothing stands out of the shaft
        {"key": replace(KEY, height_in=0.25), "engine_torque_lbf_in": 1000.0},
    ],
)
def test_impossible_figures_are_refused(bad) -> None:
    with pytest.raises(ShaftlogError):
        check(**bad)


def test_warning_where_the_standards_differ() -> None:
    found = check_key(
        diameter_in=1.75,
        key=MeasuredKey(0.4375, 0.4375, 2.0),
        shaft=MeasuredKeyway(),
        hub=MeasuredKeyway(),
    )
    assert "7/16" in found.differs
    assert "3/8" in found.differs
    assert not check().differs


@pytest.mark.parametrize(
    ("size", "standard"),
    [(0.25, "B17.1"), (9.0, "B17.1"), (1.9, "J755"), (44.45, "J755"), (-1.0, "B17.1")],
)
def test_unknown_sizes_are_refused(size: float, standard) -> None:
    with pytest.raises(ShaftlogError):
        standard_key(diameter_in=size, standard=standard)


def test_the_list_after_a_trial_fit() -> None:
    names = [check.name for check in TRIAL_CHECKS]
    for wanted in ("trial fit", "burrs", "raised chip", "dimples in line", "screws locked"):
        assert wanted in names
