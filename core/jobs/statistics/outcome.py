"""How the shafts left the shop: repaired, replaced, given back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from core.book.shop_queries import Left
from core.jobs.statistics.spread import Share, part_of


@dataclass(frozen=True)
class OutcomeFigure:
    """The jobs closed in one year, or in all."""

    year: str
    """'all' for the sum."""
    straightened: int
    """Released after hits."""
    no_hits: int
    """Released, no hit in the book: true as it came, or other work only."""
    replaced: int
    returned: int
    """Given back as it came."""
    given_up: int
    """Of those replaced or given back, how many had been hit before."""

    @property
    def jobs(self) -> int:
        """All that left."""
        return self.straightened + self.no_hits + self.replaced + self.returned

    @property
    def replaced_part(self) -> Share:
        """New shafts, of those either straightened or replaced."""
        return part_of(self.replaced, self.straightened + self.replaced)


def outcomes(left: Iterable[Left]) -> tuple[OutcomeFigure, ...]:
    """All together first, then year by year, newest first; empty when nothing has left."""
    years: dict[str, list[Left]] = defaultdict(list)
    for one in left:
        years[one.year].append(one)
    if not years:
        return ()
    every = [one for own in years.values() for one in own]
    newest_first = sorted(years, reverse=True)
    return (_sum("all", every), *(_sum(year, years[year]) for year in newest_first))


def _sum(year: str, own: Iterable[Left]) -> OutcomeFigure:
    counts: dict[tuple[str, bool], int] = defaultdict(int)
    for one in own:
        counts[one.state, one.with_hits] += one.jobs
    by_state = {
        state: counts[state, True] + counts[state, False] for state in ("replaced", "returned")
    }
    return OutcomeFigure(
        year,
        counts["released", True],
        counts["released", False],
        by_state["replaced"],
        by_state["returned"],
        counts["replaced", True] + counts["returned", True],
    )
