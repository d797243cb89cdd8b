"""The shipped notebook templates: by name and version, and copied into a cook's folder.

A template is a notebook whose metadata say ``{"stallwise": {"template": name, "version": n}}``.
A cook's notebook keeps these, so that it can be told apart from one that was changed.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from stallwise.ground import assets
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.folder import find_cookbook
from stallwise.record.store import Store

__all__ = ["BOOK_NOTEBOOKS", "NOTEBOOK", "copy_template", "label", "shipped", "template_names"]

#: File name of a cook's notebook in its folder.
NOTEBOOK = "cook.ipynb"

#: Templates that look back over a cookbook: they lie in it and not in a cook, under their own names.
BOOK_NOTEBOOKS = ("compare", "year")


@cache
def _shelf() -> dict[tuple[str, int], str]:
    """Every shipped version of every template: (name, version) to the file's text."""
    shelf = {}
    for file in assets.names("templates", "notebooks"):
        if file.endswith(".ipynb"):
            text = assets.read_text("templates", "notebooks", file)
            shelf[label(json.loads(text))] = text
    return shelf


def label(notebook: dict[str, Any]) -> tuple[str, int]:
    """Template name and version that a notebook says it is of; ``("", 0)`` for none."""
    said = notebook.get("metadata", {}).get("stallwise", {})
    name, version = (
        (said.get("template"), said.get("version")) if isinstance(said, dict) else ("", 0)
    )
    if isinstance(name, str) and isinstance(version, int):
        return name, version
    return "", 0


def template_names() -> list[str]:
    """Names of the shipped templates."""
    return sorted({name for name, _ in _shelf()})


def shipped(name: str = "cook", version: int | None = None) -> str:
    """Text of a shipped template.

    Parameters
    ----------
    name : str
        Name of the template.
    version : int, optional
        Its version; the default is the newest.

    Raises
    ------
    NotFoundError
        No such template, or not in that version.
    """
    if name not in template_names():
        raise NotFoundError("notebook template", name, template_names())
    versions = sorted(v for n, v in _shelf() if n == name)
    wanted = versions[-1] if version is None else version
    if wanted not in versions:
        raise NotFoundError(f"version of the template {name}", str(wanted), map(str, versions))
    return _shelf()[name, wanted]


def copy_template(name: str, folder: Path) -> Path:
    """Put a template into a folder as its notebook, never over one that is there.

    Parameters
    ----------
    name : str
        Name of the template.
    folder : Path
        The cook's folder; the cookbook's for one of `BOOK_NOTEBOOKS`.

    Returns
    -------
    Path
        The new notebook.
    """
    text = shipped(name)
    target = folder / (f"{name}.ipynb" if name in BOOK_NOTEBOOKS else NOTEBOOK)
    store = Store(find_cookbook(folder))
    if store.has(target):
        raise InputError(
            f"{folder.name} has a notebook {target.name} already", "", "It is kept as it is"
        )
    # Only where there is none, so that two starters cannot overwrite each other.
    store.replace(target, text, expected=None)
    return target
