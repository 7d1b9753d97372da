"""A bore that does not fit: what sleeve, plating or new bore it takes. Inches, on diameter."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.units import format_dial, format_length
from core.fitting.coupling.bore_shape import PartShape
from core.fitting.measured.band import Band, clearance_words

SLEEVE_WALL_IN = 0.125
"""Least wall of a sleeve; common practice, no source."""
HUB_WALL_SHARE = 0.25
"""Least wall of the hub round a sleeve, share of the bore; common practice, no source."""
MOST_PLATING_IN = 0.010
"""Most plating on a side before a sleeve is better; common practice, no source."""


@dataclass(frozen=True)
class Remedy:
    """One way to make it fit."""

    name: str
    """'new bore', 'sleeve the bore', 'plate the seat', 'open the bore', 'true the seat'."""
    possible: bool | None
    """None = cannot say: something was not measured."""
    bore_in: float | None
    """Bore to finish to."""
    seat_in: float | None
    """Seat to finish to."""
    figure_in: float
    """The work: plating on a side, sleeve outside diameter, or metal to take off on diameter."""
    words: str


def remedies(
    *,
    bore: PartShape,
    seat: PartShape,
    band: Band,
    hub_outside_in: float | None = None,
    sleeve_wall_in: float = SLEEVE_WALL_IN,
) -> tuple[Remedy, ...]:
    """Ways to bring the fit to the middle of the band.

    References: common practice, no source; wall and plating limits are shop settings.
    """
    to_bore = (seat.least_in + seat.most_in) / 2 + band.middle_in
    uneven = seat.most_in - seat.least_in > band.most_in - band.least_in
    ways = [_true_seat(seat, band)] if uneven else []
    if to_bore > bore.most_in:
        return (*ways, _open_bore(bore, to_bore, band))
    ways.append(
        Remedy(
            "new bore",
            True,
            to_bore,
            None,
            to_bore,
            f"a new coupling bored to {format_length(to_bore)} for "
            f"{clearance_words(band.middle_in)}",
        )
    )
    ways.append(_sleeve(bore, to_bore, hub_outside_in, sleeve_wall_in))
    if (bore.least_in + bore.most_in) / 2 - band.middle_in > seat.least_in:
        ways.append(_plate(bore, seat, band))
    return tuple(ways)


def _true_seat(seat: PartShape, band: Band) -> Remedy:
    return Remedy(
        "true the seat",
        True,
        None,
        seat.least_in,
        seat.most_in - seat.least_in,
        f"the seat itself varies by {format_dial(seat.most_in - seat.least_in)}, more than the "
        f"band {band.name} is wide: true the seat first, no single bore fits it",
    )


def _open_bore(bore: PartShape, to_bore_in: float, band: Band) -> Remedy:
    cut = to_bore_in - bore.least_in
    return Remedy(
        "open the bore",
        True,
        to_bore_in,
        None,
        cut,
        f"open the bore by {format_dial(cut)} on diameter to {format_length(to_bore_in)} for "
        f"{clearance_words(band.middle_in)}; do not file or scrape the shaft",
    )


def _sleeve(
    bore: PartShape, to_bore_in: float, hub_outside_in: float | None, wall_in: float
) -> Remedy:
    outside = max(bore.most_in, to_bore_in) + 2 * wall_in
    start = (
        f"bore the hub out to {format_length(outside)}, press in a sleeve, finish to "
        f"{format_length(to_bore_in)}, cut the keyway through again"
    )
    if hub_outside_in is None:
        words = f"{start}; hub outside not measured: cannot say whether the wall holds"
        return Remedy("sleeve the bore", None, to_bore_in, None, outside, words)
    left = (hub_outside_in - outside) / 2
    holds = left >= HUB_WALL_SHARE * to_bore_in
    verdict = "enough" if holds else "too thin, no sleeve"
    words = f"{start}; hub wall left {format_length(left, 3)}: {verdict}"
    return Remedy("sleeve the bore", holds, to_bore_in, None, outside, words)


def _plate(bore: PartShape, seat: PartShape, band: Band) -> Remedy:
    to_seat = (bore.least_in + bore.most_in) / 2 - band.middle_in
    each = (to_seat - seat.least_in) / 2
    thin = each <= MOST_PLATING_IN
    uneven = bore.most_in - bore.least_in > band.most_in - band.least_in
    words = (
        f"true the seat to {format_length(seat.least_in)}, plate {format_dial(each)} a side and "
        f"grind to {format_length(to_seat)}"
    )
    if not thin:
        words += f": over {format_dial(MOST_PLATING_IN)} a side, sleeve instead"
    elif uneven:
        words += "; the bore varies more than the band is wide: true the bore first"
    return Remedy("plate the seat", thin, None, to_seat, each, words)
