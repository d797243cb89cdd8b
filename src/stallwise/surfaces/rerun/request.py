"""`rerun`: which cooks, checked before anything runs, run, and compared with what was kept."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError, StallwiseError
from stallwise.joins.ask import ask
from stallwise.joins.parameters import PARAMETERS, resolve, run_settings, split_name
from stallwise.joins.result import to_plain
from stallwise.record.cookfolder import CookFolder
from stallwise.record.folder import Cookbook
from stallwise.record.schema import Cook
from stallwise.surfaces.rerun.batch import progress, run_all
from stallwise.surfaces.rerun.compare import Difference, compare
from stallwise.surfaces.rerun.execute import STATES, Job
from stallwise.surfaces.rerun.figures import read_figures, write_figures
from stallwise.surfaces.rerun.telling import in_words, told
from stallwise.surfaces.rerun.trust import Choice, choose, parameter_names

__all__ = ["Report", "Row", "check_parameters", "output_name", "rerun"]

#: Names of the template that are no plan parameters.
RUN_NAMES = frozenset({"as_of"})

#: Longest name of an output; what is longer is cut and told apart by a short digest.
_LONGEST = 80
_SHOWN_DIFFERENCES = 12


@dataclass(frozen=True)
class Row:
    """How one cook's re-run went.

    Attributes
    ----------
    cook : str
        Its name.
    state : str
        A key of `stallwise.surfaces.rerun.execute.STATES`.
    seconds : float
        How long it took.
    changed : bool or None
        Whether any figure moved against the result that was kept, or against the same cook
        unchanged where none was; None when it did not run.
    message : str
        What went wrong, or where the outputs are.
    differences : tuple of Difference
        What moved.
    units : {"us", "metric"}
        For the words.
    """

    cook: str
    state: str
    seconds: float
    changed: bool | None
    message: str
    differences: tuple[Difference, ...] = ()
    units: str = "us"

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {
            "cook": self.cook,
            "state": self.state,
            "seconds": self.seconds,
            "changed": self.changed,
            "message": self.message,
            "differences": [row.plain() for row in self.differences],
        }


@dataclass(frozen=True)
class Report:
    """All rows of a re-run."""

    rows: tuple[Row, ...]

    @property
    def failed(self) -> bool:
        """Whether any cook did not run to the end."""
        return any(row.state != "done" for row in self.rows)

    @property
    def changed(self) -> bool:
        """Whether any figure of any cook moved."""
        return any(row.changed for row in self.rows)

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {"rows": [row.plain() for row in self.rows]}

    def text(self) -> str:
        """Words for a terminal."""
        if not self.rows:
            return "No cook fits."
        return "\n".join(line for row in self.rows for line in _row_text(row))


def rerun(
    book: Cookbook,
    names: Sequence[str] = (),
    *,
    where: Sequence[str] = (),
    changes: Mapping[str, Any] | None = None,
    numbers: bool = False,
    workers: int = 1,
    trust: Sequence[str] = (),
    made_at: dt.datetime,
    cell_s: float = 300.0,
) -> Report:
    """Run cooks again, with something changed or not, beside what was kept.

    Parameters
    ----------
    book : Cookbook
        The cookbook.
    names : sequence of str
        Cooks; none means all.
    where : sequence of str
        ``cut=…``, ``pit=…``, ``tag=…``: only cooks that fit all.
    changes : mapping, optional
        Plan parameters, checked for every cook before any runs.
    numbers : bool
        Only the figures, in this process; no notebook is executed.
    workers : int
        Notebooks at once.
    trust : sequence of str
        Cooks whose changed notebooks may run.
    made_at : datetime
        Wall clock, aware; names the outputs when nothing is changed.
    cell_s : float, default 300
        Time allowed for one cell [s].

    Returns
    -------
    Report
        A row for each cook, in the order asked.

    Raises
    ------
    InputError
        A name or value that is not allowed; then nothing ran.
    """
    changes = dict(changes or {})
    cooks = [cook for cook in _chosen(book, names) if _fits(cook.read(), where)]
    trusted = {book.cook(name).name for name in trust}
    for cook in cooks:
        check_parameters(cook, changes)
    name = output_name(changes)
    if numbers:
        return Report(tuple(_figures(cook, changes, name, made_at) for cook in cooks))
    choices = {cook.name: choose(cook.path, trust=cook.name in trusted) for cook in cooks}
    for cook in cooks:
        _declared(cook, choices[cook.name], changes)
    jobs = {
        cook.name: Job(notebook, str(cook.path.resolve()), name, changes, cell_s)
        for cook in cooks
        if (notebook := choices[cook.name].notebook) is not None
    }
    runs = run_all(jobs, workers=workers, done=progress(len(jobs), "notebooks"))
    rows = []
    for cook in cooks:
        if cook.name not in runs:
            rows.append(Row(cook.name, "refused", 0.0, None, choices[cook.name].refused))
            continue
        run = runs[cook.name]
        if run.state == "done":
            rows.append(_compared(cook, name, run.seconds, made_at, f"results/{run.notebook}"))
        else:
            kept = f" (kept: results/{run.notebook})" if run.notebook else ""
            rows.append(
                Row(
                    cook.name,
                    run.state,
                    run.seconds,
                    None,
                    (run.message or STATES[run.state]) + kept,
                )
            )
    return Report(tuple(rows))


def check_parameters(cook: CookFolder, changes: Mapping[str, Any]) -> None:
    """Refuse a name or value before anything runs; the nearest right name is offered.

    Raises
    ------
    InputError
        A name that is no parameter, a letter that the cook does not have, a bare number
        where a unit is needed, or a value that is not allowed.
    """
    plan = {}
    for name, value in changes.items():
        if name in RUN_NAMES:
            continue
        if name.partition("__")[0] not in PARAMETERS:
            raise NotFoundError(
                "parameter", name, [*PARAMETERS, *sorted(RUN_NAMES)], where=cook.name
            )
        split_name(name)
        plan[name] = value
    run_settings(plan)
    try:
        resolve(cook.read(), plan)
    except NotFoundError:
        raise
    except InputError as error:
        raise InputError(
            error.came, error.allowed, error.todo, where=error.where or cook.name
        ) from None


def output_name(changes: Mapping[str, Any]) -> str:
    """Stem of the outputs: the changes in short; a run with none takes the place of the last."""
    if not changes:
        return "rerun-as-it-is"
    words = "-".join(f"{name}-{value}" for name, value in sorted(changes.items()))
    short = re.sub(r"[^A-Za-z0-9_.]+", "-", words).strip("-.")
    digest = hashlib.blake2b(repr(sorted(changes.items())).encode(), digest_size=3).hexdigest()
    return f"rerun-{short[:_LONGEST].rstrip('-.')}-{digest}"


def _chosen(book: Cookbook, names: Sequence[str]) -> list[CookFolder]:
    if not names:
        return list(book.cooks())
    found = {cook.name: cook for cook in map(book.cook, names)}
    return list(found.values())


_FITS: Mapping[str, Any] = {
    "cut": lambda cook, value: any(value == piece.cut for piece in cook.pieces),
    "pit": lambda cook, value: any(value == pit.pit for pit in cook.pits),
    "tag": lambda cook, value: value in cook.tags,
    "year": lambda cook, value: str(cook.date.year) == value,
}


def _fits(cook: Cook, where: Sequence[str]) -> bool:
    for condition in where:
        key, sign, value = condition.partition("=")
        if not sign:
            raise InputError(
                f"--where {condition!r} has no '='", "key=value, for example cut=lamb-shoulder"
            )
        if key.strip() not in _FITS:
            raise NotFoundError("key for --where", key.strip(), _FITS)
        if not _FITS[key.strip()](cook, value.strip()):
            return False
    return True


def _declared(cook: CookFolder, choice: Choice, changes: Mapping[str, Any]) -> None:
    """Refuse a name that the notebook to be run does not know: papermill only warns of it."""
    if choice.notebook is None or choice.whose == "trusted":
        return
    names = parameter_names(choice.notebook)
    for name in changes:
        if name.partition("__")[0] not in names:
            raise NotFoundError(
                "parameter",
                name,
                names,
                "This notebook is of an older template. Its figures alone can be had with "
                f"any name: stallwise rerun {cook.name} --numbers",
                where=cook.name,
            )


def _figures(cook: CookFolder, changes: Mapping[str, Any], name: str, made_at: dt.datetime) -> Row:
    started = time.monotonic()
    try:
        plan = {key: value for key, value in changes.items() if key not in RUN_NAMES}
        result = to_plain(
            ask(cook.load(), made_at=made_at, as_of=changes.get("as_of"), changes=plan)
        )
        write_figures(cook, cook.path / "results" / f"{name}.json", result)
    except StallwiseError as error:
        return Row(cook.name, "failed", round(time.monotonic() - started, 3), None, str(error))
    return _compared(
        cook, name, round(time.monotonic() - started, 3), made_at, f"results/{name}.json"
    )


def _compared(cook: CookFolder, name: str, seconds: float, made_at: dt.datetime, where: str) -> Row:
    new = read_figures(cook, cook.path / "results" / f"{name}.json")
    old = cook.result()
    if old is None:
        old = to_plain(ask(cook.load(), made_at=made_at))
    differences = compare(old, new)
    units = cook.home.book.units
    return Row(cook.name, "done", seconds, bool(differences), where, differences, units)


def _row_text(row: Row) -> list[str]:
    if row.state != "done":
        return [f"{row.cook}: {row.state}. {row.message}"]
    moved = "changed" if row.changed else "as it was"
    lines = [f"{row.cook}: done in {row.seconds:.1f} s, {moved} ({row.message})"]
    first = told(row.differences)[:_SHOWN_DIFFERENCES]
    lines += [f"  {in_words(gap, row.units)}" for gap in first]
    rest = len(row.differences) - len(first)
    if rest:
        lines.append(f"  and {rest} more figures (--json shows all)")
    return lines
