"""Write the template of a side-by-side.

Run with ``python tools/trial_notebook.py``; ``tests/surfaces/test_trial_notebook.py`` compares.
"""

from __future__ import annotations

from pathlib import Path

from cook_notebook import parameters_cell
from notebook_text import template_text

ROOT = Path(__file__).resolve().parents[1]
TEMPLATE = ROOT / "templates" / "notebooks" / "trial.ipynb"
VERSION = 1

_TITLE = """# A side-by-side

Two or more ways, tasted without knowing which is which. Work from top to bottom; running all cells
changes nothing, a cell writes only with `keep=True`."""

_PLAN = """## What do you want to know?

Which do you like (`asks="like"`), which is more of something (`"more"`), can you tell at all
(`"tell"`). Say what is varied, the arms, how many taste and the bones of each piece, and it says what
so few tasters could see."""

_LOCK = """## Lock it, before the first bite

The plan is written down as it stands and who gets which bone is drawn. What is changed after that is
shown with the result."""

_PLATES = """## Plates

Somebody who does not taste prints the cards and plates, or you taste last from plates that somebody
shuffled. Otherwise the result says that it was not blind."""

_TYPE = """## Type in the slips

`T1 471` for the plate that was chosen, `T1 471 like very much` or `T1 471 7` for a score,
`T1 471 sweetness too much` for what else stood on the slip, `T1 471 140 F` for how warm it was."""

_CLOSE = "## All answers are in\n\nOnly now the key is opened."

_READ = """## What it shows

What was found, what could not have been seen, what still fits, and what may have fooled you."""

CELLS: list[tuple[str, str, str]] = [
    ("title", "markdown", _TITLE),
    ("parameters", "code", ""),
    ("open", "code", "from stallwise.surfaces import notebook\n\ncook = notebook.open(folder, globals())\nside = cook.trial(trial)"),
    ("plan-words", "markdown", _PLAN),
    ("plan", "code", '# For one: asks="like", factor="glaze", arms=["stock", "sharp"], tasters=8, bones={"A": 12, "B": 12}\nside.plan(keep=False)'),
    ("lock-words", "markdown", _LOCK),
    ("lock", "code", "side.lock(keep=False)"),
    ("plates-words", "markdown", _PLATES),
    ("plates", "code", 'side.cards("plates.html", keep=False)'),
    ("type-in-words", "markdown", _TYPE),
    ("type-in", "code", 'side.type_in("""\n""", keep=False)'),
    ("close-words", "markdown", _CLOSE),
    ("close", "code", "side.close(keep=False)"),
    ("read-words", "markdown", _READ),
    ("read", "code", "side.read()"),
    ("finish", "code", "cook.finish()"),
]  # fmt: skip


def template() -> str:
    """Text of the template: the parameters of the cook's own, and the name of the trial."""
    first, *rest = parameters_cell().splitlines()
    own = "trial = None  # name of the trial; None means the cook's only one"
    return template_text("trial", VERSION, CELLS, "\n".join([first, own, *rest]))


if __name__ == "__main__":
    TEMPLATE.write_text(template(), encoding="utf-8")
