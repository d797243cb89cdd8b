"""What a cook is told of limits is what is held; and the record layer starts fast."""

import csv
import io
import subprocess
import sys

import pytest

from stallwise.ground import assets
from stallwise.record import (
    cleaning,
    disk,
    doubts,
    following,
    packing,
    photos,
    readings,
    store,
    trimming,
)

HELD = {
    "record_bytes": store.RECORD_BYTES,
    "readings_bytes": store.READINGS_BYTES,
    "photo_bytes": store.PHOTO_BYTES,
    "photo_pixels": photos.PIXELS,
    "log_lines": store.LOG_LINES,
    "line_bytes": store.LINE_BYTES,
    "lock_wait": disk.LOCK_WAIT_S,
    "gap": readings.GAP_S,
    "lowest_reading": cleaning.LOWEST_C,
    "highest_reading": cleaning.HIGHEST_C,
    "reset_reading": cleaning.RESET_C[0],
    "reset_step": cleaning.RESET_STEP_K,
    "near": cleaning.NEAR_S,
    "power_up": cleaning.POWER_UP_S,
    "meat_step": cleaning.MEAT_STEP_K,
    "meat_step_time": cleaning.MEAT_STEP_S,
    "meat_back": cleaning.MEAT_BACK_K,
    "meat_spike": cleaning.MEAT_SPIKE_S,
    "pit_step": cleaning.PIT_STEP_K,
    "pit_spike": cleaning.PIT_SPIKE_S,
    "probe_out": cleaning.OUT_C,
    "probe_in_pit": cleaning.PIT_NEAR_K,
    "pit_hot": cleaning.PIT_HOT_C,
    "before_meat": cleaning.BEFORE_S,
    "probe_moved": cleaning.MOVED_K,
    "leap": cleaning.LEAP_S,
    "pit_setting": doubts.SET_NEAR_K,
    "hottest_core": doubts.HOTTEST_CORE_C,
    "days_before": doubts.DAYS_BEFORE,
    "days_after": doubts.DAYS_AFTER,
    "clock_drift": doubts.DRIFT_S,
    "follow_every": following.EVERY_S,
    "trimming_tolerance": trimming.TOLERANCE,
    "trimming_taken_up": trimming.TAKEN_UP,
    "packed_bytes": packing.PACKED_BYTES,
    "packed_files": packing.FILES,
}


def test_the_table_of_limits_is_what_is_held():
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "record_limits.csv")))
    assert {row["key"]: float(row["value"]) for row in rows} == HELD


@pytest.mark.parametrize(
    "module", ["folder", "cookfolder", "log", "readings", "check", "imports", "following"]
)
def test_no_big_package_is_loaded(module):
    code = (
        f"import sys, stallwise.record.{module}; "
        "print(*{'numpy', 'pandas', 'numba', 'altair', 'PIL', 'asyncio', 'tomlkit'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
