"""Following a file that another program keeps appending to: looked at again and again, brought in once.

One look reads the file up to its last whole line and keeps what is new. What it goes by lies on the
disk, in the record of the import, so that whoever looks next (another window, a kernel that was started
anew) goes on where the last one stopped. A file that only grew has its import made anew, whole; one that
begins otherwise (it was emptied, or another took its name) leaves that import alone and starts the next.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from stallwise.ground.errors import InputError, StallwiseError
from stallwise.record import imports, overlap
from stallwise.record.frame import Answers
from stallwise.record.intake import understand
from stallwise.record.logtext import text_of
from stallwise.record.overlap import Way
from stallwise.record.readings import Channel, Readings, as_csv
from stallwise.record.readingsreport import ReadingsReport
from stallwise.record.settings import frame_of
from stallwise.record.store import ANY, READINGS_BYTES, read_outside

if TYPE_CHECKING:
    from stallwise.record.cookfolder import CookFolder

__all__ = ["EVERY_S", "Follow", "Look", "followed", "whole_lines"]

#: A file that is followed is looked at so often [s]; see data/record_limits.csv.
EVERY_S = 15.0
#: Two that follow do not bring in at once; a look waits so long for another's [s].
_LOCK, _WAIT_S = ".stallwise.follow.lock", 5.0
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True)
class Look:
    """What one look at a file found.

    Attributes
    ----------
    state : str
        ``new`` (readings came in), ``same`` (nothing new), ``asked`` (something has to be said first),
        ``gone`` (there is no file now), ``waiting`` (no whole line that can be read yet, or shorter than
        it was), ``wrong`` (it cannot be read, or not be written; see `words`).
    words : str
        For the cook.
    added : int
        Readings that came in.
    report : ReadingsReport, optional
        What was understood, where it could be.
    """

    state: Literal["new", "same", "asked", "gone", "waiting", "wrong"]
    words: str
    added: int = 0
    report: ReadingsReport | None = None


@dataclass(frozen=True)
class _Import:
    """An import that goes on: its name, its record, the file as it was then, the digest of its readings."""

    name: str
    record: Mapping[str, Any]
    raw: str
    data: bytes
    kept: str

    @property
    def whole(self) -> bool:
        """Whether all of it was written: the last digest is of the readings, the other of the file."""
        return bool(
            self.kept == self.record["kept"][-1] and _digest(self.data) == self.record["sha256"]
        )


class Follow:
    """One file, followed.

    Parameters
    ----------
    folder : CookFolder
        The cook.
    path : Path
        The file, from anywhere.
    answers : Answers, optional
        What the cook said of the file.
    zone : str, optional
        Zone of the file, where it is not the cook's.
    over : {"skip", "merge", "replace"}, optional
        What to do where other readings lie at the same time; see `stallwise.record.overlap`.
    ask : callable, optional
        What else is in doubt, as for an import.
    said : mapping, optional
        The answers as they were typed: kept with the readings for whoever looks next.
    """

    def __init__(
        self,
        folder: CookFolder,
        path: Path,
        answers: Answers | None = None,
        *,
        zone: str | None = None,
        over: Way | None = None,
        ask: Callable[[Sequence[Channel]], Sequence[str]] | None = None,
        said: Mapping[str, Any] | None = None,
    ) -> None:
        self.folder = folder
        self.path = path
        self.answers = answers
        self._zone = zone
        self._over = over
        self._ask = ask
        self._said = dict(said or {})
        self._settled: tuple[int, int, int] | None = None

    def look(self) -> Look:
        """Look at the file and bring in what is new; never raises for what a file can be."""
        try:
            stamp = _stamp(self.path)
            if stamp == self._settled:
                return Look("same", f"{self.path.name}: nothing new.")
            found = self._locked()
        except FileNotFoundError:
            return Look("gone", f"{self.path.name} is not there now; it is looked for again.")
        except StallwiseError as error:
            return Look("wrong", str(error))
        except OSError as error:
            said = error.strerror or str(error)
            return Look("wrong", f"{self.path.name} could not be read or kept: {said}")
        # What is asked may be settled by the log, so it is looked at again.
        self._settled = stamp if found.state in {"new", "same"} else None
        return found

    def _locked(self) -> Look:
        from filelock import FileLock, Timeout

        if not (self.folder.path / "cook.toml").is_file():
            return Look(
                "wrong", f"The folder cooks/{self.folder.name} is gone; nothing was written."
            )
        try:
            with FileLock(self.folder.home.path / _LOCK, timeout=_WAIT_S):
                return self._bring(whole_lines(read_outside(self.path, READINGS_BYTES)))
        except Timeout:
            return Look("waiting", f"{self.path.name} waits for another window that follows too.")

    def _bring(self, data: bytes) -> Look:
        name = self.path.name
        mine = self._going_on()
        if mine and mine.data == data and mine.whole and mine.record.get("said") == self._said:
            return Look("same", f"{name}: nothing new.")
        if mine and mine.data != data and mine.data.startswith(data):
            return Look(
                "waiting", f"{name} is shorter than it was; what came in stays. It is watched on."
            )
        try:
            report = understand(
                text_of(data, name), frame_of(self.folder, self._zone), self.answers, file=name
            )
        except InputError as error:
            return Look("waiting", f"Nothing to be read in {name} yet: {error}")
        going = mine if mine and data.startswith(mine.data) else None
        own, others = self._held(going)
        laid = overlap.lay_over(report.channels, others, self._over)
        asked = report.questions or (
            *(self._ask(report.channels) if self._ask else ()),
            *filter(None, [laid.question]),
        )
        if asked:
            return Look(
                "asked", "Something has to be said first.", report=replace(report, questions=asked)
            )
        was = sum(value is not None for one in own for value in one.temperature_c)
        added = sum(len(channel.at) for channel in laid.channels) - was
        if not going and not added:
            return Look("same", f"{name}: its readings are there already.", report=report)
        record = imports.told_of(report, data, self.answers)
        record |= {"follows": True, "said": self._said, **self._source()}
        if laid.replaces:
            record["replaces"] = list(laid.replaces)
        self._write(going, data, record, as_csv(laid.channels).encode())
        words = f"{name}: {_many(added)}." if added else f"{name}: nothing new."
        return Look("new" if added else "same", words, added=max(added, 0), report=report)

    def _source(self) -> dict[str, str]:
        """Say where the file lies, in the cookbook only: the rest of a machine is nobody's business."""
        root = self.folder.home.path.resolve()
        real = self.path.resolve()
        if not real.is_relative_to(root):
            return {}
        return {"source": Path(os.path.relpath(real, self.folder.path.resolve())).as_posix()}

    def _going_on(self) -> _Import | None:
        """Find the newest import of this file that was followed and not changed by hand since."""
        found = [one for one in map(self._of, followed(self.folder, self.path.name)) if one]
        return found[-1] if found else None

    def _of(self, named: tuple[str, Mapping[str, Any]]) -> _Import | None:
        name, record = named
        store, place = self.folder.store, self.folder.path / "readings"
        kept = _digest(store.read_bytes(place / f"{name}.csv", READINGS_BYTES))
        raw = [
            one.name
            for one in self.folder.home.listing(place)
            if one.name.startswith(f"{name}.raw.")
        ]
        if kept not in record.get("kept", ()) or not raw:
            return None
        return _Import(name, record, raw[0], store.read_bytes(place / raw[0], READINGS_BYTES), kept)

    def _held(self, going: _Import | None) -> tuple[list[Readings], list[Readings]]:
        """Tell readings of the import that goes on from those of all others."""
        own: list[Readings] = []
        others: list[Readings] = []
        for one in self.folder.readings():
            mine = going is not None and Path(one.file).stem == going.name
            (own if mine else others).append(one)
        return own, others

    def _write(
        self, going: _Import | None, data: bytes, record: dict[str, Any], kept: bytes
    ) -> None:
        """Keep an import, new or grown; stopped at any step, the next look does it over.

        The record comes first and says which readings are its own, before and after; the readings
        come last. For a new import no readings means that it has not happened.
        """
        store, place = self.folder.store, self.folder.path / "readings"
        new = imports.new_names(self.folder, self.path.name)
        name, raw = (going.name, going.raw) if going else new
        record["number"] = going.record["number"] if going else len(followed(self.folder))
        record["kept"] = list(dict.fromkeys([*([going.kept] if going else []), _digest(kept)]))
        files = {
            f"{name}.json": imports.record_text(record).encode(),
            raw: data,
            f"{name}.csv": kept,
        }
        for file, content in files.items():
            expected = ANY if going else None
            store.replace(place / file, content, expected=expected, limit=READINGS_BYTES)


def followed(folder: CookFolder, file: str = "") -> list[tuple[str, dict[str, Any]]]:
    """List imports that came of following, each with its record, in the order in which they began.

    Parameters
    ----------
    folder : CookFolder
    file : str, optional
        Only those of a file of this name.
    """
    found = [
        (name, record)
        for name, record in folder.imports().items()
        if record.get("follows") and file in {"", record.get("file")}
    ]
    return sorted(found, key=lambda one: int(one[1]["number"]))


def whole_lines(data: bytes) -> bytes:
    """Bytes up to the end of the last line that was written whole."""
    if data[:2] in _UTF16:
        # Two bytes a letter: an end of line counts only where a letter starts.
        end = b"\n\x00" if data[:2] == _UTF16[0] else b"\x00\n"
        at = data.rfind(end)
        while at > 0 and at % 2:
            at = data.rfind(end, 0, at + 1)
        return data[: at + 2] if at >= 0 else b""
    return data[: max(data.rfind(b"\n"), data.rfind(b"\r")) + 1]


def _many(added: int) -> str:
    return f"{added} new reading{'s' * (added != 1)}"


def _stamp(path: Path) -> tuple[int, int, int]:
    told = path.stat()
    return told.st_size, told.st_mtime_ns, told.st_ino


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
