"""Seconds until a cook sees something."""

from __future__ import annotations

import subprocess
import sys

import pytest
from figures import keep, rounds, timed

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

pytestmark = pytest.mark.benchmark


def seconds(*command: str) -> list[float]:
    """Some runs; the shortest counts, for what else the machine did is not ours."""

    def once() -> None:
        subprocess.run([sys.executable, *command], check=True, capture_output=True, timeout=60)

    return timed(once, rounds(5))


def test_import_stallwise_under_a_tenth_of_a_second():
    ours, bare = seconds("-c", "import stallwise"), seconds("-c", "pass")
    over = [max(0.0, one - min(bare)) for one in ours]
    keep("import stallwise, over a bare Python", over, asked="at most 0.1 s")
    assert min(ours) - min(bare) < 0.1


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
    taken = seconds("-m", "stallwise", *words, *where)
    keep(f"stallwise {words[0]}, from the command to its end", taken, asked="at most 0.3 s")
    assert min(taken) < 0.3
