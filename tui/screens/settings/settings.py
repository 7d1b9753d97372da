"""Settings of the shop: a menu of groups, then the fields of one group with their explanations."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book import settings
from core.jobs.intake.due import day_of
from core.jobs.shop.examples import example
from core.jobs.shop.first_values import first_value
from core.jobs.shop.unusual import UnusualValue, unusual
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
from tui.screens.settings.setting_fields import GROUPS, echo, specs_of, stored_value, summary_of
from tui.screens.settings.setting_text import SHOPS_OWN, words_for
from tui.widgets.form import FieldSpec, Form
from tui.widgets.menu import Menu, MenuItem
from tui.widgets.plain import plain

PRACTICE = MenuItem("practice", "Practice shaft: five minutes, simulated, thrown away afterwards")
KEEPING = MenuItem("keeping", "Keeping the book: backups, restore, check, merge, files")


class SettingsScreen(ShopScreen):
    """The groups."""

    HEADING = "Settings of the shop"
    HOW_TO = (
        "Limits, dial, press, prices. The first values are common practice or plain guesses, and "
        "each says so: put in your own. A change holds from now on and is kept in the event log."
    )

    def body(self) -> ComposeResult:
        """A numbered menu."""
        items = [MenuItem(group, f"{group:<12}{summary_of(group)}") for group in GROUPS]
        yield Menu([*items, KEEPING, PRACTICE])

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Open one group."""
        if event.item is KEEPING:
            self.context.go("keeping")
        elif event.item is PRACTICE:
            self.context.practise()
        else:
            self.context.go("setting_group", group=event.item.name)


class SettingsGroupScreen(ShopScreen):
    """The fields of one group; below them what the field under the cursor means."""

    HEADING = "Settings"
    HOW_TO = (
        "Enter stores a field and goes to the next one. A length may be typed in any unit: 0.002, "
        "2 thou or 0.05 mm. Below the fields you read what each means, where the first value comes "
        "from, and what yours does to a small example. A value out of the usual is asked about "
        "before it is stored."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "first_value", "First value", "Put the first value of this field back"),
    )
    DEFAULT_CSS = """
    SettingsGroupScreen Form { height: auto; max-height: 1fr; }
    SettingsGroupScreen #meaning { height: 8; border-top: solid $foreground; }
    """

    def __init__(self, group: str) -> None:
        super().__init__()
        self.group = group

    def body(self) -> ComposeResult:
        """Form and explanation."""
        yield self.shared_form(self._specs, self._save, label_width=38, box_width=14)
        yield Static(id="meaning")

    def _specs(self) -> tuple[FieldSpec, ...]:
        return specs_of(self.group, settings.load(self.book))

    def subject(self) -> str:
        """The group."""
        return self.group

    def _save(self, name: str, value: object) -> str | None:
        if value is None and name != "repeatability_in":
            raise ShaftlogError("This setting cannot be empty. Type a value, or F4 for the first.")
        if doubt := unusual(name, value):
            self._ask(name, value, doubt)
            raise ShaftlogError(f"Not stored yet. {doubt.sentence}")
        return self._store(name, value)

    def _store(self, name: str, value: object) -> str:
        shop = settings.save(self.book, **{name: stored_value(name, value)})
        settings.follow_unit(self.book)
        self._explain(name)
        field = next(f for f in settings.FIELDS if f.name == name)
        return echo(field, getattr(shop, name))

    def _ask(self, name: str, value: object, doubt: UnusualValue) -> None:
        """A value out of the usual: what is meant is asked before it is stored."""
        keep = MenuItem("keep", "It is meant so: store it")
        likely = () if doubt.likely is None else (MenuItem("likely", doubt.likely_words),)

        def answered(meant: str | None) -> None:
            with self.in_words():
                if meant is not None:
                    self._store(name, doubt.likely if meant == "likely" else value)
                self.query_one(Form).set_fields(
                    [spec for spec in self._specs() if spec.name == name], force=True
                )
                self.say("Stored." if meant else "Not stored: the value before holds.", "done")

        self.ask_which(f"{self.query_one(Form).fields[name].label}: {doubt.sentence}",
                       (*likely, keep), answered)  # fmt: skip

    def on_form_entered(self, event: Form.Entered) -> None:
        """Explain the field that has the cursor now."""
        self._explain(event.name)

    def _explain(self, name: str) -> None:
        """What it means, where its first value comes from, an example with the shop's value."""
        words, shop = words_for(name), settings.load(self.book)
        lines = [words.meaning, f"First value: {words.source or SHOPS_OWN}."]
        if shown := example(name, shop, day_of(self.book.now())):
            lines.append(f"Example: {shown}")
        self.query_one("#meaning", Static).update(plain("\n".join(lines)))

    def on_form_finished(self) -> None:
        """After the last field, back to the groups."""
        self.action_back()

    def action_first_value(self) -> None:
        """F4."""
        form = self.query_one(Form)
        name = form.current
        with self.in_words():
            first = first_value(name, settings.load(self.book).unit)
            settings.save(self.book, **{name: first})
            form.set_fields([s for s in self._specs() if s.name == name], force=True)
            self.say("The first value is back.", "done")
