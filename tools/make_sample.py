"""Make ``data/sample``: a small cookbook, all of it our own invention, the same bytes each run.

The plans, the notes and the sheets stand in ``sample_blocks`` as a cook would type them; the
readings come from `sample_simulator`, the pictures from the ``sample_*`` drawings. Everything goes
through the project's own doors, in the order of the days, so that the sample is what the commands
really leave behind: a plan and its forecast; the sheet typed and the probe's file read in as far as
the day has got, and a forecast from that; after the cook what it was like, and what it taught the
next. What a sheet says of heat and tenderness is held against the simulated day, and one that says
something else is refused.

Run from anywhere: ``python tools/make_sample.py [FOLDER]``.
"""

from __future__ import annotations

import datetime as dt
import re
import shutil
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from sample_brush import as_jpeg
from sample_days import Day
from sample_stories import STORIES, ZONE, Logger, Shot, Story
from sample_trial import TRIALS
from sample_truth import differences

from stallwise.joins.ask import ask, keep_forecast
from stallwise.joins.learn.learning import learn
from stallwise.joins.log.paper import paper_context, read_block
from stallwise.joins.mix.usedmixes import keep_used_mixes
from stallwise.record.folder import Cookbook, CookFolder
from stallwise.record.log import LogLine

TOOLS = Path(__file__).resolve().parent
BLOCKS = TOOLS / "sample_blocks"
#: A picture is no larger than this [pixels]: a page shows it a thousand wide.
LARGEST = (1280, 1280)
#: A line of a sheet that says when all above it was typed.
TYPED = re.compile(r"^# typed (\S+ \S+)$", re.MULTILINE)


def make(folder: Path, *, drawn: Path | None = None, kept: Path | None = None) -> None:
    """Write the sample into a folder that holds nothing else.

    Parameters
    ----------
    folder : Path
        What is in it is taken away.
    drawn, kept : Path, optional
        A sample whose pictures, and whose forecasts, are taken as they are: drawing takes a minute,
        and a forecast stands as it was made, whatever the library says today.
    """
    with tempfile.TemporaryDirectory() as place:
        book = Cookbook.start(
            Path(place) / "sample", title="Sample", units="us", time_zone="Etc/GMT+5"
        )
        book.put("pits", "backyard-offset", _text("backyard-offset.toml"))
        for mix in ("vinegar-sauce", "sharp-glaze"):
            book.put("mixes", mix, _text(f"{mix}.toml"))
        for story in STORIES:
            _tell(book, story, Path(place), drawn, kept)
            if kept is None:
                book.write_learned(
                    learn((one.load() for one in book.cooks()), before=book.learned())
                )
        shutil.rmtree(folder, ignore_errors=True)
        for source in sorted(book.path.rglob("*")):
            part = source.relative_to(book.path)
            # What was learned is rebuilt by `stallwise learn`: it is no fact, and goes stale.
            if source.is_file() and part.parts[0] in {"pits", "mixes", "trials", "cooks"}:
                target = folder / part
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(source.read_bytes())


def _tell(book: Cookbook, story: Story, place: Path, drawn: Path | None, kept: Path | None) -> None:
    """Live through one cook: plan, sittings, afterwards."""
    plan = _text(f"{story.name}.toml")
    cook = book.new_cook(str(tomllib.loads(plan)["title"]), story.date, plan)
    day = story.cook()
    if tried := TRIALS.get(story.name):
        tried.before(book, cook.name, story)
    _ask(cook, story.at(story.planned), kept)
    for typed, text, last in _sittings(_text(f"{story.name}.txt")):
        if story.logger:
            raw = place / "probe.csv"
            raw.write_text(_probe_file(story, story.logger, day, typed), encoding="utf-8")
            _read_in(cook, raw)
        cook.append(_typed(cook, text, typed))
        if not last:
            _ask(cook, typed, kept)
    for wrong in differences(story, day, cook.log().lines):
        raise SystemExit(f"{story.name}: {wrong}")
    if tried:
        tried.after(book, cook.name, story)
    keep_used_mixes(cook)
    if kept:
        for row in Cookbook(kept, book.book).cook(cook.name).forecasts():
            cook.keep_forecast(row)
    cook.save(_after(_text(f"{story.name}-after.toml")))
    for shot in story.shots:
        picture = place / f"{shot.name}.jpg"
        old = drawn / "cooks" / cook.name / "photos" / picture.name if drawn else None
        picture.write_bytes(old.read_bytes() if old else _developed(story, shot))
        cook.add_photo(picture, shot.caption, lead=shot.lead)


def _ask(cook: CookFolder, made_at: dt.datetime, kept: Path | None) -> None:
    """Forecast from what is there at that moment, and keep it; a minute after the typing."""
    if kept is None:
        moment = made_at + dt.timedelta(minutes=1)
        keep_forecast(cook, ask(cook.load(), made_at=moment))


def _sittings(text: str) -> Iterator[tuple[dt.datetime, str, bool]]:
    """Sheet as far as it was written each time that somebody sat down to type it."""
    marks = list(TYPED.finditer(text))
    for mark in marks:
        typed = dt.datetime.fromisoformat(mark[1]).replace(tzinfo=ZONE)
        yield typed, text[: mark.start()], mark is marks[-1]


def _after(text: str) -> dict[str, Any]:
    told = tomllib.loads(text)
    pieces = told.pop("pieces", {})
    weights = {
        f"pieces.{letter}.{key}": value
        for letter, said in pieces.items()
        for key, value in said.items()
    }
    return told | weights


def _developed(story: Story, shot: Shot) -> bytes:
    picture = shot.draw()
    picture.thumbnail(LARGEST, Image.Resampling.LANCZOS)
    return as_jpeg(picture, story.at(shot.taken), limit=shot.limit, sideways=shot.sideways)


def _typed(cook: CookFolder, text: str, made: dt.datetime) -> tuple[LogLine, ...]:
    block = read_block(text, context=paper_context(cook.load(), now=made))
    for line in block.asked:
        raise SystemExit(f"{cook.name}, line {line.number} of its sheet: {line.question}")
    return block.entries


def _read_in(cook: CookFolder, raw: Path) -> None:
    """Import the probe's file as far as it was written; what is there already is passed over."""
    report = cook.add_readings(raw)
    if report.questions or not report.written:
        raise SystemExit(f"{cook.name}: the readings are asked about: {report.questions}")


def _probe_file(story: Story, logger: Logger, day: Day, until: dt.datetime) -> str:
    """Write the probe's file: local time, whole °F, with its faults."""
    rows = [",".join(["time", *logger.channels.values()])]
    start, off = story.at(story.on), story.at(logger.off)
    gap = [story.at(clock) for clock in logger.gap if clock]
    when, whose, false = logger.false
    for minute in range(0, int(day.burnt.hours[-1] * 60) + 1, logger.every_min):
        at = start + dt.timedelta(minutes=minute)
        if at > until or (gap and gap[0] <= at < gap[1]):
            continue
        shown = {
            letter: str(round(float(np.interp(minute / 60, day.burnt.hours, values))))
            for letter, values in day.shown_f.items()
        }
        if when and at == story.at(when):
            shown[whose] = false
        if at > off:
            shown = {letter: "" if letter != "P" else value for letter, value in shown.items()}
        rows.append(
            ",".join([f"{at:%Y-%m-%dT%H:%M}", *(shown[letter] for letter in logger.channels)])
        )
    return "\n".join(rows) + "\n"


def _text(name: str) -> str:
    return (BLOCKS / name).read_text(encoding="utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else TOOLS.parent / "data" / "sample")
