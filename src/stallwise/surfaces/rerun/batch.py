"""Several notebooks at once, each in a process of its own.

The threads here only wait for their worker process; papermill changes the working folder of
the whole process, so it never runs in a thread.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from queue import SimpleQueue
from typing import Any

from stallwise.surfaces.rerun.execute import STATES, Job, Run
from stallwise.surfaces.rerun.warm import can_fork
from stallwise.surfaces.rerun.worker import Worker, start_warm

__all__ = ["Done", "cores", "progress", "run_all", "team", "with_retry"]

#: Told of each run as it ends.
Done = Callable[[str, Run], None]

#: A start that failed is tried once more: ports get taken, a machine may be busy.
_STARTS = 2

#: From so many notebooks on the warm process saves more than it costs.
_WORTH_WARMING = 3


def cores() -> int:
    """How many notebooks are worth running at once on this machine."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run_all(
    jobs: Mapping[str, Job], *, workers: int = 1, done: Done | None = None
) -> dict[str, Run]:
    """Execute jobs, a few at once; one that fails never stops the rest.

    Parameters
    ----------
    jobs : mapping of str to Job
        By the name of their cook.
    workers : int
        Notebooks at once, from 1; more than the machine has cores gains nothing.
    done : callable, optional
        Told of each run as it ends, from any thread.

    Returns
    -------
    dict of str to Run
        In the order of `jobs`. When the cook stops the batch (Ctrl-C), those that were not
        finished are ``stopped``.
    """
    if not jobs:
        return {}
    count = max(1, min(workers, len(jobs)))
    stopped = Run("stopped", STATES["stopped"])
    with team(count, warm=len(jobs) >= _WORTH_WARMING) as (members, free):

        def one(name: str) -> Run:
            worker = free.get()
            try:
                run = with_retry(worker, jobs[name])
            finally:
                free.put(worker)
            if done:
                done(name, run)
            return run

        pool = ThreadPoolExecutor(count, thread_name_prefix="rerun")
        runs = {name: pool.submit(one, name) for name in jobs}
        try:
            for run in runs.values():
                run.result()
        except KeyboardInterrupt:
            pool.shutdown(wait=False, cancel_futures=True)
            for worker in members:
                worker.kill("stopped")
        finally:
            pool.shutdown(cancel_futures=True)
    return {name: stopped if run.cancelled() else run.result() for name, run in runs.items()}


@contextmanager
def team(count: int, *, warm: bool = True) -> Iterator[tuple[list[Worker], SimpleQueue[Worker]]]:
    """Workers, and the warm process that starts their kernels.

    Parameters
    ----------
    count : int
        How many.
    warm : bool, default True
        With the warm process, where this system can fork.
    """
    with tempfile.TemporaryDirectory(
        prefix="stallwise-rerun-", ignore_cleanup_errors=True
    ) as place:
        stove = start_warm(Path(place)) if warm and can_fork() else None
        members = []
        free: SimpleQueue[Worker] = SimpleQueue()
        for number in range(count):
            own = Path(place) / str(number)
            own.mkdir()
            members.append(Worker(own, Path(place) / "warm" if stove else None))
            free.put(members[-1])
        try:
            yield members, free
        finally:
            for worker in members:
                worker.stop()
            if stove:
                _end(stove)


def _end(warm: subprocess.Popen[bytes]) -> None:
    if warm.stdin:
        with suppress(OSError):
            warm.stdin.close()
    try:
        warm.wait(timeout=2)
    except subprocess.TimeoutExpired:
        warm.kill()  # it may not have got ready yet
        warm.wait()


def progress(total: int, what: str) -> Done:
    """Make what is told of each cook to a person who waits: a bar, or plain lines without a terminal.

    Parameters
    ----------
    total : int
        How many are to come.
    what : str
        What they are.
    """
    if total < 2:
        return lambda _name, _run: None
    if not sys.stderr.isatty():
        return _lines(total)
    from tqdm import tqdm

    bar = tqdm(total=total, desc=what, unit="cook", file=sys.stderr, leave=False)

    def done(name: str, run: Run) -> None:
        bar.set_postfix_str(f"{name}: {run.state}", refresh=False)
        bar.update()
        if bar.n >= total:
            bar.close()

    return done


def _lines(total: int) -> Done:
    seen: list[str] = []

    def done(name: str, run: Run) -> None:
        if run.state in {"no cluster", "stopped"}:
            return  # told once, not of each
        seen.append(name)
        took = f" in {run.seconds:.1f} s" if run.seconds else ""
        said: Any = f"{len(seen)} of {total}: {name}, {run.state}{took}"
        print(said, file=sys.stderr, flush=True)  # noqa: T201 - a person waits for it

    return done


def with_retry(worker: Worker, job: Job) -> Run:
    """Execute a job, once more where its kernel never started."""
    run = worker.run(job)
    for _ in range(_STARTS - 1):
        if run.state != "no kernel":
            break
        run = worker.run(job)
    return run
