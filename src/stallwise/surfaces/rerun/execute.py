"""One notebook executed by papermill, and the honest word on how it ended.

Runs inside a worker process (`stallwise.surfaces.rerun.worker`). papermill's own file says
``completed`` for cells that never ran after a kernel death or a timeout, and is written in
place; so it writes to a hidden file, every cell is checked here, and only a whole run
replaces what was there.
"""

from __future__ import annotations

import errno
import json
import logging
import os
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

__all__ = [
    "GOOD",
    "HEADLESS",
    "MOMENT",
    "RESULT",
    "STAMP",
    "STATES",
    "Job",
    "Run",
    "execute",
    "set_aside",
]

#: Environment of a kernel under `rerun`: no panels, where its figures go, the moment of the asking.
HEADLESS = "STALLWISE_HEADLESS"
RESULT = "STALLWISE_RESULT"
MOMENT = "STALLWISE_MOMENT"
#: Key in a file of figures: what they were made from.
STAMP = "rerun"

#: How a run can end, each in words for a cook.
STATES: Mapping[str, str] = {
    "done": "ran to the end",
    "kept": "nothing it rests on has changed; its result stands",
    "failed": "a cell failed",
    "timeout": "it took longer than allowed and was stopped",
    "kernel lost": "the kernel was killed while it ran; often the machine ran out of memory",
    "no kernel": "the kernel never started",
    "disk full": "the disk is full; what was there before is kept",
    "unfinished": "the run stopped before the last cell",
    "refused": "not run",
    "no cluster": "nobody answers at that address",
    "stopped": "stopped by the cook before it was finished",
}

#: States in which the result is there.
GOOD = frozenset({"done", "kept"})


@dataclass(frozen=True)
class Job:
    """One notebook to execute.

    Attributes
    ----------
    notebook : dict
        Content of the notebook, already found fit to run.
    folder : str
        The cook's folder: working directory of the kernel, outputs go to its ``results``.
    name : str
        Stem of the outputs.
    parameters : dict
        Text, numbers or None for names of the parameters cell.
    limit_s : float
        Time allowed for all its cells [s].
    start_s : float
        Time allowed for the kernel to start [s].
    moment : str
        The moment of the asking, RFC 3339; the clock's when empty.
    stamp : dict
        What is written into the figures under `STAMP`.
    run : str
        Of the run that it belongs to: two runs at once do not write to one hidden file.
    """

    notebook: dict[str, Any]
    folder: str
    name: str
    parameters: dict[str, Any] = field(default_factory=dict)
    limit_s: float = 600.0
    start_s: float = 60.0
    moment: str = ""
    stamp: dict[str, Any] = field(default_factory=dict)
    run: str = ""


@dataclass(frozen=True)
class Run:
    """How a run ended: a key of `STATES`, words, and the notebook that was kept."""

    state: str
    message: str = ""
    notebook: str = ""
    seconds: float = 0.0


def execute(job: Job) -> Run:
    """Execute a job; never raises for what the notebook or its kernel did.

    Parameters
    ----------
    job : Job
        What to run and where.

    Returns
    -------
    Run
        On ``done`` the outputs ``results/<name>.ipynb`` and ``results/<name>.json`` are new
        and whole. Otherwise both are as they were, and ``results/<name>.failed.ipynb``
        holds what was reached.
    """
    started = time.monotonic()
    target, partial, figures = _files(job)
    try:
        target.parent.mkdir(exist_ok=True)
        _real(target.parent, Path(job.folder))
        figures.unlink(missing_ok=True)
        state, message = _attempt(job, partial, figures)
        if state == "done":
            state, message = _keep(job, partial, figures, target)
    except OSError as error:
        state, message = _disk(error)
    kept = target if state == "done" else set_aside(job, state)
    seconds = time.monotonic() - started
    return Run(state, message, kept.name if kept.exists() else "", round(seconds, 3))


def set_aside(job: Job, state: str) -> Path:
    """Keep what an ended run had reached as ``*.failed.ipynb``, with its statuses put right."""
    target, partial, figures = _files(job)
    figures.unlink(missing_ok=True)
    failed = target.with_name(f"{target.stem}.failed.ipynb")
    if not partial.exists():
        return failed
    try:
        if state in {"disk full", "stopped"}:
            partial.unlink()
            return failed
        notebook = _without_paths(json.loads(partial.read_text(encoding="utf-8")), failed.name)
        missed = set(_not_run(notebook))
        ran = [str(cell.get("id")) for cell in notebook["cells"] if cell.get("execution_count")]
        if state == "kernel lost" and ran:
            missed.add(ran[-1])  # it had begun; whether it ended, nobody can say
        for cell in notebook["cells"]:
            if str(cell.get("id")) in missed:
                cell["metadata"].setdefault("papermill", {})["status"] = "not finished"
        notebook["metadata"].setdefault("papermill", {})["exception"] = True
        _write(partial, notebook)
        partial.replace(failed)
    except (OSError, ValueError):
        partial.unlink(missing_ok=True)
    return failed


def _files(job: Job) -> tuple[Path, Path, Path]:
    results = Path(job.folder) / "results"
    hidden = f".{job.name}.{job.run or 'one'}.running"
    return results / f"{job.name}.ipynb", results / f"{hidden}.ipynb", results / f"{hidden}.json"


def _attempt(job: Job, partial: Path, figures: Path) -> tuple[str, str]:
    """Run papermill; its many ways to fail told apart."""
    import papermill
    from nbclient.exceptions import CellTimeoutError, DeadKernelError
    from papermill.exceptions import PapermillExecutionError

    from stallwise.surfaces.rerun.forked import offer

    offer()
    logging.getLogger("papermill").setLevel(logging.ERROR)
    end = _End(job.limit_s)
    try:
        with tempfile.TemporaryDirectory(prefix="stallwise-") as place, _environment(job, figures):
            source = Path(place) / "notebook.ipynb"
            source.write_text(json.dumps(job.notebook), encoding="utf-8")
            papermill.execute_notebook(
                source,
                _literal(partial),
                parameters=job.parameters,
                kernel_name="python3",
                language="python",
                cwd=job.folder,
                progress_bar=False,
                start_timeout=job.start_s,
                timeout_func=end.left_s,
                # A kernel that has written its figures has nothing left to say goodbye to.
                shutdown_kernel="immediate",
            )
    except PapermillExecutionError as error:
        words = f"cell [{error.exec_count}]: {error.ename}: {error.evalue}"
        full = error.ename == "OSError" and f"[Errno {errno.ENOSPC}]" in str(error.evalue)
        return ("disk full" if full else "failed"), words
    except CellTimeoutError:
        return "timeout", f"stopped after {job.limit_s:g} s, in {end.where}"
    except DeadKernelError:
        return "kernel lost", STATES["kernel lost"]
    except Exception as error:
        if _never_started(error, job):
            return "no kernel", f"{STATES['no kernel']}: {error}"
        if isinstance(error, OSError):
            raise
        return "failed", f"{type(error).__name__}: {error}"
    return "done", ""


class _End:
    """When a run has to be at its end: what is left of its time for the next cell."""

    def __init__(self, limit_s: float) -> None:
        self._limit_s = limit_s
        self._from: float | None = None
        self.where = "its first cell"

    def left_s(self, cell: Mapping[str, Any] | None = None) -> float:
        """Give the time left [s]; it counts from the first cell, not from the kernel's start."""
        now = time.monotonic()
        if self._from is None:
            self._from = now
        if cell is not None:
            first = str(cell.get("source", "")).strip().partition("\n")[0]
            self.where = f"the cell {first[:60]!r}"
        return max(self._limit_s - (now - self._from), 0.05)


def _never_started(error: Exception, job: Job) -> bool:
    from jupyter_client.kernelspec import NoSuchKernel

    if isinstance(error, FileNotFoundError):  # its program, and no file of the cook's
        return not Path(str(error.filename or job.folder)).is_relative_to(job.folder)
    words = str(error)
    return isinstance(error, NoSuchKernel) or (
        isinstance(error, (RuntimeError, TimeoutError)) and "ernel" in words
    )


def _keep(job: Job, partial: Path, figures: Path, target: Path) -> tuple[str, str]:
    """Check that every cell really ran, then put notebook and figures in place, figures last."""
    notebook = json.loads(partial.read_text(encoding="utf-8"))
    missed = _not_run(notebook)
    if missed:
        return "unfinished", f"{len(missed)} cells did not run: {', '.join(missed[:5])}"
    if not figures.exists():
        return "unfinished", "the notebook wrote no figures; its last cell should say cook.finish()"
    if job.stamp:
        _write(figures, {**json.loads(figures.read_text(encoding="utf-8")), STAMP: job.stamp})
    _write(partial, _without_paths(notebook, target.name))
    partial.replace(target)
    figures.replace(target.with_suffix(".json"))
    return "done", ""


def _not_run(notebook: dict[str, Any]) -> list[str]:
    """Code cells without an execution count, or with an error among their outputs."""
    return [
        str(cell.get("id", number))
        for number, cell in enumerate(notebook["cells"], start=1)
        if cell["cell_type"] == "code"
        and "".join(cell["source"]).strip()
        and (
            cell.get("execution_count") is None
            or any(output["output_type"] == "error" for output in cell["outputs"])
        )
    ]


def _without_paths(notebook: dict[str, Any], name: str) -> dict[str, Any]:
    """Paths of this machine out of papermill's metadata: names stay."""
    said = notebook["metadata"].get("papermill", {})
    said.pop("environment_variables", None)
    said["input_path"] = name
    said["output_path"] = name
    return notebook


def _write(path: Path, notebook: dict[str, Any]) -> None:
    with path.open("w", encoding="utf-8") as file:
        json.dump(notebook, file, ensure_ascii=False, indent=1)
        file.write("\n")
        file.flush()
        os.fsync(file.fileno())


def _disk(error: OSError) -> tuple[str, str]:
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return "disk full", STATES["disk full"]
    return "failed", f"{error.strerror or error} ({Path(str(error.filename or '')).name})"


def _real(results: Path, folder: Path) -> None:
    """Refuse a ``results`` folder that leads out of the cook's folder."""
    if results.resolve().parent != folder.resolve():
        raise OSError(errno.ELOOP, "results leads out of the cook's folder", results.name)


def _literal(path: Path) -> str:
    """Escape a path for papermill, which reads braces in it as places to fill in."""
    return str(path).replace("{", "{{").replace("}", "}}")


@contextmanager
def _environment(job: Job, figures: Path) -> Iterator[None]:
    """Tell the kernel that nobody is looking, where its figures go, and what time it is."""
    settings = {HEADLESS: "1", RESULT: str(figures.resolve()), MOMENT: job.moment}
    before = {key: os.environ.get(key) for key in settings}
    os.environ.update(settings)
    try:
        yield
    finally:
        for key, value in before.items():
            if value is None:
                os.environ.pop(key, None)
            else:
                os.environ[key] = value
