"""The fields of a form that several benches may change: what the book holds, and who was first.

A form shows what another bench stored as soon as it is looked at again, and asks before it
overwrites it. The form knows nothing of the book: `read` gives the fields as the book holds them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from time import monotonic

from core.base.errors import ShaftlogError
from tui.widgets.field import FieldSpec

BOUNCE_S = 1.0
"""So long after the question a key does not answer it: it may be the first one, bounced."""
NAMED = 2
"""Changed fields that are named in one line."""


class OvertakenField(ShaftlogError):
    """Another bench has stored something in this field since it was shown."""

    def __init__(self, held: FieldSpec) -> None:
        how = "Choose again" if held.by_keys else "Enter again"
        super().__init__(
            f"Another bench stored {held.words} in {held.label.strip()}. Yours is not stored. "
            f"{how} to replace it, or Esc leaves it."
        )
        self.held = held
        """The field as the book holds it."""


class Asked:
    """The question asked last; a key that comes at once is the first one, bounced."""

    def __init__(self) -> None:
        self._about, self._at = "", -BOUNCE_S

    def ask(self, about: str) -> None:
        """It is asked now."""
        self._about, self._at = about, monotonic()

    def too_soon(self, about: str) -> bool:
        """Whether the question is too new for a key to be its answer."""
        return self._about == about and monotonic() - self._at < BOUNCE_S


class SharedValues:
    """What the book held when its fields were last shown."""

    def __init__(
        self,
        read: Callable[[], Sequence[FieldSpec]] = tuple,
        together: Callable[[], AbstractContextManager[object]] = nullcontext,
    ) -> None:
        self._read = read
        self.together = together
        """One transaction, so that nobody stores between the look and our own entry."""
        self._known: dict[str, str] = {}
        self.unseen: set[str] = set()
        """Fields changed under the cursor: a digit pressed there may have been on its way."""
        self.asked = Asked()

    def know(self, specs: Iterable[FieldSpec]) -> None:
        """These are shown now."""
        self._known |= {spec.name: spec.value for spec in specs}

    def news(self) -> list[FieldSpec]:
        """The fields that the book holds another value of than the one last shown."""
        read = self._read()
        return [s for s in read if self._known.get(s.name, s.value) != s.value]

    def ask_first(self, name: str) -> None:
        """Raise `OvertakenField` when the field was changed since; once, then it is known."""
        changed = [one for one in self.news() if one.name == name]
        if name in self.unseen:
            changed = [one for one in self._read() if one.name == name]
        for held in changed:
            self.know((held,))
            self.unseen.discard(name)
            self.asked.ask(name)
            raise OvertakenField(held)


def changed_words(specs: Sequence[FieldSpec]) -> str:
    """What another bench has changed, in one line."""
    named = [f"{spec.label.strip()}: {spec.words}" for spec in specs[:NAMED]]
    more = f" and {len(specs) - NAMED} more" if len(specs) > NAMED else ""
    return f"Changed at another bench: {'; '.join(named)}{more}."
