"""Waiting for an idle program ends loudly when it never is."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.app_helpers import opened
from tests.walks import quick


async def test_a_program_that_is_never_idle_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(quick, "MOST_S", 0.05)
    async with opened(tmp_path) as (app, _):
        monkeypatch.setattr(quick, "_at_work", lambda app: True)
        with pytest.raises(TimeoutError, match="not idle"):
            await quick.idle(app)
