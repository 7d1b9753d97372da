"""Materials as choices of a form."""

from __future__ import annotations


def material_choices() -> tuple[tuple[str, str], ...]:
    """(UNS number, name) of the materials whose figures the program carries."""
    from core.tables.materials import materials

    return tuple((material.uns, material.name) for material in materials().values())


def material_words(uns: str) -> str:
    """Name of a material; says so when the program has no figures of it."""
    if not uns:
        return "not known"
    return dict(material_choices()).get(uns, "(no figures of it here)")
