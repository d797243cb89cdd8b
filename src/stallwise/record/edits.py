"""Changes to a TOML text that touch nothing else: not a comment, not a blank, not an order.

A value that is there is replaced where it stands, a new one goes behind the last of its
table, one that is taken away leaves its comment. Every other byte stays as typed. (A
general TOML writer puts a new key behind the comment of the *next* table.)
"""

from __future__ import annotations

import datetime as dt
import math
import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError, WorkError
from stallwise.record.layout import Entry, Layout, Path, scan

__all__ = ["IDENTITY", "as_toml", "edit", "rewrite"]

#: Tables that come in numbers: what names one of them, and the name of one that says none.
IDENTITY: Mapping[str, tuple[str, str]] = {
    "pieces": ("letter", ""),
    "pits": ("letter", "P"),
    "mixes": ("mix", ""),
    "jobs": ("job", ""),
    "photos": ("file", ""),
}

_ESCAPES = {
    "\\": "\\\\",
    '"': '\\"',
    "\b": "\\b",
    "\t": "\\t",
    "\n": "\\n",
    "\f": "\\f",
    "\r": "\\r",
}


def edit(text: str, changes: Mapping[str, Any]) -> str:
    """Lay changes over a TOML text.

    Parameters
    ----------
    text : str
        Well-formed TOML.
    changes : mapping
        Keys with dots; one of several tables is named by its letter, mix or file:
        ``serve``, ``weather.wind``, ``pieces.A.wrap``, ``photos.bark.jpg.caption``.
        ``photos+`` adds a table, or a list of them. None takes a key away; of a key that is not there it
        is no change.

    Returns
    -------
    str
        The new text.

    Raises
    ------
    NotFoundError
        No piece, pit, mix or photo of that name.
    InputError
        A value that TOML cannot hold.
    WorkError
        The text is laid out in a way that cannot be changed here.
    """
    body = text.replace("\r\n", "\n")
    data = tomllib.loads(body)
    for name, value in changes.items():
        for path, one in _targets(data, name, value):
            body = _apply(body, data, path, one)
            data = tomllib.loads(body)
    return body.replace("\n", "\r\n") if "\r\n" in text else body


def rewrite(text: str, new: Mapping[str, Any]) -> str:
    """Make a TOML text say what `new` says, changing no more than is needed."""
    body = text.replace("\r\n", "\n")
    data = tomllib.loads(body)
    for path, value in _differences(data, new, ()):
        body = _apply(body, data, path, value)
        data = tomllib.loads(body)
    return body.replace("\n", "\r\n") if "\r\n" in text else body


def as_toml(value: Any, depth: int = 0) -> str:
    """Write one value as TOML; tables and lists inline."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, dt.date, dt.time)):
        return value.isoformat() if isinstance(value, (dt.date, dt.time)) else str(value)
    if isinstance(value, float) and math.isfinite(value):
        return repr(value)
    if isinstance(value, str):
        return _string(value, long=depth == 0)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_bare(k)} = {as_toml(v, depth + 1)}" for k, v in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(as_toml(item, depth + 1) for item in value)}]"
    raise InputError(
        f"{value!r} cannot be written to a file", "text, numbers, dates, true or false"
    )


def _string(text: str, *, long: bool) -> str:
    escaped = "".join(
        _ESCAPES.get(char)
        or (char if char.isprintable() or char > "\xa0" else f"\\u{ord(char):04X}")
        for char in text
    )
    if any("\ud800" <= char <= "\udfff" for char in text):
        raise InputError(f"{text!r} holds half a character", "whole characters (UTF-8)")
    if long and "\n" in text.strip("\n"):
        return '"""\n' + escaped.replace("\\n", "\n") + '"""'
    return f'"{escaped}"'


def _bare(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _string(key, long=False)


# --- which place is meant -------------------------------------------------------------


def _targets(data: Mapping[str, Any], name: str, value: Any) -> list[tuple[Path, Any]]:
    if name.endswith("+"):
        head = name[:-1]
        rows = value if isinstance(value, list) else [value]
        return [((head, at), row) for at, row in enumerate(rows, len(data.get(head, [])))]
    head, _, rest = name.partition(".")
    if head in IDENTITY and rest:
        return _numbered(data, head, rest, value)
    return [(tuple(name.split(".")), value)]


def _numbered(data: Mapping[str, Any], head: str, rest: str, value: Any) -> list[tuple[Path, Any]]:
    key, default = IDENTITY[head]
    places = {row.get(key, default): at for at, row in enumerate(data.get(head, []))}
    # The name may hold dots (a photo's file): the longest name that is there wins.
    cuts = [len(rest), *(dot.start() for dot in reversed(list(re.finditer(r"\.", rest))))]
    for cut in cuts:
        if rest[:cut] in places:
            tail = rest[cut + 1 :].split(".") if rest[cut:] else []
            return [((head, places[rest[:cut]], *tail), value)]
    wanted = rest.rpartition(".")[0] or rest
    if head == "pits" and not places and value is not None:
        return [((head, 0), {key: wanted, rest.rpartition(".")[2]: value})]
    raise NotFoundError(_singular(head), wanted, map(str, places))


def _singular(head: str) -> str:
    return {"mixes": "mix"}.get(head, head.removesuffix("s"))


def _differences(old: Any, new: Any, path: Path) -> list[tuple[Path, Any]]:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        found = [((*path, key), None) for key in old if key not in new]
        for key, value in new.items():
            found += _differences(old.get(key), value, (*path, key))
        return found
    tables = isinstance(old, list) and isinstance(new, list) and len(old) == len(new)
    if tables and all(isinstance(row, Mapping) for row in [*old, *new]):
        return [
            found
            for at, (before, after) in enumerate(zip(old, new, strict=True))
            for found in _differences(before, after, (*path, at))
        ]
    return [] if old == new and type(old) is type(new) else [(path, new)]


# --- the change itself ----------------------------------------------------------------


def _apply(body: str, data: Mapping[str, Any], path: Path, value: Any) -> str:
    wanted = _laid(data, path, value)
    if wanted == data:
        return body
    try:
        new = _remove(body, path) if value is None else _set(body, path, value)
        done = tomllib.loads(new) == wanted
    except (ValueError, IndexError, KeyError) as error:
        raise _not_here(path, value) from error
    if not done:
        raise _not_here(path, value)
    return new


def _not_here(path: Path, value: Any) -> WorkError:
    said = ".".join(map(str, path))
    return WorkError(
        f"{said} cannot be changed in the way this file is laid out",
        "",
        f"Nothing was written. Change it by hand: {said} = {as_toml(value) if value is not None else '(none)'}",
    )


def _laid(data: Any, path: Path, value: Any) -> Any:
    """Copy data with one path set or taken away."""
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        rows = list(data or [])
        if not rest and value is None:
            del rows[step]
        elif step == len(rows):
            rows.append(_laid({}, rest, value))
        else:
            rows[step] = _laid(rows[step], rest, value)
        return rows
    table = dict(data) if isinstance(data, Mapping) else {}
    if not rest and value is None:
        table.pop(step, None)
    elif rest or value is not None:
        if rest and value is None and step not in table:
            return table
        table[step] = _laid(table.get(step), rest, value)
    return _without_empty_rows(table, step, rest)


def _without_empty_rows(table: dict[str, Any], step: str, rest: Path) -> dict[str, Any]:
    # The last [[photos]] taken away leaves no key behind.
    if table.get(step) == [] and len(rest) == 1 and isinstance(rest[0], int):
        del table[step]
    return table


def _set(body: str, path: Path, value: Any) -> str:
    layout = scan(body)
    if path in layout.entries:
        entry = layout.entries[path]
        return body[: entry.value] + as_toml(value, int(entry.inside)) + body[entry.end :]
    if _is_there(layout, path):
        return _set(_remove(body, path), path, value)
    return _add(body, layout, path, value)


def _is_there(layout: Layout, path: Path) -> bool:
    places = (*layout.entries, *layout.headers)
    return any(place[: len(path)] == path for place in places)


def _add(body: str, layout: Layout, path: Path, value: Any) -> str:
    parent, key = path[:-1], path[-1]
    if parent in layout.brackets:
        return _add_inside(body, layout, path, value)
    if isinstance(key, int):
        return _add_section(body, layout, parent, value, array=True)
    if not parent:
        return _add_on_top(body, layout, key, value)
    if parent in layout.headers:
        return _add_line(body, layout, parent, key, value)
    return _add_below(body, layout, path, value)


def _add_on_top(body: str, layout: Layout, key: str, value: Any) -> str:
    if isinstance(value, Mapping):
        return _add_section(body, layout, (key,), value, array=False)
    if not _is_rows(value):
        return _add_line(body, layout, (), key, value)
    for row in value:
        body = _add_section(body, scan(body), (key,), row, array=True)
    return body


def _add_below(body: str, layout: Layout, path: Path, value: Any) -> str:
    """Add to a table that has no header of its own, or does not exist yet."""
    parent, key = path[:-1], path[-1]
    for place, entry in reversed(layout.entries.items()):
        if place[: len(parent)] == parent and not entry.inside and len(entry.table) < len(parent):
            name = ".".join(_bare(str(step)) for step in path[len(entry.table) :])
            return _after(body, entry, f"{name} = {as_toml(value)}")
    if any(isinstance(step, int) for step in parent):
        return _add(body, layout, parent, {key: value})
    return _add_section(body, layout, parent, {str(key): value}, array=False)


def _is_rows(value: Any) -> bool:
    return (
        isinstance(value, list) and bool(value) and all(isinstance(row, Mapping) for row in value)
    )


def _add_line(body: str, layout: Layout, table: Path, key: str, value: Any) -> str:
    as_line = f"{_bare(key)} = {as_toml(value)}"
    own = [entry for entry in layout.entries.values() if entry.table == table and not entry.inside]
    if own:
        return _after(body, own[-1], as_line)
    if not table:
        return f"{as_line}\n{body}"
    return _insert(body, _line_end(body, layout.headers[table].end), as_line)


def _add_section(
    body: str, layout: Layout, path: Path, value: Mapping[str, Any], *, array: bool
) -> str:
    name = ".".join(_bare(str(step)) for step in path if isinstance(step, str))
    lines = [f"[[{name}]]" if array else f"[{name}]"]
    lines += [f"{_bare(key)} = {as_toml(item)}" for key, item in value.items()]
    ends = [
        entry.end for entry in layout.entries.values() if array and entry.table[: len(path)] == path
    ]
    ends += [
        header.end
        for place, header in layout.headers.items()
        if array and place[: len(path)] == path
    ]
    if ends:
        return _insert(body, _line_end(body, max(ends)), "\n" + "\n".join(lines))
    return body.rstrip("\n") + ("\n\n" if body.strip() else "") + "\n".join(lines) + "\n"


def _add_inside(body: str, layout: Layout, path: Path, value: Any) -> str:
    parent, key = path[:-1], path[-1]
    opened, closed = layout.brackets[parent]
    said = as_toml(value, 1) if isinstance(key, int) else f"{_bare(key)} = {as_toml(value, 1)}"
    ends = [e.end for place, e in layout.entries.items() if e.table == parent and e.inside]
    if ends:
        return body[: max(ends)] + f", {said}" + body[max(ends) :]
    space = "" if body[opened] == "[" else " "
    return body[: opened + 1] + space + said + space + body[closed:]


def _after(body: str, entry: Entry, line: str) -> str:
    start = body.rfind("\n", 0, entry.start) + 1
    indent = body[start : entry.start]
    return _insert(body, _line_end(body, entry.end), indent + line if not indent.strip() else line)


def _insert(body: str, at: int, lines: str) -> str:
    before = body[:at]
    return before + ("" if before.endswith("\n") or not before else "\n") + lines + "\n" + body[at:]


def _line_end(body: str, at: int) -> int:
    end = body.find("\n", at)
    return len(body) if end < 0 else end + 1


def _remove(body: str, path: Path) -> str:
    layout = scan(body)
    entry = layout.entries.get(path)
    if entry is not None and entry.inside:
        return _remove_inside(body, entry)
    spans = [
        (found.start, found.end)
        for place, found in layout.entries.items()
        if place[: len(path)] == path and not found.inside
    ]
    spans += [
        (found.start, found.end)
        for place, found in layout.headers.items()
        if place[: len(path)] == path
    ]
    for start, end in sorted(spans, reverse=True):
        body = _without_line(body, start, end)
    return body


def _without_line(body: str, start: int, end: int) -> str:
    first, last = body.rfind("\n", 0, start) + 1, _line_end(body, end)
    comment = body[end:last].strip()
    return body[:first] + (f"{comment}\n" if comment else "") + body[last:]


def _remove_inside(body: str, entry: Entry) -> str:
    after = re.compile(r"\s*,[ \t]*").match(body, entry.end)
    if after:
        return body[: entry.start] + body[after.end() :]
    before = re.search(r",\s*$", body[: entry.start])
    return body[: before.start() if before else entry.start] + body[entry.end :]
