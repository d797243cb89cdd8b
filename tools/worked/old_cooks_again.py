"""``7-old-cooks-again.ipynb``: re-running, comparing, a year, and the data itself."""

from __future__ import annotations

from worked.opening import SAMPLE

__all__ = ["CELLS"]

CELLS = (
    (
        "title",
        """# Old cooks, again

Any old cook can be cooked again on paper: hotter, bare, with a heavier piece. Cooks can be laid over each other, and a whole
book gone through. The cooks are the sample's, and made up.""",
    ),
    ("start", SAMPLE),
    (
        "rerun-text",
        """## What if we had run it hotter?

`rerun` asks an old cook again with what was known before it, with one thing changed, and shows what moved. Without `--numbers` it
also runs the cook's notebook and keeps it beside the figures. What was kept before is never written over.""",
    ),
    (
        "rerun",
        """run('stallwise rerun harvest-supper --numbers --set pit_start="250 F"')""",
    ),
    (
        "check",
        """from stallwise.surfaces import notebook

was = notebook.open("cooks/2026-09-26-harvest-supper").desk.result.pieces[0].stages["tender"].elapsed_h
now = notebook.open("cooks/2026-09-26-harvest-supper", {"pit_start": "250 F"}).desk.result.pieces[0].stages["tender"].elapsed_h
print(f"{60 * (was.p50 - now.p50):.0f} minutes sooner, in the middle")

assert 0.5 < was.p50 - now.p50 < 2.0""",
    ),
    (
        "batch-text",
        """## All of one cut

A batch takes every cook that fits. All the ribs, cooked on until they fall off the bone:""",
    ),
    (
        "batch",
        """run('stallwise rerun --where cut=pork-spare-ribs-trimmed --numbers --set finish="falls off the bone"')""",
    ),
    (
        "compare-text",
        """## Two cooks over each other

`compare.ipynb` lies in every cookbook; these are its cells. First what was different, as planned and as logged. Then what came
out. And before the credit goes to any one thing, the list of what changed together.""",
    ),
    (
        "compare",
        """from stallwise.surfaces import past

beside = past.compare(None, {"cooks": "harvest-supper, lamb"})
beside.different()
beside.came_out()""",
    ),
    ("over-text", "On hours since meat on, so that a night and a morning lie on one line:"),
    ("over", "beside.picture()"),
    ("mixed", "beside.mixed_up()"),
    (
        "credit-text",
        """What the forecast makes of it: the first shoulder's own days, cooked again with one thing done as with the other. And under
it the sentence that matters most, how far two pieces end apart that are alike in everything.""",
    ),
    (
        "credit",
        """beside.credit()

twins, lamb = beside.found.credits
assert twins.by_chance and not lamb.by_chance
assert lamb.together.p50 < -2.0""",
    ),
    (
        "year-text",
        """## The whole book

`year.ipynb` goes through everything. What trials showed and what the log merely suggests are never mixed; open next-time lines come
first, since that is what one opens it for.""",
    ),
    (
        "year",
        """book = past.year()
book.cooks()
book.open_lines()
book.shown()
book.suggested()

assert len(book.found.cooks) == 6
assert len(book.found.open_lines) == 5""",
    ),
    (
        "frames-text",
        """## Your own question

The data are yours: readings, log, stages and cooks come as pandas frames, columns in SI, times in the cook's zone.""",
    ),
    (
        "frames",
        """import datetime as dt

from stallwise.surfaces import frames

every = frames.cooks(book.book, made_at=dt.datetime.now(dt.UTC))
ribs = every[every["cut"] == "pork-spare-ribs-trimmed"]
print(ribs[["date", "piece", "mass_kg", "tender_p50_h", "tender_h"]].round(2).to_string(index=False))

supper = book.book.cook("harvest-supper").load()
probe = frames.readings(supper).query("piece == 'A'").set_index("at")["temperature_c"]
print(probe.resample("2h").median().round(0).to_string())""",
    ),
    (
        "end-text",
        """That is the set. What is behind the numbers is told in `DEVELOPERS.md`, where they come from by `stallwise explain`.""",
    ),
)  # fmt: skip
