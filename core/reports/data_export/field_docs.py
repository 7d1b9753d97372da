"""What the columns of the tables mean: the docstrings of the records, the units in their names."""

from __future__ import annotations

import ast
import inspect
import textwrap
from functools import cache

UNITS = {
    "_in": "inches",
    "_deg": "degrees",
    "_rad": "radians",
    "_lbf": "pounds-force",
    "_f": "degrees Fahrenheit",
    "_hp": "horsepower",
    "_rpm": "turns a minute",
    "_min": "minutes",
}
"""Ending of a column's name -> its unit."""
MOMENT = "moment, ISO 8601 in universal time"


@cache
def docs_of(record_type: type) -> dict[str, str]:
    """Field -> the sentence under it in the source, one line; and '' -> that of the record."""
    (cls,) = ast.parse(textwrap.dedent(inspect.getsource(record_type))).body
    assert isinstance(cls, ast.ClassDef)
    found = {"": ast.get_docstring(cls) or ""}
    for field, after in zip(cls.body, cls.body[1:], strict=False):
        if (
            isinstance(field, ast.AnnAssign)
            and isinstance(field.target, ast.Name)
            and isinstance(after, ast.Expr)
            and isinstance(after.value, ast.Constant)
        ):
            found[field.target.id] = " ".join(str(after.value.value).split())
    return {name: " ".join(text.split()) for name, text in found.items()}


def unit_of(column: str) -> str:
    """The unit a column's name ends with, or what kind of text it is; ''."""
    if column == "at" or column.endswith("_at"):
        return MOMENT
    return next((unit for ending, unit in UNITS.items() if column.endswith(ending)), "")
