"""Seconds until a cook sees something."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

pytestmark = pytest.mark.benchmark


def seconds(*command: str) -> float:
    """Shortest of five runs: what else the machine did is not ours."""

    def once() -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, *command], check=True, capture_output=True, timeout=60)
        return time.perf_counter() - start

    return min(once() for _ in range(5))


def test_import_stallwise_under_a_tenth_of_a_second():
    assert seconds("-c", "import stallwise") - seconds("-c", "pass") < 0.1


def test_help_under_half_a_second():
    assert seconds("-m", "stallwise", "--help") < 0.5
