"""``3-no-thermometer.ipynb``: a whole cook by eye and hand, typed in from paper."""

from __future__ import annotations

from worked.opening import SAMPLE

__all__ = ["CELLS"]

CELLS = (
    (
        "title",
        """# A cook without a thermometer

No probe, no app, a gauge in the lid that may be anywhere: colour, bend and a pencil. The forecast was made for this
too. Everything here comes from the spring ribs of the sample cookbook, which are made up and were typed in from
paper that night.""",
    ),
    ("start", SAMPLE),
    (
        "paper-text",
        """## What a line may look like

A time and a few words, as they come. `+2:10` counts from meat on, `about` is allowed, a quotation mark is the same time as above, a
letter says which rack. What is in doubt is asked and never guessed.""",
    ),
    (
        "paper",
        '''run('stallwise new --from spring-ribs --title "Ribs again" --on 2026-10-17')
with open("tonight.txt", "w") as file:
    file.write("""
0915 meat on
1015 pit to 275
+2:15 spritz
about 1145 spritz
1220 wrapped foil - like an old penny
"    pit to 265
1310 bend not yet
B 1331 bend tender
A 1331 bend nearly
A 1342 bend tender
some time after one looked at the fire
""")
run("stallwise log ribs-again --lines tonight.txt", ends=2)''',
    ),
    (
        "signs-text",
        """## Two looks are an answer

*Nearly* at half past one and *tender* at eighteen minutes to two says more than a number on a dial: the moment
lies between the two. The forecast moves with it. As long as nobody can call a rack tender, the days on which it would
have been so already are out.""",
    ),
    (
        "signs",
        """from stallwise.joins import words
from stallwise.surfaces import notebook

early = {}
for moment in ("+0:00", "+3:00", "+3:55", "+4:17"):
    day = notebook.open("cooks/2026-05-16-spring-ribs", {"as_of": moment}).desk.result
    thin = day.pieces[0].stages["tender"]
    early[moment] = thin.clock["p10"]
    print(f"{words.clock(day.as_of)}  rack A {words.window(thin, day)}")

# "bend not yet" at 13:10, "bend nearly" of A at 13:31: nothing earlier is left.
assert early["+4:17"] > day.as_of
assert early["+3:00"] < early["+3:55"] < early["+4:17"]""",
    ),
    (
        "picture-text",
        """## The day, as it was seen

No curve of the meat, for nobody measured one: only what the model thinks of it, the gauge in the lid, and the looks.""",
    ),
    (
        "picture",
        """import datetime as dt

from stallwise.joins.learn.hindsight import with_outcome
from stallwise.pictures.charts import day_picture
from stallwise.surfaces.widgets.display import show_picture

ribs = notebook.open("cooks/2026-05-16-spring-ribs").desk
show_picture(day_picture(with_outcome(ribs.result, ribs.record)))""",
    ),
    (
        "outcome-text",
        """What is learned and tallied from this cook is the bracket, never its middle.""",
    ),
    (
        "outcome",
        """from stallwise.joins.learn.outcome import outcome

for piece in ribs.record.cook.pieces:
    seen = outcome(ribs.record, piece)
    print(piece.letter, "between", words.hours(seen.low_h, minutes=1), "and", words.hours(seen.high_h, minutes=1), "after meat on")
    assert seen.two_sided""",
    ),
    (
        "lid-text",
        """## A gauge in the lid

A number has a place, and a lid is not the grate. Say where it is read (`number_at = "lid"`) and the forecast knows that it
may be well off, and by how much in which direction once this pit has been read in both places. An afternoon with
oven thermometers on the empty grate, or slices of bread, tells where it is hot: `[[places]]` in the pit's file.""",
    ),
    ("lid", 'print(open("pits/backyard-offset.toml").read())'),
    (
        "limits-text",
        """## What it cannot know

Rules of time and temperature ask what the coldest spot read. Without a thermometer in the meat the honest answer is *not
known*, and no colour, bend or hour on the pit changes that. A thermometer in the hand at the end is little money.""",
    ),
    ("limits", 'run("stallwise limits spring-ribs")'),
    ("end-text", "Next: `4-for-a-crowd.ipynb`, when twenty-eight have said yes."),
)  # fmt: skip
