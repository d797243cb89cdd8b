"""The folder of one cook: what it holds, and every way to add to it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import CookWarning, InputError
from stallwise.record import disk, lines, log, migrate, names, overlap, toml
from stallwise.record.cook import CookRecord, state_of
from stallwise.record.edits import edit, rewrite
from stallwise.record.freezer import frozen, names_freezer
from stallwise.record.handouts import handout_or_warning
from stallwise.record.log import Appended, Log, LogLine
from stallwise.record.readings import Channel, Readings, from_csv
from stallwise.record.schema import SCHEMA, Cook, Photo
from stallwise.record.store import ANY, LOG_BYTES, PHOTO_BYTES, READINGS_BYTES, Store, read_outside
from stallwise.record.trials import trials_of
from stallwise.record.weighins import weighed_before

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook
    from stallwise.record.frame import Answers
    from stallwise.record.readingsreport import ReadingsReport

__all__ = ["RAW", "CookFolder", "Saved"]

#: What the name of a probe's file as it came has before its ending.
RAW = ".raw"
_RESULT_BYTES = 50_000_000


@dataclass(frozen=True)
class Saved:
    """Text of ``cook.toml`` as written, and the copy kept of one in an older schema."""

    text: str
    kept: Path | None = None


@dataclass(frozen=True)
class CookFolder:
    """One cook on the disk.

    Attributes
    ----------
    name : str
        Of the folder.
    home : Cookbook
        The cookbook it belongs to.
    """

    name: str
    home: Cookbook

    @property
    def path(self) -> Path:
        """The folder."""
        return self.home.path / "cooks" / self.name

    @property
    def store(self) -> Store:
        """Door to the disk."""
        return self.home.store

    # --- the plan and the facts -------------------------------------------------------

    def text(self) -> str:
        """Text of ``cook.toml``; give it back as `expected` when saving."""
        return self.store.read(self.path / "cook.toml")

    def read(self) -> Cook:
        """Plan and facts, an older schema brought to the present one; the file stays as it is.

        Raises
        ------
        RecordError
            With every problem, each with file, line and key.
        """
        return self._parsed(self.text())

    def _parsed(self, text: str) -> Cook:
        return toml.parse(text, Cook, file=self.store.name(self.path / "cook.toml"))

    def save(self, changes: Mapping[str, Any], *, expected: str | None = None) -> Saved:
        """Change ``cook.toml`` and nothing else in it: comments, order and unknown keys stay.

        Parameters
        ----------
        changes : mapping
            Keys with dots, see `stallwise.record.edits.edit`; None takes a key away.
        expected : str, optional
            Text (or its digest) that was read; without it the change is laid over whatever
            is there.

        Returns
        -------
        Saved
            The new text. A file of an older schema is written in the present one, and
            kept beside as ``cook.schema-N.toml``.

        Raises
        ------
        RecordError
            The change would make the file wrong; nothing was written.
        ChangedError
            The file is not what was read; nothing was written.
        """
        kept = self._keep_old_schema()
        wanted = ANY if expected is None else expected
        text = self.store.update(
            self.path / "cook.toml", lambda now: self._changed(now, changes), expected=wanted
        )
        return Saved(text, kept)

    def _changed(self, text: str, changes: Mapping[str, Any]) -> str:
        file = self.store.name(self.path / "cook.toml")
        data = toml.load(text, file=file)
        if migrate.version_of(data, file=file) < SCHEMA:
            text = rewrite(text, migrate.migrated("cook", data, file=file))
        new = edit(text, changes)
        self._parsed(new)
        return new

    def _keep_old_schema(self) -> Path | None:
        text, file = self.text(), self.store.name(self.path / "cook.toml")
        version = migrate.version_of(toml.load(text, file=file), file=file)
        if version == SCHEMA:
            return None
        kept = self.path / f"cook.schema-{version}.toml"
        if not self.store.has(kept):
            self.store.replace(kept, text, expected=None)
        return kept

    def load(self, *, readings: bool = True, learned: bool = True) -> CookRecord:
        """Everything that is known of the cook.

        Parameters
        ----------
        readings : bool, default True
            Read what probes wrote too; a day at a second takes half a second.
        learned : bool, default True
            With what the logged cooks taught; who makes that anew must not need it.

        Raises
        ------
        RecordError, InputError
            A file is wrong. Torn lines are left out and told among the warnings.
        """
        cook, book = self.read(), self.home
        freezer, unread = self._freezer(cook)
        written = self.log()
        kept = lines.read(self.store, self._forecasts, limit=LOG_BYTES)
        printed, spoilt = handout_or_warning(self, "printed")
        trials, broken = trials_of(book, self.name)
        return CookRecord(
            self.name,
            cook,
            book.book,
            book.pits(),
            log.effective(written.lines),
            self.readings() if readings else (),
            book.overlay("cuts"),
            book.overlay("ingredients"),
            {**book.overlay("mixes"), **self.mixes()},
            book.learned() if learned else None,
            tuple(row for _, row in kept.rows),
            tuple(
                _unused_warnings(toml.unknown_keys(self.text(), cook))
                + _torn_warnings("log.jsonl", written.torn)
                + _torn_warnings("forecasts", kept.torn)
                + unread
                + list(spoilt)
                + broken
            ),
            freezer,
            printed,
            weighed_before(book.weigh_ins({p.cut for p in cook.pieces}), self.name, cook),
            trials,
        )

    def _freezer(self, cook: Cook) -> tuple[Mapping[str, float], list[CookWarning]]:
        """Trimmings of earlier cooks, read only when this one names them, and cooks that cannot be."""
        if not names_freezer(cook, self.name):
            return {}, []
        if given := self.home.lent().freezer:
            return given, []
        cooks, unread = [(self.name, cook)], []
        for one in self.home.cooks():
            if one.name == self.name:
                continue
            try:
                cooks.append((one.name, one.read()))
            except InputError as error:
                said = f"What {one.name} took or put into the freezer is not counted: {error}"
                unread.append(CookWarning(f"freezer-{one.name}", said))
        return frozen(cooks, self.name, cook), unread

    def state(self) -> str:
        """``planned``, ``running`` or ``finished``; told by the log."""
        return state_of(self.read(), log.effective(self.log().lines))

    # --- the log ----------------------------------------------------------------------

    def log(self) -> Log:
        """Log as it stands in the file; `stallwise.record.log.effective` says what is in force."""
        return log.read(self.store, self.path / "log.jsonl")

    def append(self, new: Sequence[LogLine]) -> Appended:
        """Add lines to the log; one whose id is there is not written again."""
        return log.append(self.store, self.path / "log.jsonl", new)

    # --- forecasts and results --------------------------------------------------------

    @property
    def _forecasts(self) -> Path:
        return self.path / "results" / "forecasts.jsonl"

    def keep_forecast(self, forecast: Mapping[str, Any]) -> bool:
        """Add a forecast to those kept; False when the same is there already.

        Parameters
        ----------
        forecast : mapping
            Plain data. Without an ``id`` it gets one from all it says.
        """
        said = json.dumps(forecast, sort_keys=True, ensure_ascii=True, default=str)
        name = forecast.get("id") or hashlib.sha256(said.encode()).hexdigest()[:16]
        row = {"schema": SCHEMA, **forecast, "id": name}
        return bool(lines.add(self.store, self._forecasts, [row], limit=LOG_BYTES).written)

    def forecasts(self) -> tuple[dict[str, Any], ...]:
        """Forecasts kept, in the order of the file; torn lines are left out."""
        return tuple(
            row for _, row in lines.read(self.store, self._forecasts, limit=LOG_BYTES).rows
        )

    def write_result(self, result: Mapping[str, Any]) -> None:
        """Write ``results/result.json``, whole or not at all."""
        text = json.dumps(
            {"schema": SCHEMA, **result}, ensure_ascii=False, indent=1, allow_nan=False
        )
        path = self.path / "results" / "result.json"
        self.store.replace(path, f"{text}\n", expected=ANY, limit=_RESULT_BYTES)

    def result(self) -> dict[str, Any] | None:
        """Read the result as last written, or None."""
        return self.home.read_json(self.path / "results" / "result.json", "forecast", _RESULT_BYTES)

    # --- mixes as used ----------------------------------------------------------------

    def mixes(self) -> dict[str, dict[str, Any]]:
        """Mixes as used in this cook, by name."""
        return self.home.tables(self.path / "mixes", "mix")

    def keep_mix(self, name: str, text: str) -> None:
        """Copy a mix as used into the cook."""
        if names.slug(name, "mix") != name:
            raise InputError(f"a mix cannot be called {name!r}", f"{names.slug(name, 'mix')!r}")
        toml.load(text, file=f"{name}.toml")
        self.store.replace(self.path / "mixes" / f"{name}.toml", text, expected=ANY)

    # --- readings ---------------------------------------------------------------------

    def readings(self) -> tuple[Readings, ...]:
        """Read the readings of all imports, a channel each; what later ones replaced is left out.

        Raises
        ------
        RecordError
            A file that was not imported lies there, or was changed into something else.
        """
        told = self.imports()
        said = {name for name, was in told.items() if {"shift_s", "start"} & was.keys()}
        return tuple(
            replace(one, clock_said=True) if Path(one.file).stem in said else one
            for one in overlap.masked(self.own_readings(), told)
        )

    def own_readings(self) -> tuple[Readings, ...]:
        """Read what the kept files say, readings replaced since among them."""
        found: list[Readings] = []
        for path in self.home.listing(self.path / "readings", ".csv"):
            if not path.stem.endswith(RAW):
                text = self.store.read(path, READINGS_BYTES)
                found += from_csv(text, file=self.store.name(path))
        return tuple(found)

    def imports(self) -> dict[str, dict[str, Any]]:
        """Read the records of imports whose readings are there, by name, in no order of time."""
        place = self.path / "readings"
        return {
            path.stem: self.home.read_json(path, "readings") or {}
            for path in self.home.listing(place, ".json")
            if self.store.has(place / f"{path.stem}.csv")
        }

    def add_readings(
        self,
        path: Path,
        answers: Answers | None = None,
        *,
        zone: str | None = None,
        over: overlap.Way | None = None,
        dry_run: bool = False,
        ask: Callable[[Sequence[Channel]], Sequence[str]] | None = None,
    ) -> ReadingsReport:
        """Import readings of a probe; see `stallwise.record.imports.add_readings`."""
        # Late: most commands read no probe file.
        from stallwise.record import imports
        from stallwise.record.settings import frame_of

        frame = frame_of(self, zone)
        return imports.add_readings(self, path, frame, answers, over=over, dry_run=dry_run, ask=ask)

    # --- photos -----------------------------------------------------------------------

    def add_photo(self, path: Path, caption: str = "", *, lead: bool = False) -> Photo:
        """Copy a picture into the cook and name it in ``cook.toml``.

        The original is kept as it came, with all it says of place and camera; pages get
        copies without that.

        Parameters
        ----------
        path : Path
            JPEG, PNG or WebP.
        caption : str, optional
        lead : bool, default False
            The picture that stands first.

        Returns
        -------
        Photo
            The same picture again is the photo that is there.

        Raises
        ------
        InputError
            No picture, HEIC, torn or too large.
        """
        from stallwise.record.photos import ending_of

        data = read_outside(path, PHOTO_BYTES)
        ending = ending_of(data, path.name)
        there = {photo.file: photo for photo in self.read().photos}
        listed = self.home.listing(self.path / "photos", copies=True)
        same = [
            old.name
            for old in listed
            if old.stat().st_size == len(data) and old.read_bytes() == data
        ]
        if same and same[0] in there:
            return there[same[0]]
        taken = [*there, *(old.name for old in listed)]
        name = same[0] if same else names.free(names.slug(path.stem, "photo"), ending, taken)
        if not same:
            self.store.replace(self.path / "photos" / name, data, expected=None, limit=PHOTO_BYTES)
        photo = Photo(file=name, caption=caption, lead=lead)
        try:
            self.save({"photos+": photo.model_dump(exclude_defaults=True)})
        except disk.UnconfirmedError:
            raise
        except BaseException:
            if not same:
                self.store.remove_new(self.path / "photos" / name)
            raise
        return photo


def _unused_warnings(found: Sequence[tuple[int | None, str]]) -> list[CookWarning]:
    """Say which keys of ``cook.toml`` stay unused; ``x_…`` are the cook's own affair."""
    return [
        CookWarning(
            f"unused-{key}", f"cook.toml, line {line}: {key} is not a key of ours and is not used."
        )
        for line, key in found
        if not key.rpartition(".")[2].startswith("x_")
    ]


def _torn_warnings(file: str, torn: Sequence[lines.Torn]) -> list[CookWarning]:
    return [
        CookWarning(
            "torn-line",
            f"Line {one.line} of {file} cannot be read and is left out: {one.text[:40]!r}. "
            "`stallwise check --repair` sets an unfinished last line aside",
        )
        for one in torn
    ]
