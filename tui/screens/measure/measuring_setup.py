"""The base of the set-up forms behind the measuring screens: choices kept with the job."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import POWER
from core.base.units import PER_INCH, Unit, format_typed, length_unit, number_text
from core.book import choices, customers, history, jobs
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet, number_list
from core.jobs.measured import read_figures, read_fit_facts
from tui.screens.base.screen import JobScreen
from tui.screens.intake.intake_fields import size_text, understood
from tui.screens.intake.material_list import material_choices
from tui.screens.measure.measuring import JOB_CLOSED
from tui.widgets.form import FieldSpec
from tui.widgets.plain import plain

ENGINE = ("engine_hp", "shaft_rpm")


def size_echo(value_in: float | None) -> str:
    """A length as it was understood, in both units."""
    return "" if value_in is None else understood(value_in)


def length_spec(
    name: str, label: str, value_in: float | None, hint: str, *, least: float = 0.0001,
    most: float = 1200.0, unit: Unit = "in",
) -> FieldSpec:  # fmt: skip
    """A length of the set-up."""
    unit = length_unit() if unit == "in" else unit
    text = number_text(value_in)
    if unit != "in" and value_in is not None:
        text = format_typed(value_in, unit)
    return FieldSpec(
        name, label, "length", text, hint, unit=unit, echo=size_echo(value_in), least=least,
        most=most,
    )  # fmt: skip


def list_spec(name: str, label: str, numbers: tuple[float, ...], hint: str) -> FieldSpec:
    """A list of numbers; what is typed takes the place of the old list."""
    return FieldSpec(name, label, "pick", " ".join(number_text(n) for n in numbers), hint)


def places_spec(name: str, label: str, places_in: tuple[float, ...], hint: str) -> FieldSpec:
    """A list of places in the unit of the shop."""
    return FieldSpec(name, label, "pick", size_list(*places_in), hint)


def size_list(*sizes_in: float) -> str:
    """Lengths as typed in the unit of the shop, blanks between."""
    return " ".join(size_text(size_in) for size_in in sizes_in)


def typed_places_in(value: object) -> tuple[float, ...]:
    """The places of such a list, inches."""
    return tuple(n / PER_INCH[length_unit()] for n in number_list(str(value or "")))


def engine_specs(facts: FitFacts) -> tuple[FieldSpec, ...]:
    """Engine and shaft speed of the vessel: what the torque comes from."""
    return (
        FieldSpec("engine_hp", f"Engine, {POWER.unit}", "number", POWER.typed(facts.engine_hp),
                  "Full power of the engine; kept with the vessel.", quantity=POWER,
                  least=0.1, most=100_000),
        FieldSpec("shaft_rpm", "Shaft, rpm at full power", "number", number_text(facts.shaft_rpm),
                  "Turns of the shaft, after the gearbox; kept with the vessel.", least=1,
                  most=20_000),
    )  # fmt: skip


def material_spec(name: str, label: str, value: str, hint: str = "") -> FieldSpec:
    """A material by UNS number."""
    words = dict(material_choices()).get(value, "")
    return FieldSpec(
        name, label, "pick", value,
        hint or "Part of the UNS number or of the name; Enter takes the one shown behind.",
        choices=material_choices(), echo=words,
    )  # fmt: skip


class MeasuringSetupScreen(JobScreen):
    """A form; each Enter stores one choice. `NAMES` maps fields to what they are kept as."""

    SUBJECT: ClassVar[str] = ""
    NAMES: ClassVar[dict[str, str]] = {}
    """Field name to `Measurement.what`."""
    PLACE_LISTS: ClassVar[tuple[str, ...]] = ()
    """Fields that hold a list of places: typed in the unit of the shop, kept in inches."""
    DEFAULT_CSS = """
    MeasuringSetupScreen Form { height: auto; max-height: 1fr; }
    MeasuringSetupScreen #meaning { height: 1fr; border-top: solid $foreground; }
    """

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The fields as they stand."""
        raise NotImplementedError

    def check(
        self, name: str, value: object, figures: MeasurementSet, facts: FitFacts
    ) -> str | None:
        """Refuse a bad value by raising ShaftlogError; the words that go behind the field."""
        return size_echo(value) if isinstance(value, float) and name.endswith("_in") else None

    def meaning(self, facts: FitFacts) -> str:
        """Words below the form."""
        return ""

    def read(self) -> tuple[MeasurementSet, FitFacts]:
        """What the book holds."""
        book = self.book
        figures = read_figures(book, self.job_id, set_no=1)
        return figures, read_fit_facts(book, self.job_id)

    def body(self) -> ComposeResult:
        """Form and meaning."""
        yield self.shared_form(
            lambda: self.specs(*self.read()), self._save, label_width=32, box_width=16
        )
        yield Static(id="meaning")

    def refresh_view(self) -> None:
        """Show the words."""
        self.query_one("#meaning", Static).update(plain(self.meaning(self.read()[1])))

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError(JOB_CLOSED)
        figures, facts = self.read()
        words = self.check(name, value, figures, facts)
        if name in ENGINE:
            shaft = history.shaft_of(self.book, jobs.job(self.book, self.job_id))
            changes: dict[str, Any] = {name: value}
            customers.change_vessel(self.book, shaft.vessel_id, **changes)
        else:
            self._keep(name, value)
        self.refresh_view()
        return words

    def _keep(self, name: str, value: object) -> None:
        choices.choose(
            self.book,
            job_id=self.job_id,
            subject=self.SUBJECT,
            name=self.NAMES[name],
            value=self._text_kept(name, value),
            number=value if isinstance(value, float) else None,
        )

    def _text_kept(self, name: str, value: object) -> str:
        """As typed, a length with its unit: the list of changes shows it in any shop."""
        if name in self.PLACE_LISTS and length_unit() == "mm":
            return " ".join(format_typed(place_in, "in") for place_in in typed_places_in(value))
        if not isinstance(value, float):
            return str(value or "")
        if name.endswith("_in"):
            return f"{format_typed(value, length_unit())} {length_unit()}"
        return number_text(value)

    def on_form_finished(self) -> None:
        """After the last field."""
        self.finished()

    def finished(self) -> None:
        """Back to the measuring."""
        self.action_back()
