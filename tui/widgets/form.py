"""Labelled one-line fields; every Enter saves that field and moves on.

A form knows nothing of the job book. It parses what was typed (lengths, clocks, numbers: through
`core.units`), hands the value to `save(name, value)` and shows the words that come back behind the
field. `save` refuses by raising `ShaftlogError`; then the cursor stays and the reason is shown.

Kinds and what `save` gets: `text` str; `length` inches or None; `number` float or None;
`clock` radians or None; `choice` the chosen value (digits or Left/Right choose); `many` chosen
values joined by commas (digits switch); `pick` the value
of the choice whose words match what was typed, else the typed text; `heading` only words.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Input

from core.errors import ShaftlogError
from core.units import MOST_IN, parse_clock_rad, parse_length_in, parse_number
from tui.widgets.choice import ChoiceBox
from tui.widgets.field_row import FieldRow
from tui.widgets.message import Tone

Save = Callable[[str, object], str | None]


@dataclass(frozen=True)
class FieldSpec:
    """One field of a form."""

    name: str
    label: str
    kind: str = "text"
    value: str = ""
    """As a person would type it; for `choice` the value of the choice."""
    hint: str = ""
    """Shown in the message line while the field has the cursor."""
    choices: tuple[tuple[str, str], ...] = ()
    """(value, words) of `choice`, `many` and `pick`."""
    unit: str = "in"
    """Unit of a length typed without one: in, thou or mm."""
    echo: str = ""
    """Words behind the field, such as how the value was understood."""
    least: float | None = None
    """Least value of a length (inches) or number."""
    most: float | None = None
    """Most value of a length (inches) or number."""

    def parse(self, text: str) -> object:
        """The value of a typed text; empty = None (or empty text)."""
        typed = text.strip()
        if self.kind in ("text", "choice", "many"):
            return typed
        if self.kind == "pick":
            return self.best_match(typed) or typed
        if not typed:
            return None
        if self.kind == "clock":
            return parse_clock_rad(typed, what=self.label)
        if self.kind == "length":
            least = -MOST_IN if self.least is None else self.least
            most = MOST_IN if self.most is None else self.most
            return parse_length_in(
                typed,
                self.unit,  # type: ignore[arg-type]
                least_in=least,
                most_in=most,
                what=self.label,
            )
        least = -1e6 if self.least is None else self.least
        most = 1e6 if self.most is None else self.most
        return parse_number(typed, least=least, most=most, what=self.label)

    def matches(self, typed: str) -> tuple[tuple[str, str], ...]:
        """Choices that hold every word typed, in any order."""
        words = typed.lower().split()
        return tuple(c for c in self.choices if all(w in f"{c[0]} {c[1]}".lower() for w in words))

    def best_match(self, typed: str) -> str:
        """Value of the exact or the only sensible choice; empty when nothing fits."""
        exact = [value for value, words in self.choices if typed.lower() in (value.lower(), words)]
        found = exact or [value for value, _ in self.matches(typed)]
        return found[0] if typed and found else ""


class Form(VerticalScroll, can_focus=False):
    """Fields one below the other; Up and Down go from field to field."""

    DEFAULT_CSS = """
    Form { height: auto; max-height: 100%; width: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "step(-1)", show=False),
        Binding("down", "step(1)", show=False),
    ]

    class Said(Message):
        """Words for the message line."""

        def __init__(self, words: str, tone: Tone = "hint") -> None:
            super().__init__()
            self.words = words
            self.tone: Tone = tone

    class Typed(Message):
        """The text of a field changed while typing (nothing is saved yet)."""

        def __init__(self, name: str, text: str) -> None:
            super().__init__()
            self.name = name
            self.text = text

    class Entered(Message):
        """The cursor came into a field."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.name = name

    class Finished(Message):
        """Enter was pressed on the last field."""

    def __init__(self, *fields: FieldSpec, save: Save, id: str | None = None) -> None:
        super().__init__(id=id)
        self.fields = {spec.name: spec for spec in fields}
        self._save = save
        self._refused: tuple[str, str] | None = None

    def compose(self) -> ComposeResult:
        """One row for each field."""
        for spec in self.fields.values():
            yield FieldRow(spec.name, spec.label, spec.kind, spec.value, spec.echo, spec.choices)

    # -- for the screen --------------------------------------------------------------------------

    def row(self, name: str) -> FieldRow:
        """The row of a field."""
        return next(row for row in self.query(FieldRow) if row.field_name == name)

    def set_field(self, name: str, value: str, echo: str = "") -> None:
        """Show another saved value in a field (what is being typed there is replaced)."""
        self.fields[name] = replace(self.fields[name], value=value, echo=echo)
        self.row(name).show(value, echo)

    def set_fields(self, specs: Sequence[FieldSpec], *, force: bool = False) -> None:
        """Show fresh values of fields that exist; one being typed in is left alone (or `force`)."""
        for spec in specs:
            row = self.row(spec.name)
            if force or row.text == self.fields[spec.name].value:
                self.set_field(spec.name, spec.value, spec.echo)
            self.fields[spec.name] = spec

    def focus_field(self, name: str) -> None:
        """Put the cursor in a field."""
        self.row(name).focus_box()

    @property
    def current(self) -> FieldRow | None:
        """The row with the cursor."""
        return next((row for row in self.query(FieldRow) if row.has_focus_within), None)

    def settle(self) -> bool:
        """Save the field under the cursor when it was changed.

        False when that was refused; a second try with the same text leaves it out.
        """
        row = self.current
        if row is None or row.text == self.fields[row.field_name].value:
            return True
        if self._refused == (row.field_name, row.text):
            return True
        return self._take(row)

    # -- inner workings ----------------------------------------------------------------------------

    def _take(self, row: FieldRow) -> bool:
        """Parse and save one field."""
        spec = self.fields[row.field_name]
        typed = row.text
        try:
            value = spec.parse(typed)
            echo = self._save(spec.name, value)
        except ShaftlogError as error:
            self._refused = (spec.name, typed)
            self.post_message(self.Said(str(error), "stop"))
            return False
        self._refused = None
        shown = str(value) if spec.kind == "pick" else typed
        # The screen may have set the field itself while saving (`set_field`); then that stands.
        if self.fields[spec.name] is spec:
            self.set_field(spec.name, shown, echo if echo is not None else spec.echo)
        self.post_message(self.Said(f"{spec.label}: stored.", "done"))
        return True

    def _step(self, row: FieldRow, by: int) -> None:
        """Cursor to the next or previous field that can take it."""
        rows = [r for r in self.query(FieldRow) if r.kind != "heading"]
        at = rows.index(row) + by
        if 0 <= at < len(rows):
            rows[at].focus_box()
        elif by > 0:
            self.post_message(self.Finished())

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter: save what was changed, then move on."""
        event.stop()
        self._enter()

    def on_choice_box_chosen(self, event: ChoiceBox.Chosen) -> None:
        """A choice saves at once; Enter on it moves on."""
        event.stop()
        row = self.current
        if row is not None and (event.final or row.text != self.fields[row.field_name].value):
            self._enter(move=event.final)

    def _enter(self, move: bool = True) -> None:
        row = self.current
        if row is None:
            return
        changed = row.text != self.fields[row.field_name].value
        if (not changed or self._take(row)) and move:
            self._step(row, 1)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell the screen what is being typed; show what it would match."""
        event.stop()
        row = self.current
        if row is None:
            return
        spec = self.fields[row.field_name]
        if spec.kind == "pick" and row.text != spec.value:
            found = spec.matches(row.text)
            more = f"  (+{len(found) - 1})" if len(found) > 1 else ""
            row.show_echo(f"{found[0][1]}{more}" if found and row.text.strip() else "")
        self.post_message(self.Typed(spec.name, row.text))

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Show the hint of the field that has the cursor now."""
        row = self.current
        if row is not None:
            self.post_message(self.Entered(row.field_name))
            hint = self.fields[row.field_name].hint
            if hint:
                self.post_message(self.Said(hint))

    def action_step(self, by: int) -> None:
        """Up or Down: save what was changed, then go."""
        row = self.current
        if row is not None and self.settle():
            self._step(row, by) if by < 0 or row is not self._last_row() else None

    def _last_row(self) -> FieldRow:
        return [r for r in self.query(FieldRow) if r.kind != "heading"][-1]
