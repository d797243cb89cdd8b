"""An older notebook and a newer template laid over each other: what is ours is renewed, what is the cook's stays.

Cells are told apart by their ids. Three texts are looked at for each cell of a template: as the old
template had it, as the new one has it, and as the notebook has it. Nothing here is executed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.surfaces.rerun.trust import settings_of, source_of, tags_of

__all__ = ["Change", "merged"]

Cell = dict[str, Any]

#: Without these a notebook cannot run; whoever took one out gets it back.
_NEEDED = frozenset({"open", "finish"})
_PARAMETERS = "parameters"
_SET = re.compile(r"^(\w+) = None(?=\s|$)")


@dataclass(frozen=True)
class Change:
    """What happens to one cell: its id, and a few words."""

    cell: str
    what: str

    def plain(self) -> dict[str, str]:
        """Turn into what JSON holds."""
        return {"cell": self.cell, "what": self.what}


def merged(
    notebook: Mapping[str, Any], old: Mapping[str, Any] | None, new: Mapping[str, Any]
) -> tuple[list[Cell], list[Change]]:
    """Bring the cells of a notebook to a newer template.

    Parameters
    ----------
    notebook : mapping
        The cook's, of format 4.
    old : mapping or None
        The template that it was made from; None where that is no longer known.
    new : mapping
        The newest one.

    Returns
    -------
    cells : list of dict
        In the order of the template, the cook's own behind the cell that they stood behind.
    changes : list of Change

    Raises
    ------
    InputError
        Two cells have one id: which is ours cannot be told.
    """
    return _Merge(_with_ids(notebook, old or new), _by_id(old or {"cells": []}), new).done()


class _Merge:
    def __init__(self, mine: list[Cell], old: Mapping[str, Cell], new: Mapping[str, Any]) -> None:
        self.old = old
        self.new = _by_id(new)
        ours = set(old) or set(self.new)
        self.mine = {cell["id"]: cell for cell in mine if cell["id"] in ours}
        self.own = _own_after(mine, ours)
        self.taken = {*ours, *self.new}
        self.changes: list[Change] = []
        self.cells: list[Cell] = []

    def done(self) -> tuple[list[Cell], list[Change]]:
        """Walk the new template, and behind each cell what the cook put there."""
        self.follow("")
        behind = _placed(self.old, self.new)
        for key in self.new:
            self.template_cell(key)
            self.follow(key)
            for gone in behind.get(key, ()):
                self.dropped(gone)
                self.follow(gone)
        for gone in behind.get("", ()):
            self.dropped(gone)
            self.follow(gone)
        return self.cells, self.changes

    def follow(self, key: str) -> None:
        """Put the cook's own cells behind the cell that they stood behind."""
        for cell in self.own.get(key, ()):
            name = cell["id"]
            if name in self.new and name not in self.old:
                name = _free(f"own-{name}", self.taken)
            self.taken.add(name)
            self.cells.append({**cell, "id": name})
            self.changes.append(Change(name, "yours, kept"))

    def template_cell(self, key: str) -> None:
        new, mine, old = self.new[key], self.mine.get(key), self.old.get(key)
        if mine is None:
            if old is not None and key not in _NEEDED and _PARAMETERS not in tags_of(new):
                self.changes.append(Change(key, "you took it out; it stays out"))
                return
            self.put(new, "new")
        elif _same(mine, new):
            self.cells.append(mine)
        elif _PARAMETERS in tags_of(new) and settings_of(source_of(mine)) is not None:
            self.settings(key, new, mine, old)
        elif old is not None and _same(mine, old):
            self.put(new, "renewed")
        elif old is not None and _same(old, new):
            self.cells.append(mine)
            self.changes.append(Change(key, "changed by you; stays as you have it"))
        else:
            self.put(new, "renewed; yours is kept below, and does not run")
            self.aside(key, mine)

    def settings(self, key: str, new: Cell, mine: Cell, old: Cell | None) -> None:
        """Carry what the cook set, and the cook's remarks, over into the new cell."""
        known = {source_of(cell).strip() for cell in (new, old) if cell is not None}
        text, left = _with_settings(source_of(new), source_of(mine), known)
        carried = {**new, "source": text.splitlines(keepends=True)}
        if _same(mine, carried):
            self.cells.append(mine)
            return
        self.put(carried, "renewed, with what you set")
        self.changes += [
            Change(key, f"{name} is not known any more; kept as a remark") for name in left
        ]

    def dropped(self, key: str) -> None:
        mine, old = self.mine.get(key), self.old[key]
        if mine is None:
            return
        if _same(mine, old):
            self.changes.append(Change(key, "no longer in the template; left out"))
        else:
            self.changes.append(
                Change(key, "no longer in the template; yours is kept, and does not run")
            )
            self.aside(key, mine)

    def put(self, cell: Cell, what: str) -> None:
        self.cells.append(cell)
        self.changes.append(Change(cell["id"], what))

    def aside(self, key: str, cell: Cell) -> None:
        """Keep a cell of the cook's as plain text: nothing of it is executed."""
        name = _free(f"before-{key}", self.taken)
        self.taken.add(name)
        self.cells.append(
            {"cell_type": "raw", "id": name, "metadata": {}, "source": cell.get("source", "")}
        )


def _with_settings(new: str, mine: str, known: Iterable[str]) -> tuple[str, list[str]]:
    """Give the new parameters cell the values of another; and the names that it does not have."""
    values = {name: value for name, value in (settings_of(mine) or {}).items() if value is not None}
    lines, seen = [], set()
    for line in new.splitlines():
        found = _SET.match(line)
        if found and found[1] in values:
            seen.add(found[1])
            line = f"{found[1]} = {values[found[1]]!r}{line[found.end() :]}"  # noqa: PLW2901 - the same line
        lines.append(line)
    names = set(settings_of(new) or ())
    rest = [name for name in values if name not in seen]
    lines += [f"{name} = {values[name]!r}" for name in rest if name.partition("__")[0] in names]
    left = [name for name in rest if name.partition("__")[0] not in names]
    lines += [f"# {name} = {values[name]!r}" for name in left]
    remarks = {line.strip() for text in known for line in text.splitlines()}
    lines += [
        line
        for line in mine.splitlines()
        if line.lstrip().startswith("#") and line.strip() not in remarks and line not in lines
    ]
    return "\n".join(lines), left


def _with_ids(notebook: Mapping[str, Any], model: Mapping[str, Any]) -> list[Cell]:
    """Cells that all have an id; one that lost it gets that of the template cell it equals."""
    cells = notebook["cells"]
    said = [cell.get("id") for cell in cells if isinstance(cell.get("id"), str)]
    twice = sorted({name for name in said if said.count(name) > 1})
    if twice:
        raise InputError(
            f"two cells of the notebook have the id {twice[0]!r}",
            "an id for one cell",
            "Open it in JupyterLab, copy one of the two into a new cell, delete it, and save",
        )
    lost = [cell for cell in model["cells"] if cell["id"] not in said]
    taken, made = set(said), []
    for cell in cells:
        name = cell.get("id")
        if not isinstance(name, str):
            name = next((one["id"] for one in lost if _same(one, cell)), None)
            if name is None or name in taken:
                name = _free("own", taken)
            taken.add(name)
        made.append({**cell, "id": name})
    return made


def _own_after(cells: Sequence[Cell], ours: set[str]) -> dict[str, list[Cell]]:
    """Gather the cook's own cells by the id of the template's cell before them; "" for the top."""
    found: dict[str, list[Cell]] = {}
    last = ""
    for cell in cells:
        if cell["id"] in ours:
            last = cell["id"]
        else:
            found.setdefault(last, []).append(cell)
    return found


def _placed(old: Mapping[str, Cell], new: Mapping[str, Cell]) -> dict[str, list[str]]:
    """Cells that only the old template has, by the one before them that the new one has."""
    found: dict[str, list[str]] = {}
    last = ""
    for key in old:
        if key in new:
            last = key
        else:
            found.setdefault(last, []).append(key)
    return found


def _by_id(model: Mapping[str, Any]) -> dict[str, Cell]:
    return {cell["id"]: cell for cell in model["cells"]}


def _same(one: Cell, other: Cell) -> bool:
    return one.get("cell_type") == other.get("cell_type") and (
        source_of(one).strip() == source_of(other).strip()
    )


def _free(name: str, taken: Iterable[str]) -> str:
    """Id of a cell that is not taken, at most as long as a notebook allows."""
    there = set(taken)
    tries = (name[:58], *(f"{name[:58]}-{i}" for i in range(2, len(there) + 3)))
    return next(one for one in tries if one not in there)
