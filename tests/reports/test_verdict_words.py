"""The paper states the probabilities that the verdicts really ask."""

from __future__ import annotations

from core.analysis.between import BEND_SURE, SWING_SURES
from core.reports.ticket_data import RULES
from core.runout.swing import QUANTILES


def test_the_rule_on_paper_is_the_rule_of_the_verdicts() -> None:
    rule = RULES["guarded"]
    low, high = SWING_SURES
    assert f"at {100 * QUANTILES[-1]:g} % at each station" in rule
    assert f"at {100 * BEND_SURE:g} % all along" in rule
    assert f"the TIR at {100 * low:g} to {100 * high:g} %" in rule
    assert "by this sweep and the hits and readings before it together" in rule
