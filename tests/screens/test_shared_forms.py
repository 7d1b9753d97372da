"""Every form that several benches may have open shows the changes of another and asks first."""

from __future__ import annotations

import ast
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

import tui
from core.book import choices, customers, jobs, penetrant_checks, settings, shafts, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.jobs.measured import read_figures, take_figure
from core.jobs.repair_offer import change_terms
from tests.support.app_helpers import first_job, go, message, opened
from tests.support.typed_figures import enter, press, stored
from tui.app import ShaftlogApp
from tui.screens.measure.measuring import MeasuringScreen
from tui.widgets import shared_values
from tui.widgets.form import Form

Write = Callable[[Book, str, str], object]
"""What another bench stores: its book, the id of the job, the value."""


def _customer(book: Book, job_id: str, value: str) -> None:
    vessel = customers.vessel(book, shafts.shaft(book, jobs.job(book, job_id).shaft_id).vessel_id)
    customers.change_customer(book, vessel.customer_id, phone=value)


def _area(book: Book, job_id: str, value: str) -> None:
    area = shafts.areas_of(book, jobs.job(book, job_id).shaft_id)[0]
    shafts.change_area(book, area.id, name=value)


def _chosen(subject: str, name: str, book: Book, job_id: str, value: str) -> None:
    choices.choose(book, job_id=job_id, subject=subject, name=name, value=value)


def _price(book: Book, job_id: str, value: str) -> None:
    choices.choose(
        book, job_id=job_id, subject="parts", name="propeller nut", value=value, number=float(value)
    )


def _note(book: Book, job_id: str, value: str) -> None:
    choices.choose(
        book, job_id=job_id, subject="key check", name="trial fit", value="yes", note=value
    )


def _area_note(book: Book, job_id: str, value: str) -> None:
    penetrant_checks.note_area(book, penetrant_checks.checks_of(book, job_id)[0].id, value)


@dataclass(frozen=True)
class SharedForm:
    """A form, a field of it, and how another bench changes that field."""

    route: str
    field: str
    write: Write
    values: tuple[str, str, str] = ("one", "two", "three")
    """Stored at the other bench; stored there next; stored here."""
    options: Callable[[Book, str], dict[str, Any]] = field(default=lambda _b, _j: {})


FORMS = (
    SharedForm("intake", "phone", _customer),
    SharedForm("areas", "name", _area),
    SharedForm(
        "sweep_setup", "gauge",
        lambda b, j, v: sweeps.change_sweep(b, sweeps.sweeps_of(b, j)[0].id, gauge=v),
        options=lambda b, j: {"sweep_id": sweeps.sweeps_of(b, j)[0].id},
    ),
    SharedForm("press", "worker", lambda b, j, v: jobs.change_job(b, j, worker=v)),
    SharedForm("terms", "other_label", lambda b, j, v: change_terms(b, j, other_label=v)),
    SharedForm(
        "area_note", "note", _area_note,
        options=lambda b, j: {"check_id": penetrant_checks.checks_of(b, j)[0].id},
    ),
    SharedForm("coupling_setup", "depths", partial(_chosen, "coupling setup", "depths"),
               ("0.5", "0.5 2", "0.5 3")),
    SharedForm("face_setup", "pilot", partial(_chosen, "face setup", "pilot"),
               ("recess", "none", "spigot")),
    SharedForm("key_setup", "places", partial(_chosen, "key setup", "places"),
               ("0.5", "0.5 2", "0.5 3")),
    SharedForm("key_checks", "note 0", _note),
    SharedForm("shaft_end_setup", "standard", partial(_chosen, "shaft end setup", "standard"),
               ("J755", "metric 1:10", "none")),
    SharedForm("wear_setup", "stations", partial(_chosen, "riding area setup", "stations"),
               ("50", "50 60", "50 70")),
    SharedForm("parts", "propeller nut", _price, ("10", "20", "30")),
    SharedForm("setting_group", "shop_name", lambda b, j, v: settings.save(b, shop_name=v),
               options=lambda b, j: {"group": "Shop"}),
)  # fmt: skip
OWN_FORMS = {
    "new_customer", "hit_form", "release_form", "sweep_setup", "penetrant_pages",  # drafts
    "open_again",  # a name
    "stroke", "cooling", "heat_spot",  # a new entry each time
    "export", "import_cards", "import_sweep", "merge", "columns",  # files
}  # fmt: skip
"""Modules with a form of which no field is in the book yet."""


def held(form: Form, name: str) -> str:
    """The field as the book holds it."""
    return next(spec.value for spec in form.shared._read() if spec.name == name)


async def answer(pilot: Pilot[None], form: Form, text: str) -> None:
    """Type a text, or press the digit of a choice."""
    spec = form.fields[form.current]
    if spec.by_keys:
        await pilot.press(str([value for value, _ in spec.choices].index(text) + 1))
    else:
        form.box.value = text
        await pilot.press("enter")
    await pilot.pause()


async def at_two_benches(
    app: ShaftlogApp, pilot: Pilot[None], other: Book, one: SharedForm
) -> None:
    """Change the field there, look here; change it there again, then here."""
    job_id = first_job(app)
    first, second, ours = one.values
    options = one.options(app.book, job_id)
    app.go(one.route, job_id if one.route != "setting_group" else None, **options)
    await pilot.pause()
    form = app.screen.query_one(Form)
    form.focus_field(one.field)
    if one.route == "key_checks":
        app.screen.who = "Ada"  # type: ignore[attr-defined]
    assert app.heart is not None
    app.heart.beat()
    one.write(other, job_id, first)
    app.heart.beat()
    await pilot.pause()
    assert form.text_of(one.field) == first
    assert message(app).startswith("Changed at another bench: "), one.route
    one.write(other, job_id, second)
    await answer(pilot, form, ours)
    assert f"Another bench stored {second} in" in message(app), one.route
    await answer(pilot, form, ours)  # bounced
    assert held(form, one.field) == second, one.route
    form.shared.asked = shared_values.Asked()  # a second later
    await answer(pilot, form, ours)
    assert held(form, one.field) == ours, one.route
    app.heart.beat()
    await pilot.pause()
    assert "another bench" not in message(app).lower(), "its own entry is no news"
    app.back_to_board()
    await pilot.pause()


@pytest.mark.slow
async def test_each_form_shows_what_another_bench_stored_and_asks_before_it_overwrites_it(
    tmp_path: Path,
) -> None:
    """Found: intake, coupling and all other forms wrote over it and never showed it."""
    async with opened(tmp_path) as (app, pilot):
        penetrant_checks.start_checks(
            app.book, job_id=first_job(app), standard="", areas=[("taper", 0.0, 4.0)]
        )
        with open_book(app.book_path, by="bench 2") as other:
            for one in FORMS:
                await at_two_benches(app, pilot, other, one)


@pytest.mark.slow
async def test_a_digit_on_its_way_when_another_bench_chose_is_asked_about(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face_setup")
        form = app.screen.query_one(Form)
        form.focus_field("pilot")
        with open_book(app.book_path, by="bench 2") as other:
            _chosen("face setup", "pilot", other, first_job(app), "none")
        assert app.heart is not None
        app.heart.beat()
        await press(pilot, "2")
        assert "Another bench stored none in Pilot" in message(app)
        form.shared.asked = shared_values.Asked()  # a second later
        await press(pilot, "2")
        assert held(form, "pilot") == "recess"


@pytest.mark.slow
async def test_text_being_typed_stays_while_another_bench_stores(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "intake")
        form = app.screen.query_one(Form)
        form.focus_field("phone")
        await pilot.press("7")
        with open_book(app.book_path, by="bench 2") as other:
            _customer(other, first_job(app), "555-0199")
        assert app.heart is not None
        app.heart.beat()
        await pilot.pause()
        assert form.text_of("phone") == "7"
        assert "Changed at another bench: Phone: 555-0199" in message(app)
        await pilot.press("escape")  # stores, as a field that is left does: it asks
        await pilot.pause()
        assert "Another bench stored 555-0199 in Phone" in message(app)
        await pilot.press("escape")
        await pilot.pause()
        assert held(form, "phone") == "555-0199"


@pytest.mark.slow
async def test_a_figure_measured_at_another_bench_is_shown_and_asked_about(tmp_path: Path) -> None:
    """Found: 2.5001 and 2.5009 entered at once at one depth, no question, the later one stood."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        screen = app.screen
        assert isinstance(screen, MeasuringScreen)
        wanted = screen.here
        assert wanted is not None
        with open_book(app.book_path, by="bench 2") as other:
            job_id = first_job(app)
            seen = read_figures(other, job_id, set_no=1)
            take_figure(other, job_id, wanted, "1.7501", 1.7501, seen)
        assert app.heart is not None
        app.heart.beat()
        await pilot.pause()
        assert "Another bench measured this figure: 1.7501" in message(app)
        await enter(pilot, "1.7509")
        assert "1.7509 is not stored" in message(app)
        await press(pilot, "enter")  # bounced
        assert [m.raw for m in stored(app, "bore")] == ["1.7501"]
        screen.asked = shared_values.Asked()  # a second later
        await press(pilot, "enter")
        assert [m.raw for m in stored(app, "bore")] == ["1.7509"]


@pytest.mark.slow
async def test_a_job_closed_at_another_bench_is_opened_only_with_a_name(tmp_path: Path) -> None:
    """Found: 'waits for parts', chosen from a menu opened before, opened the released job again."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        await press(pilot, "f7", "3")
        job_id = first_job(app)
        with open_book(app.book_path, by="bench 2") as other:
            jobs.set_state(other, job_id, "released")
        await press(pilot, "2")
        assert jobs.job(app.book, job_id).state == "released"
        assert "is closed (released)" in message(app)
        await press(pilot, "f7", "4")
        await press(pilot, "backspace", "enter")
        assert "Type your name first" in message(app)
        await enter(pilot, "Ada")
        assert jobs.job(app.book, job_id).state == "open"


def test_a_form_of_the_book_is_a_shared_one() -> None:
    """Red here: a screen makes a `Form` itself. Fields of the book go through `shared_form`."""
    top = Path(tui.__file__).parent
    found = set()
    for path in (top / "screens").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Form":
                found.add(path.stem)
    assert found == OWN_FORMS | {"screen"}


def test_a_key_right_after_the_question_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    now = 100.0
    monkeypatch.setattr(shared_values, "monotonic", lambda: now)
    asked = shared_values.Asked()
    asked.ask("phone")
    now = 100.9
    assert asked.too_soon("phone")
    assert not asked.too_soon("name")
    now = 101.1
    assert not asked.too_soon("phone")
