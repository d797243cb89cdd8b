"""What a cook is told of limits is what is held; and the record layer starts fast."""

import csv
import io
import subprocess
import sys

import pytest

from stallwise.ground import assets
from stallwise.record import cleaning, disk, photos, readings, store, trimming

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
    "trimming_tolerance": trimming.TOLERANCE,
}


def test_the_table_of_limits_is_what_is_held():
    rows = csv.DictReader(io.StringIO(assets.read_text("data", "record_limits.csv")))
    assert {row["key"]: float(row["value"]) for row in rows} == HELD


@pytest.mark.parametrize("module", ["folder", "cookfolder", "log", "readings", "check", "imports"])
def test_no_big_package_is_loaded(module):
    code = (
        f"import sys, stallwise.record.{module}; "
        "print(*{'numpy', 'pandas', 'numba', 'altair', 'PIL', 'asyncio', 'tomlkit'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
