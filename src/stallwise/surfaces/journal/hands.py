"""Many pages at once: other processes of this same program make them beside this one.

A helper is started with ``-P`` and ``PYTHONSAFEPATH=1`` from the root of the disk, so that no module
that lies in somebody's folder is taken for one of ours. It gets names, a line each, and answers each
with a line of JSON; nothing that runs ever comes over. A page's bytes do not depend on who makes it.
"""

from __future__ import annotations

import datetime as dt
import functools
import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from stallwise.surfaces.journal.making import Made, Maker, as_it_stood

__all__ = ["Job", "make_all"]

#: So many pages are worth starting one more process; it takes as long as a dozen pages to begin.
_WORTH = 24
#: No more of them: each wants some 300 MB.
_MOST = 4
_LOST = "no page was made: the process that made it ended, perhaps for want of memory"


@dataclass(frozen=True)
class Job:
    """One page to make: the cook's name, its page's, whether a plan gets one."""

    name: str
    slug: str
    asked: bool


def make_all(
    jobs: Sequence[Job], alone: Any, told: Mapping[str, Any], *, helpers: int | None = None
) -> dict[str, Made]:
    """Make every page, here and in as many other processes as it is worth.

    Parameters
    ----------
    jobs : sequence of Job
    alone : callable
        Makes one page here: ``alone(job)``.
    told : mapping
        What a helper has to know, as JSON; empty where nobody may help.
    helpers : int, optional
        So many processes beside this one; by default what there are processors for.
    """
    if helpers is None:
        helpers = min(_processors(), _MOST, len(jobs) // _WORTH) - 1 if told else 0
    waiting = iter(jobs)
    lock = threading.Lock()
    made: dict[str, Made] = {}

    def next_job() -> Job | None:
        with lock:
            return next(waiting, None)

    def let(pipe: Pipe) -> None:
        while (job := next_job()) is not None:
            made[job.name] = found = pipe.make(job)
            if found is _ENDED:
                return

    with _hired(max(helpers, 0), told) as pipes:
        threads = [threading.Thread(target=let, args=(pipe,), daemon=True) for pipe in pipes]
        for thread in threads:
            thread.start()
        while (job := next_job()) is not None:
            made[job.name] = alone(job)
        for thread in threads:
            thread.join()
    return made


_ENDED = Made("failed", (_LOST,))


@dataclass(frozen=True)
class Pipe:
    """A helper as it is talked to."""

    process: subprocess.Popen[str]

    def make(self, job: Job) -> Made:
        """Let it make one page."""
        asked, said = self.process.stdin, self.process.stdout
        try:
            if asked and said:
                asked.write(f"{json.dumps(vars(job))}\n")
                asked.flush()
                if line := said.readline():
                    return Made.from_plain(json.loads(line))
        except (OSError, ValueError, KeyError, TypeError):
            pass
        return _ENDED


@contextmanager
def _hired(count: int, told: Mapping[str, Any]) -> Iterator[list[Pipe]]:
    pipes: list[Pipe] = []
    try:
        for _ in range(count):
            pipes.append(Pipe(_started()))
            if stdin := pipes[-1].process.stdin:
                with suppress(OSError):
                    stdin.write(f"{json.dumps(told)}\n")
        yield pipes
    finally:
        for pipe in pipes:
            _ended(pipe.process)


def _started() -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "stallwise.surfaces.journal.hands"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,  # what goes wrong is told in its answers
        text=True,
        encoding="utf-8",
        cwd=os.sep,
        env={**os.environ, "PYTHONSAFEPATH": "1"},
    )


def _ended(process: subprocess.Popen[str]) -> None:
    for pipe in (process.stdin, process.stdout):
        if pipe:
            with suppress(OSError):
                pipe.close()
    try:
        process.wait(timeout=5)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def _processors() -> int:
    with suppress(AttributeError, OSError):  # not on every system
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def serve(asked: Iterable[str], said: IO[str]) -> None:
    """Make every page that comes in and answer each with a line."""
    from stallwise.record.folder import Cookbook
    from stallwise.record.weighins import WeighIn

    lines = iter(asked)
    told = json.loads(next(lines))
    book = Cookbook.open(Path(told["book"])).held(map(WeighIn.from_plain, told["weigh_ins"]))
    folders = {folder.name: folder for folder in book.cooks()}
    at = dt.datetime.fromisoformat(told["made_at"])
    maker = Maker(
        Path(told["staging"]), Path(told["out"]), functools.partial(as_it_stood, made_at=at)
    )
    for line in lines:
        job = Job(**json.loads(line))
        made = maker.make(folders[job.name], job.slug, asked=job.asked)
        said.write(f"{json.dumps(made.plain())}\n")
        said.flush()


if __name__ == "__main__":
    serve(sys.stdin, sys.stdout)
