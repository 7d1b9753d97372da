"""Light dataclasses behave as the standard frozen ones."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from typing import Any

import pytest

from core.base import light_dataclass


class Plain:
    a: int
    b: str = "two"
    c: float | None = None


Light: Any = light_dataclass.dataclass(frozen=True)(type("Plain", (Plain,), dict(vars(Plain))))
Standard: Any = dataclasses.dataclass(frozen=True)(type("Plain", (Plain,), dict(vars(Plain))))
Plain = Light  # type: ignore[misc]  # pickled by this name


@pytest.mark.parametrize("given", [(), (1,), (1, "x"), (1, "x", 2.5), (1, "x", 2.5, 4)])
@pytest.mark.parametrize("named", [{}, {"a": 3}, {"b": "y"}, {"c": 0.5}, {"d": 1}])
def test_the_same_values_and_the_same_refusals(given: Any, named: Any) -> None:
    try:
        wanted = Standard(*given, **named)
    except TypeError:
        with pytest.raises(TypeError):
            Light(*given, **named)
        return
    got = Light(*given, **named)
    assert dataclasses.asdict(got) == dataclasses.asdict(wanted)
    assert repr(got) == repr(wanted)
    assert hash(got) == hash(wanted)


def test_equal_by_value_frozen_and_copied() -> None:
    one = Light(1)
    assert one == Light(1, b="two") != Light(2)
    assert one != Standard(1)
    assert dataclasses.replace(one, c=1.0) == Light(1, c=1.0)
    assert copy.deepcopy(one) == pickle.loads(pickle.dumps(one)) == one
    for change in (lambda: setattr(one, "a", 2), lambda: delattr(one, "a")):
        with pytest.raises(dataclasses.FrozenInstanceError):
            change()
    assert one.a == 1
