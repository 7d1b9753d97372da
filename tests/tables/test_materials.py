"""Materials and heat cautions: every figure with its standing, disagreements in sight."""

from __future__ import annotations

import pytest

from core.base.errors import ShaftlogError
from core.straightening.heat import LEAST_RECORD, advise
from core.straightening.press import stroke_for_set
from core.straightening.response import HEAT, HitOutcome
from core.tables import materials
from core.tables.materials import DENSITY, POISSON, YIELD, E, material

EVERY = list(materials.materials().values())


@pytest.mark.parametrize("found", EVERY, ids=lambda m: m.uns)
def test_every_material_can_be_pressed_and_priced(found: materials.Material) -> None:
    e, strength, density = found.figure(E), found.yield_figure(), found.figure(DENSITY)
    assert e is not None
    assert strength is not None
    assert density is not None
    assert 14e6 < e.value < 31e6
    assert 25e3 < strength.value < 150e3
    assert 0.27 < density.value < 0.33
    assert stroke_for_set(2.0, 24.0, e.value, strength.value, 0.002).load_lbf > 0
    assert found.name
    assert found.family


@pytest.mark.parametrize("found", EVERY, ids=lambda m: m.uns)
def test_every_figure_has_a_status_and_a_source(found: materials.Material) -> None:
    for figure in found.figures:
        assert figure.status
        assert figure.source
        assert figure.printed
        if figure.what == POISSON:
            assert 0.2 < figure.value < 0.4


def test_figures_as_published() -> None:
    # boat-shaft material table (two web pages, one handbook)
    assert material("S20910").figure(E).value == 28.0e6
    assert material("N05500").figure(DENSITY).value == 0.306
    assert material("S17400").figure(DENSITY).value == 0.284
    # mill data page 485 MPa = 70.3 ksi
    assert material("S32205").yield_figure().value == pytest.approx(70.3e3, rel=1e-3)
    assert material("G10450").yield_figure("cold worked").value == 80e3
    # half as much again as the torsional yield the sizing table prints: the 2/3 rule
    for uns in ("S30400", "S20910", "S17400", "S24000", "N04400"):
        sizing = material(uns).figure(materials.TORSIONAL_YIELD).value
        assert material(uns).figure(YIELD).value == pytest.approx(1.5 * sizing)


def test_a_condition_has_its_own_yield() -> None:
    assert material("S20910").yield_figure("annealed").value == 62e3
    assert material("S17400").yield_figure("H1025 ASTM A564").value == 145e3
    assert material("S17400").yield_figure("no such condition").value == 105e3


def test_published_figures_come_before_memory() -> None:
    assert not material("S30400").yield_figure().from_memory
    assert material("S31600").yield_figure().from_memory


def test_sources_that_disagree_are_named() -> None:
    said = " ".join(material("C46400").disagreements())
    assert "15000000" in said
    assert "16000000" in said
    assert "density" in material("S32205").disagreements()[0]
    assert material("N04400").disagreements() == ()


def test_unknown_material_says_what_to_do() -> None:
    assert material(" s30400 ").uns == "S30400"
    with pytest.raises(ShaftlogError, match=r"Known are S30400.*type the modulus"):
        material("X99999")


def test_published_temperatures() -> None:
    # a trade article of May 2015: stainless under about 900 F, carbon steel 1,000 to 1,300 F
    assert advise("S30400").keep_under_f == 900.0
    carbon = advise("G10450")
    assert any((c.low_f, c.high_f) == (1000.0, 1300.0) for c in carbon.cautions)
    assert carbon.keep_under_f == 1200.0  # bridge practice is lower: the lower one is kept
    assert not carbon.discouraged


@pytest.mark.parametrize("uns", ["S17400", "N05500", "N04400", "S20910"])
def test_materials_that_heat_spoils_are_warned_about(uns: str) -> None:
    advice = advise(uns)
    assert advice.discouraged
    assert advice.cautions[0].kind == "warning"


def test_the_condition_chooses_the_ageing_temperature() -> None:
    told = [c.high_f for c in advise("S17400", "H1150 ASTM A564").cautions if c.kind == "most"]
    assert 1150.0 in told
    assert 1025.0 not in told


def test_memory_is_said_to_be_memory() -> None:
    for caution in advise("S31600").cautions:
        assert ("from memory" in caution.said) == caution.from_memory


def test_heat_has_no_formula_only_the_record() -> None:
    assert advise("S31600").response is None
    assert "none so far" in advise("S31600").said
    few = [HitOutcome("S31600", HEAT, 0.001, 0.0005)] * (LEAST_RECORD - 1)
    assert advise("S31600", records=few).response is None
    many = [HitOutcome("S31600", HEAT, 0.001, 0.0005)] * 30
    told = advise("S31600", records=many)
    assert told.response is not None
    assert told.response.mean == pytest.approx(0.5, abs=0.03)
    # the record of the press or of another material says nothing about heat on this one
    assert (
        advise("S31600", records=[HitOutcome("S31600", "press", 1e-3, 1e-3)] * 9).response is None
    )
    assert advise("S30400", records=many).response is None
