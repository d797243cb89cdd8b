"""Trials on the disk: written, locked, answered, closed; the key in a file apart.

``trials/<name>.toml`` is the trial, ``trials/<name>.key.csv`` which plate was which, and each cook's
``tastings.csv`` what was said.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from stallwise.ground.errors import CookWarning, InputError, NotFoundError
from stallwise.record import migrate, toml
from stallwise.record.edits import as_toml, edit, rewrite
from stallwise.record.problems import Problem, RecordError
from stallwise.record.store import LOG_LINES, RECORD_BYTES
from stallwise.record.table import SCHEMA
from stallwise.record.trial import Answer, KeyRow, Trial, TrialRecord, plan_of

if TYPE_CHECKING:
    from stallwise.record.folder import Cookbook

__all__ = [
    "add_answers",
    "all_answers",
    "close_trial",
    "lock_trial",
    "new_trial",
    "read_trial",
    "save_trial",
    "take_back_answers",
    "trial_names",
    "trials_of",
]

TASTINGS = "tastings.csv"
_KEY = ("cook", "taster", "set", "place", "code", "arm", "piece", "bone")
_ANSWERS = ("trial", "taster", "codes", "asked", "said")


def trial_names(book: Cookbook) -> list[str]:
    """Names of all trials."""
    return [path.stem for path in book.listing(book.path / "trials", ".toml")]


def read_trial(book: Cookbook, name: str) -> TrialRecord:
    """Read one trial with its key and answers.

    Raises
    ------
    NotFoundError
        No such trial; the nearest are offered.
    RecordError
        Something in its files is wrong; every problem of the file is told.
    """
    if name not in (known := trial_names(book)):
        raise NotFoundError("trial", name, known)
    trial = toml.parse(_text(book, name), Trial, file=f"trials/{name}.toml")
    key = _key_rows(book, name)
    cooks = sorted({*trial.all_cooks, *(row.cook for row in key)})
    there = {folder.name for folder in book.cooks()}
    answers = [
        one for cook in cooks if cook in there for one in _answers(book, cook) if one.trial == name
    ]
    return TrialRecord(name, trial, key, tuple(answers))


def trials_of(book: Cookbook, cook: str) -> tuple[tuple[TrialRecord, ...], list[CookWarning]]:
    """Read the trials that a cook takes part in; one that cannot be read is told and left out."""
    found, broken = [], []
    for name in trial_names(book):
        try:
            one = book.once(f"trial {name}", partial(read_trial, book, name))
        except InputError as error:
            said = f"Trial {name} cannot be read and is left out: {error}"
            broken.append(CookWarning(f"trial-{name}", said))
            continue
        if cook in one.trial.all_cooks:
            found.append(one)
    return tuple(found), broken


def all_answers(book: Cookbook) -> list[Answer]:
    """Read what was said at every cook, scores of whole cooks among it; spoilt files are passed over."""
    found: list[Answer] = []
    for folder in book.cooks():
        try:
            found += _answers(book, folder.name)
        except InputError:
            continue
    return found


def new_trial(book: Cookbook, name: str, values: Mapping[str, Any]) -> TrialRecord:
    """Write a new trial.

    Parameters
    ----------
    book : Cookbook
    name : str
        A slug.
    values : mapping
        What stands in the file, `stallwise.record.trial.Trial`.

    Raises
    ------
    ChangedError
        There is one of that name.
    """
    head = "# A side-by-side. Lock it before the first bite: `stallwise taste COOK lock NAME`.\n"
    rows = values.get("racks") or []
    own = values.get("own") or []
    plain = {key: value for key, value in values.items() if key not in {"racks", "own"}}
    lines = [f"{key} = {as_toml(value)}" for key, value in {"schema": SCHEMA, **plain}.items()]
    for title, of in (("racks", rows), ("own", own)):
        for one in of:
            lines += ["", f"[[{title}]]", *(f"{key} = {as_toml(v)}" for key, v in one.items())]
    book.put("trials", name, head + "\n".join(lines) + "\n")
    return read_trial(book, name)


def save_trial(book: Cookbook, name: str, changes: Mapping[str, Any]) -> TrialRecord:
    """Change a trial's file and nothing else in it: comments, order and unknown keys stay."""
    file = f"trials/{name}.toml"
    read_trial(book, name)

    def change(text: str) -> str:
        data = toml.load(text, file=file)
        if migrate.version_of(data, file=file) < SCHEMA:
            text = rewrite(text, migrate.migrated("trial", data, file=file))
        new = edit(text, changes)
        toml.parse(new, Trial, file=file)
        return new

    book.store.update(book.path / file, change)
    return read_trial(book, name)


def lock_trial(book: Cookbook, name: str, key: Iterable[KeyRow], *, at: dt.datetime) -> TrialRecord:
    """Write the key and lock the plan; a trial over several cooks gets more plates later.

    Parameters
    ----------
    book : Cookbook
    name : str
    key : iterable of KeyRow
        Plates of one cook, or of all.
    at : datetime
        Aware.

    Raises
    ------
    InputError
        The trial is closed, or has plates of that cook already.
    """
    read = read_trial(book, name)
    rows = tuple(key)
    if read.trial.closed:
        raise InputError(f"trial {name!r} is closed", "a trial that is open")
    # A key without a lock is left of a write that was cut short: nobody was served by it.
    held = read.key if read.trial.locked else ()
    double = {row.cook for row in held} & {row.cook for row in rows}
    if double:
        raise InputError(
            f"trial {name!r} has its plates for {', '.join(sorted(double))} already",
            "",
            "A second key would mix up who ate what",
        )
    text = _key_text((*held, *rows))
    path = book.path / "trials" / f"{name}.key.csv"
    was = book.store.read(path) if book.store.has(path) else None
    book.store.replace(path, text, expected=was)
    if read.trial.locked is not None:
        return read_trial(book, name)
    return save_trial(book, name, {"locked": {"at": at, "plan": plan_of(read.trial)}})


def close_trial(book: Cookbook, name: str, *, at: dt.datetime) -> TrialRecord:
    """Say that all answers are in; from here on the key may be seen."""
    return save_trial(book, name, {"closed": {"at": at}})


def add_answers(book: Cookbook, cook: str, answers: Sequence[Answer]) -> list[Answer]:
    """Add answers to a cook's ``tastings.csv``; one that is there already is not written again.

    Returns
    -------
    list of Answer
        Those that were written; one without a trial is about the whole cook.

    Raises
    ------
    InputError
        The trial is closed: a score that comes after the key was opened is no score.
    """
    for name in {one.trial for one in answers} - {""}:
        if read_trial(book, name).trial.closed:
            raise InputError(
                f"trial {name!r} is closed, its key may have been seen",
                "answers of before that",
                "An answer that was forgotten can be written into the trial's note",
            )
    written: list[Answer] = []

    def change(text: str) -> str:
        there = {_row(one) for one in _parsed(text, cook)} if text else set()
        written[:] = [one for one in answers if _row(one) not in there]
        body = text or ",".join(_ANSWERS) + "\n"
        ends = "" if body.endswith("\n") else "\n"
        # In the order of the file's own columns: somebody may have laid it out anew.
        order = next(csv.reader(io.StringIO(body)))
        named = [dict(zip(_ANSWERS, _row(one), strict=True)) for one in written]
        return body + ends + _csv([one.get(name, "") for name in order] for one in named)

    book.store.update(book.cook(cook).path / TASTINGS, change)
    return written


def take_back_answers(book: Cookbook, cook: str, answers: Sequence[Answer]) -> int:
    """Take answers out of a cook's ``tastings.csv`` again, as typed wrong; how many there were.

    Raises
    ------
    InputError
        The trial is closed: what was answered stands.
    """
    for name in {one.trial for one in answers} - {""}:
        if read_trial(book, name).trial.closed:
            raise InputError(f"trial {name!r} is closed", "answers of one that is open")
    gone, found = {_row(one) for one in answers}, 0

    def change(text: str) -> str:
        nonlocal found
        lines = {one.line for one in _parsed(text, cook) if _row(one) in gone} if text else set()
        found = len(lines)
        # Lines as they stand: what somebody wrote beside them, in columns of their own, is theirs.
        whole = text.splitlines(keepends=True)
        return "".join(line for number, line in enumerate(whole, 1) if number not in lines)

    book.store.update(book.cook(cook).path / TASTINGS, change)
    return found


# --- the files ------------------------------------------------------------------------


def _text(book: Cookbook, name: str) -> str:
    return book.store.read(book.path / "trials" / f"{name}.toml")


def _row(one: Answer) -> tuple[str, ...]:
    return (one.trial, one.taster, " ".join(one.codes), one.asked, one.said)


def _csv(rows: Iterable[Sequence[Any]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def _key_text(rows: Sequence[KeyRow]) -> str:
    return _csv([_KEY, *(tuple(getattr(row, name) for name in _KEY) for row in rows)])


def _key_rows(book: Cookbook, name: str) -> tuple[KeyRow, ...]:
    path = book.path / "trials" / f"{name}.key.csv"
    if not book.store.has(path):
        return ()
    file = f"trials/{name}.key.csv"
    found = []
    for line, row in _table(book.store.read(path), _KEY, file):
        numbers = {key: _whole(row[key], key, file, line) for key in ("set", "place", "bone")}
        words = {key: row[key] for key in _KEY if key not in numbers}
        found.append(KeyRow(**words, **numbers))  # type: ignore[arg-type]
    return tuple(found)


def _answers(book: Cookbook, cook: str) -> list[Answer]:
    path = book.path / "cooks" / cook / TASTINGS
    if not book.store.has(path):
        return []
    return _parsed(book.store.read(path, RECORD_BYTES), cook)


def _parsed(text: str, cook: str) -> list[Answer]:
    file = f"cooks/{cook}/{TASTINGS}"
    return [
        Answer(
            line,
            cook,
            row["trial"],
            row["taster"],
            tuple(row["codes"].split()) if _are_codes(row["codes"]) else (row["codes"],),
            row["asked"],
            row["said"],
        )
        for line, row in _table(text, _ANSWERS, file)
    ]


def _are_codes(text: str) -> bool:
    return all(part.isdigit() for part in text.split())


def _table(text: str, columns: Sequence[str], file: str) -> list[tuple[int, dict[str, str]]]:
    """Rows of a CSV with their line; columns of one's own are passed over, and kept on the disk."""
    reader = csv.DictReader(io.StringIO(text))
    missing = [name for name in columns if name not in (reader.fieldnames or [])]
    if missing:
        came = f"no column {', '.join(missing)}"
        raise RecordError([Problem(file, 1, "", came, ", ".join(columns))])
    found: list[tuple[int, dict[str, str]]] = []
    for row in reader:
        if len(found) >= LOG_LINES:
            raise RecordError(
                [Problem(file, reader.line_num, "", "too many rows", f"{LOG_LINES} at most")]
            )
        found.append((reader.line_num, {name: (row[name] or "").strip() for name in columns}))
    return found


def _whole(text: str, key: str, file: str, line: int) -> int:
    if not text.isdecimal():
        raise RecordError([Problem(file, line, key, f"{text!r} came", "a whole number")])
    return int(text)
