"""Figures of a job by set, figures asked about, the check list, press words, papers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from core.base.errors import ShaftlogError
from core.base.records import JobChoice, Measurement
from core.fitting.coupling import bore_job, face_job
from core.fitting.coupling.press_fit import press_fit
from core.fitting.keys import checklist as key_list
from core.fitting.keys import key_job
from core.fitting.keys import key_text as key_words
from core.fitting.measured.entry import ask_about, parse_figure
from core.fitting.measured.facts import FitFacts, metal
from core.fitting.measured.measurements import (
    SKIPPED,
    MeasurementRequest,
    MeasurementSet,
    counts,
    next_open,
    number_list,
    places_of,
)
from core.fitting.shaft import order_sheet as end_papers
from core.fitting.shaft import sizes_job

FACTS = FitFacts(
    tag="26-001",
    diameter_in=1.75,
    length_in=96.0,
    material="S31600",
    condition="",
    engine_hp=250.0,
    shaft_rpm=1200.0,
    band_least_in=0.0,
    band_most_in=0.001,
    face_limit_in=0.002,
    pilot_limit_in=0.002,
    rule="guarded",
    resolution_in=0.0005,
    repeatability_in=None,
    unit="thou",
)
COUNT = iter(range(1, 10_000))


def one(
    subject: str, what: str, value: float | None, raw: str = "", set_no: int = 1,
    depth: float | None = None, clock: float | None = None,
) -> Measurement:  # fmt: skip
    """A measurement, newer than the ones made before."""
    stamp = f"{next(COUNT):06d}"
    shown = raw or ("" if value is None else f"{value}")
    return Measurement(stamp, "job", subject, what, set_no, depth, clock, value, shown, stamp)


def bore_and_seat(bore: float, seat: float, set_no: int = 1) -> list[Measurement]:
    """Both parts round and straight."""
    return [
        one(part, "diameter", size, depth=depth, clock=clock, set_no=set_no)
        for part, size in (("bore", bore), ("seat", seat))
        for depth in (0.5, 1.75, 3.0)
        for clock in (0.0, 90.0)
    ]


def test_a_part_measured_anew_counts_as_a_whole() -> None:
    first = bore_and_seat(1.753, 1.75)
    again = one("bore", "diameter", 1.7506, depth=0.5, clock=0.0, set_no=2)
    figures = MeasurementSet((*first, again), 2)
    assert [m.value_in for m in figures.all_of("bore")] == [1.7506]
    assert len(figures.all_of("seat")) == 6
    assert len(figures.of_set(1).all_of("bore")) == 6
    assert figures.last_set("bore", "seat") == 2
    assert figures.last_set("key") == 1


def test_single_figures_stand_on_one_by_one() -> None:
    figures = MeasurementSet(
        (
            one("coupling", "hub outside", 3.5),
            one("coupling", "hub length", 3.0),
            one("coupling", "hub length", 2.9, set_no=2),
        ),
        2,
    )
    assert figures.length_in("coupling", "hub outside") == 3.5
    assert figures.length_in("coupling", "hub length") == 2.9
    assert figures.of_set(1).length_in("coupling", "hub length") == 3.0


def test_a_set_with_nothing_but_skips_does_not_hide_the_one_before() -> None:
    skip = one("bore", "diameter", None, SKIPPED, set_no=2, depth=0.5, clock=0.0)
    figures = MeasurementSet((*bore_and_seat(1.7506, 1.75), skip), 2)
    assert len(figures.all_of("bore")) == 6


def test_walk_goes_round_and_passes_optional_figures() -> None:
    wanted = tuple(MeasurementRequest("key", name, name, optional=name == "b") for name in "abcd")
    figures = MeasurementSet((one("key", "c", 1.0),))
    assert next_open(wanted, figures, 0) == 3
    assert next_open(wanted, figures, 3) == 0
    assert counts(wanted, figures) == (1, 3)
    done = MeasurementSet(tuple(one("key", name, 1.0) for name in "acd"))
    assert next_open(wanted, done) is None


def test_places_are_chosen_usual_or_as_measured() -> None:
    elsewhere = MeasurementSet((one("bore", "diameter", 1.75, depth=2.0),))
    assert places_of(MeasurementSet(()), "bore", "diameter", (), (0.5, 3.0)) == (0.5, 3.0)
    assert places_of(elsewhere, "bore", "diameter", (), (0.5, 3.0)) == (2.0,)
    assert places_of(elsewhere, "bore", "diameter", (1.0,), (0.5, 3.0)) == (1.0, 2.0)
    nowhere = MeasurementSet((one("hub keyway", "width", 0.4),))
    assert places_of(nowhere, "hub keyway", "width", (), (0.5,)) == (None,)


def test_number_list_takes_blanks_commas_and_semicolons() -> None:
    assert number_list("3 0.5,1.75; x 0.5") == (0.5, 1.75, 3.0)


@pytest.mark.parametrize(
    ("typed", "unit", "likely"),
    [("44.45", "millimetres", 1.75), ("1750", "thou", 1.75), ("17.5", "inches", 1.75)],
)
def test_wrong_units_are_asked_about(typed: str, unit: str, likely: float) -> None:
    wanted = MeasurementRequest("bore", "diameter", "Bore", near_in=1.75)
    question = ask_about(wanted, typed, parse_figure(wanted, typed, FACTS))
    assert question is not None
    assert unit in question.doubt.unit
    assert question.doubt.likely_in == pytest.approx(likely)
    assert [question.answer(text) for text in ("1", "2", "3", "4", "1.75", "")] == [
        "likely", "as typed", "again", "", "", "",
    ]  # fmt: skip


def test_a_figure_of_another_size_has_two_answers() -> None:
    wanted = MeasurementRequest("bore", "diameter", "Bore", near_in=1.75)
    question = ask_about(wanted, "1.5", 1.5)
    assert question is not None
    assert [question.answer(text) for text in ("1", "2", "3")] == ["as typed", "again", ""]
    assert ask_about(wanted, "1.7503", 1.7503) is None
    assert (
        ask_about(MeasurementRequest("face", "x", "x", kind="dial", near_in=1.75), "9", 0.009)
        is None
    )


def test_dial_is_read_in_the_shops_unit_and_sizes_are_not() -> None:
    dial, size = (
        MeasurementRequest("face", "x", "Face", kind="dial"),
        MeasurementRequest("bore", "x", "Bore"),
    )
    assert parse_figure(dial, "1.5", FACTS) == pytest.approx(0.0015)
    assert parse_figure(size, "1.5", FACTS) == 1.5
    metric = replace(FACTS, unit="mm")
    assert parse_figure(dial, "0.0254", metric) == pytest.approx(0.001)
    assert parse_figure(size, "25.4", metric) == pytest.approx(1.0)
    with pytest.raises(ShaftlogError, match="out of range"):
        parse_figure(dial, "2000", FACTS)


def test_press_words_hold_the_figures_of_the_core() -> None:
    taken = (
        *bore_and_seat(1.75, 1.751),
        one("coupling", "hub outside", 3.5),
        one("coupling", "hub length", 3.0),
        one("coupling setup", "hub material", None, "G10450"),
    )
    report = bore_job.bore_result(MeasurementSet(taken), FACTS).report
    press = " ".join(next(c.lines for c in report.chapters if c.title == "Press"))
    hub, shaft = metal("G10450"), metal("S31600")
    assert hub is not None
    assert shaft is not None
    fit = press_fit(
        diameter_in=1.75,
        hub_outside_in=3.5,
        interference_in=0.001,
        length_in=3.0,
        hub_e_psi=hub.e.value,
        shaft_e_psi=shaft.e.value,
        hub_poisson=hub.poisson.value,
        shaft_poisson=shaft.poisson.value,
    )
    assert f"{fit.pressure_psi:,.0f}" in press
    assert f"{fit.push_lbf[1]:,.0f}" in press
    assert "FROM MEMORY" in press
    # two clocks: the one thing not seen is an oval half way between them
    assert [words.split(":")[0] for words in report.missing] == ["bore", "seat"]
    assert all("oval half way" in words for words in report.missing)
    assert report.summary.startswith("Interference 1.0 to 1.0 thou")


def test_unknown_materials_are_named_not_guessed() -> None:
    taken = (*bore_and_seat(1.75, 1.751), one("coupling", "hub outside", 3.5))
    facts = replace(FACTS, material="old bronze", engine_hp=None)
    report = bore_job.bore_result(MeasurementSet(taken), facts).report
    missing = " ".join(report.missing)
    for words in ("hub material", "old bronze", "engine power"):
        assert words in missing


def test_class_of_fit_without_a_row_is_said() -> None:
    taken = (*bore_and_seat(1.75, 1.75), one("coupling setup", "class of fit", None, "LT9"))
    result = bore_job.bore_result(MeasurementSet(taken), FACTS)
    assert result.fit is None
    assert result.report.verdict.startswith("CANNOT BE WORKED OUT")


def test_taper_says_draw_up_and_blueing() -> None:
    taken = [
        one(part, "diameter", 1.6 + depth / 16 + more, depth=depth, clock=clock)
        for part, more in (("bore", -0.001), ("seat", 0.0))
        for depth in (0.5, 1.75, 3.0)
        for clock in (0.0, 90.0)
    ]
    setup = (
        one("coupling setup", "kind", None, "tapered"),
        one("coupling setup", "interference wanted", 0.001),
        one("coupling", "blueing share", None, "85"),
    )
    result = bore_job.bore_result(MeasurementSet((*taken, *setup)), FACTS)
    taper = result.fit.taper
    assert taper.draw_up_in == pytest.approx(0.016)
    assert taper.blue_share == 0.85
    assert result.report.good is True
    said = " ".join(line for c in result.report.chapters for line in c.lines)
    assert "Draw it up 0.016 in" in said
    assert any("hot" in words.lower() for words in result.report.cautions)


def face_figures(amplitude: float, set_no: int = 1) -> list[Measurement]:
    """A face proud at clock 90."""
    return [
        one("face", "face reading", amplitude * math.sin(math.radians(mark)), set_no=set_no,
            clock=float(mark))
        for mark in range(0, 360, 45)
    ]  # fmt: skip


def test_face_curve_runs_through_the_readings() -> None:
    radii = (one("flange", "rim radius", 2.5), one("flange", "dial radius", 2.0))
    result = face_job.face_result(MeasurementSet((*radii, *face_figures(0.003))), FACTS)
    curve = dict(result.curve)
    assert curve[90.0] == pytest.approx(3.0, abs=0.1)
    assert dict(result.points)[270.0] == pytest.approx(-3.0)
    assert result.report.verdict.startswith("FACE NOT TRUE: 7.5 thou")
    assert result.report.verdicts == ("face not true", "pilot not measured")


def test_the_owner_is_told_of_a_gap_judged_otherwise_than_the_face() -> None:
    radii = (one("flange", "rim radius", 2.5), one("flange", "dial radius", 2.0))
    limit = JobChoice("c", "job", "face setup", "gap limit", 1, "0.05", 0.05, "", "A", "t")
    figures = MeasurementSet((*radii, *face_figures(0.003)), choices=(limit,))
    said = face_job.face_result(figures, FACTS).report.verdicts
    assert said[:2] == ("face not true", "gap at the rim true")


@pytest.mark.parametrize(("radius_in", "asked"), [(0.5, True), (2.5, False), (63.5, True)])
def test_a_flange_inside_its_shaft_is_asked_about(radius_in: float, asked: bool) -> None:
    rim = face_job.face_wanted(MeasurementSet(()), FACTS)[0]
    assert rim.what == "rim radius"
    doubt = rim.doubt(radius_in)
    assert (doubt is not None) is asked


def test_two_dials_need_both_readings_of_a_mark() -> None:
    radii = (one("flange", "rim radius", 2.5), one("flange", "dial radius", 2.0))
    setup = one("face setup", "dials", None, "2")
    result = face_job.face_result(MeasurementSet((*radii, setup, *face_figures(0.003))), FACTS)
    assert result.face is None
    assert "both dials" in result.report.verdict


def answered(name: str, answer: str) -> JobChoice:
    """An answer of the check list."""
    return JobChoice(name, "job", "key check", name, 1, answer, None, "n: x", "A, B: C", "t")


def test_an_answer_is_shown_with_who_and_note() -> None:
    name = key_list.TRIAL_CHECKS[1].name
    for answer, shown in (("no", "no"), ("rubbish", "")):
        figures = MeasurementSet((), choices=(answered(name, answer),))
        tick = key_list.ticks_of(figures)[1]
        assert (tick.answer, tick.by, tick.note, tick.at) == (shown, "A, B: C", "n: x", "t")


def test_no_in_the_list_is_never_in_order() -> None:
    good = (
        one("key", "width", 0.4373), one("key", "height", 0.437), one("key", "length", 3.0),
        one("shaft keyway", "width", 0.4378, depth=0.5), one("shaft keyway", "far side", 1.518),
        one("hub keyway", "width", 0.4379, depth=0.5), one("hub keyway", "far side", 1.97),
    )  # fmt: skip
    ticks = tuple(answered(check.name, "yes") for check in key_list.TRIAL_CHECKS)
    all_yes = MeasurementSet(good, choices=ticks)
    assert key_words.key_report(all_yes, FACTS)[1].good is True
    bad = tuple(answered("burrs", "no") if t.name == "burrs" else t for t in ticks)
    report = key_words.key_report(MeasurementSet(good, choices=bad), FACTS)[1]
    assert report.good is False
    assert "BURR LEFT" in report.summary
    assert report.verdicts == ("clear", "in the shaft right", "in the hub right", "burr left")


def test_each_answer_of_the_list_reads_as_what_was_found() -> None:
    """'Burrs: YES' where none were found, and 'burrs NO' where one was left, were on the paper."""
    for check in key_list.TRIAL_CHECKS:
        found = {}
        for answer in ("yes", "no", ""):
            figures = MeasurementSet((), choices=(answered(check.name, answer),))
            tick = next(t for t in key_list.ticks_of(figures) if t.check is check)
            found[answer] = tick.words
        assert check.good in found["yes"]
        assert check.bad in found["no"]
        assert "NOT LOOKED AT" in found[""]
        assert check.bad.isupper()
        assert not check.good.isupper()
        for words in found.values():
            assert not {"YES", "NO"} & set(words.replace(":", " ").split()), words


def test_a_gap_limit_is_set_for_this_job_only_where_somebody_set_it() -> None:
    def origin(*choices: JobChoice) -> str:
        figures = MeasurementSet(face_figures(0.003), choices=choices)
        chapters = face_job.face_result(figures, FACTS).report.chapters
        return " ".join(next(c.lines for c in chapters if c.title == "Limits"))

    assert "set for this job" not in origin()
    assert "3.0 thou: the usual one, nobody set another" in origin()
    chosen = JobChoice("c", "job", "face setup", "gap limit", 1, "0.004", 0.004, "", "A", "t")
    assert "4.0 thou: set for this job" in origin(chosen)


def test_passes_stop_at_the_first_gap() -> None:
    taken = tuple(one("key", key_job.pass_name(n), 0.437 + n / 1000) for n in (1, 2, 4))
    assert key_job.passes_of(MeasurementSet(taken)) == pytest.approx((0.438, 0.439))


def test_bore_measured_last_is_used_for_the_room_on_top() -> None:
    taken = (*bore_and_seat(1.75, 1.75), *bore_and_seat(1.752, 1.75, set_no=2))
    assert key_job.mean_in(MeasurementSet(taken, 1), "bore") == pytest.approx(1.752)


def test_order_sheet_marks_everything_that_was_not_measured() -> None:
    taken = (one("shaft end", "small end", 1.4382), *bore_and_seat(1.7506, 1.75))
    lines = {line.what: line for line in end_papers.order_lines(MeasurementSet(taken), FACTS)}
    assert lines["small end"].verified
    assert lines["coupling seat diameter"].verified
    for what in ("shaft diameter", "overall length", "material", "thread diameter", "cotter hole"):
        assert not lines[what].verified
        assert "(?)" in lines[what].text
    assert end_papers.FROM_INTAKE in lines["shaft diameter"].text


def test_sizes_name_what_is_missing() -> None:
    bare = replace(FACTS, engine_hp=None, shaft_rpm=None, material="x")
    result = sizes_job.sizes_result(MeasurementSet(()), bare)
    assert result.factor is None
    words = " ".join(result.report.missing)
    for name in ("engine power", "shaft rpm", "torsional yield", "service", "span"):
        assert name in words
    assert result.report.good is None


def test_report_for_the_ticket_has_the_verdict_first_and_the_cautions_last() -> None:
    lines = bore_job.bore_result(MeasurementSet(tuple(bore_and_seat(1.75, 1.751))), FACTS)
    text = lines.report.for_ticket
    assert text[0].startswith("TOO TIGHT")
    assert text[-1].startswith("Caution: ")
    assert any(line.startswith("Not measured") for line in text)


def test_setback_shifts_the_seat_in_the_bore() -> None:
    """A bore that widens by a thou an inch: a shaft set back by one inch meets it wider."""
    taken = [
        one(part, "diameter", size + (depth / 1000 if part == "bore" else 0.0), depth=depth,
            clock=0.0)
        for part, size in (("bore", 1.75), ("seat", 1.75))
        for depth in (0.5, 1.75, 3.0)
    ]  # fmt: skip
    flush = bore_job.bore_result(MeasurementSet(tuple(taken)), FACTS).fit.clearance
    back = one("coupling", "setback", 1.0)
    shifted = bore_job.bore_result(MeasurementSet((*taken, back)), FACTS).fit.clearance
    assert flush.least_in == pytest.approx(0.0005)
    assert shifted.least_in == pytest.approx(0.0015)


def test_a_kind_of_service_stored_under_an_old_name_keeps_its_factor() -> None:
    stored = replace(one("sizes", "service", None), raw="long-range cruiser")
    setup = sizes_job.sizes_setup(MeasurementSet((stored,)), FACTS)
    assert (setup.service, setup.safety_factor) == ("ocean passages", 4.0)
