"""A day of readings at one a second from four probes: seconds and megabytes of the command."""

from __future__ import annotations

import datetime as dt
import math
import random
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from figures import keep

from stallwise.record.folder import Cookbook

pytestmark = pytest.mark.benchmark

PLAN = 'schema = 1\ntitle = "r"\ndate = 2027-09-25\n[[pieces]]\nletter = "A"\ncut = "c"\non = "06:00"\n'
#: The command, and then the most memory it had, as this kind of system tells it.
RUN = """\
import pathlib, sys
from stallwise.cli.main import main
status = main(sys.argv[1:])
told = pathlib.Path("/proc/self/status")
print(told.read_text() if told.exists() else "VmHWM: 0 kB")
sys.exit(status)
"""
START = dt.datetime(2027, 9, 25, 6)  # noqa: DTZ001 - the cook's wall clock, as in a file


def day_of_seconds(path: Path) -> None:
    """Write made-up readings, noisy and with a second between the rows."""
    noise = random.Random(1)

    def row(second: int) -> str:
        core = 45 + 160 * (1 - math.exp(-second / 20_000)) + noise.gauss(0, 0.1)
        pit = 250 + 10 * math.sin(second / 600) + noise.gauss(0, 0.5)
        at = START + dt.timedelta(seconds=second)
        return f"{at},{pit:.1f},{core:.1f},{core + 4:.1f},{pit - 5:.1f}\n"

    rows = "".join(map(row, range(86_400)))
    path.write_text(f"time,pit (F),core A (F),flat A (F),grate (F)\n{rows}")


def test_a_day_of_seconds_from_four_probes_comes_in_under_two_seconds(tmp_path):
    book = Cookbook.start(tmp_path / "book", title="b", time_zone="Etc/UTC")
    cook = book.new_cook("r", START.date(), PLAN)
    day_of_seconds(tmp_path / "day.csv")
    words = [RUN, "readings", cook.name, str(tmp_path / "day.csv"), "--cookbook", str(book.path)]
    taken, most_kb = [], 0
    for _ in range(3):
        for old in (cook.path / "readings").iterdir():
            old.unlink()
        start = time.perf_counter()
        done = subprocess.run([sys.executable, "-c", *words], check=True, capture_output=True)
        taken.append(time.perf_counter() - start)
        found = re.search(rb"VmHWM:\s*(\d+) kB", done.stdout)
        most_kb = max(most_kb, int(found[1]) if found else 0)
    assert sum(len(one.at) for one in cook.readings()) == 4 * 86_400
    keep("A day of four probes at a second imported", taken, asked="at most 2 s")
    keep("Memory of that import, at most", [most_kb * 1024], unit="B", asked="at most 400 MB")
    assert min(taken) < 2.0
    assert most_kb < 400_000
