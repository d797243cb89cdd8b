"""The cooks of the sample, oldest first: a year of a village hall, ending at its harvest supper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from PIL import Image
from sample_bend import bend_test
from sample_bird import turkey_halves_on_the_grate
from sample_board import rubbed_shoulder
from sample_bones import two_plates
from sample_dawn import pit_at_dawn
from sample_days import (
    Day,
    glaze_trial,
    harvest_supper,
    lamb_shoulder,
    late_brisket,
    spring_ribs,
    turkey_halves,
)
from sample_lamb import pulled_lamb
from sample_ribs import glazed_ribs
from sample_slices import sliced_brisket
from sample_tray import pulled_shoulder

__all__ = ["STORIES", "ZONE", "Shot", "Story"]

ZONE = ZoneInfo("Etc/GMT+5")
#: Columns of a probe's file: letter to header.
_GRATE = {"P": "grate P (F)"}
_GRATE_AND_CORE = {**_GRATE, "A": "core A (F)"}


@dataclass(frozen=True)
class Shot:
    """A picture, the minute it says it was taken, its caption, and how many bytes it may have."""

    name: str
    draw: Callable[[], Image.Image]
    taken: str
    caption: str
    lead: bool = False
    sideways: bool = False
    limit: int = 140_000


def _only(name: str, draw: Callable[[], Image.Image], taken: str, caption: str) -> tuple[Shot]:
    """Take one picture of a cook, and a small one."""
    return (Shot(name, draw, taken, caption, lead=True, limit=100_000),)


@dataclass(frozen=True)
class Logger:
    """The probe's own file: its columns and faults.

    `channels` are letters to headers; `every_min` a row; `off` when the core's probe came out,
    `gap` a stretch without rows, `false` a value that no probe can have seen: when, letter, value.
    """

    channels: dict[str, str]
    every_min: int
    off: str
    gap: tuple[str, str] = ("", "")
    false: tuple[str, str, str] = ("", "", "")


@dataclass(frozen=True)
class Story:
    """One cook of the sample.

    `on` is meat on, `planned` when the plan was made and its forecast kept: the evening before,
    after the trimming board.
    """

    name: str
    date: dt.date
    planned: str
    on: str
    cook: Callable[[], Day]
    shots: tuple[Shot, ...]
    logger: Logger | None = None

    def at(self, clock: str) -> dt.datetime:
        """Instant of a clock time of the cook's day, or of ``-20:55`` the evening before."""
        day = self.date - dt.timedelta(days=1) if clock.startswith("-") else self.date
        return dt.datetime.combine(day, dt.time.fromisoformat(clock.lstrip("-")), ZONE)


TURKEY = Story(
    "turkey-halves",
    dt.date(2025, 11, 22),
    "-19:40",
    "15:55",
    turkey_halves,
    _only(
        "turkey-halves",
        turkey_halves_on_the_grate,
        "18:04",
        "Both halves skin up, a few minutes before they came off. A drawing.",
    ),
    Logger(_GRATE_AND_CORE, 1, "18:16"),
)
BRISKET = Story(
    "late-brisket",
    dt.date(2026, 1, 31),
    "-18:30",
    "03:25",
    late_brisket,
    _only(
        "sliced-brisket",
        sliced_brisket,
        "19:44",
        "The flat, sliced at last: a dark bark, a narrow pink rim, a wet board. A drawing.",
    ),
    Logger(_GRATE_AND_CORE, 5, "19:02"),
)
LAMB = Story(
    "lamb-shoulder",
    dt.date(2026, 4, 18),
    "-20:10",
    "05:50",
    lamb_shoulder,
    _only(
        "pulled-lamb", pulled_lamb, "16:44", "Half pulled, with what rosemary was left. A drawing."
    ),
    Logger(_GRATE_AND_CORE, 2, "13:09"),
)
RIBS = Story(
    "spring-ribs",
    dt.date(2026, 5, 16),
    "07:30",
    "09:15",
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
TRIAL = Story(
    "glaze-trial",
    dt.date(2026, 7, 18),
    "07:25",
    "09:00",
    glaze_trial,
    _only(
        "two-plates",
        two_plates,
        "14:11",
        "What T2 got: the sharp glaze on 175, the stock glaze on 390. A drawing.",
    ),
    Logger(_GRATE, 2, "13:42"),
)
HARVEST = Story(
    "harvest-supper",
    dt.date(2026, 9, 26),
    "-21:00",
    "01:30",
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
    Logger(
        _GRATE_AND_CORE,
        5,
        "15:00",
        # The batteries were changed, and the logger forgotten for a while.
        gap=("06:05", "06:40"),
        false=("08:20", "P", "1832"),
    ),
)
STORIES = (TURKEY, BRISKET, LAMB, RIBS, TRIAL, HARVEST)
