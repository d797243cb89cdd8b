"""Settings of a notebook that this release does not know: they are told, not passed over."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stallwise.ground.errors import nearest
from stallwise.joins.parameters import PARAMETERS
from stallwise.surfaces.rerun.trust import parameter_names
from stallwise.surfaces.templates import NOTEBOOK

__all__ = ["left_out"]

#: Set in the same cell, and no plan parameters.
_OWN = frozenset({"folder", "as_of"})


def left_out(folder: Path, names: Mapping[str, Any]) -> list[str]:
    """Say which values of a notebook's parameters cell change nothing, a sentence each.

    Parameters
    ----------
    folder : Path
        The cook's folder.
    names : mapping
        Names of the running notebook.
    """
    try:
        notebook = json.loads((folder / NOTEBOOK).read_text(encoding="utf-8"))
        told = parameter_names(notebook)
    except (OSError, ValueError, AttributeError, TypeError, KeyError):
        return []  # run from elsewhere, or no notebook at all
    found = []
    for name in sorted(told):
        base = name.partition("__")[0]
        if base in PARAMETERS or name in _OWN or names.get(name) is None:
            continue
        near = nearest(base, PARAMETERS, 1)
        meant = f" It may be called {near[0]} now." if near else ""
        found.append(
            f"{name} = {names[name]!r} in the first cell changes nothing: this release does not "
            f"know it.{meant} It stays as typed."
        )
    return found
