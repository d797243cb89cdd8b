"""Importing a probe's file into a cook: the file as it came beside the readings as kept."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import InputError
from stallwise.record import disk, names, overlap
from stallwise.record.clocks import rfc3339
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand
from stallwise.record.logtext import text_of
from stallwise.record.overlap import Laid, Way
from stallwise.record.readings import Channel, as_csv
from stallwise.record.readingsreport import ReadingsReport
from stallwise.record.schema import SCHEMA
from stallwise.record.store import READINGS_BYTES, read_outside

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder

__all__ = ["add_readings", "bring_in", "new_names", "record_text", "told_of"]

#: What tells one reading of a file from another.
_READ_AS = ("zone", "channels", "shift_s", "start")
_ENDINGS = frozenset({".csv", ".txt", ".tsv", ".log"})


def add_readings(
    folder: CookFolder,
    path: Path,
    frame: Frame,
    answers: Answers | None = None,
    *,
    over: Way | None = None,
    dry_run: bool = False,
    ask: Callable[[Sequence[Channel]], Sequence[str]] | None = None,
) -> ReadingsReport:
    """Import a file of readings into a cook.

    Parameters
    ----------
    folder : CookFolder
    path : Path
        A table or short lines, from anywhere.
    frame : Frame
        Zone, date, first piece on, letters and settings of the cook.
    answers : Answers, optional
        What the cook said of the file.
    over : {"skip", "merge", "replace"}, optional
        What to do with readings that lie over earlier ones; see `stallwise.record.overlap`.
    dry_run : bool, default False
        Only say what was understood.
    ask : callable, optional
        What else is in doubt of the channels understood, as questions; by default nothing.

    Returns
    -------
    ReadingsReport
        With open questions nothing was written. Readings that an earlier import holds are
        not added again.

    Raises
    ------
    InputError
        The file cannot be read as readings, or was imported before in another way.
    """
    data = read_outside(path, READINGS_BYTES)
    return bring_in(folder, path.name, data, frame, answers, over=over, dry_run=dry_run, ask=ask)


def bring_in(
    folder: CookFolder,
    file: str,
    data: bytes,
    frame: Frame,
    answers: Answers | None = None,
    *,
    over: Way | None = None,
    dry_run: bool = False,
    ask: Callable[[Sequence[Channel]], Sequence[str]] | None = None,
) -> ReadingsReport:
    """Import what a file holds, under its name; see `add_readings`."""
    if over not in {None, *overlap.WAYS}:
        raise InputError(f"overlap {over!r}", ", ".join(overlap.WAYS))
    report = understand(text_of(data, file), frame, answers, file=file)
    if report.questions:
        return report
    told = told_of(report, data, answers)
    earlier = _earlier(folder, told, over)
    if earlier:
        return replace(report, already=earlier)
    again = {name for name, was in folder.imports().items() if was.get("sha256") == told["sha256"]}
    laid = overlap.lay_over(report.channels, folder.readings(), over, again=again)
    more = (*(ask(report.channels) if ask else ()), *filter(None, [laid.question]))
    if dry_run and over and not laid.question:
        report = replace(report, notes=(*report.notes, *overlap.counted(laid, report.channels)))
    if more or dry_run:
        return replace(report, questions=more)
    if not any(channel.at for channel in laid.channels):
        return replace(report, already=laid.already)
    return replace(report, written=_write(folder, file, data, told, laid))


def told_of(report: ReadingsReport, data: bytes, answers: Answers | None) -> dict[str, Any]:
    """Make the record of an import: the file it was and how it was read."""
    clock: dict[str, Any] = {}
    if answers is not None and answers.shift_s is not None:
        clock = {"shift_s": answers.shift_s}
    if answers is not None and answers.start is not None:
        clock = {"start": rfc3339(answers.start)}
    return {
        "schema": SCHEMA,
        "file": report.file,
        "sha256": hashlib.sha256(data).hexdigest(),
        "zone": report.zone,
        **clock,
        "channels": [
            {
                "name": channel.name,
                "unit": channel.unit,
                "converted_to": "celsius",
                "piece": channel.piece,
                "pit": channel.pit,
                "place": channel.place,
                "count": len(channel.at),
                "dropped": len(channel.dropped),
            }
            for channel in report.channels
        ],
        "notes": list(report.notes),
    }


def _earlier(folder: CookFolder, told: Mapping[str, Any], over: Way | None) -> str:
    """Name of an earlier import of the same bytes, read in the same way."""
    for name, was in folder.imports().items():
        if was.get("sha256") != told["sha256"]:
            continue
        if all(was.get(key) == told.get(key) for key in _READ_AS):
            return name
        if over is None:
            raise InputError(
                f"{told['file']} was imported before as {name}, and read in another way",
                "one import of a file",
                "To let the new reading of it count, say --overlap replace",
            )
    return ""


def _write(
    folder: CookFolder, file: str, data: bytes, told: Mapping[str, Any], laid: Laid
) -> tuple[str, ...]:
    name, raw = new_names(folder, file)
    record = {**told, "replaces": list(laid.replaces)} if laid.replaces else told
    # The readings come last: until they are there, the import has not happened.
    files = {
        raw: data,
        f"{name}.json": record_text(record).encode(),
        f"{name}.csv": as_csv(laid.channels).encode(),
    }
    place = folder.path / "readings"
    made: list[str] = []
    try:
        for each, content in files.items():
            folder.store.replace(place / each, content, expected=None, limit=READINGS_BYTES)
            made.append(each)
    except disk.UnconfirmedError:
        raise
    except BaseException:
        for each in made:
            folder.store.remove_new(place / each)
        raise
    return tuple(made)


def new_names(folder: CookFolder, file: str) -> tuple[str, str]:
    """Name of a new import of a file, and of the copy of the file as it came."""
    path = PurePath(file)
    listed = folder.home.listing(folder.path / "readings", copies=True)
    taken = [entry.name.partition(".")[0] for entry in listed]
    name = names.free(names.slug(path.stem, "readings"), "", taken)
    ending = path.suffix.casefold() if path.suffix.casefold() in _ENDINGS else ".txt"
    return name, f"{name}.raw{ending}"


def record_text(record: Mapping[str, Any]) -> str:
    """Text of the record of an import."""
    return json.dumps(record, ensure_ascii=False, indent=1) + "\n"
