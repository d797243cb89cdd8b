"""A cook as one file for somebody else: a small cookbook that holds it and what it rests on, and nothing kept back.

What other cooks of the book lend it goes along as bare figures: what was known of its pits and cuts, the
weights of its cuts, trimmings it took.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import tomlkit
from pydantic import BaseModel

from stallwise.ground.errors import InputError
from stallwise.record.bare import bare
from stallwise.record.keptback import ALL, COSTS, check_kept_back
from stallwise.record.lent import LENT, Lent
from stallwise.record.lesson import without_names
from stallwise.record.photos import ending_of
from stallwise.record.schema import SCHEMA, Cook
from stallwise.record.store import PHOTO_BYTES, READINGS_BYTES, RECORD_BYTES, read_outside
from stallwise.record.trials import TASTINGS

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord
    from stallwise.record.cookfolder import CookFolder

__all__ = ["Shared", "shared"]

#: Of a cook: what is nobody's business but the cook's own, whatever it says of itself.
_OWN = frozenset({"quote", "camera", "carried", "carried_from", "carried_done", "teaches"})
_MONEY = "extras"
#: Of a cookbook: settings that the figures of a cook rest on.
_SETTINGS = frozenset(
    {"title", "author", "units", "time_zone", "elevation", "usual_guests", "measures", "rules", "spoons",
     "salt_limit"}
)  # fmt: skip
_WORD = re.compile(r"[a-z0-9]+(?:[-_][a-z0-9]+)*")


@dataclass(frozen=True)
class Shared:
    """A cook made ready to be given away.

    Attributes
    ----------
    files : mapping of str to bytes
        By path in the small cookbook.
    told : mapping of str to str
        Whose it is.
    left_out : tuple of str
        What stayed at home, in words.
    """

    files: Mapping[str, bytes]
    told: Mapping[str, str]
    left_out: tuple[str, ...]


def shared(folder: CookFolder) -> Shared:
    """Make a cook ready to be given away.

    Raises
    ------
    InputError
        All of it or a single piece is kept back, a name in ``private`` means nothing, or a file
        of it cannot be read.
    """
    record = folder.load()
    check_kept_back(record.cook)
    if ALL in record.cook.private:
        raise InputError(
            f"{folder.name} is kept back: private = ['all']",
            "a cook that may be shown",
            "Take 'all' out of private first",
        )
    if alone := next((name for name in record.cook.private if name.startswith("pieces.")), ""):
        raise InputError(
            f"{folder.name} keeps back {alone}, and one file cannot leave out a piece: log, "
            "readings and forecasts are of all",
            "a cook whose pieces may all be shown",
            f"Take {alone!r} out of private first, or keep the file at home",
        )
    left: list[str] = []
    files = {
        **_cook_files(folder, record, left),
        **_book_files(folder, record, left),
        **_trial_files(folder, record, left),
    }
    book = record.book
    told = {"cook": folder.name, "title": book.title, "author": book.author}
    return Shared({name: files[name] for name in sorted(files)}, told, tuple(left))


def _cook_files(folder: CookFolder, record: CookRecord, left: list[str]) -> dict[str, bytes]:
    place = f"cooks/{folder.name}"
    hidden = set(record.cook.private)
    photos, kept = {}, []
    for photo in record.cook.photos:
        if photo.private or hidden & {"photos", f"photos.{photo.file}"} or "/photos" in photo.file:
            left.append(f"the picture {photo.file}: it is kept back")
            continue
        path = folder.path / "photos" / photo.file
        try:
            found = bare(read_outside(folder.store.inside(path), PHOTO_BYTES), photo.file)
            ending_of(found, photo.file)
        except InputError as error:
            left.append(f"the picture {photo.file}: {error}")
            continue
        photos[f"{place}/photos/{photo.file}"] = found
        kept.append(photo)
    out = {**photos, f"{place}/cook.toml": _cook_text(record.cook, kept, left)}
    if "log" in hidden:
        left.append("the log: it is kept back")
    elif lines := folder.log().lines:
        text = "".join(f"{line}\n" for line in _lines(folder, "log.jsonl")) if lines else ""
        out[f"{place}/log.jsonl"] = text.encode()
    if "readings" in hidden:
        left.append("readings: they are kept back")
    else:
        out |= _readings(folder, place)
    if not hidden & {"log", "readings"} and (rows := _lines(folder, "results/forecasts.jsonl")):
        out[f"{place}/results/forecasts.jsonl"] = "".join(f"{row}\n" for row in rows).encode()
    notebook = folder.path / "cook.ipynb"
    if folder.store.has(notebook) and (bare_cells := _cells(folder.store.read(notebook))):
        out[f"{place}/cook.ipynb"] = bare_cells
    return out


def _cook_text(cook: Cook, photos: list[Any], left: list[str]) -> bytes:
    drop = set(_OWN)
    if not _money(cook) and cook.extras:
        drop.add(_MONEY)
        left.append("what was paid: say public = ['costs'] to let it go along")
    named = sorted({key for key in cook.private if key in Cook.model_fields})
    if _hides_mixes(cook) and "mixes" not in named:
        named.append("mixes")
    left += [f"{key}: kept back" for key in named if getattr(cook, key)]
    drop |= {key for key in named if not Cook.model_fields[key].is_required()}
    changes: dict[str, Any] = {"photos": photos}
    if cook.lesson and any(team.names for team in cook.lesson.teams):
        changes["lesson"] = without_names(cook.lesson)
        left.append("the names of students")
    return _text(cook.model_copy(update=changes), without=drop)


def _money(cook: Cook) -> bool:
    """Whether what was paid may go along; what is named in both is kept back."""
    return COSTS in set(cook.public) - set(cook.private)


def _hides_mixes(cook: Cook) -> bool:
    """Whether mixes stay at home: all of them, where one does, for others may be made of it."""
    return any(name.partition(".")[0] == "mixes" for name in cook.private)


def _text(model: BaseModel, *, without: set[str] | frozenset[str] = frozenset()) -> bytes:
    """Write a model without what is as usual; comments and keys that are not ours stay at home."""
    data = model.model_dump(by_alias=True, exclude_defaults=True, exclude_none=True)
    plain = {key: value for key, value in data.items() if key not in without}
    return tomlkit.dumps({"schema": SCHEMA, **_lists(plain)}).encode()


def _lists(value: Any) -> Any:
    if isinstance(value, Mapping):
        # Plain values first: what follows a table's head belongs to that table.
        ordered = sorted(value.items(), key=lambda row: _is_table(row[1]))
        return {key: _lists(one) for key, one in ordered if one is not None}
    if isinstance(value, (list, tuple)):
        return [_lists(one) for one in value]
    return value


def _is_table(value: Any) -> bool:
    rows = value if isinstance(value, (list, tuple)) else [value]
    return any(isinstance(row, Mapping) for row in rows)


def _lines(folder: CookFolder, name: str) -> list[str]:
    """Lines of a file of lines that can be read; a torn one is nothing to give away."""
    from stallwise.record import lines
    from stallwise.record.store import LOG_BYTES

    path = folder.path / name
    if not folder.store.has(path):
        return []
    return [
        json.dumps(row, ensure_ascii=False, sort_keys=True)
        for _, row in lines.read(folder.store, path, limit=LOG_BYTES).rows
    ]


def _readings(folder: CookFolder, place: str) -> dict[str, bytes]:
    """Kept readings and how they came in; files as a probe wrote them stay at home."""
    out = {}
    for name, told in folder.imports().items():
        data = folder.store.read(folder.path / "readings" / f"{name}.csv", READINGS_BYTES)
        out[f"{place}/readings/{name}.csv"] = data.encode()
        text = json.dumps(told, ensure_ascii=False, indent=1, sort_keys=True)
        out[f"{place}/readings/{name}.json"] = f"{text}\n".encode()
    return out


def _cells(text: str) -> bytes:
    """Notebook without what it printed; nothing where it is none."""
    try:
        found = json.loads(text)
        for cell in found["cells"]:
            if cell["cell_type"] == "code":
                cell |= {"outputs": [], "execution_count": None}
            cell.pop("attachments", None)
        meta = found["metadata"]
        found["metadata"] = {key: meta[key] for key in ("kernelspec", "stallwise") if key in meta}
    except (ValueError, KeyError, TypeError, RecursionError):
        return b""
    return (json.dumps(found, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


# --- what it rests on -----------------------------------------------------------------


def _book_files(folder: CookFolder, record: CookRecord, left: list[str]) -> dict[str, bytes]:
    cook, book = record.cook, folder.home
    money = _money(cook)
    settings = _SETTINGS | ({"prices", "at_hand"} if money else set())
    out = {"cookbook.toml": _text(book.book, without=set(type(book.book).model_fields) - settings)}
    pits = {use.pit for use in cook.pits}
    for name in sorted(pits & record.pits.keys()):
        out[f"pits/{name}.toml"] = _text(record.pits[name])
    if _hides_mixes(cook):
        left.append("rubs, sauces and stock: they are kept back")
    else:
        out |= _tables(folder, record, money=money)
    for name in sorted({piece.cut for piece in cook.pieces} & record.cuts.keys()):
        out[f"cuts/{name}.toml"] = _plain(record.cuts[name])
    if record.learned:
        out["learned.json"] = _json(_learned(record, pits))
    if lent := _lent(record):
        out[LENT] = _json(lent)
    return out


def _tables(folder: CookFolder, record: CookRecord, *, money: bool) -> dict[str, bytes]:
    """Own mixes that the cook uses, what they are made of, and own ingredients among it."""
    used, own = {use.mix for use in record.cook.mixes}, folder.mixes()
    out, look = {}, [name for name in sorted(used) if name in record.mixes]
    seen: set[tuple[str, str]] = set()
    while look:
        name = look.pop()
        for kind, shelf in (("mixes", record.mixes), ("ingredients", record.ingredients)):
            if name not in shelf or (kind, name) in seen:
                continue
            seen.add((kind, name))
            text = _plain({k: v for k, v in shelf[name].items() if money or k != "price"})
            at = f"cooks/{folder.name}/mixes" if kind == "mixes" and name in own else kind
            out[f"{at}/{name}.toml"] = text
            look += sorted(set(_WORD.findall(text.decode())))
    return out


def _plain(data: Mapping[str, Any]) -> bytes:
    if isinstance(data, InputError) or not data:
        return tomlkit.dumps({"schema": SCHEMA}).encode()
    return tomlkit.dumps(_lists({"schema": SCHEMA, **data})).encode()


def _json(data: Mapping[str, Any]) -> bytes:
    text = json.dumps(data, ensure_ascii=False, indent=1, sort_keys=True, allow_nan=False)
    return f"{text}\n".encode()


def _learned(record: CookRecord, pits: set[str]) -> dict[str, Any]:
    """Give what was known before the cook of its own pits and cuts, without the names of other cooks."""
    this = (record.cook.date.isoformat(), record.name)
    cuts = {piece.cut for piece in record.cook.pieces}
    those = [
        entry
        for entry in (record.learned or {}).get("cooks", ())
        if (entry["date"], entry["cook"]) < this
    ]
    rows = []
    for number, entry in enumerate(those, 1):
        last = entry is those[-1]
        row = {
            key: entry[key]
            for key in ("date", "knowledge", "missed", "sample", "taught")
            if key in entry
        }
        row["cook"] = f"earlier-{number:04d}"
        row["pits"] = {
            owner: lessons
            for owner, lessons in entry["pits"].items()
            if last and owner.partition(" / ")[0] in pits
        }
        row["cuts"] = {owner: one for owner, one in entry["cuts"].items() if last and owner in cuts}
        if vents := [one for one in entry.get("vents", ()) if one[0] in pits]:
            row["vents"] = vents
        rows.append(row)
    return {"schema": SCHEMA, "cooks": rows}


def _lent(record: CookRecord) -> dict[str, Any]:
    """Give what other cooks lend: weights of the same cuts, and trimmings it took."""
    cuts = {piece.cut for piece in record.cook.pieces}
    weighed = tuple(
        replace(
            one,
            name=f"earlier-{number:04d}",
            by_cut={cut: kg for cut, kg in one.by_cut.items() if cut in cuts},
        )
        for number, one in enumerate(record.weighed, 1)
    )
    found = Lent(weighed, record.freezer).plain()
    return {"schema": SCHEMA, **found} if found else {}


# --- side-by-sides --------------------------------------------------------------------


def _trial_files(folder: CookFolder, record: CookRecord, left: list[str]) -> dict[str, bytes]:
    """Give side-by-sides that are closed and of this cook alone, with what was said."""
    out: dict[str, bytes] = {}
    if set(record.cook.private) & {"trials", "tasting"}:
        if record.trials:
            left.append("side-by-sides: they are kept back")
        return out
    gone = set()
    for one in record.trials:
        alone = set(one.trial.all_cooks) <= {folder.name}
        if one.trial.private or not one.trial.closed or not alone:
            why = "it is kept back" if one.trial.private else (
                "it is not closed" if alone else "it is of other cooks too")  # fmt: skip
            left.append(f"the side-by-side {one.name}: {why}")
            continue
        gone.add(one.name)
        for name in (f"trials/{one.name}.toml", f"trials/{one.name}.key.csv"):
            if folder.store.has(folder.home.path / name):
                out[name] = folder.store.read(folder.home.path / name).encode()
    answers = folder.path / TASTINGS
    if gone and folder.store.has(answers):
        text = folder.store.read(answers, RECORD_BYTES)
        head, *rows = text.splitlines(keepends=True)
        those = [row for row in rows if row.partition(",")[0].strip('"') in gone]
        out[f"cooks/{folder.name}/{TASTINGS}"] = "".join([head, *those]).encode()
    return out
