"""Importing a probe's file into a cook: the file as it came beside the readings as kept."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import InputError
from stallwise.record import names
from stallwise.record.intake import understand
from stallwise.record.readings import Channel, ReadingsReport, as_csv
from stallwise.record.schema import SCHEMA
from stallwise.record.stamps import Frame
from stallwise.record.store import READINGS_BYTES, read_outside

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder

__all__ = ["add_readings"]

_ENDINGS = frozenset({".csv", ".txt", ".tsv", ".log"})


def add_readings(
    folder: CookFolder,
    path: Path,
    frame: Frame,
    *,
    unit: str | None = None,
    day_first: bool = False,
    columns: Mapping[str, str] | None = None,
    dry_run: bool = False,
) -> ReadingsReport:
    """Import a file of readings into a cook.

    Parameters
    ----------
    folder : CookFolder
    path : Path
        CSV or text with a header line, from anywhere.
    frame : Frame
        Zone, date, first piece on and letters of the cook.
    unit, day_first, columns
        See `stallwise.record.intake.understand`.
    dry_run : bool, default False
        Only say what was understood.

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
    report = understand(
        _text(data), frame, file=path.name, unit=unit, day_first=day_first, columns=columns
    )
    if report.questions:
        return report
    told = _told(report, data)
    earlier = _earlier(folder, told)
    if earlier:
        return replace(report, already=earlier)
    new, again = _only_new(folder, report)
    if dry_run:
        return report
    if not any(channel.at for channel in new):
        return replace(report, already=again)
    return replace(report, written=_write(folder, path, data, told, new))


def _text(data: bytes) -> str:
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Older probes write the degree sign in one byte.
        return data.decode("latin-1")


def _told(report: ReadingsReport, data: bytes) -> dict[str, Any]:
    """Make the record of an import: the file it was and how it was read."""
    return {
        "schema": SCHEMA,
        "file": report.file,
        "sha256": hashlib.sha256(data).hexdigest(),
        "zone": report.zone,
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


def _earlier(folder: CookFolder, told: Mapping[str, Any]) -> str:
    """Name of an earlier import of the same bytes, read in the same way."""
    for path in folder.home.listing(folder.path / "readings", ".json"):
        was = folder.home.read_json(path, "readings") or {}
        if was.get("sha256") != told["sha256"]:
            continue
        if all(was.get(key) == told[key] for key in ("zone", "channels")):
            return path.stem
        raise InputError(
            f"{told['file']} was imported before as {path.stem}, and read in another way",
            "one import of a file",
            f"To read it anew, first move readings/{path.stem}.* away",
        )
    return ""


def _only_new(folder: CookFolder, report: ReadingsReport) -> tuple[list[Channel], str]:
    """Channels without what earlier imports hold of them, and the name of one that does."""
    held: set[tuple[str, Any]] = set()
    name = ""
    for one in folder.readings():
        held |= {(one.channel, when) for when in one.at}
        name = name or Path(one.file).stem
    channels = []
    for channel in report.channels:
        rows = [
            (when, value)
            for when, value in zip(channel.at, channel.temperature_c, strict=True)
            if (channel.name, when) not in held
        ]
        dropped = tuple(one for one in channel.dropped if (channel.name, one.at) not in held)
        at, values = tuple(when for when, _ in rows), tuple(value for _, value in rows)
        channels.append(replace(channel, at=at, temperature_c=values, dropped=dropped))
    return channels, name


def _write(
    folder: CookFolder,
    path: Path,
    data: bytes,
    told: Mapping[str, Any],
    channels: list[Channel],
) -> tuple[str, ...]:
    place = folder.path / "readings"
    taken = [entry.name.partition(".")[0] for entry in folder.home.listing(place)]
    name = names.free(names.slug(path.stem, "readings"), "", taken)
    ending = path.suffix.casefold() if path.suffix.casefold() in _ENDINGS else ".txt"
    text = json.dumps(told, ensure_ascii=False, indent=1)
    # What tells of the import comes last: without it the file is looked at again.
    files = {
        f"{name}.raw{ending}": data,
        f"{name}.csv": as_csv(channels).encode(),
        f"{name}.json": f"{text}\n".encode(),
    }
    made: list[str] = []
    try:
        for file, content in files.items():
            folder.store.replace(place / file, content, expected=None, limit=READINGS_BYTES)
            made.append(file)
    except BaseException:
        for file in made:
            folder.store.remove_new(place / file)
        raise
    return tuple(made)
