"""Write the templates that look back over a cookbook: ``compare.ipynb`` and ``year.ipynb``.

Run with ``python tools/book_notebooks.py``; ``tests/surfaces/test_past.py`` compares.
"""

from __future__ import annotations

from pathlib import Path

from notebook_text import template_text

FOLDER = Path(__file__).resolve().parents[1] / "templates" / "notebooks"
VERSION = 1

_FOLDER = "folder = None  # the cookbook, or a folder in it; None means where this notebook lies"

_COMPARE = """# Cooks beside each other

Say which, in the first cell: `cooks = "spring-ribs, two-glazes/A"` (a letter behind a cook means that
piece alone). Left alone it takes the last two cooks of one cut. Run all cells (*Run*, *Run All Cells*);
nothing is written."""

_CREDIT = """## What the forecast puts down to what

The first piece's own possible days, cooked again with one thing done as with the other. It is what the
model thinks, and no proof; under it stands how far two pieces end apart that are alike in everything."""

COMPARE: list[tuple[str, str, str]] = [
    ("title", "markdown", _COMPARE),
    ("parameters", "code", ""),
    (
        "open",
        "code",
        "from stallwise.surfaces import past\n\nbeside = past.compare(folder, globals())",
    ),
    ("different-words", "markdown", "## What was different"),
    ("different", "code", "beside.different()"),
    ("came-out-words", "markdown", "## What came out"),
    ("came-out", "code", "beside.came_out()"),
    ("mixed-up-words", "markdown", "## What is mixed up with what"),
    ("mixed-up", "code", "beside.mixed_up()"),
    ("picture-words", "markdown", "## Over each other, on hours since meat on"),
    ("picture", "code", "beside.picture()"),
    ("foreseen-words", "markdown", "## The forecast, and what happened"),
    ("foreseen", "code", "beside.foreseen()"),
    ("credit-words", "markdown", _CREDIT),
    ("credit", "code", "beside.credit()"),
]

_COMPARE_SET = f"""{_FOLDER}
cooks = None  # which cooks, as "spring-ribs, two-glazes/A"; None means the last two of one cut
members = None  # possible days tried in one forecast"""

_YEAR = """# All the cooks

Everything in this cookbook, or one year of it: say `year = 2026` in the first cell. Run all cells (*Run*,
*Run All Cells*); nothing is written."""

_SHOWN = """## What trials showed

Only what was asked beforehand and answered over plates without names."""

_SUGGESTED = """## What the log suggests

Things that differed between cooks, beside how these were liked. Nothing here was tested: it is where to
look next, and no answer."""

YEAR: list[tuple[str, str, str]] = [
    ("title", "markdown", _YEAR),
    ("parameters", "code", ""),
    ("open", "code", "from stallwise.surfaces import past\n\nbook = past.year(folder, globals())"),
    ("cooks", "code", "book.cooks()"),
    ("open-lines-words", "markdown", "## Next time"),
    ("open-lines", "code", "book.open_lines()"),
    ("shown-words", "markdown", _SHOWN),
    ("shown", "code", "book.shown()"),
    ("suggested-words", "markdown", _SUGGESTED),
    ("suggested", "code", "book.suggested()"),
    ("right-words", "markdown", "## How often the forecast was right"),
    ("right", "code", "book.right()"),
    ("learned-words", "markdown", "## What was learned of pits and cuts"),
    ("learned", "code", "book.learned()"),
    ("spent-words", "markdown", "## What it cost"),
    ("spent", "code", "book.spent()"),
]

_YEAR_SET = f"""{_FOLDER}
year = None  # 2026, say; None means all of them"""


def templates() -> dict[str, str]:
    """Text of each template, by name."""
    return {
        "compare": template_text("compare", VERSION, COMPARE, _COMPARE_SET, folded=False),
        "year": template_text("year", VERSION, YEAR, _YEAR_SET, folded=False),
    }


if __name__ == "__main__":
    for name, text in templates().items():
        (FOLDER / f"{name}.ipynb").write_text(text, encoding="utf-8")
