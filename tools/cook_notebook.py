"""Write the template notebook of a cook from the list of its cells and the plan parameters.

Run with ``python tools/cook_notebook.py``; ``--check`` only says whether it is up to date. A version
that cooks have notebooks of stays beside it (``cook-1.ipynb``), so that theirs run on.
"""

from __future__ import annotations

import sys
from pathlib import Path

from notebook_text import template_text

from stallwise.joins.parameters import PARAMETERS

VERSION = 2
TARGET = Path(__file__).resolve().parents[1] / "templates" / "notebooks" / "cook.ipynb"

#: Names that are no plan parameters, with their help.
OWN = {
    "folder": "the cook's folder; None means where this notebook lies",
    "as_of": 'use only what was logged until then, as "14:30" or "+3:00" after meat on',
}

_FIRST = """# A cook

Run all cells once (*Run*, *Run All Cells*), then work from top to bottom. What you change is
written only when you say *Keep*."""

_NIGHT = """## Type it in

That night, a line for each thing on the sheet: `1310 wrapped foil`, `+2:40 wrapped foil` (after
meat on), `about 3 spritz`."""

_READINGS = """## Readings

What probes wrote down: drop the file, see what is understood, bring it in. A file that another program
keeps writing to can be followed while you cook."""

_LIMITS = """## Limits

Rules of time and temperature, each with where it stands: what runs, what was missed, what is asked."""

_OPEN = """from stallwise.surfaces import notebook

cook = notebook.open(folder, globals())"""

CELLS: list[tuple[str, str, str]] = [
    ("title", "markdown", _FIRST),
    ("parameters", "code", ""),
    ("open", "code", _OPEN),
    ("plan-words", "markdown", "## Plan"),
    ("plan", "code", "cook.plan()"),
    ("mixes-words", "markdown", "## Rubs, sauces, stock"),
    ("mixes", "code", "cook.mixes()"),
    ("sheet-words", "markdown", "## Day sheet\n\nPrint it, and write on it during the day."),
    ("sheet", "code", "cook.sheet()"),
    ("type-in-words", "markdown", _NIGHT),
    ("type-in", "code", "cook.type_in()"),
    ("readings-words", "markdown", _READINGS),
    ("readings", "code", "cook.readings()"),
    ("limits-words", "markdown", _LIMITS),
    ("limits", "code", "cook.limits()"),
    ("taste-words", "markdown", "## Taste"),
    ("taste", "code", "cook.taste()"),
    ("publish-words", "markdown", "## Publish"),
    ("publish", "code", "cook.publish()"),
    ("finish", "code", "cook.finish()"),
]


def parameters_cell() -> str:
    """One line a parameter; None means "as in cook.toml"."""
    lines = ["# None means: as in cook.toml."]
    lines += [f"{name} = None  # {words}" for name, words in OWN.items()]
    lines += [f"{name} = None  # {parameter.help}" for name, parameter in PARAMETERS.items()]
    return "\n".join(lines)


def notebook() -> str:
    """Text of the template."""
    return template_text("cook", VERSION, CELLS, parameters_cell())


if __name__ == "__main__":
    if "--check" in sys.argv:
        sys.exit(TARGET.read_text(encoding="utf-8") != notebook())
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    TARGET.write_text(notebook(), encoding="utf-8")
