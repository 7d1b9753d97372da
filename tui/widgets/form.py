"""Labelled one-line fields; every Enter saves that field and moves on.

A form knows nothing of the job book. It parses what was typed (`FieldSpec.parse`), hands the value
to `save(name, value)` and shows the words that come back after the field. `save` refuses by raising
`ShaftlogError`; then the cursor stays and the reason is shown.

Kinds and what `save` gets: `text` str; `length` inches or None; `number` float or None;
`clock` radians or None; `choice` the chosen value (digits or Left/Right choose); `many` chosen
values joined by commas (digits switch); `pick` the value of the choice whose words match what was
typed, else the typed text; `heading` only words.

The form draws all its rows itself; one single text field moves from row to row. Fifteen fields
made of widgets took five times as long to open.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.style import Style
from textual.widget import Widget
from textual.widgets import Input
from textual.widgets.input import Selection

from core.base.errors import ShaftlogError
from tui.base.context import Tone
from tui.widgets.field import FieldSpec, draw_row
from tui.widgets.number_input import NumberInput
from tui.widgets.plain import clean
from tui.widgets.shared_values import OvertakenField, SharedValues, changed_words

__all__ = ["FieldSpec", "Form"]

Save = Callable[[str, object], str | None]


class Form(Widget, can_focus=True):
    """Fields one below the other; Up and Down go from field to field."""

    DEFAULT_CSS = """
    Form { height: auto; max-height: 100%; width: 1fr; }
    Form > NumberInput { position: absolute; width: 30; height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "step(-1)", show=False),
        Binding("down", "step(1)", show=False),
        Binding("left", "turn(-1)", show=False),
        Binding("right,space", "turn(1)", show=False),
        Binding("enter,ctrl+j", "enter", show=False),
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

    def __init__(
        self,
        *fields: FieldSpec,
        save: Save,
        shared: SharedValues | None = None,
        id: str | None = None,
        label_width: int = 24,
        box_width: int = 30,
    ) -> None:
        super().__init__(id=id)
        self.fields = {spec.name: spec for spec in fields}
        self.label_width = label_width
        self.box_width = box_width
        self._save = save
        self.shared = shared or SharedValues()
        self.shared.know(fields)
        self._rows: list[str | None] = []
        """Name of the field in each row; None = an empty row above a heading."""
        for spec in fields:
            if spec.kind == "heading" and self._rows:
                self._rows.append(None)
            self._rows.append(spec.name)
        self._names = [spec.name for spec in fields if spec.kind != "heading"]
        self.current = self._names[0]
        """Name of the field with the cursor."""
        self.box = NumberInput(arrows_move=True, allow_empty=True, max_length=400)
        self._top = 0
        self._live_echo = ""
        self._digits = ""
        """Digits of an answer that is not complete yet: the 1 of 12."""
        self._came_by_digit = False
        """The cursor came here because a digit answered the field before."""
        self._refused: tuple[str, str] | None = None
        self._just_stored = False

    def compose(self) -> ComposeResult:
        """The one text field."""
        yield self.box

    def on_mount(self) -> None:
        """Put the cursor into the first field."""
        self._enter_field(self.current)

    # -- for the screen --------------------------------------------------------------------------

    def text_of(self, name: str) -> str:
        """What a field shows now, saved or not."""
        spec = self.fields[name]
        return self.box.value if name == self.current and not spec.by_keys else spec.value

    def set_field(self, name: str, value: str, echo: str = "") -> None:
        """Show another saved value in a field (what is being typed there is replaced)."""
        self.fields[name] = replace(self.fields[name], value=value, echo=echo)
        if name == self.current:
            self._live_echo = ""
            self._fill_box()
        self._repaint(name)

    def set_fields(self, specs: Sequence[FieldSpec], *, force: bool = False) -> None:
        """Show fresh values of fields that exist; one being typed in is left alone (or `force`)."""
        self.shared.know(specs)
        for spec in specs:
            typing = self.text_of(spec.name) != self.fields[spec.name].value
            self.fields[spec.name] = spec
            if spec.name == self.current and (force or not typing):
                self._refused = None
                self._fill_box()
        self.refresh()

    def look(self, *, quiet: bool = False) -> None:
        """Show what other benches have stored, and say so unless `quiet`; typed text stays."""
        news, here = self.shared.news(), self.fields[self.current]
        typing = self.text_of(here.name) != here.value
        self.set_fields([one for one in news if not (typing and one.name == here.name)])
        if not quiet and here.by_keys and here.name in [one.name for one in news]:
            self.shared.unseen.add(here.name)
        if news and not quiet:
            self.post_message(self.Said(changed_words(news), "stop"))

    def focus_field(self, name: str, *, quiet: bool = False) -> None:
        """Put the cursor in a field; `quiet` leaves the message line as it is."""
        self._just_stored = self._just_stored or quiet
        self._enter_field(name, quiet=quiet)
        self._take_focus()

    def settle(self) -> bool:
        """Save the field under the cursor when it was changed.

        False when that was refused; a second try with the same text leaves it out.
        """
        typed, before = self.text_of(self.current), self.fields[self.current].value
        return before == typed or self._refused == (self.current, typed) or self._take(typed)

    # -- saving and moving -----------------------------------------------------------------------

    def _take(self, typed: str) -> bool:
        """Parse and save the field under the cursor."""
        spec = self.fields[self.current]
        if self.shared.asked.too_soon(spec.name):
            return False
        try:
            value = spec.parse(typed)
            with self.shared.together():
                self.shared.ask_first(spec.name)
                echo = self._save(spec.name, value)
                self._show_own(spec)
        except ShaftlogError as error:
            if isinstance(error, OvertakenField):
                self.fields[spec.name] = error.held
                self._repaint(spec.name)
            self._refused = (spec.name, typed)
            self._select_text()
            self.post_message(self.Said(str(error), "stop"))
            return False
        self._refused, self._just_stored = None, True
        # The screen may have set the field itself while saving (`set_field`); then that counts.
        if self.fields[spec.name] is spec:
            shown = str(value) if spec.kind in ("pick", "text") else typed.strip()
            self.set_field(spec.name, shown, echo if echo is not None else spec.echo)
        self.post_message(self.Said(f"{spec.label}: stored.", "done"))
        return True

    def _show_own(self, spec: FieldSpec) -> None:
        """What was just stored is known; it may have changed other fields with it."""
        news = self.shared.news()
        self.shared.know(news)
        self.set_fields([one for one in news if one.name != spec.name])

    def _go(self, by: int) -> bool:
        """Cursor to the next or previous field; False at the ends."""
        at = self._names.index(self.current) + by
        if not 0 <= at < len(self._names):
            return False
        self.focus_field(self._names[at])
        return True

    def _enter_field(self, name: str, *, quiet: bool = False) -> None:
        self._repaint(self.current)
        self.current = name
        self._live_echo = ""
        self._digits = ""
        self._came_by_digit = False
        spec = self.fields[name]
        self.shared.unseen.discard(name)
        self.box.restrict = spec.restrict
        self.box.pad_only = spec.is_number
        self._scroll_to_field(name)
        self._fill_box()
        self._repaint(name)
        self.post_message(self.Entered(name))
        # Words about the field just stored may stay, a hint of another field may not.
        if not self._just_stored or (spec.hint and not quiet):
            self.post_message(self.Said(spec.hint))
        self._just_stored = False

    def _fill_box(self) -> None:
        """The saved value into the text field."""
        text = clean(self.fields[self.current].value)
        if self.box.value != text:
            with self.box.prevent(Input.Changed):
                self.box.value = text
        self._select_text()

    def _select_text(self) -> None:
        """All of it, and shown so: the first key replaces it, End goes to its end."""
        self.box.selection = Selection(0, len(self.box.value))

    def _take_focus(self) -> None:
        """Focus to the text field, or to the form itself where digits choose."""
        if self.is_mounted:
            field = self if self.fields[self.current].by_keys else self.box
            self.screen.set_focus(field, scroll_visible=False)

    # -- keys ------------------------------------------------------------------------------------

    def on_focus(self) -> None:
        """The focus came to the form: hand it to the text field where text is typed."""
        self._take_focus()
        self._repaint(self.current)

    def on_blur(self) -> None:
        """The focus left, or the text field got it."""
        self._repaint(self.current)

    on_descendant_focus = on_blur

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the text field."""
        event.stop()
        self.action_enter()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell the screen what is being typed; show what it would match."""
        event.stop()
        spec = self.fields[self.current]
        if spec.by_keys:
            return
        if spec.kind == "pick":
            self._live_echo = spec.match_words(event.value)
            self._repaint(spec.name)
        self.post_message(self.Typed(spec.name, event.value))

    def on_key(self, event: events.Key) -> None:
        """A digit chooses and goes on to the next field, as Enter does."""
        spec = self.fields[self.current]
        if not spec.by_keys or not event.character or event.character not in "1234567890":
            return
        event.stop()
        digits = self._digits + event.character
        if spec.answer_of(digits) is None and not spec.begins_answer(digits):
            digits = event.character
        index = spec.answer_of(digits)
        self._digits = digits if index is None else ""
        if index is None:
            if not spec.begins_answer(digits):
                self.post_message(self.Said(f"{spec.label}: {digits} is no answer here.", "stop"))
        elif self._choose(spec.after_digit(spec.value, index)) and spec.kind == "choice":
            self._came_by_digit = self._go(self._past_asides())

    def _past_asides(self) -> int:
        """Steps to the next field that a digit goes to: past notes nobody wrote."""
        after = self._names[self._names.index(self.current) + 1 :]
        stops = (n for n, name in enumerate(after, start=1) if not self.fields[name].skipped)
        return next(stops, len(after) + 1)

    def _choose(self, value: str) -> bool:
        return value == self.fields[self.current].value or self._take(value)

    def action_turn(self, by: int) -> None:
        """Left or Right on a choice."""
        spec = self.fields[self.current]
        if spec.by_keys:
            self._choose(spec.after_step(spec.value, by))

    def action_enter(self) -> None:
        """Enter: save what was changed, then move on.

        Enter right after a digit that chose an answer only confirms it: the digit moved on already.
        """
        typed = self.text_of(self.current)
        unchanged = typed == self.fields[self.current].value
        came_by_digit, self._came_by_digit = self._came_by_digit, False
        if came_by_digit and unchanged:
            return
        if (unchanged or self._take(typed)) and not self._go(1):
            self.post_message(self.Finished())

    def action_step(self, by: int) -> None:
        """Up or Down: save what was changed, then go."""
        if self.settle():
            self._fill_box()
            self._go(by)

    # -- drawing -----------------------------------------------------------------------------------

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """One row for each field."""
        return len(self._rows)

    def on_resize(self) -> None:
        """Keep the cursor in sight."""
        self._scroll_to_field(self.current)
        self.refresh()

    def _widths(self) -> tuple[int, int]:
        """Width of the labels, and of the box of the field under the cursor."""
        label = min(self.label_width, self.size.width // 2)
        room = max(self.size.width - label, 1)
        whole_row = self.fields[self.current].takes_row
        return label, room if whole_row else min(self.box_width, room)

    def _scroll_to_field(self, name: str) -> None:
        """Scroll so that the field is seen, and put the text field over it."""
        # Before the first layout there is no height yet: then nothing is scrolled away.
        row, room = self._rows.index(name), self.size.height or len(self._rows)
        first = 0 if name == self._names[0] else row
        most = max(len(self._rows) - room, 0)
        top = max(min(self._top, first, most), row - room + 1, 0)
        if top != self._top:
            self._top = top
            self.refresh()
        label, box = self._widths()
        self.box.display = not self.fields[name].by_keys
        self.box.styles.offset = (label, row - top)
        self.box.styles.width = box

    def _repaint(self, name: str) -> None:
        row = self._rows.index(name) - self._top
        self.refresh(Region(0, row, max(self.size.width, 1), 1))

    def render_line(self, y: int) -> Strip:
        """One row; an arrow at the edge says that there is more."""
        width, at = self.size.width, self._top + y
        name = self._rows[at] if 0 <= at < len(self._rows) else None
        content = self._row(self.fields[name], width) if name is not None else Content("")
        above = y == 0 and self._top > 0
        below = y == self.size.height - 1 and at < len(self._rows) - 1
        if above or below:
            content = content.truncate(width - 1, pad=True) + Content.styled(
                "^" if above else "v", "reverse"
            )
        segments = content.truncate(width, pad=True).render_segments(Style())
        return Strip(segments, width)

    def _row(self, spec: FieldSpec, width: int) -> Content:
        return draw_row(
            spec,
            width,
            label_width=self.label_width,
            box_width=self.box_width,
            echo=self._live_echo if spec.name == self.current and self._live_echo else spec.echo,
            focused=spec.name == self.current and self.has_focus_within,
        )
