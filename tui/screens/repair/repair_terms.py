"""Prices, other work and wear of one job, beside the shop's own."""

from __future__ import annotations

from textual.app import ComposeResult

from core.base.errors import ShaftlogError
from core.base.quantities import PRICE_BY_WEIGHT
from core.base.units import format_length, number_text
from core.jobs.repair_offer import change_terms, terms_of
from tui.screens.base.screen import JobScreen
from tui.widgets.form import FieldSpec

LABELS = (
    ("labour_rate", "Labour, an hour"),
    ("consumables", "Consumables"),
    ("bar_per_lb", "Bar"),
    ("machining", "Machining, new shaft"),
    ("freight", "Freight"),
)


class TermsScreen(JobScreen):
    """A form; each Enter is kept with this job alone."""

    HEADING = "Prices of this job"
    HOW_TO = (
        "What is changed here holds for this job only; the shop's prices stand in the settings. "
        "Other work is what the old shaft needs besides straightening. Wear: the smallest diameter "
        "found at a riding area and the least it may have; under it the repair ends."
    )

    def body(self) -> ComposeResult:
        """The form."""
        yield self.shared_form(self._specs, self._save)

    def _specs(self) -> tuple[FieldSpec, ...]:
        terms = terms_of(self.book, self.job_id)
        money = [_price(name, label, getattr(terms, name)) for name, label in LABELS]
        return (
            *money,
            FieldSpec("other_label", "Other work", "text", terms.other_label),
            FieldSpec("other_hours", "  hours", "number", number_text(terms.other_hours), least=0.0,
                      most=1000.0),
            FieldSpec("other_price", "  parts, bought work", "number",
                      number_text(terms.other_price), least=0.0, most=1e7),
            FieldSpec("worn_name", "Worn riding area", "text", terms.worn_name),
            FieldSpec("worn_in", "  smallest diameter", "length", _text(terms.worn_in)),
            FieldSpec("least_in", "  least allowed", "length", _text(terms.least_in)),
        )  # fmt: skip

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError("This job is closed: its prices can be read, not changed.")
        if value is None and name not in ("worn_in", "least_in"):
            value = 0.0
        change_terms(self.book, self.job_id, **{name: value})
        return None

    def on_form_finished(self) -> None:
        """After the last field, back to the decision."""
        self.action_back()


def _price(name: str, label: str, value: float) -> FieldSpec:
    if name != "bar_per_lb":
        return FieldSpec(name, label, "number", number_text(value), least=0.0, most=1e7)
    per = PRICE_BY_WEIGHT
    return FieldSpec(
        name, f"{label}, {per.unit}", "number", per.typed(value), quantity=per, least=0.0, most=1e7
    )


def _text(value: float | None) -> str:
    return "" if value is None else format_length(value, unit=False)
