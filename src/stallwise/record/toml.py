"""Reading TOML files of a cookbook into their models, with errors that name the line."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from stallwise.record.edits import edit
from stallwise.record.layout import Layout, Path, scan
from stallwise.record.migrate import migrated
from stallwise.record.problems import Problem, RecordError, as_key, of_validation
from stallwise.record.schema import Book, Cook, Pit
from stallwise.record.table import SCHEMA, faults
from stallwise.record.trial import Trial

__all__ = ["RecordError", "edit", "load", "parse", "unknown_keys", "validated"]

Model = TypeVar("Model", bound=BaseModel)

#: Kinds of file, for their migrations.
KINDS: Mapping[type[BaseModel], str] = {
    Book: "cookbook",
    Cook: "cook",
    Pit: "pit",
    Trial: "trial",
}

#: A key so much like a known one is taken for a slip of the fingers and asked about.
_MISSPELT = 0.8
#: A known key with a unit behind it (``mass_kg``): the unit belongs to the text.
_UNIT_TAILS = frozenset(
    {"kg", "g", "lb", "lbs", "oz", "c", "f", "in", "mm", "cm", "m", "ft", "h", "hours", "min", "s"}
)
#: Keys that a cook has made up and wants left alone.
_OWN = "x_"


def load(text: str, *, file: str) -> dict[str, Any]:
    """Read TOML; a slip in its grammar is told with its line.

    Raises
    ------
    RecordError
        Not TOML.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        match = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", str(error))
        line = int(match[1]) if match and match[1] else text.count("\n") + 1
        said = text.split("\n")[line - 1].strip() if line <= text.count("\n") + 1 else ""
        what = str(error)[: match.start()] if match else str(error)
        came = f"{said!r} cannot be read" if said else "the file ends too early"
        raise RecordError(
            [
                Problem(
                    file,
                    line,
                    "",
                    f"{came} ({_lowered(what)})",
                    'key = "text", key = 5, key = true',
                )
            ]
        ) from error
    except (ValueError, RecursionError) as error:
        # A number of thousands of digits, or brackets in brackets without end.
        came = "a number or a nesting that no cook has written"
        raise RecordError([Problem(file, None, "", came, "what `stallwise new` writes")]) from error


def parse(text: str, model: type[Model], *, file: str) -> Model:
    """Read a TOML text into its model; an older schema is brought to the present one.

    Parameters
    ----------
    text : str
        The file as it is.
    model : type
        `Cook`, `Pit`, `Book`, `Trial`.
    file : str
        Name for messages, as seen from the cookbook.

    Raises
    ------
    RecordError
        With every problem of the file, each with its line; or a newer schema.
    """
    data = load(text, file=file)
    line = None if data.get("schema") == SCHEMA else scan(text).line(("schema",))
    data = migrated(KINDS.get(model, ""), data, file=file, line=line)
    made, found = _read(model, data)
    if made is None or found:
        layout = scan(text)
        raise RecordError(
            Problem(file, layout.line(path), as_key(path, data), came, allowed, todo)
            for path, came, allowed, todo in found
        )
    return made


def validated(model: type[Model], data: Mapping[str, Any], *, where: str) -> Model:
    """Read plain data into a model; `where` stands in messages for the file.

    Raises
    ------
    RecordError
        With every problem.
    """
    made, found = _read(model, data)
    if made is None or found:
        raise RecordError(
            Problem(where, None, as_key(path, data), came, allowed, todo)
            for path, came, allowed, todo in found
        )
    return made


def unknown_keys(text: str, made: BaseModel) -> list[tuple[int | None, str]]:
    """Line and key of everything in a text that its model does not know; kept, but not used."""
    layout: Layout = scan(text)
    model = type(made)
    data = migrated(KINDS.get(model, ""), tomllib.loads(text), file="")
    return [(layout.line(path), as_key(path, data)) for path, _ in _strangers(model, data, ())]


Found = list[tuple[Path, str, str, str]]


def _read(model: type[Model], data: Mapping[str, Any]) -> tuple[Model | None, Found]:
    found: Found = []
    made: Model | None = None
    try:
        made = model.model_validate(data)
    except ValidationError as error:
        found = of_validation(error)
        # pydantic stops before it is looked at what fits together when a value is wrong.
        seen = {(path, came) for path, came, *_ in found}
        more = [(path, came, allowed, "") for path, came, allowed in faults(model, data)]
        found += [one for one in more if one[:2] not in seen]
    return made, found + _misspelt(model, data)


def _misspelt(model: type[BaseModel], data: Mapping[str, Any]) -> Found:
    found: Found = []
    for path, known in _strangers(model, data, ()):
        near = _slip_of(str(path[-1]), known)
        if near:
            todo = f"If it is a key of your own, begin it with {_OWN}"
            found.append((path, f"there is no key {path[-1]!r}", f"{near!r}", todo))
    return found


def _slip_of(key: str, known: Mapping[str, Any]) -> str:
    """Find the known key that a stranger is a slip of."""
    if key.startswith(_OWN):
        return ""
    plain = re.sub(r"[-\s]+", "_", key.strip()).casefold()
    stem, _, tail = plain.rpartition("_")
    if plain in known:
        return plain
    if stem in known and tail in _UNIT_TAILS:
        return stem
    close = difflib.get_close_matches(plain, known, 1, _MISSPELT)
    return close[0] if close else ""


def _strangers(
    model: type[BaseModel], data: Mapping[str, Any], path: Path
) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    """Paths of keys that no model knows, each with the keys known at its place."""
    known = {field.alias or name: field.annotation for name, field in model.model_fields.items()}
    for key, value in data.items():
        at = (*path, key)
        if key not in known:
            yield at, known
            continue
        inner = _model_in(known[key])
        if inner is None:
            continue
        if isinstance(value, Mapping):
            yield from _strangers(inner, value, at)
        if isinstance(value, list):
            for index, row in enumerate(value):
                if isinstance(row, Mapping):
                    yield from _strangers(inner, row, (*at, index))


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and not get_args(annotation):
        return annotation if issubclass(annotation, BaseModel) else None
    return next((m for part in get_args(annotation) if (m := _model_in(part))), None)


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]
