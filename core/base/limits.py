"""The limit a new shop starts with."""

from __future__ import annotations

DEFAULT_LIMIT_IN = 0.002
"""TIR limit, inches. Common practice, no source. A book keeps the limits it was made with."""
