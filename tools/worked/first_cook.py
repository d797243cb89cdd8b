"""``1-first-cook.ipynb``: two racks for four o'clock, from an empty cookbook to a page."""

from __future__ import annotations

from worked.opening import TERMINAL

__all__ = ["CELLS"]

CELLS = (
    (
        "title",
        """# A first cook

Two racks of spare ribs for four o'clock, from an empty folder to a page that can be shown. It is all
made up and happens in a scratch folder. `run(...)` is a line as you would type it in a terminal; what
stands under a cell is what it answered.""",
    ),
    ("start", TERMINAL),
    (
        "book-text",
        """## A cookbook, once

A cookbook is a folder of plain files. Say where you cook, so that clocks are yours, and whether you think
in pounds or in kilograms; both are understood wherever you write an amount.""",
    ),
    ("book", 'run("stallwise init my-cookbook --units us --timezone Etc/GMT+5")\nos.chdir("my-cookbook")'),
    (
        "new-text",
        """## Start the cook

The cut, the weight as it goes on, how many, when you want to eat. `stallwise cuts ribs` lists what a cut
is called. What you leave out is taken as usual for the cut, and it says so.""",
    ),
    (
        "new",
        """run('stallwise new --cut pork-spare-ribs-trimmed --title "Two racks" --on 2026-10-10 '
    '--set serve=16:00 --set mass="3 lb 4 oz" --set count=2')""",
    ),
    (
        "forecast-text",
        """## When will they be ready?

In JupyterLab you would open the cook's own notebook now and move its sliders. Here the same forecast is
asked for in a cell, as it stood the evening before.""",
    ),
    (
        "forecast",
        """from stallwise.joins import tables, words
from stallwise.pictures.charts import day_picture, plan_picture
from stallwise.surfaces import notebook
from stallwise.surfaces.widgets.display import show_picture, show_table

cook = notebook.open("cooks/2026-10-10-two-racks", {"as_of": "2026-10-09 20:00"})
racks = cook.desk.result
print(words.headline(racks))
show_picture(day_picture(racks))""",
    ),
    (
        "odds-text",
        """The band is where four of five possible days run, and the bar below it where they end. Nobody can know
which day it will be; what you can choose is how sure you want to be, and that has a price: an earlier
fire, and ribs that wait.""",
    ),
    (
        "odds",
        """show_table(tables.chance_table(racks))

usual, sure = (next(c for c in racks.pieces[0].chances if c.words == w) for w in ("usual", "cannot be late"))
assert sure.on_at < usual.on_at and sure.hold_p90_h > usual.hold_p90_h""",
    ),
    (
        "hold-text",
        """Look at the last column: waiting on the counter they would often be cold by then. Ribs that may wait
need a warm place. Tell it, and keep that: this is what a panel's *Keep* does, it writes `cook.toml`.""",
    ),
    (
        "hold",
        """for warning in racks.warnings:
    print("note:", warning.text)

cook.desk.change({"hold": "oven", "hold_at": "150 F"})
cook.desk.keep()
show_table(tables.serving_table(cook.desk.result))

colder = [c.colder_share for c in cook.desk.result.pieces[0].chances if c.chosen]
assert colder == [0.0]""",
    ),
    (
        "rub-text",
        """## The rub, by weight

Add a rub to the cook and it is scaled to the meat, with its salt counted. `cook.toml` is yours to edit by hand;
a slip gets file, line, what came and what is allowed. Every pinch here stands in grams first: a spoon of one
salt is twice a spoon of another. If all of this one stayed on, it finds, it would be a salty rack.""",
    ),
    (
        "rub",
        """with open("cooks/2026-10-10-two-racks/cook.toml", "a") as file:
    file.write('\\n[[mixes]]\\nmix = "plain-rub"\\non = ["A"]\\n')
run("stallwise mixes two-racks")""",
    ),
    (
        "sheet-text",
        """## The day sheet

`stallwise sheet two-racks --print sheet.html` makes a page to print: one side, large enough for smoke in the
eyes, with a blank column for a pencil. That column is the log. Here are its steps, and the same day as a picture.""",
    ),
    (
        "sheet",
        """cook = notebook.open("cooks/2026-10-10-two-racks", {"as_of": "2026-10-09 20:00"})
show_table(tables.sheet_table(cook.desk.result))
show_picture(plan_picture(cook.desk.result))""",
    ),
    (
        "night-text",
        """## That night: type it in

The pencil's lines, as they stood on the sheet. Nothing is written before you have seen what was understood.""",
    ),
    (
        "night",
        '''with open("tonight.txt", "w") as file:
    file.write("""
0825 fire lit
0925 pit steady 250
0935 meat on
1130 spritz
1200 spritz
1240 wrapped foil
1340 bend not yet
1405 bend nearly
1425 bend tender
1430 off
1558 sliced
1602 served
""")
run("stallwise log two-racks --lines tonight.txt")''',
    ),
    (
        "accept-text",
        """All understood, so write it. Typed twice by mistake it doubles nothing.""",
    ),
    (
        "accept",
        """run("stallwise log two-racks --lines tonight.txt --accept")""",
    ),
    (
        "after-text",
        """## How it came out

The same picture, with what happened in it. The two looks at 14:05 and 14:25 are worth more than one at 14:25
alone: between them the ribs turned tender, and that is what a forecast can be held against.""",
    ),
    (
        "after",
        """import datetime as dt
from pathlib import Path

from stallwise.joins.ask import ask
from stallwise.joins.learn.hindsight import with_outcome
from stallwise.record.folder import Cookbook

record = Cookbook.open(Path(".")).cook("two-racks").load()
day = with_outcome(ask(record, made_at=dt.datetime.now(dt.UTC)), record)
show_picture(day_picture(day))

(piece,) = day.pieces
tender = piece.stages["tender"].elapsed_h
assert tender.p10 < piece.finish_seen.elapsed_h < tender.p90""",
    ),
    (
        "page-text",
        """## The page, and next time

A page is made of what may be shown. The one line that matters most is the one for next time: it stands on top
when that cut comes back.""",
    ),
    (
        "page",
        """cook = Cookbook.open(Path(".")).cook("two-racks")
cook.save({"outcome": "Bit clean, shone a little; the first to go.", "next_time": "A touch more pepper."})
run("stallwise publish two-racks")
run('stallwise new --cut pork-spare-ribs-trimmed --title "Two more" --on 2026-11-07')""",
    ),
    (
        "end-text",
        """That is the whole round. Next: `2-reading-a-forecast.ipynb`, on what the bands and odds say and what they do
not.""",
    ),
)  # fmt: skip
