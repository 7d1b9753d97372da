"""One field of a form: what it asks for, how its text is understood, how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

from textual.content import Content

from core.base.quantities import Quantity
from core.base.units import MOST_IN, length_unit, parse_clock_rad, parse_length_in, parse_number
from tui.widgets.plain import clean, cut

NUMBER = r"[-+]?\d*[.,]?\d*"
"""What may be typed into number and clock fields."""
CHOSEN_BY_KEYS = ("choice", "many")
"""Kinds that are answered by digits and not by typing text."""


@dataclass(frozen=True)
class FieldSpec:
    """One field of a form."""

    name: str
    label: str
    kind: str = "text"
    """text, length, number, clock, choice, many, pick or heading (see `tui.widgets.form`)."""
    value: str = ""
    """As a person would type it; the value of a `choice`, values of `many` joined by commas."""
    hint: str = ""
    """Shown in the message line while the field has the cursor."""
    choices: tuple[tuple[str, str], ...] = ()
    """(value, words) of `choice`, `many` and `pick`."""
    unit: str = field(default_factory=length_unit)
    """Unit of a length typed without one: in, thou or mm; first that of the shop's lengths."""
    quantity: Quantity | None = None
    """What a `number` with a unit is: least, most and the value are in the unit the core keeps."""
    echo: str = ""
    """Words after the field, such as how the value was understood."""
    least: float | None = None
    """Least value of a length (inches) or number."""
    most: float | None = None
    """Most value of a length (inches) or number."""
    aside: bool = False
    """Usually left empty: a digit that answers the field before goes past it while it is."""

    @property
    def by_keys(self) -> bool:
        """Whether digits choose the answer."""
        return self.kind in CHOSEN_BY_KEYS

    @property
    def skipped(self) -> bool:
        """Whether a digit that answers the field before goes past this one."""
        return self.aside and not self.value

    @property
    def takes_row(self) -> bool:
        """Whether the text has the whole row, with no words behind it."""
        return self.kind == "text" and not self.echo

    @property
    def is_number(self) -> bool:
        """Whether the number pad is used here."""
        return self.kind in ("length", "number", "clock")

    @property
    def restrict(self) -> str | None:
        """What may be typed; None = anything, as a unit may follow."""
        plain = self.kind == "clock" or (self.kind == "number" and self.quantity is None)
        return NUMBER if plain else None

    @property
    def words(self) -> str:
        """The value in words, for a message."""
        named = [words for i, (_, words) in enumerate(self.choices) if self.chosen(self.value, i)]
        return (", ".join(named) if self.by_keys else self.value) or "nothing"

    def parse(self, text: str) -> object:
        """The value of a typed text; empty = None (or empty text)."""
        typed = text.strip()
        if self.kind == "pick":
            return self.best_match(typed) or typed
        if not self.is_number:
            return typed
        if not typed:
            return None
        if self.kind == "clock":
            return parse_clock_rad(typed, what=self.label)
        if self.kind == "length":
            return parse_length_in(
                typed,
                self.unit,  # type: ignore[arg-type]
                least_in=-MOST_IN if self.least is None else self.least,
                most_in=MOST_IN if self.most is None else self.most,
                what=self.label,
            )
        least = -1e6 if self.least is None else self.least
        most = 1e6 if self.most is None else self.most
        parse = parse_number if self.quantity is None else self.quantity.parse
        return parse(typed, least=least, most=most, what=self.label)

    def matches(self, typed: str) -> tuple[tuple[str, str], ...]:
        """Choices that hold every word typed, in any order."""
        words = typed.lower().split()
        return tuple(c for c in self.choices if all(w in f"{c[0]} {c[1]}".lower() for w in words))

    def best_match(self, typed: str) -> str:
        """Value of the exact, or else the only, choice that fits; empty when none or several do.

        Several: nobody chose between them ('steel' is no stainless grade), so none is taken.
        """
        exact = [value for value, words in self.choices if typed.lower() in (value.lower(), words)]
        found = exact or [value for value, _ in self.matches(typed)]
        return found[0] if typed and len(found) == 1 else ""

    def match_words(self, typed: str) -> str:
        """What Enter would take in a `pick` field, and how many others fit."""
        found = self.matches(typed) if typed.strip() else ()
        if not found:
            return ""
        if len(found) > 1 and not self.best_match(typed.strip()):
            return f"{len(found)} fit: {', '.join(value for value, _ in found[:4])}: type more"
        value, words = found[0]
        return f"{value} {words}"

    # -- choices -----------------------------------------------------------------------------------

    def chosen(self, value: str, index: int) -> bool:
        """Whether the answer at this place is chosen."""
        answer = self.choices[index][0]
        return answer in value.split(",") if self.kind == "many" else answer == value

    @property
    def by_label(self) -> bool:
        """Whether the answers are numbers, so that a digit means the number and not its place."""
        return self.kind == "choice" and all(words.isdecimal() for _, words in self.choices)

    def answer_of(self, digits: str) -> int | None:
        """Index of the answer that these digits choose; None = none, or not yet."""
        if self.by_label:
            labels = [words for _, words in self.choices]
            return labels.index(digits) if digits in labels else None
        index = (int(digits) - 1) % 10
        return index if len(digits) == 1 and index < len(self.choices) else None

    def begins_answer(self, digits: str) -> bool:
        """Whether more digits may still make an answer."""
        return self.by_label and any(w.startswith(digits) for _, w in self.choices)

    def after_digit(self, value: str, index: int) -> str:
        """The value after an answer was chosen by its digit."""
        if self.kind == "choice":
            return self.choices[index][0]
        places = range(len(self.choices))
        on = {i for i in places if self.chosen(value, i)} ^ {index}
        return ",".join(self.choices[i][0] for i in sorted(on))

    def after_step(self, value: str, by: int) -> str:
        """The value after Right (1) or Left (-1)."""
        if self.kind == "many" or not self.choices:
            return value
        at = next((i for i, (name, _) in enumerate(self.choices) if name == value), -1)
        return self.choices[(at + by) % len(self.choices) if at >= 0 else 0][0]


def draw_choices(spec: FieldSpec, value: str, width: int, *, focused: bool) -> Content:
    """`1 one  [2 two]  3 three`, numbers alone as `2  [3]  4`; without room only the chosen one."""
    parts: list[tuple[str, str]] = []
    for i, (_, words) in enumerate(spec.choices):
        text = words if spec.by_label else f"{(i + 1) % 10} {clean(words)}"
        if spec.chosen(value, i):
            parts.append((f"[{text}]", "bold reverse" if focused else "bold"))
        else:
            parts.append((f" {text} ", ""))
    if focused and not any(style for _, style in parts):
        parts.insert(0, (">", "reverse"))
    if sum(len(text) for text, _ in parts) <= width:
        return Content.assemble(*parts)
    at = next((i for i in range(len(spec.choices)) if spec.chosen(value, i)), -1)
    words = spec.choices[at][1] if at >= 0 else "not chosen"
    short = cut(f"< {words} >  {at + 1} of {len(spec.choices)}", width).rstrip()
    return Content.styled(short, "reverse" if focused else "")


def draw_row(
    spec: FieldSpec, width: int, *, label_width: int, box_width: int, echo: str, focused: bool
) -> Content:
    """Label, value and the words behind it, or a heading."""
    if spec.kind == "heading":
        return Content.styled(clean(spec.label), "bold underline")
    label = min(label_width, width // 2)
    room = width - label
    head = Content.styled(cut(spec.label, label - 1) + " ", "bold" if focused else "")
    if spec.by_keys:
        return head + draw_choices(spec, spec.value, room, focused=focused)
    box = room if spec.takes_row or not echo else min(box_width, room)
    if box == room:
        return head + Content(cut(spec.value, room))
    return head + Content(f"{cut(spec.value, box)} {cut(echo, max(room - box - 1, 0))}")
