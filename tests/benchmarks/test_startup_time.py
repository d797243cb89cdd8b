"""Seconds until a cook sees something."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

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


@pytest.mark.parametrize(
    "words",
    [["--help"], ["cooks"], ["log", "", "spritz", "--at", "15:00"]],
    ids=["help", "cooks", "log"],
)
def test_everyday_commands_under_three_tenths_of_a_second(tmp_path, words):
    book = Cookbook.start(tmp_path / "book", title="b", time_zone="Etc/UTC")
    name = bring_sample(book)[0]
    words = [name if word == "" else word for word in words]
    where = [] if words == ["--help"] else ["--cookbook", str(book.path)]
    assert seconds("-m", "stallwise", *words, *where) < 0.3
