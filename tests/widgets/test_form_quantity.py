"""A field with a unit: typed in the unit of the shop or with a unit behind, kept in one."""

from __future__ import annotations

import pytest

from core.base.dial_unit import show_dial_in
from core.base.errors import BadNumber
from core.base.quantities import FORCE
from core.book.settings import ShopSettings
from tui.screens.settings.setting_fields import specs_of
from tui.widgets.field import FieldSpec


def test_a_load_is_read_in_the_unit_of_the_shop() -> None:
    load = FieldSpec("load_lbf", "Load", "number", quantity=FORCE, least=0.0, most=1e6)
    assert load.restrict is None
    assert load.parse("2000") == 2000.0
    assert load.parse("9 kN") == pytest.approx(2023.28, abs=0.01)
    show_dial_in("mm")
    assert load.parse("9") == pytest.approx(2023.28, abs=0.01)
    assert load.parse("2000 lbf") == 2000.0
    assert load.parse("") is None
    with pytest.raises(BadNumber, match="Load '40000' is out of range"):
        load.parse("40000")


def test_the_settings_of_a_metric_shop_show_kilonewton_and_kilogram() -> None:
    show_dial_in("mm")
    shop = ShopSettings(unit="mm")
    press = {spec.name: spec for spec in specs_of("Straighten", shop)}["press_capacity_lbf"]
    assert (press.value, press.echo) == ("177.929", "kN")
    price = {spec.name: spec for spec in specs_of("Money", shop)}["bar_price_per_lb"]
    assert (price.value, price.echo) == ("26.4555", "per kg")
    sweep = {spec.name: spec for spec in specs_of("Sweep", shop)}
    assert sweep["repeatability_in"].echo == "mm"  # found: in
    assert price.parse("26.4555") == pytest.approx(12.0, rel=1e-5)
