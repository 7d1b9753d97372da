"""The shop's settings: typed, with defaults; a change is kept in the event log.

    shop = settings.load(book)          # ShopSettings, one query
    settings.save(book, spacing_in=4.0)

`FIELDS` lists what the settings screen shows, in its order. What the program itself remembers
(column mappings, last choices) goes through `remember` and `recall`.
"""

from __future__ import annotations

import json
from dataclasses import asdict, fields
from typing import Any, Literal

from core.base.dial_unit import show_dial_in
from core.base.light_dataclass import dataclass
from core.base.limits import DEFAULT_LIMIT_IN
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import DamagedBook, Refused

MONTH_FIRST, DAY_FIRST = "month first", "day first"
AS_TEXT, AS_PDF = "text", "PDF"
SHEETS = ("letter", "A4")


@dataclass(frozen=True)
class ShopSettings:
    """All settings. Lengths in inches, money in the shop's own currency, loads in lbf."""

    shop_name: str = ""
    shop_phone: str = ""
    shop_address: str = ""
    bench_name: str = "bench 1"
    bell: bool = True
    unit: str = "thou"
    date_order: str = MONTH_FIRST
    print_command: str = ""
    print_form: str = AS_TEXT
    label_command: str = ""
    sheet: str = SHEETS[0]
    limit_taper_in: float = DEFAULT_LIMIT_IN
    limit_bearing_in: float = DEFAULT_LIMIT_IN
    limit_shaft_log_in: float = DEFAULT_LIMIT_IN
    limit_coupling_in: float = DEFAULT_LIMIT_IN
    limit_other_in: float = DEFAULT_LIMIT_IN
    limit_between_in: float = DEFAULT_LIMIT_IN
    acceptance_rule: str = "guarded"
    resolution_in: float = 0.0005
    repeatability_in: float | None = None
    dial_turn_in: float = 0.100
    gauge: str = ""
    marks: int = 8
    spacing_in: float = 6.0
    closing_mark: bool = False
    oval_prior_in: float = 0.0004
    lobe_prior_in: float = 0.0002
    hold_hours: float = 12.0
    press_capacity_lbf: float = 40_000.0
    block_span_in: float = 24.0
    minutes_per_hit: float = 6.0
    minutes_per_station: float = 1.5
    labour_rate: float = 100.0
    bar_price_per_lb: float = 12.0
    machining_price: float = 600.0
    freight_price: float = 150.0
    consumables_price: float = 40.0
    penetrant_standard: str = ""
    bore_clearance_least_in: float = 0.0
    bore_clearance_most_in: float = 0.001
    face_limit_in: float = 0.002
    pilot_limit_in: float = 0.002
    backups_kept: int = 14
    phone_in_exports: bool = False

    @property
    def rule(self) -> Literal["guarded", "simple"]:
        """How a figure is judged by its limit (`core.runout.verdict`)."""
        return "simple" if self.acceptance_rule == "simple" else "guarded"


@dataclass(frozen=True)
class SettingField:
    """How the screen shows one setting."""

    name: str
    group: str
    label: str
    unit: str = ""
    choices: tuple[str, ...] = ()


FIELDS: tuple[SettingField, ...] = (
    SettingField("shop_name", "Shop", "Name on the ticket"),
    SettingField("shop_phone", "Shop", "Phone on the ticket"),
    SettingField("shop_address", "Shop", "Address on the ticket"),
    SettingField("bench_name", "Shop", "Name of this bench"),
    SettingField("bell", "Shop", "Ring the bell"),
    SettingField("unit", "Shop", "Unit for typing and reading", "", ("thou", "in", "mm")),
    SettingField("date_order", "Shop", "Days typed in figures", "", (MONTH_FIRST, DAY_FIRST)),
    SettingField("print_command", "Shop", "Print command, such as lp"),
    SettingField("print_form", "Shop", "The print command takes", "", (AS_TEXT, AS_PDF)),
    SettingField("label_command", "Shop", "Print command for labels (PDF)"),
    SettingField("sheet", "Shop", "Size of the sheets", "", SHEETS),
    SettingField("limit_taper_in", "Limits", "TIR limit, taper", "in"),
    SettingField("limit_bearing_in", "Limits", "TIR limit, bearing", "in"),
    SettingField("limit_shaft_log_in", "Limits", "TIR limit, shaft log", "in"),
    SettingField("limit_coupling_in", "Limits", "TIR limit, coupling", "in"),
    SettingField("limit_other_in", "Limits", "TIR limit, other riding areas", "in"),
    SettingField("limit_between_in", "Limits", "TIR limit, shaft between", "in"),
    SettingField("acceptance_rule", "Limits", "Acceptance rule", "", ("guarded", "simple")),
    SettingField("resolution_in", "Sweep", "Dial graduation", "in"),
    SettingField("repeatability_in", "Sweep", "Repeatability (empty: from the sweep)", "in"),
    SettingField("dial_turn_in", "Sweep", "Travel for one turn of the dial", "in"),
    SettingField("gauge", "Sweep", "Gauge (our number)"),
    SettingField("marks", "Sweep", "Marks round the shaft"),
    SettingField("spacing_in", "Sweep", "Station spacing", "in"),
    SettingField("closing_mark", "Sweep", "Read the first mark again"),
    SettingField("oval_prior_in", "Sweep", "Ovality usual on shafts", "in"),
    SettingField("lobe_prior_in", "Sweep", "Three lobes usual on shafts", "in"),
    SettingField("hold_hours", "Straighten", "Rest before the hold check", "h"),
    SettingField("press_capacity_lbf", "Straighten", "Press capacity", "lbf"),
    SettingField("block_span_in", "Straighten", "Block spacing", "in"),
    SettingField("minutes_per_hit", "Money", "Bench time for one hit", "min"),
    SettingField("minutes_per_station", "Money", "Bench time to read a station", "min"),
    SettingField("labour_rate", "Money", "Labour rate", "per h"),
    SettingField("bar_price_per_lb", "Money", "Bar price", "per lb"),
    SettingField("machining_price", "Money", "Machining of a new shaft"),
    SettingField("freight_price", "Money", "Freight of a new bar"),
    SettingField("consumables_price", "Money", "Consumables of a repair"),
    SettingField("penetrant_standard", "Checks", "Penetrant standard"),
    SettingField("bore_clearance_least_in", "Checks", "Coupling bore, least clearance", "in"),
    SettingField("bore_clearance_most_in", "Checks", "Coupling bore, most clearance", "in"),
    SettingField("face_limit_in", "Checks", "Coupling face TIR limit", "in"),
    SettingField("pilot_limit_in", "Checks", "Pilot TIR limit", "in"),
    SettingField("backups_kept", "Book", "Daily backups kept"),
    SettingField("phone_in_exports", "Book", "Phone numbers in exports"),
)
_NAMES = {f.name for f in fields(ShopSettings)}
_CHOICES = {f.name: f.choices for f in FIELDS if f.choices}
_JUDGED_BY = (
    *(f.name for f in FIELDS if f.group == "Limits"),
    "bore_clearance_least_in", "bore_clearance_most_in", "face_limit_in", "pilot_limit_in",
)  # fmt: skip
"""Stored in a book from the start: a later release's defaults do not judge its jobs again."""
_MAY_BE_NEGATIVE = {"bore_clearance_least_in", "bore_clearance_most_in"}
_MAY_BE_NONE = {"repeatability_in"}
_MAY_BE_ZERO = {"labour_rate", "bar_price_per_lb", "machining_price", "freight_price"} | {
    "consumables_price",
    "hold_hours",
    "minutes_per_hit",
    "minutes_per_station",
}


def first_values() -> list[tuple[str, str]]:
    """Names and stored values of the settings that a new book begins with."""
    first = asdict(ShopSettings())
    return [(name, json.dumps(first[name])) for name in _JUDGED_BY]


def load(book: Book) -> ShopSettings:
    """The settings in force: what the shop has set, defaults for the rest."""
    stored = {
        name: _value(name, value) for name, value in book.rows("SELECT name, value FROM setting")
    }
    return ShopSettings(**{name: value for name, value in stored.items() if name in _NAMES})


def as_of(book: Book, at: str | None) -> ShopSettings:
    """The settings with the limits and rules that shafts were judged by at a moment.

    `at`: when a job was closed; None = it is open: as now. From what holds now the event log is
    followed back; a change that another book brought along leads to no value of ours and is passed
    over.
    """
    now = load(book)
    if at is None:
        return now
    then = asdict(now)
    for name, old, new in book.rows(
        "SELECT subject_id, old, new FROM event WHERE subject = 'setting' AND what = 'value' "
        "AND at > ? ORDER BY at DESC, id DESC",
        (at,),
    ):
        if name in _JUDGED_BY and str(then[name]) == new:
            then[name] = _checked(name, old)
    return ShopSettings(**then)


def _value(name: str, stored: str) -> Any:
    try:
        return json.loads(stored)
    except (TypeError, ValueError) as error:
        raise DamagedBook(
            f"The setting {name or 'without a name'} cannot be read: the book is damaged. Run "
            "`shaftlog check`."
        ) from error


def follow_unit(book: Book) -> None:
    """Dial figures are shown in the unit of this shop from now on."""
    show_dial_in(load(book).unit)


def save(book: Book, **changes: Any) -> ShopSettings:
    """Change settings by name; each is kept in the event log with old and new."""
    before = asdict(load(book))
    checked = {name: _checked(name, value) for name, value in changes.items()}
    with book.write():
        for name, value in checked.items():
            if value != before[name]:
                _put(book, name, value)
                note_change(book, "setting", name, "value", before[name], value)
    return load(book)


def _checked(name: str, value: Any) -> Any:
    """The value in the type of its default, or `Refused` in plain words."""
    if name not in _NAMES:
        raise Refused(f"There is no setting {name!r}.")
    if value is None and name in _MAY_BE_NONE:
        return None
    default = getattr(ShopSettings(), name)
    if isinstance(default, str):
        text = rows.stored("address", str(value))
        if name in _CHOICES and text not in _CHOICES[name]:
            raise Refused(f"{name.replace('_', ' ')}: choose one of {', '.join(_CHOICES[name])}.")
        return text
    if isinstance(default, bool):
        return bool(value)
    number = rows.stored(name, float(value))
    least_fits = number >= 0 if name in _MAY_BE_ZERO else number > 0
    if not (least_fits or name in _MAY_BE_NEGATIVE):
        raise Refused(f"{name.replace('_', ' ')}: {number:g} cannot be. Give a number above 0.")
    return int(number) if isinstance(default, int) else number


def _put(book: Book, name: str, value: Any) -> None:
    with book.write() as con:
        con.execute(
            "INSERT INTO setting (name, value) VALUES (?, ?) "
            "ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            (name, json.dumps(value)),
        )


def remember(book: Book, name: str, value: Any) -> None:
    """Keep something of the program's own under a name, such as a column mapping (JSON-able)."""
    if name in _NAMES:
        raise Refused(f"{name!r} is a setting of the shop: use save.")
    _put(book, name, value)


def recall(book: Book, name: str, default: Any = None) -> Any:
    """What `remember` kept under this name."""
    row = book.one("SELECT value FROM setting WHERE name = ?", (name,))
    return _value(name, row[0]) if row else default
