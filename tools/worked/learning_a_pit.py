"""``6-learning-a-pit.ipynb``: what six cooks say of one pit, and what it does to the seventh."""

from __future__ import annotations

from worked.opening import SAMPLE

__all__ = ["CELLS"]

CELLS = (
    (
        "title",
        """# Learning a pit

Every pit lies about its heat in its own way, and every cook logged says a little of how. This page goes through the six
made-up cooks of the sample, oldest first, and watches what is known of their pit.""",
    ),
    ("start", SAMPLE),
    (
        "learn-text",
        """## Learn

`stallwise learn` goes through the finished cooks in the order of their days. It can be run any time and is rebuilt
whole: correct a log line of last year, run it again, and nothing of the slip is left.""",
    ),
    (
        "learn",
        """import io
import json
from contextlib import redirect_stdout

from stallwise.joins.learn.learnedwords import learned_table
from stallwise.surfaces.widgets.display import show_table

said = io.StringIO()
with redirect_stdout(said):
    run("stallwise learn")
print(said.getvalue().partition("Learned")[0])

book = json.load(open("learned.json"))
show_table(learned_table(book, "us"))""",
    ),
    (
        "pit-text",
        """## How it grew

The number that matters most for the clock: how much hotter the air at the meat is than what the gauge at the grate says. At
first it may be anything within some eleven degrees; each cook takes a little of the doubt away.""",
    ),
    (
        "pit",
        """doubt = []
for cook in book["cooks"]:
    value, spread = cook["pits"]["backyard-offset"].get("pit.offset.grate", (float("nan"), float("nan")))
    doubt.append(spread)
    print(f"{cook['date']}  {1.8 * value:+5.1f} °F, give or take {1.8 * spread:4.1f}  after {cook['cook'][11:]}")

known = [each for each in doubt if each == each]
assert known == sorted(known, reverse=True), known
assert known[-1] < 0.7 * known[0]""",
    ),
    (
        "next-text",
        """## What it does to the next cook

The same shoulder planned for the same pit, asked with nothing known and with all that was learned. (It is marked as a
sample too: made-up cooks teach nothing to one of your own.)""",
    ),
    (
        "next",
        """import datetime as dt
from pathlib import Path

from stallwise.joins import words
from stallwise.joins.answer import answer
from stallwise.models.plan import Knowledge
from stallwise.record.folder import Cookbook

run('stallwise new --from harvest-supper --title "November shoulder" --on 2026-11-14')
folder = Cookbook.open(Path(".")).cook("november-shoulder")
folder.save({"sample": True})
record, when = folder.load(), dt.datetime(2026, 11, 13, 20, tzinfo=dt.UTC)

wide = {}
for name, knowledge in (("nothing known", Knowledge()), ("all six known", None)):
    big = answer(record, made_at=when, knowledge=knowledge).pieces[0].stages["tender"].elapsed_h
    wide[name] = big.p90 - big.p10
    print(f"{name}: tender after {words.hours(big.p10)} to {words.hours(big.p90)}, middle {words.hours(big.p50)}")

assert 0.6 < wide["all six known"] / wide["nothing known"] < 0.85, wide""",
    ),
    (
        "honest-text",
        """Narrower by a good quarter, and moved a little; no more than that. Most of the doubt about a shoulder is in the shoulder: a
pit that is known takes its own part away.""",
    ),
    (
        "without-text",
        """## Would it be different without that day?

A cook in a storm, or with a borrowed thermometer, should teach nothing: `teaches = false` in its `cook.toml`. What leaving one out
would do can be seen first; nothing is stored.""",
    ),
    (
        "without",
        """said = io.StringIO()
with redirect_stdout(said):
    run("stallwise learn --without late-brisket")
print("\\n".join(line for line in said.getvalue().splitlines() if "number" in line or "stored" in line))""",
    ),
    (
        "old-text",
        """## An old cook keeps its answer

What was learned later is no business of an earlier cook. Ask for last year's turkey again and it is answered with what was
known before it: nothing.""",
    ),
    (
        "old",
        """from stallwise.joins.learn.knowledge import knowledge_before

for name in ("turkey", "harvest-supper"):
    known = knowledge_before(Cookbook.open(Path(".")).cook(name).load())
    print(name, "knows of", ", ".join(known.pits) or "no pit")

assert not knowledge_before(Cookbook.open(Path(".")).cook("turkey").load()).pits""",
    ),
    (
        "fuel-text",
        """## The fire, too

Fuel fed and weighed tells what the pit eats, and when the match was struck and when it was steady tells how long it takes. The
next day sheet says when to light it, and `stallwise shop` puts the splits on the list.""",
    ),
    (
        "fuel",
        """from stallwise.joins.fire.fuelwords import fuel_table

show_table(fuel_table(answer(record, made_at=when)))""",
    ),
    ("end-text", "Next: `7-old-cooks-again.ipynb`, where the past is asked what it would have done otherwise."),
)  # fmt: skip
