"""A process of its own that executes notebooks: jobs in, one JSON line each, runs out.

Started with ``-P`` and ``PYTHONSAFEPATH=1``, so that a module lying in a cook's folder is
never imported, neither here nor in the kernels. A plain child process instead of a process
pool: one that dies takes only its own job with it, and nothing of the caller's main module
is imported again.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from queue import SimpleQueue
from typing import IO

from stallwise.surfaces.rerun.execute import STATES, Job, Run, execute, set_aside
from stallwise.surfaces.rerun.forked import NAME
from stallwise.surfaces.rerun.warm import WARM

__all__ = ["Worker", "serve", "start_warm", "worker_environment"]

#: Allowed beyond the cells' own time [s]: starting, writing, ending.
_GRACE_S = 60.0


class Worker:
    """One worker process, started at its first job and again after it died.

    Parameters
    ----------
    place : Path
        Folder for the kernel's description and settings, and for what the worker says.
    warm : Path, optional
        Where the process listens that forks kernels.
    """

    def __init__(self, place: Path, warm: Path | None = None) -> None:
        self._place = place
        self._warm = warm
        self._process: subprocess.Popen[str] | None = None
        self._why = ""

    def run(self, job: Job) -> Run:
        """Execute one job; a worker that dies or hangs is a run that ended so."""
        process = self._process
        if process is None or process.poll() is not None:
            process = self._process = self._start()
        limit = job.start_s + job.limit_s + _GRACE_S
        watch = threading.Timer(limit, self.kill, ("timeout",))
        watch.daemon = True
        watch.start()
        try:
            _in, out = process.stdin, process.stdout
            assert _in is not None and out is not None  # noqa: PT018, S101 - pipes were asked for
            _in.write(json.dumps(asdict(job)) + "\n")
            _in.flush()
            line = out.readline()
        except (BrokenPipeError, ValueError):  # its end, or ours
            line = ""
        finally:
            watch.cancel()
        if not line:
            state = self._why or "kernel lost"
            self.stop()
            set_aside(job, state)
            said = "the process that ran it ended. " if state == "kernel lost" else ""
            return Run(state, said + STATES[state])
        return Run(**json.loads(line))

    def stop(self) -> None:
        """End the process; its kernels notice and end too."""
        process, self._process = self._process, None
        if process is None:
            return
        for pipe in (process.stdin, process.stdout):
            if pipe:
                with suppress(BrokenPipeError):
                    pipe.close()
        try:
            process.wait(timeout=2)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()

    def kill(self, why: str = "") -> None:
        """End the process now, from another thread; `why` is the state of what it ran."""
        self._why = why
        process = self._process
        if process is not None:
            process.kill()

    def _start(self) -> subprocess.Popen[str]:
        with (self._place / "worker.log").open("ab") as said:
            return subprocess.Popen(
                [sys.executable, "-P", "-m", "stallwise.surfaces.rerun.worker"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=said,
                text=True,
                encoding="utf-8",
                cwd=self._place,
                env=worker_environment(self._place, os.environ, self._warm),
                # Ctrl-C is for the one who started the batch, who then ends this process.
                start_new_session=True,
            )


def start_warm(place: Path) -> subprocess.Popen[bytes]:
    """Start the process that forks kernels; it ends with its standard input.

    Parameters
    ----------
    place : Path
        Folder for its socket, ``warm``, and for what it says.
    """
    with (place / "warm.log").open("ab") as said:
        return subprocess.Popen(  # noqa: S603 - our own interpreter and module
            [sys.executable, "-P", "-m", "stallwise.surfaces.rerun.warm", str(place / "warm")],
            stdin=subprocess.PIPE,
            stdout=said,
            stderr=said,
            cwd=place,
            # One thread: a fork takes no other along.
            env=worker_environment(place, os.environ) | {"OPENBLAS_NUM_THREADS": "1"},
            start_new_session=True,
        )


def worker_environment(
    place: Path, base: Mapping[str, str], warm: Path | None = None
) -> dict[str, str]:
    """Environment of a worker: safe path, this very Python as kernel, no personal start files.

    Parameters
    ----------
    place : Path
        Folder that gets the kernel's description.
    base : mapping
        Environment to start from.
    warm : Path, optional
        Where the process listens that forks kernels.
    """
    kernel = place / "jupyter" / "kernels" / "python3"
    kernel.mkdir(parents=True, exist_ok=True)
    description = {
        "argv": [
            sys.executable,
            "-P",
            "-m",
            "ipykernel_launcher",
            "-f",
            "{connection_file}",
            # For an IPython that does not yet heed PYTHONSAFEPATH.
            "--InteractiveShellApp.ignore_cwd=True",
        ],
        "display_name": "Python 3",
        "language": "python",
        "env": {"PYTHONSAFEPATH": "1"},
        "metadata": {"kernel_provisioner": {"provisioner_name": NAME}},
    }
    (kernel / "kernel.json").write_text(json.dumps(description), encoding="utf-8")
    own = place / "tmp"
    own.mkdir(exist_ok=True)
    paths = [str(place / "jupyter"), *filter(None, [base.get("JUPYTER_PATH")])]
    return {
        **base,
        "PYTHONSAFEPATH": "1",
        "JUPYTER_PATH": os.pathsep.join(paths),
        "JUPYTER_RUNTIME_DIR": str(place / "runtime"),
        # What a process that is killed leaves behind goes with the place.
        **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(own)),
        "IPYTHONDIR": str(place / "ipython"),
        WARM: str(warm or ""),
    }


def serve(jobs: Iterable[str], runs: IO[str]) -> None:
    """Execute every job that comes in and answer each with a line."""
    for line in jobs:
        job = Job(**json.loads(line))
        try:
            run = execute(job)
        except Exception as error:  # noqa: BLE001 - an odd notebook is one row, not the end of all
            set_aside(job, "failed")
            run = Run("failed", f"{type(error).__name__}: {error}")
        runs.write(json.dumps(asdict(run)) + "\n")
        runs.flush()


def _main() -> None:
    # Whatever else prints goes to the log; only answers go to the pipe.
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    jobs: SimpleQueue[str | None] = SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin, jobs), daemon=True).start()
    serve(iter(jobs.get, None), answers)


def _listen(lines: IO[str], jobs: SimpleQueue[str | None]) -> None:
    """Pass jobs on; when whoever sent them is gone, so is the need for this process."""
    for line in lines:
        jobs.put(line)
    os._exit(1)


if __name__ == "__main__":
    _main()
