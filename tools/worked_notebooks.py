"""Write and run the worked notebooks of ``notebooks/``, outputs kept: all, or those named.

``python tools/worked_notebooks.py 1-first-cook`` writes one. ``tests/surfaces/test_worked.py`` compares.
"""

from __future__ import annotations

import sys
from pathlib import Path

from notebook_text import write_example
from worked import (
    first_cook,
    for_a_crowd,
    learning_a_pit,
    no_thermometer,
    old_cooks_again,
    reading_a_forecast,
    two_glazes,
)

FOLDER = Path(__file__).resolve().parents[1] / "notebooks"

#: By file name, in the order in which they teach.
WORKED = {
    "1-first-cook": first_cook.CELLS,
    "2-reading-a-forecast": reading_a_forecast.CELLS,
    "3-no-thermometer": no_thermometer.CELLS,
    "4-for-a-crowd": for_a_crowd.CELLS,
    "5-two-glazes": two_glazes.CELLS,
    "6-learning-a-pit": learning_a_pit.CELLS,
    "7-old-cooks-again": old_cooks_again.CELLS,
}

if __name__ == "__main__":
    for name in sys.argv[1:] or WORKED:
        write_example(WORKED[name], FOLDER / f"{name}.ipynb")
        print(name)
