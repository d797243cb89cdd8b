"""Make ``data/sample``: a small cookbook, all of it our own invention, the same bytes each run.

The plan, the notes and the sheet stand in ``sample_blocks`` as a cook would type them; the
readings come from `sample_simulator`, the pictures from the ``sample_*`` drawings. Everything goes
through the project's own doors, so that the sample is what the commands really leave behind. What
the sheet says of heat and tenderness is held against the simulated day, and a sheet that says
something else is refused.

Run from anywhere: ``python tools/make_sample.py [FOLDER]``.
"""

from __future__ import annotations

import datetime as dt
import shutil
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from PIL import Image
from sample_bend import bend_test
from sample_board import rubbed_shoulder
from sample_brush import as_jpeg
from sample_dawn import pit_at_dawn
from sample_days import Day, harvest_supper, spring_ribs
from sample_ribs import glazed_ribs
from sample_tray import pulled_shoulder

from stallwise.joins.paper import paper_context, read_block
from stallwise.record.folder import Cookbook, CookFolder
from stallwise.record.log import LogLine

TOOLS = Path(__file__).resolve().parent
BLOCKS = TOOLS / "sample_blocks"
ZONE = ZoneInfo("Etc/GMT+5")
LARGEST_PICTURE = 220_000
#: A typed number may be off what the simulated probe showed by so much [K]: hands, glare, minutes.
GRATE_K, LID_K, CORE_K = 5.0, 15.0, 1.5
#: The same of a weight on a kitchen scale [kg].
SCALE_KG = 0.03
#: Share of the tenderness called tender at which a feel check finds what.
VERDICTS = {"not yet": (0.0, 0.92), "nearly": (0.86, 1.0), "tender": (1.0, 1.12)}


@dataclass(frozen=True)
class Shot:
    """A picture, the minute it says it was taken, and its caption."""

    name: str
    draw: Callable[[], Image.Image]
    taken: str
    caption: str
    lead: bool = False
    sideways: bool = False


@dataclass(frozen=True)
class Story:
    """One cook of the sample."""

    name: str
    title: str
    date: dt.date
    on: str
    typed: str
    cook: Callable[[], Day]
    shots: tuple[Shot, ...]
    #: Channels of the probe file, letter to header; empty without a probe.
    channels: dict[str, str] = field(default_factory=dict)
    off: str = ""

    def at(self, clock: str) -> dt.datetime:
        """Instant of a clock time of the cook's day, or of ``-20:55`` the evening before."""
        day = self.date - dt.timedelta(days=1) if clock.startswith("-") else self.date
        return dt.datetime.combine(day, dt.time.fromisoformat(clock.lstrip("-")), ZONE)


HARVEST = Story(
    "harvest-supper",
    "Harvest supper",
    dt.date(2026, 9, 26),
    "01:30",
    "2026-09-27 19:40",
    harvest_supper,
    (
        Shot(
            "pulled-shoulder",
            pulled_shoulder,
            "16:46",
            "Pulled, the bark mixed in, a spoon of the vinegar sauce to come. A drawing.",
            lead=True,
        ),
        Shot(
            "rubbed-shoulder",
            rubbed_shoulder,
            "-20:55",
            "The bigger shoulder with its rub on, the evening before. A drawing.",
        ),
        Shot(
            "pit-at-dawn",
            pit_at_dawn,
            "06:40",
            "First light behind the hall: thin smoke, and the climb about to begin. A drawing.",
            sideways=True,
        ),
    ),
    {"P": "grate P (F)", "A": "core A (F)"},
    "15:00",
)
RIBS = Story(
    "spring-ribs",
    "Spring ribs",
    dt.date(2026, 5, 16),
    "09:15",
    "2026-05-16 21:30",
    spring_ribs,
    (
        Shot(
            "glazed-ribs",
            glazed_ribs,
            "14:03",
            "Glazed and set, before the knife: the bones show a finger's width. A drawing.",
            lead=True,
        ),
        Shot(
            "bend-test",
            bend_test,
            "13:31",
            "Held a third along, it hangs and cracks open across the top. A drawing.",
        ),
    ),
)


def make(folder: Path, *, drawn: Path | None = None) -> None:
    """Write the sample into a folder that holds nothing else.

    Parameters
    ----------
    folder : Path
        What is in it is taken away.
    drawn : Path, optional
        A sample whose pictures are taken as they are: drawing them takes a minute.
    """
    with tempfile.TemporaryDirectory() as place:
        book = Cookbook.start(
            Path(place) / "sample", title="Sample", units="us", time_zone="Etc/GMT+5"
        )
        book.put("pits", "backyard-offset", _text("backyard-offset.toml"))
        book.put("mixes", "vinegar-sauce", _text("vinegar-sauce.toml"))
        for story in (RIBS, HARVEST):
            _tell(book, story, Path(place), drawn)
        shutil.rmtree(folder, ignore_errors=True)
        for source in sorted(book.path.rglob("*")):
            part = source.relative_to(book.path)
            if source.is_file() and part.parts[0] in {"pits", "mixes", "cooks"}:
                target = folder / part
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(source.read_bytes())


def _tell(book: Cookbook, story: Story, place: Path, drawn: Path | None) -> None:
    cook = book.new_cook(story.title, story.date, _text(f"{story.name}.toml"))
    day = story.cook()
    if story.channels:
        raw = place / "probe.csv"
        raw.write_text(_probe_file(story, day), encoding="utf-8")
        report = cook.add_readings(raw)
        if report.questions or not report.written:
            raise SystemExit(f"{story.name}: the readings are asked about: {report.questions}")
    made = dt.datetime.fromisoformat(story.typed).replace(tzinfo=ZONE)
    lines = _typed(cook, _text(f"{story.name}.txt"), made)
    for wrong in _differences(story, day, lines):
        raise SystemExit(f"{story.name}: {wrong}")
    cook.append(lines)
    for shot in story.shots:
        picture = place / f"{shot.name}.jpg"
        old = drawn / "cooks" / cook.name / "photos" / picture.name if drawn else None
        picture.write_bytes(old.read_bytes() if old else _developed(story, shot))
        cook.add_photo(picture, shot.caption, lead=shot.lead)


def _developed(story: Story, shot: Shot) -> bytes:
    return as_jpeg(shot.draw(), story.at(shot.taken), limit=LARGEST_PICTURE, sideways=shot.sideways)


def _typed(cook: CookFolder, text: str, made: dt.datetime) -> tuple[LogLine, ...]:
    block = read_block(text, context=paper_context(cook.load(), now=made))
    for line in block.asked:
        raise SystemExit(f"{cook.name}, line {line.number} of its sheet: {line.question}")
    return block.entries


def _probe_file(story: Story, day: Day) -> str:
    """Write the probe's file: local time, whole °F, every five minutes, with its faults."""
    rows = [",".join(["time", *story.channels.values()])]
    start, off = story.at(story.on), story.at(story.off)
    for minute in range(0, int(day.burnt.hours[-1] * 60) + 1, 5):
        at = start + dt.timedelta(minutes=minute)
        # The batteries were changed, and the logger forgotten for a while.
        if story.at("06:05") <= at < story.at("06:40"):
            continue
        shown = {
            letter: str(round(float(np.interp(minute / 60, day.burnt.hours, values))))
            for letter, values in day.shown_f.items()
        }
        if at == story.at("08:20"):
            shown["P"] = "1832"
        if at > off:
            shown["A"] = ""
        rows.append(
            ",".join([f"{at:%Y-%m-%dT%H:%M}", *(shown[letter] for letter in story.channels)])
        )
    return "\n".join(rows) + "\n"


def _differences(story: Story, day: Day, lines: tuple[LogLine, ...]) -> list[str]:
    """List what the sheet says that the simulated day does not."""
    found = []
    for line in lines:
        hour = (line.at - story.at(story.on)).total_seconds() / 3600
        if not 0 <= hour <= day.burnt.hours[-1]:
            continue
        said = f"{line.at.astimezone(ZONE):%H:%M} {line.text or line.what}"
        letters = [line.piece] if line.piece else list(day.pieces)
        if line.what == "feel_check":
            low, high = VERDICTS[line.data["verdict"]]
            shares = [day.pieces[one].at(day.pieces[one].tender, hour) for one in letters]
            found += [f"{said}: tenderness is {x:.2f}" for x in shares if not low <= x <= high]
        if line.what == "core_reading":
            is_c = day.pieces[line.piece].at(day.pieces[line.piece].near_core_c, hour)
            if abs(is_c - line.data["temperature_c"]) > CORE_K:
                found.append(f"{said}: the core is at {is_c * 1.8 + 32:.0f} F")
        if line.what == "pit_reading":
            is_c = float(np.interp(hour, day.burnt.hours, day.burnt.grate_c))
            allowed = LID_K if line.data.get("place") == "lid" else GRATE_K
            if abs(is_c - line.data["temperature_c"]) > allowed:
                found.append(f"{said}: the grate is at {is_c * 1.8 + 32:.0f} F")
    return found + _weights(day, lines) + _splits(day, lines)


def _weights(day: Day, lines: tuple[LogLine, ...]) -> list[str]:
    found = []
    off = {line.piece: line.at for line in lines if line.what == "off"}
    on = min(line.at for line in lines if line.what == "meat_on")
    for line in lines:
        if line.what != "weighed" or line.data["of"] not in {"on", "cooked"}:
            continue
        piece = day.pieces[line.piece]
        hour = (off[line.piece] - on).total_seconds() / 3600 if line.data["of"] == "cooked" else 0
        is_kg = piece.at(piece.mass_kg, hour)
        if abs(is_kg - line.data["mass_kg"]) > SCALE_KG:
            found.append(f"{line.text} ({line.piece}): it weighs {is_kg:.3f} kg")
    return found


def _splits(day: Day, lines: tuple[LogLine, ...]) -> list[str]:
    counted = sum(int(line.data.get("count", 0)) for line in lines if line.what == "wood")
    burnt = len(day.burnt.splits_h)
    return [f"{counted} splits are written down, {burnt} were burnt"] if counted != burnt else []


def _text(name: str) -> str:
    return (BLOCKS / name).read_text(encoding="utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else TOOLS.parent / "data" / "sample")
