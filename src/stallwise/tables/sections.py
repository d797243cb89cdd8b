"""Where in a shop an ingredient stands."""

from __future__ import annotations

from stallwise.tables.rows import rows

__all__ = ["FIRE", "MEAT", "OTHER", "SECTIONS", "TAP", "section_of"]

MEAT, FIRE, TAP, OTHER = "meat", "fire, foil and the rest", "from the tap", "other"
#: Sections in the order in which a list is walked.
SECTIONS = (
    MEAT,
    "vegetables and fruit",
    "dairy and eggs",
    "jars, oil and vinegar",
    "spices and baking",
    "drinks",
    OTHER,
    FIRE,
    TAP,
)


def section_of(key: str) -> str:
    """Section of an ingredient; ``other`` for the cook's own that says none."""
    row = rows("shop_sections.csv").get(key)
    return row["section"] if row else OTHER
