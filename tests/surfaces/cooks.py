"""A small cookbook for tests of the surfaces: our own invention."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from stallwise.record.folder import Cookbook, CookFolder
from stallwise.surfaces.desk import Desk

#: A few possible days are enough to see that something moved.
QUICK = {"members": 20}

SHOULDER = """\
schema = 1
title = "Harvest shoulder"   # for the hall
date = 2027-09-25
serve = "16:00"
carried = "light the fire half an hour earlier"
carried_from = "2027-05-01-spring"

[[pits]]
letter = "P"
start = "225 F"

[[pieces]]
letter = "A"
cut = "pork-shoulder-bone-in"
mass = "8 lb"
"""

RIBS = """\
schema = 1
title = "Two lots of ribs"
date = 2027-10-02
serve = "17:00"

[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
count = 2

[[pieces]]
letter = "B"
cut = "pork-spare-ribs-trimmed"
wrap = "none"
"""

#: Six pieces in one pit.
SIX = SHOULDER + "".join(
    f'\n[[pieces]]\nletter = "{letter}"\ncut = "{cut}"\nwrap = "none"\n'
    for letter, cut in zip("BCDEF", ["pork-spare-ribs-trimmed"] * 4 + ["turkey-half"], strict=True)
)


def start_book(place: Path, units: str = "us") -> Cookbook:
    """Start a cookbook in UTC."""
    return Cookbook.start(place / "book", title="Try", units=units, time_zone="Etc/UTC")


def shoulder(book: Cookbook) -> CookFolder:
    """Add a bone-in shoulder for 16:00, without a probe."""
    return book.new_cook("harvest shoulder", dt.date(2027, 9, 25), SHOULDER)


def ribs(book: Cookbook) -> CookFolder:
    """Add two lots of ribs."""
    return book.new_cook("ribs", dt.date(2027, 10, 2), RIBS)


BEFORE = dt.datetime(2027, 9, 20, 12, tzinfo=dt.UTC)
NIGHT = dt.datetime(2027, 9, 25, 22, tzinfo=dt.UTC)


def desk_of(folder: CookFolder, now: dt.datetime = BEFORE, **changes: object) -> Desk:
    """Lay a cook on the table, with few possible days."""
    return Desk(folder, {**QUICK, **changes}, now=lambda: now)


class Held:
    """Work put off until told."""

    def __init__(self):
        self.waiting = []

    def __call__(self, _seconds, work):
        self.waiting.append(work)

    def release(self):
        waiting, self.waiting = self.waiting, []
        for work in waiting:
            work()
