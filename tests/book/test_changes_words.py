"""The list of changes names units and things as the shop does."""

from __future__ import annotations

from core.base.dial_unit import show_dial_in
from core.book import changes, choices, customers, settings, shafts, sweeps
from core.book.connection import Book
from tests.support.book_helpers import SmallJob


def test_a_metric_shop_reads_its_changes_in_its_units(book: Book, small: SmallJob) -> None:
    """Found: 'diameter, in' and 2.5 beside a form that shows 63.5 mm; a press in lbf."""
    show_dial_in("mm")
    shafts.change_shaft(book, small.shaft.id, diameter_in=2.5)
    customers.change_vessel(book, small.vessel.id, engine_hp=300.0)
    settings.save(book, press_capacity_lbf=45_000.0, bar_price_per_lb=10.0)
    for value in (40_000.0, 45_000.0):
        choices.choose(
            book, job_id=small.job.id, subject="sizes", name="torsional yield psi",
            value=f"{value:g}", number=value,
        )  # fmt: skip
    listed = [*changes.changes_of(book, small.job.id)]
    listed += changes.changes_of(book, small.job.id, "shop")
    said = {one.field: (one.old, one.new) for one in listed}
    assert said["diameter, mm"] == ("31.75", "63.5")
    assert said["engine, kW"][1] == "223.71"
    assert said["Press capacity"] == ("177.929 kN", "200.17 kN")
    assert said["Bar price"] == ("26.4555 per kg", "22.0462 per kg")
    assert said["torsional yield, MPa"] == ("275.79", "310.264")


def test_stations_terms_hits_and_areas_are_listed_in_mm_too(book: Book, small: SmallJob) -> None:
    """Found: 'stations, mm' and 'least, mm' before inches; hits and areas in inches."""
    show_dial_in("mm")
    sweeps.change_sweep(book, small.sweep.id, stations_in=(10.0, 31.7 / 2.54))
    for number in (1.0, 31.7 / 25.4):
        for name in ("least_in", "bar_per_lb"):
            choices.choose(
                book, job_id=small.job.id, subject="repair terms", name=name, number=number
            )
    area = shafts.add_area(
        book, shaft_id=small.shaft.id, kind="bearing", name="spare", from_in=10, to_in=20,
        limit_in=0.002,
    )  # fmt: skip
    shafts.remove_area(book, area.id)
    said = {one.field: (one.old, one.new) for one in changes.changes_of(book, small.job.id)}
    assert said["stations, mm"][1] == "254, 317"
    assert said["least, mm"] == ("25.4", "31.7")
    assert said["bar, per kg"] == ("2.2046", "2.7514")
    assert said["area removed"] == ("bearing spare 254 to 508 mm, limit 0.051 mm", "")


def test_a_choice_for_a_sweep_names_the_sweep(book: Book, small: SmallJob) -> None:
    """Found: two ids instead of words."""
    extra = sweeps.start_like(book, small.sweep, (10.0,))
    for value in (extra.id, ""):
        choices.choose(
            book, job_id=small.job.id, subject="half turn", name=small.sweep.id, value=value
        )
    newest = changes.changes_of(book, small.job.id)[0]
    sweep, other = f"{small.sweep.purpose} sweep", f"{extra.purpose} sweep"
    assert (newest.thing, newest.field, newest.old) == ("half turn", sweep, other)
