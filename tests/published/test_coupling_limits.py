"""Coupling limits as printed.

Sources: a marine reverse-gear service manual, section VIII p.37; two inboard-engine makers'
alignment pages; US Army TM 55-1905-220-14-11 ch.6 item 13; trade opinions where said.
"""

from __future__ import annotations

import pytest

from core.fitting.coupling.face import coupling_limit_in, coupling_limits
from core.fitting.coupling.fits import coupling_practices, practice_words


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("gear_face", 0.002),
        ("gear_pilot", 0.002),
        ("face", 0.002),
        ("shaft", 0.002),
        ("gap", 0.003),
        ("gap_feeler_90", 0.003),
        ("gap_feeler_round", 0.002),
        ("gap_working", 0.004),
        ("gap_per_in", 0.001),
    ],
)
def test_limits(name: str, printed: float) -> None:
    assert coupling_limit_in(name) == pytest.approx(printed)


def test_every_limit_has_a_source_and_unprinted_ones_say_so() -> None:
    limits = {limit.name: limit for limit in coupling_limits()}
    assert all(limit.source and limit.status for limit in limits.values())
    assert "no source" in limits["gap_per_in"].status
    assert "opinion" in limits["gap_working"].status
    assert "derived" in limits["pilot"].status


def test_practices_contradict_and_say_so() -> None:
    practices = coupling_practices()
    sliding = practices[0].band
    assert sliding is not None
    assert (sliding.least_in, sliding.most_in) == (0.0005, 0.0010)
    assert all("contradicts" in practice.status for practice in practices)
    assert "contradict" in practice_words()
