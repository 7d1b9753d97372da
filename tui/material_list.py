"""Materials as choices of a form."""

from __future__ import annotations


def material_choices() -> tuple[tuple[str, str], ...]:
    """(UNS number, words) of the materials whose figures the program carries."""
    try:
        from core import materials
    except ImportError:
        return ()
    return tuple((name, f"{name} {words}".strip()) for name, words in materials.names_and_words())
