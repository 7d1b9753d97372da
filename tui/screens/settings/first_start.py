"""A book nobody has worked with: shop name and dial, then the first shaft or the practice shaft."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.units import format_dial, length_unit
from core.book import settings
from core.jobs.intake.first_start import DIALS, choose_dial, dial_of
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
from tui.screens.intake.intake_fields import size_text
from tui.widgets.field import FieldSpec
from tui.widgets.plain import plain


class FirstStartScreen(ShopScreen):
    """Two fields; everything else is stated below them."""

    HEADING = "First start"
    HOW_TO = (
        "Type the name of the shop and press the digit of your dial. Enter on the last field goes "
        "on to the first shaft. Everything else has a usual value, stated below the fields; F8 on "
        "the board changes it at any time. Esc goes to the board."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "first_shaft", "First shaft", "Store this and take the first shaft in"),
        verb("act", "practice", "Practice shaft", "Five minutes with a simulated shaft first"),
    )
    DEFAULT_CSS = "FirstStartScreen Static { height: auto; margin: 1 0 0 0; }"

    def body(self) -> ComposeResult:
        """The two fields, the values not asked for, what comes next."""
        yield Static(plain("Two things about your shop:"))
        yield self.shared_form(self._specs, self._save, label_width=15)
        yield Static(id="usual")
        yield Static(
            plain(
                "Enter or F12 goes on to the first shaft.\n"
                "F4 is a practice shaft: five minutes on the real screens, thrown away afterwards."
            )
        )

    def _specs(self) -> tuple[FieldSpec, ...]:
        return (
            FieldSpec("shop_name", "Shop name", value=settings.load(self.book).shop_name),
            FieldSpec(
                "dial", "Dial reads to", "choice", dial_of(self.book).words,
                choices=tuple((dial.words, dial.words) for dial in DIALS),
            ),
        )  # fmt: skip

    def refresh_view(self) -> None:
        """The usual values of what is not asked."""
        shop = settings.load(self.book)
        turn, apart = (
            f"{size_text(value)} {length_unit()}" for value in (shop.dial_turn_in, shop.spacing_in)
        )
        lines = (
            "Not asked, and set like this until you change it (F8 on the board):",
            f"  readings typed in {shop.unit}; one turn of the dial is {turn}",
            f"  {shop.marks} marks round the shaft, a station every {apart}",
            f"  runout under {format_dial(shop.limit_between_in)} everywhere "
            "(common practice, no source)",
        )
        self.query_one("#usual", Static).update(plain("\n".join(lines)))

    def _save(self, name: str, value: object) -> str | None:
        if name == "dial":
            choose_dial(self.book, str(value))
            self.context.follow_unit()
        else:
            settings.save(self.book, shop_name=str(value).strip())
        self.refresh_view()
        return None

    def on_form_finished(self) -> None:
        """Enter on the last field."""
        self.action_first_shaft()

    def action_first_shaft(self) -> None:
        """F12."""
        if self.settle():
            self.context.back_to_board()
            self.context.go("new_customer")

    def action_practice(self) -> None:
        """F4."""
        if self.settle():
            self.context.practise()
