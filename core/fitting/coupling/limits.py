"""Published and customary limits of couplings: the shop's settings start from these."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.tables.reader import read_table


@dataclass(frozen=True)
class CouplingLimit:
    """One limit and where it comes from."""

    name: str
    what: str
    value_in: float
    basis: str
    """'TIR', 'spread', 'most', 'feeler' or 'per in' (times flange diameter)."""
    condition: str
    status: str
    source: str


def coupling_limits() -> tuple[CouplingLimit, ...]:
    """All limits of the table, with their sources. The coupling standard's own numbers (SAE J756,
    cancelled 2005) were not legible, so printed trade limits stand in for them."""
    return tuple(
        CouplingLimit(
            row["name"],
            row["what"],
            float(row["value_in"]),
            row["basis"],
            row["condition"],
            row["status"],
            row["source"],
        )
        for row in read_table("coupling_limits")
    )


def coupling_limit_in(name: str) -> float:
    """One limit, inches: 'face', 'pilot', 'gap', 'gap_per_in' and the others of the table."""
    for limit in coupling_limits():
        if limit.name == name:
            return limit.value_in
    raise ShaftlogError(f"There is no coupling limit called '{name}'.")
