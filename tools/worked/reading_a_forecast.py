"""``2-reading-a-forecast.ipynb``: what bands and odds say, and what they do not."""

from __future__ import annotations

from worked.opening import SAMPLE

__all__ = ["CELLS"]

CELLS = (
    (
        "title",
        """# Reading a forecast

Two pork shoulders for twenty-eight people at five. This page takes one forecast of the sample cookbook apart:
where its window comes from, what the odds cost, how it sharpens while the meat cooks, what it says when a
cook runs late, and how often it was right. All cooks in here are made up.""",
    ),
    ("start", SAMPLE),
    (
        "window-text",
        """## A window, and never a minute

Two shoulders of one weight from one butcher end hours apart; so do two fires. The forecast cooks the piece on two
hundred possible days, each with another pit, another thickness, another toughness, and tells where four of
five of them end.""",
    ),
    (
        "window",
        """from stallwise.joins import tables, words
from stallwise.pictures.charts import day_picture, lever_picture
from stallwise.surfaces import notebook
from stallwise.surfaces.widgets.display import show_picture, show_table

cook = notebook.open("cooks/2026-09-26-harvest-supper", {"as_of": "2026-09-25 21:00"})
supper = cook.desk.result
print(words.headline(supper))
show_picture(day_picture(supper))""",
    ),
    (
        "stages-text",
        """## What happens when

The stages come in order, each with its own window. One that many days never have carries its odds: a piece that is
wrapped early may have no stall to speak of.""",
    ),
    ("stages", "show_table(tables.stage_table(supper))"),
    (
        "odds-text",
        """## Odds are a price

Nobody else can decide how late is too late. The words run from *coin flip* to *cannot be late*; what each of them
costs is sleep, and a longer hold. For a family a coin flip may do; for a hall full of people it will not.""",
    ),
    (
        "odds",
        """show_table(tables.chance_table(supper))

odds = [piece.odds_in_time for piece in supper.pieces]
assert all(0.6 < one < 0.9 for one in odds), odds""",
    ),
    (
        "what-if-text",
        """## What would move it

One thing changed at a time, on the very same days. A difference is far surer than either forecast, because
a tough piece on a cold fire is as tough on the other side of the comparison.""",
    ),
    (
        "what-if",
        """levers = cook.desk.what_if("A")
show_picture(lever_picture(levers, supper))

hotter = next(lever for lever in levers if lever.key == "pit.hotter")
assert -2.0 < hotter.shift_h.p50 < -0.5, hotter.shift_h.p50""",
    ),
    (
        "sharper-text",
        """## It sharpens

What is logged while the meat cooks throws possible days out: the probe's curve, the pit as it was read, the wrap,
and most of all somebody feeling the meat and saying *not yet*. Here is the same cook asked again and again. The
bigger shoulder was tender at 13 h 28.""",
    ),
    (
        "sharper",
        """wide = {}
for moment in ("+0:00", "+4:00", "+8:00", "+11:00", "+13:00"):
    big = notebook.open("cooks/2026-09-26-harvest-supper", {"as_of": moment}).desk.result.pieces[0]
    low, high = (big.stages["tender"].elapsed_h.p10, big.stages["tender"].elapsed_h.p90)
    wide[moment] = high - low
    print(f"{moment[1:]:>5} after meat on: tender after {words.hours(low)} to {words.hours(high)}")

assert wide["+13:00"] < wide["+0:00"] / 2, wide""",
    ),
    (
        "late-text",
        """## When it runs late

The winter brisket of the sample was promised for six. Ten hours in, the forecast says how it stands, and what can still be done
about it, each way with what it buys. Telling the guests is one of them.""",
    ),
    (
        "late",
        """brisket = notebook.open("cooks/2026-01-31-late-brisket", {"as_of": "+10:00"}).desk.result
print(words.headline(brisket))
show_table(tables.remedy_table(brisket))

assert brisket.pieces[0].odds_in_time < 0.1
assert brisket.remedies""",
    ),
    (
        "tally-text",
        """## Was it right?

Every forecast that is kept is held against what happened. A right forecast is wrong one time in five: windows that
always hold are too wide to plan by. Mind the second sentence, too. Six cooks are few.""",
    ),
    ("tally", 'run("stallwise tally")'),
    (
        "where-text",
        """## Where a number comes from

Any of them can be asked. Some are printed in a book, some are what cooks say, some were fitted to published cooks, and it
says which.""",
    ),
    (
        "where",
        """run("stallwise explain forecast")
run("stallwise explain salts.salt_kosher_flaked")""",
    ),
    (
        "end-text",
        """What it does not say: whether anything has been heated enough to eat. That takes a thermometer in the
meat and a rule to hold it against (`stallwise limits`). Next: `3-no-thermometer.ipynb`, a cook who has none.""",
    ),
)  # fmt: skip
