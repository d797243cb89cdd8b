"""Write and run ``notebooks/first-look.ipynb``: the library seen from a notebook, outputs kept.

Run it again after a change in what it shows; ``tests/surfaces/test_first_look.py`` compares.
"""

from __future__ import annotations

from pathlib import Path

from notebook_text import write_example

TARGET = Path(__file__).resolve().parents[1] / "notebooks" / "first-look.ipynb"

CELLS = (
    (
        "title",
        """# A first look

stallwise is a library first; its command line, its notebooks and its pages only show what the
library answers. This notebook starts the sample cookbook in a scratch folder (six cooks, made up),
asks about one of them and changes its mind. Nothing here needs a network.""",
    ),
    (
        "start",
        """import tempfile
from pathlib import Path

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

book = Cookbook.start(Path(tempfile.mkdtemp()) / "sample", title="Sample")
print(*bring_sample(book), sep="\\n")""",
    ),
    (
        "forecast-text",
        """## The forecast, as it stood before meat on

A window is where four of five possible days fall. The picture is an SVG with its finding in words;
nothing in it is fetched.""",
    ),
    (
        "forecast",
        """from stallwise.surfaces import notebook

supper = notebook.open(str(book.cook("2026-09-26-harvest-supper").path))
supper.plan()""",
    ),
    ("what-if-text", "## The same cook, the pit hotter from the start"),
    (
        "what-if",
        """from stallwise.joins import words

hotter = notebook.open(str(supper.desk.folder.path), {"pit_start": "250 F"})
print(words.headline(supper.desk.result))
print(words.headline(hotter.desk.result))""",
    ),
    ("salt-text", "## Rubs and stock, by weight, salt counted once"),
    ("salt", "supper.mixes()"),
    (
        "frames-text",
        """## The data, for a cell of your own

Readings, log, stages and cooks come as pandas frames; columns are in SI, times in the cook's zone.""",
    ),
    (
        "frames",
        """from stallwise.surfaces import frames

probe = frames.readings(supper.desk.record).query("piece == 'A'").set_index("at")["temperature_c"]
print(probe.resample("2h").median().round(0).to_string())""",
    ),
    ("where-text", "## Where a number comes from"),
    (
        "where",
        """from stallwise.joins.explain import explain

for key in ("surface.rubbed-ribs.wetness", "salts.salt_kosher_flaked", "forecast"):
    print(explain(key)[0].text(), end="\\n\\n")""",
    ),
)


if __name__ == "__main__":
    write_example(CELLS, TARGET)
