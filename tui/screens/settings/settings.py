"""Settings of the shop: a menu of groups, then the fields of one group with their explanations."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book import settings
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
from tui.screens.settings.setting_fields import GROUPS, echo, specs_of, stored_value, summary_of
from tui.screens.settings.setting_text import words_for
from tui.widgets.form import FieldSpec, Form
from tui.widgets.menu import Menu, MenuItem
from tui.widgets.plain import plain

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
        yield Menu([*items, KEEPING])

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Open one group."""
        if event.item is KEEPING:
            self.context.go("keeping")
        else:
            self.context.go("setting_group", group=event.item.name)


class SettingsGroupScreen(ShopScreen):
    """The fields of one group; below them what the field under the cursor means."""

    HEADING = "Settings"
    HOW_TO = (
        "Enter stores a field and goes to the next one. A length may be typed in any unit: 0.002, "
        "2 thou or 0.05 mm. Below the fields you read what each means and where the first value "
        "comes from."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "first_value", "First value", "Put the first value of this field back"),
    )
    DEFAULT_CSS = """
    SettingsGroupScreen Form { height: auto; max-height: 1fr; }
    SettingsGroupScreen #meaning { height: 6; border-top: solid $foreground; }
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
        shop = settings.save(self.book, **{name: stored_value(name, value)})
        field = next(f for f in settings.FIELDS if f.name == name)
        return echo(field, getattr(shop, name))

    def on_form_entered(self, event: Form.Entered) -> None:
        """Explain the field that has the cursor now."""
        words = words_for(event.name)
        source = f"\nFirst value: {words.source}." if words.source else ""
        self.query_one("#meaning", Static).update(plain(words.meaning + source))

    def on_form_finished(self) -> None:
        """After the last field, back to the groups."""
        self.action_back()

    def action_first_value(self) -> None:
        """F4."""
        form = self.query_one(Form)
        name = form.current
        with self.in_words():
            first = getattr(settings.ShopSettings(), name)
            settings.save(self.book, **{name: first})
            form.set_fields([s for s in self._specs() if s.name == name], force=True)
            self.say("The first value is back.", "done")
