"""Papers about the shaft end: parts to offer the owner, order sheet for a replacement shaft."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.records import QuoteLine
from core.base.units import number_text
from core.book import choices, jobs, quotes
from core.fitting.shaft.order_sheet import PARTS, Offer, offer_text, offers_of, order_text
from core.jobs.measured import read_figures, read_fit_facts
from core.reports.paper import text_paper
from tui.base.commands import Command, verb
from tui.screens.base.printing import print_or_write
from tui.screens.base.screen import JobScreen
from tui.screens.measure.measuring import JOB_CLOSED
from tui.widgets.form import FieldSpec, Form
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

PAPERS = (
    MenuItem("parts", "Parts to offer the owner"),
    MenuItem("order_sheet", "Order sheet for a replacement shaft"),
)
MOST_PRICE = 100_000.0


class PartsScreen(JobScreen):
    """One line for each part: a price, 0 for 'offered, price open', empty for not offered."""

    HEADING = "Parts to offer"
    HOW_TO = (
        "Type a price for each part that is offered; 0 offers it with the price still open; an "
        "empty line offers nothing. F4 offers the part under the cursor, or takes it off. F12 "
        "writes the offered parts as a note on the job; F7 adds them to the last quote."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "offer", "Offer", "Offer the part under the cursor, or take it off"),
        verb("finish", "to_note", "To note", "Write the offered parts as a note on this job"),
        verb("more", "to_quote", "To quote", "Add the offered parts to the last quote"),
    )
    DEFAULT_CSS = """
    PartsScreen Form { height: auto; max-height: 1fr; }
    PartsScreen #why { height: 1fr; border-top: solid $foreground; }
    """

    def body(self) -> ComposeResult:
        """The list."""
        yield self.shared_form(self._specs, self._save, label_width=26, box_width=10)
        yield Static(id="why")

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The parts as they stand."""
        book = self.book
        return offers_of(read_figures(book, self.job_id), read_fit_facts(book, self.job_id))

    def refresh_view(self) -> None:
        """Show the part under the cursor."""
        self._show(self.query_one(Form).current)

    def _specs(self) -> tuple[FieldSpec, ...]:
        return tuple(
            FieldSpec(
                offer.part.name,
                offer.part.name.capitalize(),
                "number",
                number_text(offer.price),
                "A price; 0 = offered, price open; empty = not offered.",
                echo=_offer_echo(offer),
                least=0,
                most=MOST_PRICE,
            )
            for offer in self.offers
        )

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError(JOB_CLOSED)
        price = value if isinstance(value, float) else None
        choices.choose(
            self.book,
            job_id=self.job_id,
            subject=PARTS,
            name=name,
            value=number_text(price),
            number=price,
        )
        self._show(name)
        return _offer_echo(self._offer(name))

    def _offer(self, name: str) -> Offer:
        return next(offer for offer in self.offers if offer.part.name == name)

    def on_form_entered(self, event: Form.Entered) -> None:
        """Why this part."""
        self._show(event.name)

    def _show(self, name: str) -> None:
        part = self._offer(name).part
        count = sum(offer.price is not None for offer in self.offers)
        words = f"{part.name.capitalize()}: {part.size}\nWhy: {part.why}\n{count} offered."
        self.query_one("#why", Static).update(plain(words))

    def on_form_finished(self) -> None:
        """After the last line stay; the keys below say what to do with the list."""
        self.say("F12 writes the offered parts as a note, F7 adds them to the last quote.")

    def action_offer(self) -> None:
        """F4."""
        form = self.query_one(Form)
        with self.in_words():
            offered = self._offer(form.current).price is not None
            self._save(form.current, None if offered else 0.0)
            form.set_fields([s for s in self._specs() if s.name == form.current], force=True)

    def action_to_note(self) -> None:
        """F12."""
        if not self.settle():
            return
        with self.in_words():
            jobs.add_note(self.book, job_id=self.job_id, topic=self.HEADING, text=self._text())
            self.say("Noted on the job: F9 shows it.", "done")

    def _text(self) -> str:
        """The offered parts; refused when there are none."""
        if self.read_only:
            raise ShaftlogError(JOB_CLOSED)
        text = offer_text(self.offers)
        if not text:
            raise ShaftlogError("No part is offered yet: F4 offers the one under the cursor.")
        return text

    def action_to_quote(self) -> None:
        """F7: a new quote with the lines of the last one; the earlier ones stay."""
        if not self.settle():
            return
        with self.in_words():
            text = self._text()
            before = quotes.quotes_of(self.book, self.job_id)
            if not before:
                raise ShaftlogError(
                    "There is no quote on this job yet (repair or replace). F12 writes a note."
                )
            last = before[-1]
            parts = [_quote_line(offer) for offer in self.offers if offer.price is not None]
            labels = {line.label for line in parts}
            kept = [line for line in last.lines if line.label not in labels]
            quotes.save_quote(
                self.book,
                job_id=self.job_id,
                kind=last.kind,
                text=last.text if text in last.text else f"{last.text}\n{text}".strip(),
                lines=(*kept, *parts),
            )
            self.say(f"{len(parts)} parts stand on the quote.", "done")


def _offer_echo(offer: Offer) -> str:
    if offer.price is None:
        return ""
    return "offered" if offer.price else "offered, price open"


def _quote_line(offer: Offer) -> QuoteLine:
    price = offer.price or 0.0
    label = f"{offer.part.name}, {offer.part.size}"
    return QuoteLine(label if price else f"{label} (price open)", 1.0, price, price)


class OrderSheetScreen(JobScreen):
    """The order sheet as it would be printed."""

    HEADING = "Order sheet"
    HOW_TO = (
        "What the measured shaft says of its replacement. Figures marked (?) were not measured "
        "on this shaft: measure or ask before ordering. F12 prints the sheet, or writes "
        "it to files beside the job book; an earlier file is never written over."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "write", "Paper", "Print the order sheet, or write it to files"),
        Command("page_up", ("pageup",), "Up", "Scroll up", footer=False),
        Command("page_down", ("pagedown",), "Down", "Scroll down", footer=False),
    )
    DEFAULT_CSS = "OrderSheetScreen VerticalScroll { height: 1fr; }"
    AUTO_FOCUS = ""

    def body(self) -> ComposeResult:
        """The sheet."""
        with VerticalScroll(can_focus=False):
            yield Static(id="sheet")

    @property
    def sheet(self) -> str:
        """The text of the sheet now."""
        book = self.book
        figures, facts = read_figures(book, self.job_id), read_fit_facts(book, self.job_id)
        return order_text(figures, facts, self.subject())

    def refresh_view(self) -> None:
        """Show it."""
        self.query_one("#sheet", Static).update(plain(self.sheet))

    def action_write(self) -> None:
        """F12."""
        with self.in_words():
            tag = jobs.job(self.book, self.job_id).tag
            print_or_write(self, self.job_id, (text_paper("order sheet", tag, self.sheet),))

    def action_page_up(self) -> None:
        """PgUp."""
        self.query_one(VerticalScroll).scroll_page_up(animate=False)

    def action_page_down(self) -> None:
        """PgDn."""
        self.query_one(VerticalScroll).scroll_page_down(animate=False)
