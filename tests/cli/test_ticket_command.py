"""The ticket of a job: collected from the book, worked out, frozen at release."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from core.base.records import Job
from core.book import customers, hits, jobs, measurements, releases, shafts
from core.book.connection import Book
from core.book.opening import open_book
from core.fitting.shaft.ends_job import end_result
from core.fitting.shaft.sizes_job import sizes_result
from core.jobs.measured import read_figures, read_fit_facts
from core.reports.ticket_collect import collect, make_ticket
from tests.support.command_fixtures import Shaftlog, assert_refused


def job_of(book: Book, tag: str) -> Job:
    return jobs.job_by_tag(book, tag)


def test_released_ticket_is_word_for_word_the_frozen_one(shaftlog: Shaftlog, book: Path) -> None:
    with open_book(book) as one:
        frozen = releases.last_release(one, job_of(one, "22-031").id)
        owner = customers.customers(one)
        for someone in owner:
            customers.change_customer(one, someone.id, name="Changed Afterwards")
    assert frozen is not None
    assert shaftlog("ticket", "22-031", "--book", book).out == frozen.ticket_text
    assert shaftlog("ticket", "22-031", "--html", "--book", book).out == frozen.ticket_html
    assert "Ottoline Vask" in frozen.ticket_text


def test_ticket_of_an_open_job_is_a_draft_that_says_what_is_missing(
    shaftlog: Shaftlog, book: Path
) -> None:
    ran = shaftlog("ticket", "26-006", "--book", book)
    assert ran.code == 0
    assert "DRAFT - NOT RELEASED" in ran.out
    assert "MISSING: Penetrant check" in ran.out
    bare = shaftlog("ticket", "26-003", "--book", book)
    assert "No sweep on record" in bare.out


@pytest.mark.slow
def test_ticket_in_plain_ascii(shaftlog: Shaftlog, book: Path) -> None:
    assert "Zoë Ångholm" in shaftlog("ticket", "25-049", "--book", book).out
    out = shaftlog("ticket", "25-049", "--ascii", "--book", book).out
    assert out.isascii()
    assert "Zoe Angholm" in out


@pytest.mark.slow
def test_ticket_in_a_terminal_that_knows_only_ascii(shaftlog_process: Shaftlog, book: Path) -> None:
    ran = shaftlog_process(
        "ticket", "25-049", "--book", book, LC_ALL="C", PYTHONUTF8="0", PYTHONIOENCODING="ascii"
    )
    assert ran.code == 0
    assert "Zoe Angholm" in ran.out


def test_unknown_tag(shaftlog: Shaftlog, book: Path) -> None:
    assert_refused(shaftlog("ticket", "31-999", "--book", book), "31-999")


def test_collected_ticket_has_all_parts(book: Path) -> None:
    with open_book(book) as one:
        job = job_of(one, "22-031")
        data = collect(one, job.id)
        wanted_hits = hits.hits_of(one, job.id)
    assert data.before is not None
    assert data.after is not None
    assert (data.before.title, data.after.title) == ("as received", "final")
    assert max(s.tir_in for s in data.after.stations) < 0.002
    assert [bend.station_in for bend in data.before.bends] == pytest.approx([48, 70.5], abs=0.3)
    assert len(data.hits) == len(wanted_hits)
    assert "Held" in data.hold
    assert [section.title for section in data.sections] == [
        "Coupling bore", "Coupling face and pilot", "Key",
    ]  # fmt: skip
    areas = [line.area for line in data.penetrant]
    assert {"coupling end", "propeller taper", "propeller thread"} <= set(areas)
    assert any(area.startswith("straightened spot") for area in areas)
    assert "555-0111" not in str(data)


def test_sweep_before_a_later_hit_does_not_stand_as_the_last_state(book: Path) -> None:
    with open_book(book, by="Odo") as one:
        job = job_of(one, "25-049")
        assert collect(one, job.id).after is not None
        hits.add_hit(
            one, job_id=job.id, round_no=9, method="press", station_in=30.0, clock_deg=90.0,
            angle_rad=0.001,
        )  # fmt: skip
        data = collect(one, job.id)
    assert data.after is None
    assert "hit again after that" in data.hold
    assert data.before is not None


def test_limits_come_from_area_and_settings(book: Path) -> None:
    from core.book import settings

    with open_book(book) as one:
        job = job_of(one, "25-049")
        settings.save(one, limit_bearing_in=0.0007, acceptance_rule="simple")
        data = collect(one, job.id)
        areas = shafts.areas_of(one, job.shaft_id)
    assert data.after is not None
    by_name = {area.name: area for area in data.after.areas}
    assert by_name["shaft log"].limit_in == 0.003
    assert by_name["strut bearing"].limit_in == 0.0007
    assert {a.name for a in areas} <= set(by_name)
    assert data.after.rule == "simple"


def test_figures_that_cannot_be_are_said_not_swallowed(book: Path) -> None:
    """A bore typed in the wrong unit: the ticket says so and still prints what was measured."""
    with open_book(book) as one:
        job = job_of(one, "25-044")
        measurements.take_measurement(
            one, job_id=job.id, subject="bore", what="diameter", raw="44.45", value_in=44.45,
            depth_in=0.5, clock_deg=0.0,
        )  # fmt: skip
        measurements.take_measurement(
            one, job_id=job.id, subject="key", what="width", raw="9", value_in=9.0
        )
        text = make_ticket(one, job.id).text
    assert "44.4500" in text
    assert "TOO LOOSE" not in text
    assert "IN DOUBT" in text
    assert "CANNOT BE WORKED OUT" in text


@pytest.mark.slow
def test_only_the_last_set_counts(book: Path) -> None:
    with open_book(book) as one:
        job = job_of(one, "25-044")
        before = make_ticket(one, job.id).text
        for clock, value in ((0.0, 1.7500), (90.0, 1.7501)):
            for depth in (0.5, 2.0, 3.5):
                measurements.take_measurement(
                    one, job_id=job.id, subject="bore", what="diameter", set_no=2,
                    raw=str(value), value_in=value, depth_in=depth, clock_deg=clock,
                )  # fmt: skip
        after = make_ticket(one, job.id).text
    assert "TOO LOOSE" in before
    assert "TOO LOOSE" not in after


def figure(book: Book, job: Job, subject: str, what: str, raw: str, **place: float) -> None:
    """One figure or choice as the screens store it."""
    try:
        value: float | None = float(raw)
    except ValueError:
        value = None
    measurements.take_measurement(
        book, job_id=job.id, subject=subject, what=what, raw=raw, value_in=value, **place
    )


def half_measured(book: Book, job: Job, *, taper: float = 0.0) -> None:
    """A little of everything and nothing complete: each report has something to ask for."""
    figure(book, job, "coupling setup", "kind", "tapered" if taper else "straight")
    for depth in (0.25, 1.25):
        for clock in (0.0, 90.0):
            for subject, size in (("bore", 1.7462), ("seat", 1.7501)):
                raw = f"{size + taper * depth:.4f}"
                figure(book, job, subject, "diameter", raw, depth_in=depth, clock_deg=clock)
    for clock in range(0, 360, 45):
        figure(book, job, "face", "reading", "0.0002", clock_deg=float(clock))
    figure(book, job, "key", "width", "0.4998")
    figure(book, job, "shaft end setup", "standard", "none")
    figure(book, job, "shaft end", "small end", "1.4")
    figure(book, job, "sizes", "bearing span", "60")


@pytest.mark.slow
def test_no_hint_of_the_screens_stands_on_paper(book: Path) -> None:
    """Keys mean nothing to whoever holds the paper."""
    keys = re.compile(r"\bF(?:[1-9]|1[0-2])\b|\bEsc\b|\bEnter\b|\bPg(?:Up|Dn)\b|--\w+|`shaftlog")
    with open_book(book) as one:
        open_ones = jobs.open_jobs(one)
        assert len(open_ones) > 8
        for taper, said in ((0.0, "hub material: no pressure"), (1 / 16, "Draw-up: ")):
            half_measured(one, job_of(one, "26-002"), taper=taper)
            assert said in make_ticket(one, job_of(one, "26-002").id).text
            for job in open_ones:
                ticket = make_ticket(one, job.id)
                assert not keys.search(ticket.text), keys.search(ticket.text)
                assert not keys.search(re.sub(r"<style>.*?</style>", "", ticket.html, flags=re.S))


def test_every_report_of_coupling_key_end_and_sizes_has_its_section(book: Path) -> None:
    with open_book(book) as one:
        job = job_of(one, "26-002")
        half_measured(one, job)
        ticket = make_ticket(one, job.id)
        figures, facts = read_figures(one, job.id, "shaft end"), read_fit_facts(one, job.id)
    for title in ("COUPLING BORE", "COUPLING FACE", "KEY", "SHAFT END", "SIZES AND WHIRL"):
        assert f"\n{title}" in ticket.text
    paper = " ".join(ticket.text.split())
    for said in (end_result(figures, facts).report, sizes_result(figures, facts).report):
        for line in said.for_ticket:
            assert " ".join(line.split()) in paper
    assert "As measured, inches: shaft end small end 1.4000. Taken" in paper
    assert "licensed people and the class society" in paper


def test_ticket_says_how_it_was_measured_and_who_comes_first(book: Path) -> None:
    with open_book(book) as one:
        ticket = make_ticket(one, job_of(one, "25-049").id)
    for form in (" ".join(ticket.text.split()), ticket.html):
        for wanted in (
            "by Odo Kettleby, gauge bench dial 2",
            "graduation 0.5 thou",
            "one standard deviation",
            "95 times in 100",
            "not a class certificate",
            "local codes and licensed surveyors",
            "A keyed shaft in the lathe grabs",
            "Taken 2025-12-10.",
        ):
            assert wanted in form, wanted


def test_a_figure_measured_again_is_printed_once(book: Path) -> None:
    with open_book(book) as one:
        job = job_of(one, "26-002")
        figure(one, job, "shaft end", "small end", "1.4")
        measurements.take_measurement(
            one, job_id=job.id, subject="shaft end", what="small end", raw="1.38", value_in=1.38,
            set_no=2,
        )  # fmt: skip
        text = make_ticket(one, job.id).text
    assert "As measured, inches: shaft end small end 1.3800." in text
    assert "1.4000" not in text


def test_chapters_stand_two_blanks_in_and_as_lists(book: Path) -> None:
    with open_book(book) as one:
        ticket = make_ticket(one, job_of(one, "25-049").id)
    assert "\nLimits:\n  Face 2.0 thou" in ticket.text
    assert '<p class="line">Limits:</p><ul class="list"><li>Face 2.0 thou' in ticket.html


def test_ticket_and_label_as_new_pdf_files(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    for words in (("ticket", "22-031", "--pdf"), ("label", "22-031")):
        place = tmp_path / f"{words[0]}.pdf"
        assert shaftlog(*words, str(place), "--book", book).code == 0
        assert place.read_bytes().startswith(b"%PDF")
        again = shaftlog(*words, str(place), "--book", book)
        assert (again.code, again.err.count("\n")) == (2, 1)
        assert "there is such a file already" in again.err
