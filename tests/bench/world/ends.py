"""How one shaft of the second world ended: what the program said of it and the truth. Inches."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class AreaEnd:
    """What the program finally said of an area, and the truth there. Inches."""

    name: str
    kind: str
    word: str
    limit_in: float
    bend_tir_in: float
    """Greatest true 2|e| anywhere in the area."""
    swing_in: float
    """Greatest true swing of the dial anywhere in it."""
    at_station_in: float
    """Greatest true 2|e| at a station read last."""
    over_in: float
    """Length of the area with 2|e| at its limit or over."""
    by_stations: bool
    """Each station read in it is true by its own bend part: the verdict of a rule that does not
    look between the stations nor at roundness. For comparison alone."""
    straight: bool
    """The bend part is called inside its limit all along, whatever the swing."""
    noted: bool
    """The verdict has a note."""
    settle: str
    """What would settle it."""


@dataclass(frozen=True)
class Outcome:
    """One shaft worked to its end."""

    ending: str
    """'finished' (a full sweep leaves nothing to hit), 'cap' (too many hits), 'left' (hits planned
    after stations asked for were read)."""
    hits: int
    reads: int
    """Stations read, every sweep and check."""
    first_reads: int
    minutes: float
    contradicted: int
    """Rounds after which a full sweep was asked for."""
    areas: tuple[AreaEnd, ...]
    worst_at_station_in: float
    """Greatest true 2|e| at any station of a full sweep."""
    worst_in: float
    """The same anywhere from the first station to the last."""
    notes: tuple[str, ...]
    limit_in: float

    @property
    def truly_over(self) -> bool:
        """A station of the sweep is truly at its limit or over."""
        return self.worst_at_station_in >= self.limit_in

    @property
    def stuck(self) -> bool:
        """Nothing more to hit, an area is called not true, and no word says what to read next."""
        return self.ending == "finished" and any(
            a.word == "not true" and not (a.settle or a.noted) for a in self.areas
        )
