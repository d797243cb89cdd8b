"""What the search looks through: one script with a row a cook, read from the disk when asked for."""

from __future__ import annotations

import json
from collections.abc import Iterable

from stallwise.surfaces.journal.addresses import folded
from stallwise.surfaces.journal.entries import Entry

__all__ = ["ROWS", "SCRIPT", "rows"]

SCRIPT = "search.js"
#: The rows; a script, for from the disk a page may read nothing else.
ROWS = "search-rows.js"


def rows(entries: Iterable[Entry]) -> str:
    """Write the rows: file, title, day, subtitle, and all that is looked through, folded."""
    told = []
    for one in entries:
        looked = [one.title, one.date, one.day, one.subtitle, *one.tags]
        looked += [mix.name for mix in one.mixes]
        looked += [trial.question for trial in one.trials]
        looked += [one.outcome, one.next_time, one.words]
        told.append([one.page, one.title, one.day, one.subtitle, folded(" ".join(looked))])
    # ASCII only: no letter that ends a line in a script, and no doubt about its letters.
    lines = ",\n".join(json.dumps(row, separators=(",", ":")) for row in told)
    return f"globalThis.cooksOfThisJournal = [\n{lines}\n];\n"
