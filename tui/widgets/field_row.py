"""One row of a form: label, box, and the words behind it."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widget import Widget
from textual.widgets import Static

from tui.widgets.choice import ChoiceBox, ManyBox
from tui.widgets.number_input import LineInput, NumberInput
from tui.widgets.plain import clean, plain

NUMBER = r"[-+]?\d*[.,]?\d*"


class FieldRow(Widget):
    """Label, then a `LineInput`, `NumberInput`, `ChoiceBox` or `ManyBox`, then the echo."""

    DEFAULT_CSS = """
    FieldRow { layout: horizontal; height: 1; width: 100%; }
    FieldRow > .field-label { width: 24; }
    FieldRow > LineInput { width: 30; }
    FieldRow > .field-echo { width: 1fr; padding: 0 0 0 1; }
    FieldRow.-long > LineInput { width: 1fr; }
    FieldRow.-long > .field-echo { width: auto; }
    FieldRow.-heading { margin: 1 0 0 0; }
    FieldRow.-heading > .field-label { width: 1fr; text-style: bold underline; }
    """

    def __init__(
        self,
        name: str,
        label: str,
        kind: str,
        value: str,
        echo: str,
        choices: tuple[tuple[str, str], ...],
    ) -> None:
        super().__init__(classes=f"-{'long' if kind == 'text' else kind}")
        self.field_name = name
        self.label_text = label
        self.kind = kind
        self._first = value
        self._first_echo = echo
        self._choices = choices
        self.box: LineInput | ChoiceBox | None = None

    def compose(self) -> ComposeResult:
        """Label, box, echo."""
        yield Static(plain(self.label_text), classes="field-label")
        if self.kind == "heading":
            return
        if self.kind == "choice":
            self.box = ChoiceBox(self._choices, self._first)
        elif self.kind == "many":
            self.box = ManyBox(self._choices, self._first)
        elif self.kind in ("text", "pick"):
            self.box = LineInput(clean(self._first), max_length=400)
        else:
            restrict = NUMBER if self.kind in ("number", "clock") else None
            self.box = NumberInput(
                clean(self._first),
                restrict=restrict,
                max_length=24,
                allow_empty=True,
                arrows_move=True,
            )
        yield self.box
        if self.kind not in ("choice", "many"):
            yield Static(plain(self._first_echo), classes="field-echo")

    @property
    def text(self) -> str:
        """What stands in the box."""
        return self.box.value if self.box is not None else ""

    def show(self, value: str, echo: str) -> None:
        """Put a saved value and its echo on the row."""
        if isinstance(self.box, ChoiceBox):
            self.box.show(value)
        elif self.box is not None and self.box.value != clean(value):
            self.box.value = clean(value)
            self.box.cursor_position = len(self.box.value)
        self.show_echo(echo)

    def show_echo(self, echo: str) -> None:
        """Put words behind the box."""
        if self.is_mounted and self.kind not in ("choice", "many", "heading"):
            self.query_one(".field-echo", Static).update(plain(echo))

    def focus_box(self) -> None:
        """Put the cursor here."""
        if self.box is not None:
            self.box.focus()
