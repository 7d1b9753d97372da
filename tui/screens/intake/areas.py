"""Riding areas of a shaft: where it rides in something, and how true it must run there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.shop_records import AREA_KINDS, RidingArea
from core.base.units import format_dial, format_from_to, format_shop_size, length_unit
from core.book import history, settings, shafts
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.intake.intake import sketch_of
from tui.screens.intake.intake_fields import read_whole, size_text, understood
from tui.widgets.form import FieldSpec, Form
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain
from tui.widgets.shaft_picture import ShaftPicture

COLUMNS = (
    Column("", 2, right=True),
    Column("Kind", 11),
    Column("Name"),
    Column("From", 12, right=True),
    Column("To", 12, right=True),
    Column("TIR limit", 20),
)
MOST_LIMIT_IN = 0.25


class AreasScreen(JobScreen):
    """The list of areas, the fields of one of them, the shaft drawn."""

    HEADING = "Riding areas"
    HOW_TO = (
        "One line for each place where the shaft rides in something. F4 starts a new area. PgUp "
        "and PgDn choose one to change. F7 removes the chosen one, F5 brings it back. An area "
        "without its own limit takes the shop's limit for its kind (F8 on the board). F6 goes on "
        "to the diameters: wear over the visits."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("data", "wear", "Wear", "Mike the areas: diameters and wear over the visits"),
        verb("act", "new_area", "New area", "A new riding area"),
        Command("previous", ("pageup",), "Prev", "Choose the area before", footer=False),
        Command("next", ("pagedown",), "Next", "Choose the next area", footer=False),
        verb("undo", "undo", "Bring back", "Bring the removed area back"),
        verb("more", "more", "More", "Remove the chosen area"),
    )
    DEFAULT_CSS = """
    AreasScreen ListBox { height: 1fr; }
    AreasScreen ShaftPicture { height: 7; }
    AreasScreen #area-title { height: auto; max-height: 2; text-style: bold; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.areas: tuple[RidingArea, ...] = ()
        self.area: RidingArea | None = None
        """The area in the fields; None = a new one is being typed."""
        self.typed: dict[str, object] = {}
        """Fields of a new area so far."""
        self.removed: RidingArea | None = None

    def body(self) -> ComposeResult:
        """List, fields, picture."""
        yield ListBox(COLUMNS, empty="No riding area yet: fill in the fields below.")
        yield Static(id="area-title")
        yield self.shared_form(self._fields, self._save)
        yield ShaftPicture()

    def on_mount(self) -> None:
        """Begin with a new area when there is none, else with the first."""
        self.query_one(ListBox).can_focus = False
        self._read()
        self._choose(self.areas[0] if self.areas else None)

    def refresh_view(self) -> None:
        """Read the areas and draw them; an area that another bench removed is left."""
        self._read()
        if self.area is not None and self.area.id not in [area.id for area in self.areas]:
            gone = self.area.name
            self._choose(self.areas[0] if self.areas else None)
            self.say(f"Another bench removed the area {gone}.", "stop")

    def _fields(self) -> tuple[FieldSpec, ...]:
        """The fields of the chosen area as the book holds them; of a new one as they begin."""
        if self.area is None:
            return _specs(None)
        held = history.areas_of(self.book, read_whole(self.book, self.job_id).job)
        return next((_specs(area) for area in held if area.id == self.area.id), ())

    def _read(self) -> None:
        whole = read_whole(self.book, self.job_id)
        self.areas = history.areas_of(self.book, whole.job)
        self.area = next((a for a in self.areas if self.area and a.id == self.area.id), self.area)
        shop = settings.as_of(self.book, whole.job.closed_at)
        box = self.query_one(ListBox)
        box.show([_row(i, area, shop) for i, area in enumerate(self.areas)])
        chosen = next((i for i, a in enumerate(self.areas) if a == self.area), None)
        title = "New area"
        if chosen is not None and self.area is not None:
            box.cursor = chosen
            title = f"Area {chosen + 1}: {self.area.name}. {overlap_words(self.area, self.areas)}"
        self.query_one("#area-title", Static).update(plain(title))
        cursor_in = self.area.from_in if self.area else None
        self.query_one(ShaftPicture).show(sketch_of(self.book, whole, cursor_in))

    def _choose(self, area: RidingArea | None) -> None:
        """Put an area (None: a new one) into the fields."""
        self.area, self.typed = area, {}
        form = self.query_one(Form)
        form.set_fields(_specs(area), force=True)
        form.focus_field("kind")
        self._read()

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError("This job is closed: nothing can be changed. Esc goes back.")
        if self.area is not None:
            self._change(self.area, name, value)
        else:
            self.typed[name] = value
            self._add_when_complete()
        if name == "limit_in":
            return _limit_echo(value)
        return understood(value) if isinstance(value, float) else None

    def on_form_said(self, event: Form.Said) -> None:
        """A new area is in the book only when both its stations are known."""
        if self.area is None and event.tone == "done":
            event.prevent_default()
            self.say("Not stored yet: a new area is stored when both its stations are typed.")

    def _change(self, area: RidingArea, name: str, value: object) -> None:
        if name in ("from_in", "to_in"):
            if value is None:
                raise ShaftlogError("An area needs both stations. F7 removes it.")
            ends = {"from_in": area.from_in, "to_in": area.to_in, name: value}
            self._check_ends(float(ends["from_in"]), float(ends["to_in"]))  # type: ignore[arg-type]
        if name == "name" and not value:
            value = area.kind
        self.area = shafts.change_area(self.book, area.id, **{name: value})
        self._read()

    def _check_ends(self, from_in: float, to_in: float) -> None:
        length_in = read_whole(self.book, self.job_id).shaft.length_in
        if from_in >= to_in:
            raise ShaftlogError("The area ends before it begins. Check both stations.")
        if to_in > length_in:
            raise ShaftlogError(
                f"The area would end beyond the shaft, at {format_shop_size(length_in)}. Check it."
            )

    def _add_when_complete(self) -> None:
        """Store a new area as soon as its kind and both stations are known."""
        from_in, to_in = self.typed.get("from_in"), self.typed.get("to_in")
        if not isinstance(from_in, float) or not isinstance(to_in, float):
            return
        limit_in = self.typed.get("limit_in")
        self.area = shafts.add_area(
            self.book,
            shaft_id=read_whole(self.book, self.job_id).shaft.id,
            kind=str(self.typed.get("kind") or AREA_KINDS[0]),
            name=str(self.typed.get("name") or ""),
            from_in=from_in,
            to_in=to_in,
            limit_in=limit_in if isinstance(limit_in, float) else None,
        )
        self._read()

    def on_form_finished(self) -> None:
        """After the last field: the next new area."""
        self.action_new_area()

    def action_wear(self) -> None:
        """F6."""
        if self.settle():
            self.context.go("wear", self.job_id)

    def action_new_area(self) -> None:
        """F4."""
        if self.settle():
            self._choose(None)
            self.say("New area: choose its kind, then type where it begins and ends.")

    def action_previous(self) -> None:
        """PgUp."""
        self._step(-1)

    def action_next(self) -> None:
        """PgDn."""
        self._step(1)

    def _step(self, by: int) -> None:
        if self.settle() and self.areas:
            at = self.areas.index(self.area) + by if self.area in self.areas else 0
            self._choose(self.areas[max(0, min(at, len(self.areas) - 1))])

    def action_more(self) -> None:
        """F7."""
        if self.area is None:
            self.say("Choose an area first: PgUp and PgDn.")
        else:
            item = MenuItem("remove", f"Remove the area {self.area.name}")
            self.ask_which("What else?", (item,), self._remove)

    def action_undo(self) -> None:
        """F5."""
        if self.read_only:
            self.say("This job is closed: nothing can be changed.", "stop")
        elif self.removed is None:
            self.say("No area was removed since this screen was opened.")
        else:
            self._bring_back(self.removed)

    def _remove(self, name: str | None) -> None:
        if name is None:
            return
        if self.read_only:
            self.say("This job is closed: nothing can be changed.", "stop")
        elif self.area is not None:
            self.removed = self.area
            with self.in_words():
                shafts.remove_area(self.book, self.area.id)
                self._read()
                self._choose(self.areas[0] if self.areas else None)
                self.say(f"Removed: {self.removed.name}. F5 brings it back.", "done")

    def _bring_back(self, old: RidingArea) -> None:
        with self.in_words():
            area = shafts.add_area(
                self.book,
                shaft_id=old.shaft_id,
                kind=old.kind,
                name=old.name,
                from_in=old.from_in,
                to_in=old.to_in,
                limit_in=old.limit_in,
            )
            self.removed = None
            self._read()
            self._choose(area)
            self.say(f"{area.name} is back.", "done")


def overlap_words(area: RidingArea, areas: Sequence[RidingArea]) -> str:
    """What is to be known of an area that shares metal with others; '' when it shares none."""
    shared = [
        f"{one.name} ({format_from_to(one.from_in, one.to_in)})"
        for one in areas
        if one.id != area.id and one.from_in < area.to_in and area.from_in < one.to_in
    ]
    return f"OVERLAPS {', '.join(shared)}: both limits hold there." if shared else ""


def _specs(area: RidingArea | None) -> tuple[FieldSpec, ...]:
    kinds = tuple((kind, kind) for kind in AREA_KINDS)
    limit = size_text(area.limit_in if area else None)
    return (
        FieldSpec("kind", "Kind", "choice", area.kind if area else AREA_KINDS[0], choices=kinds),
        FieldSpec("name", "Name", value=area.name if area else "",
                  hint="Such as 'strut bearing'; left empty it is called by its kind."),
        _station("from_in", "From station", area.from_in if area else None),
        _station("to_in", "To station", area.to_in if area else None),
        FieldSpec("limit_in", "TIR limit of its own", "length", limit,
                  "0.001, 1 thou or 0.025 mm; left empty the shop's limit for the kind holds.",
                  unit=length_unit(), echo=_limit_echo(area.limit_in if area else None),
                  least=0.0001, most=MOST_LIMIT_IN),
    )  # fmt: skip


def _station(name: str, label: str, value: float | None) -> FieldSpec:
    echo = "" if value is None else understood(value)
    text, unit = size_text(value), length_unit()
    return FieldSpec(name, label, "length", text, unit=unit, echo=echo, least=0)


def _limit_echo(limit_in: object) -> str:
    return f"= {format_dial(limit_in)}" if isinstance(limit_in, float) else "the shop's limit"


def _row(index: int, area: RidingArea, shop: settings.ShopSettings) -> ListRow:
    key = f"limit_{area.kind.replace(' ', '_')}_in"
    shop_limit = getattr(shop, key, shop.limit_other_in)
    limit = (
        f"{format_dial(shop_limit)} (shop)"
        if area.limit_in is None
        else f"{format_dial(area.limit_in)}"
    )
    ends = (format_shop_size(area.from_in), format_shop_size(area.to_in))
    return ListRow(area.id, (str(index + 1), area.kind, area.name, *ends, limit))
