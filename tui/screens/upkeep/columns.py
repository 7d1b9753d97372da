"""Which column of a gauge logger's file is which."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.jobs.sweep_import.csv_rows import COLUMNS, SweepFileError, columns_in, read_rows
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

ASKED = {"station": "Station", "clock": "Clock", "reading": "Reading"}
UNIT_WORDS = {"in": "inches", "mm": "mm", "thou": "thou", "deg": "degrees"}


class ColumnsScreen(ShopScreen):
    """Three columns, each with its unit."""

    HEADING = "Which column is which"
    HOW_TO = (
        "The headings of the file stand above. Type part of a heading for each of the three and "
        "choose its unit; F12 tries them on the file and keeps them for it and for the next one."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "keep", "Keep", "Try the columns on the file and keep them"),
    )
    DEFAULT_CSS = "ColumnsScreen #headings { height: auto; max-height: 8; margin: 0 0 1 0; }"

    def __init__(
        self,
        file_name: str,
        data: bytes,
        known: Mapping[str, str],
        then: Callable[[dict[str, str]], object] = lambda _: None,
    ) -> None:
        super().__init__()
        self.file_name = file_name
        self.data = data
        self.headings = columns_in(data, file_name)
        self.then = then
        """Called with the mapping once it is kept."""
        self.values = first_values(self.headings, known)

    def body(self) -> ComposeResult:
        """Headings, then what they are."""
        listed = "  ".join(f"[{heading}]" for heading in self.headings)
        yield Static(plain(f"Headings of {self.file_name}:\n{listed}"), id="headings")
        fields = []
        for part, label in ASKED.items():
            fields.append(
                FieldSpec(part, f"{label} is", "pick", self.values[part],
                          "Part of the heading is enough.",
                          tuple((heading, "") for heading in self.headings))
            )  # fmt: skip
            units = [ours.rpartition("_")[2] for ours in COLUMNS[part]]
            if len(units) > 1:
                fields.append(
                    FieldSpec(f"{part} unit", "  its unit", "choice", self.values[f"{part} unit"],
                              choices=tuple((unit, UNIT_WORDS[unit]) for unit in units))
                )  # fmt: skip
        yield Form(*fields, save=self._save, label_width=14, box_width=50)

    def subject(self) -> str:
        """The file."""
        return self.file_name

    def _save(self, name: str, value: object) -> str | None:
        if name in ASKED and value and str(value) not in self.headings:
            raise ShaftlogError(f"There is no heading {value!r} in the file.")
        self.values[name] = str(value)
        return None

    def on_form_finished(self) -> None:
        """Enter on the last field keeps them."""
        self.action_keep()

    def action_keep(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            mapping = mapping_of(self.values)
            try:
                rows = read_rows(self.data, self.file_name, mapping)
            except SweepFileError as error:
                raise ShaftlogError(f"Not with these columns: {error}") from error
            self.then(mapping)
            self.context.back()
            self.context.say(f"{len(rows)} lines can be read so. F4 checks the sweep.", "done")


def first_values(headings: tuple[str, ...], known: Mapping[str, str]) -> dict[str, str]:
    """What was used last where the file has such a column; else empty, with our usual units."""
    lower = {heading.casefold(): heading for heading in headings}
    values: dict[str, str] = {}
    for part, names in COLUMNS.items():
        values[part], values[f"{part} unit"] = "", names[0].rpartition("_")[2]
        for ours in names:
            theirs = lower.get(known.get(ours, ours).casefold())
            if theirs is not None:
                values[part], values[f"{part} unit"] = theirs, ours.rpartition("_")[2]
    return values


def mapping_of(values: Mapping[str, str]) -> dict[str, str]:
    """The answers as `core.jobs.sweep_import.csv_rows` takes them; refused while one is missing."""
    missing = [label for part, label in ASKED.items() if not values[part]]
    if missing:
        raise ShaftlogError(f"Still open: {', '.join(missing)}. Type part of the heading.")
    return {f"{part}_{values[f'{part} unit']}": values[part] for part in ASKED}
