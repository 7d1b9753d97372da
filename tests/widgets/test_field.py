"""Answers chosen by digits: a number means itself, other answers are numbered."""

from __future__ import annotations

from tui.widgets.field import FieldSpec, draw_choices

BLADES = FieldSpec("blades", "Blades", "choice", "3", choices=(("2", "2"), ("3", "3"), ("4", "4")))
MARKS = FieldSpec("marks", "Marks", "choice", "8", choices=tuple((m, m) for m in ("4", "8", "12")))
ENDS = FieldSpec("ends", "Round ends", "choice", "0", choices=(("0", "none"), ("1", "one")))


def test_a_number_means_itself() -> None:
    assert [BLADES.answer_of(d) for d in "1234"] == [None, 0, 1, 2]
    assert str(draw_choices(BLADES, "3", 40, focused=True)).split() == ["2", "[3]", "4"]


def test_two_digits_make_one_answer() -> None:
    assert MARKS.answer_of("1") is None
    assert MARKS.begins_answer("1")
    assert MARKS.answer_of("12") == 2
    assert not MARKS.begins_answer("13")


def test_other_answers_are_numbered() -> None:
    assert [ENDS.answer_of(d) for d in "123"] == [0, 1, None]
    assert "1 none" in str(draw_choices(ENDS, "0", 40, focused=False))


def test_a_text_with_words_behind_it_leaves_them_room() -> None:
    assert FieldSpec("complaint", "Complaint").takes_row
    assert not FieldSpec("due", "Due", value="2026-12-10", echo="Thu 10 Dec, in 11 days").takes_row
    assert not FieldSpec("size", "Diameter", "length").takes_row
