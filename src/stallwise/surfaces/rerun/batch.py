"""Several notebooks at once, each in a process of its own.

The threads here only wait for their worker process; papermill changes the working folder of
the whole process, so it never runs in a thread.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

from stallwise.surfaces.rerun.execute import Job, Run
from stallwise.surfaces.rerun.worker import Worker

__all__ = ["run_all"]

#: A start that failed is tried once more: ports get taken, a machine may be busy.
_STARTS = 2


def run_all(
    jobs: Mapping[str, Job],
    *,
    workers: int = 1,
    done: Callable[[str, Run], None] | None = None,
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
        In the order of `jobs`.
    """
    if not jobs:
        return {}
    count = max(1, min(workers, len(jobs)))
    with tempfile.TemporaryDirectory(
        prefix="stallwise-rerun-", ignore_cleanup_errors=True
    ) as place:
        team = [_worker(Path(place), number) for number in range(count)]
        free: SimpleQueue[Worker] = SimpleQueue()
        for worker in team:
            free.put(worker)

        def one(name: str) -> Run:
            worker = free.get()
            try:
                run = _with_retry(worker, jobs[name])
            finally:
                free.put(worker)
            if done:
                done(name, run)
            return run

        pool = ThreadPoolExecutor(count, thread_name_prefix="rerun")
        try:
            runs = dict(zip(jobs, pool.map(one, jobs), strict=True))
        except BaseException:
            # Stopped by the cook: do not wait for what is still cooking.
            for worker in team:
                worker.kill()
            raise
        finally:
            pool.shutdown(cancel_futures=True)
            for worker in team:
                worker.stop()
    return runs


def progress(total: int, what: str) -> Callable[[str, Run], None]:
    """Make a progress bar to hand to `run_all`; silent when nobody is at a terminal."""
    from tqdm import tqdm

    bar = tqdm(total=total, desc=what, unit="cook", file=sys.stderr, disable=None, leave=False)

    def done(name: str, run: Run) -> None:
        bar.set_postfix_str(f"{name}: {run.state}", refresh=False)
        bar.update()
        if bar.n >= total:
            bar.close()

    return done


def _worker(place: Path, number: int) -> Worker:
    own = place / str(number)
    own.mkdir()
    return Worker(own)


def _with_retry(worker: Worker, job: Job) -> Run:
    run = worker.run(job)
    for _ in range(_STARTS - 1):
        if run.state != "no kernel":
            break
        run = worker.run(job)
    return run
