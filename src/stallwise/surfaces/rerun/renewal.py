"""`renew`: an old cook's notebook brought to the newest template, shown first, written when said."""

from __future__ import annotations

import difflib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record import names
from stallwise.record.cookfolder import CookFolder
from stallwise.record.store import decoded
from stallwise.surfaces.rerun.merging import Change, merged
from stallwise.surfaces.rerun.trust import (
    MAX_BYTES,
    foreign_cells,
    is_signed,
    read_notebook,
    source_of,
)
from stallwise.surfaces.templates import NOTEBOOK, label, shipped, template_names

__all__ = ["Renewal", "renew"]

#: Stem of the old notebook that is set aside.
_BEFORE = "cook.before-renewal"


@dataclass(frozen=True)
class Renewal:
    """What renewing a notebook would do, or did.

    Attributes
    ----------
    cook, template : str
        Whose it is, and of which template.
    was, now : int
        Its version before and after.
    changes : tuple of Change
        Cell by cell; those that stay as they are left out.
    diff : str
        The same as text, line by line; empty where nothing changes.
    foreign : tuple of str
        Cells whose code is not the template's: a re-run asks before it runs them.
    signed : bool
        Jupyter on this machine has signed the notebook as it was; a signature holds for what
        was signed and for nothing else.
    kept : str
        File of the old notebook; empty until it is written.
    """

    cook: str
    template: str
    was: int
    now: int
    changes: tuple[Change, ...]
    diff: str
    foreign: tuple[str, ...]
    signed: bool = False
    kept: str = ""

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds."""
        return {
            "cook": self.cook,
            "template": self.template,
            "from": self.was,
            "to": self.now,
            "changes": [change.plain() for change in self.changes],
            "diff": self.diff,
            "not_of_the_template": list(self.foreign),
            "accepted": bool(self.kept),
            "kept": self.kept,
        }

    def text(self) -> str:
        """Words for a terminal."""
        if not self.diff:
            return (
                f"{self.cook}: its notebook is of the newest template, {self.template} {self.now}."
            )
        way = f"{self.was} to {self.now}" if self.was != self.now else f"{self.now}, as it is now"
        head = f"{self.cook}: its notebook from template {self.template} {way}"
        lines = [
            head,
            *(f"  {one.cell}: {one.what}" for one in self.changes),
            "",
            self.diff.rstrip(),
        ]
        if self.foreign:
            lines += ["", "Not the template's code, so a re-run asks for them to be trusted:"]
            lines += [f"  {cell}" for cell in self.foreign]
        if self.signed:
            lines += [
                "",
                "It was signed on this machine; the renewed one is not. Read it, then: jupyter trust",
            ]
        lines.append("")
        lines.append(
            f"Written. The old one is {self.kept}."
            if self.kept
            else f"Nothing is written yet. To do it: stallwise renew {self.cook} --accept"
        )
        return "\n".join(lines)


def renew(cook: CookFolder, *, accept: bool = False) -> Renewal:
    """Bring a cook's notebook to the newest version of its template; nothing is executed.

    Parameters
    ----------
    cook : CookFolder
        The cook.
    accept : bool, default False
        Write it; the old one is set aside beside it. Otherwise it is only shown.

    Returns
    -------
    Renewal

    Raises
    ------
    InputError
        There is no notebook, it is broken, of no template, or of a newer one than this release has.
    ChangedError
        Somebody saved it meanwhile; nothing was written.
    """
    path = cook.path / NOTEBOOK
    if not (path.exists() or path.is_symlink()):
        raise InputError(
            f"{cook.name} has no notebook", "", "A re-run takes the newest template by itself"
        )
    notebook = read_notebook(path)
    was = cook.store.read_bytes(path, MAX_BYTES)
    template, version = _template(notebook)
    new = json.loads(shipped(template))
    newest = label(new)[1]
    if version > newest:
        raise InputError(
            f"the notebook is of template {template} {version}",
            f"up to {newest}, the newest of this release",
            "Bring stallwise up to date",
        )
    try:
        old = json.loads(shipped(template, version))
    except NotFoundError:
        old = None
    cells, changes = merged(notebook, old, new)
    made = _notebook(notebook, new, cells)
    renewal = Renewal(
        cook=cook.name,
        template=template,
        was=version,
        now=newest,
        changes=tuple(changes),
        diff=_diff(notebook["cells"], cells) or _relabelled(version, newest),
        foreign=tuple(foreign_cells(made)),
        signed=bool(foreign_cells(notebook)) and is_signed(notebook),
    )
    if not (accept and renewal.diff):
        return renewal
    return replace(renewal, kept=_write(cook, was, made))


def _template(notebook: Mapping[str, Any]) -> tuple[str, int]:
    """Template and version that a notebook is of, or words on why nobody can tell."""
    template, version = label(dict(notebook))
    if template not in template_names():
        said = f"of template {template!r}" if template else "of no template"
        raise InputError(
            f"the notebook is {said}, so what is the cook's own in it cannot be told",
            f"one of {', '.join(template_names())}",
            f"Move it aside, and copy a new one with `stallwise new`, or run without: {NOTEBOOK} may be missing",
        )
    return template, version


def _notebook(
    notebook: Mapping[str, Any], new: Mapping[str, Any], cells: Sequence[Any]
) -> dict[str, Any]:
    metadata = {**notebook.get("metadata", {}), "stallwise": new["metadata"]["stallwise"]}
    minor = max(
        notebook.get("nbformat_minor", 0), new["nbformat_minor"]
    )  # cells have ids from 4.5 on
    return {**notebook, "cells": list(cells), "metadata": metadata, "nbformat_minor": minor}


def _diff(old: Sequence[Mapping[str, Any]], new: Sequence[Mapping[str, Any]]) -> str:
    sides = (_lines(old), _lines(new))
    return "\n".join(difflib.unified_diff(*sides, "as it is", "renewed", lineterm="", n=2))


def _lines(cells: Sequence[Mapping[str, Any]]) -> list[str]:
    """Cells as lines of text, each under its kind and id."""
    found = []
    for cell in cells:
        found.append(f"--- {cell.get('cell_type')} {cell.get('id', 'without an id')}")
        found += source_of(dict(cell)).splitlines()
    return found


def _relabelled(was: int, now: int) -> str:
    return "" if was == now else f"only its version: {was} → {now}"


def _write(cook: CookFolder, was: bytes, made: Mapping[str, Any]) -> str:
    """Set the old notebook aside, then put the new one in its place if it is still what was read."""
    path = cook.path / NOTEBOOK
    there = [entry.name for entry in cook.path.iterdir()]
    kept = names.free(_BEFORE, ".ipynb", there)
    text = json.dumps(made, ensure_ascii=False, indent=1) + "\n"
    old = decoded(was, cook.store.name(path))
    cook.store.replace(path.with_name(kept), old, expected=None, limit=MAX_BYTES)
    try:
        cook.store.cut(path, was, text.encode())
    except BaseException:
        cook.store.remove_new(path.with_name(kept))
        raise
    return kept
