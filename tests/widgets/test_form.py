"""A form by keys: what a key replaces, and where the cursor goes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from textual.app import App, ComposeResult

from tui.widgets.form import FieldSpec, Form

SPECS = (
    FieldSpec("side", "Side", "choice", "", choices=(("port", "port"), ("single", "only one"))),
    FieldSpec("size", "Size", "length"),
    FieldSpec("marks", "Marks", "choice", "8", choices=tuple((m, m) for m in ("4", "8", "12"))),
    FieldSpec("words", "Complaint", "text", "shakes"),
)


class OneForm(App[None]):
    """Nothing but the form."""

    def __init__(self) -> None:
        super().__init__()
        self.saved: list[tuple[str, Any]] = []

    def compose(self) -> ComposeResult:
        yield Form(*SPECS, save=self.save)

    def save(self, name: str, value: object) -> None:
        self.saved.append((name, value))


@pytest.mark.slow
async def test_a_choice_moves_on_and_the_next_digit_goes_to_the_next_field() -> None:
    app = OneForm()
    async with app.run_test() as pilot:
        await pilot.press("2", "2", "space", "1", "slash", "4", "enter")
        assert app.saved == [("side", "single"), ("size", 2.25)]


@pytest.mark.slow
async def test_twelve_marks_are_typed_as_twelve_and_no_half_answer_is_taken() -> None:
    app = OneForm()
    async with app.run_test() as pilot:
        await pilot.press("down", "down", "1")
        assert app.saved == []
        await pilot.press("2")
        assert app.saved == [("marks", "12")]
        await pilot.press("up", "5")
        assert app.saved == [("marks", "12")]


@pytest.mark.slow
async def test_typing_replaces_text_as_it_replaces_numbers() -> None:
    app = OneForm()
    async with app.run_test() as pilot:
        await pilot.press("down", "down", "down", *"leaks", "enter")
        assert app.saved == [("words", "leaks")]
        await pilot.press("up", "down", "end", *"!", "enter")
        assert app.saved[-1] == ("words", "leaks!")


@pytest.mark.slow
async def test_a_text_is_shown_as_it_is_stored() -> None:
    """Found: a blank typed first stayed on the screen, though it is stored without."""
    app = OneForm()
    async with app.run_test() as pilot:
        await pilot.press("down", "down", "down", "space", *"leaks", "space", "enter")
        assert app.saved == [("words", "leaks")]
        assert app.query_one(Form).fields["words"].value == "leaks"


@pytest.mark.slow
async def test_enter_after_a_digit_confirms_and_does_not_pass_over_the_next_field() -> None:
    app = OneForm()
    async with app.run_test() as pilot:
        await pilot.press("2", "enter", "4", "enter")
        assert app.saved == [("side", "single"), ("size", 4.0)]


class CheckList(OneForm):
    """Answers by digit, each with a note that may stay empty."""

    def compose(self) -> ComposeResult:
        answers = (("", "open"), ("yes", "in order"), ("no", "not"))
        note = FieldSpec("note 0", "  note", aside=True)
        point = FieldSpec("point 0", "Seat", "choice", "", choices=answers)
        specs = [(replace(point, name=f"point {n}"), replace(note, name=f"note {n}"))
                 for n in range(3)]  # fmt: skip
        yield Form(*(spec for pair in specs for spec in pair), save=self.save)


@pytest.mark.slow
async def test_a_digit_goes_past_empty_notes_with_or_without_enter() -> None:
    app = CheckList()
    async with app.run_test() as pilot:
        form = app.query_one(Form)
        await pilot.press("2", "enter", "3", "up", *"scratched", "enter", "2", "enter")
        assert app.saved == [
            ("point 0", "yes"), ("point 1", "no"), ("note 1", "scratched"), ("point 2", "yes")
        ]  # fmt: skip
        assert form.current == "note 2"  # Enter on the last point goes on as anywhere
        await pilot.press("up", "up", "up", "2")
        assert form.current == "note 1", "a note with words in it is not passed over"


@pytest.mark.slow
async def test_the_key_after_a_refused_text_replaces_it() -> None:
    app = OneForm()
    async with app.run_test() as pilot:
        form = app.query_one(Form)
        await pilot.press("down", *"9999999", "enter")
        assert (form.current, form.box.value) == ("size", "9999999")
        await pilot.press(*"12", "enter")
        assert app.saved == [("size", 12.0)]
        await pilot.press("up", *"3", "backspace", *"1 in 4", "enter", "end", "backspace")
        assert form.box.value == "1 in "
