"""What may be executed: a shipped template, or a notebook whose code equals one.

A notebook is a program. A cook's own notebook runs only when every code cell equals one of
its template (in the parameters cell, names of the template with plain values), when
Jupyter's trust store has signed it on this machine, or when the cook says so for one.
"""

from __future__ import annotations

import ast
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.surfaces.templates import NOTEBOOK, label, shipped

__all__ = [
    "Choice",
    "choose",
    "foreign_cells",
    "is_signed",
    "parameter_names",
    "read_notebook",
    "settings_of",
    "source_of",
    "tags_of",
]

#: A notebook with its pictures is some hundred kilobytes; more than this is not read.
MAX_BYTES = 50_000_000

_ALLOWED = "a notebook as JupyterLab saves it"
_TODO = (
    "Bring back an earlier one, or set it aside: a re-run then takes the newest template by itself"
)

_PARAMETER_TAGS = frozenset({"parameters", "injected-parameters"})
_SHOWN = 60

#: Files of Jupyter's trust store.
_STORE = ("nbsignatures.db", "notebook_secret")


@dataclass(frozen=True)
class Choice:
    """The notebook to execute, or why none may be.

    Attributes
    ----------
    notebook : dict or None
        Content to execute: what was looked at is what runs.
    whose : str
        ``template``, ``own`` (code equals a template), ``signed`` or ``trusted``.
    refused : str
        Words for the cook when `notebook` is None.
    """

    notebook: dict[str, Any] | None
    whose: str = ""
    refused: str = ""


def choose(folder: Path, *, template: str = "cook", trust: bool = False) -> Choice:
    """Decide what a re-run of the cook in `folder` executes.

    Parameters
    ----------
    folder : Path
        The cook's folder.
    template : str
        Template used where the cook has no notebook of its own.
    trust : bool
        The cook asked to run this one's changed notebook.
    """
    path = folder / NOTEBOOK
    if not (path.exists() or path.is_symlink()):
        return Choice(json.loads(shipped(template)), "template")
    try:
        notebook = read_notebook(path)
    except InputError as error:
        return Choice(None, refused=str(error))
    foreign = [] if trust else foreign_cells(notebook)
    if foreign and not is_signed(notebook):
        return Choice(None, refused=_refusal(folder.name, foreign))
    return Choice(notebook, "trusted" if trust else "signed" if foreign else "own")


def foreign_cells(notebook: dict[str, Any]) -> list[str]:
    """Name the code cells that are not of the notebook's template.

    Parameters
    ----------
    notebook : dict
        A notebook of format 4.

    Returns
    -------
    list of str
        A cell in words: its number, id and first line. Empty when all code is the template's.
    """
    try:
        model = json.loads(shipped(*label(notebook)))
    except NotFoundError:
        model = {"cells": []}
    known = {
        source_of(cell).strip() for cell in _code(model) if not tags_of(cell) & _PARAMETER_TAGS
    }
    names = parameter_names(model)
    found = []
    for number, cell in enumerate(notebook["cells"], start=1):
        if cell.get("cell_type") != "code":
            continue
        source = source_of(cell).strip()
        if not source or source in known:
            continue
        if tags_of(cell) & _PARAMETER_TAGS and _plain_settings(source, names):
            continue
        first = source.splitlines()[0]
        shown = first[:_SHOWN] + ("…" if len(first) > _SHOWN else "")
        found.append(f"cell {number} ({str(cell.get('id', ''))[:16] or 'no id'}): {shown}")
    return found


def parameter_names(notebook: dict[str, Any]) -> frozenset[str]:
    """Names set in the cell tagged ``parameters``."""
    names: set[str] = set()
    for cell in _code(notebook):
        if "parameters" in tags_of(cell):
            names |= set(settings_of(source_of(cell)) or ())
    return frozenset(names)


def _plain_settings(source: str, names: frozenset[str]) -> bool:
    """Whether a cell only gives known names plain values: then it is data, not a program."""
    found = settings_of(source)
    return found is not None and {name.partition("__")[0] for name in found} <= names


def settings_of(source: str) -> dict[str, Any] | None:
    """Names and values of ``name = value`` lines; None when there is anything else."""
    try:
        body = ast.parse(source).body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        return None
    found = {}
    for line in body:
        if not (isinstance(line, ast.Assign) and len(line.targets) == 1):
            return None
        target = line.targets[0]
        try:
            value = ast.literal_eval(line.value)
        except (ValueError, TypeError, RecursionError, MemoryError):
            return None
        if not isinstance(target, ast.Name):
            return None
        found[target.id] = value
    return found


def read_notebook(path: Path) -> dict[str, Any]:
    """Read a notebook of format 4 that lies there itself and is not too large.

    Raises
    ------
    InputError
        It is a link, too large, or no notebook.
    """
    if path.is_symlink() or not path.is_file():
        raise InputError(f"{path.name} is a link", "a notebook that lies in the cook's folder")
    size = path.stat().st_size
    if size > MAX_BYTES:
        raise InputError(f"{path.name} is {size // 10**6} MB", f"up to {MAX_BYTES // 10**6} MB")
    try:
        content: Any = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, RecursionError):
        raise InputError(f"{path.name} is no notebook (not JSON)", _ALLOWED, _TODO) from None
    cells = content.get("cells") if isinstance(content, dict) else None
    if not (isinstance(cells, list) and content.get("nbformat") == 4):
        raise InputError(f"{path.name} is no notebook of format 4", _ALLOWED, _TODO)
    if not all(isinstance(cell, dict) and _text(cell.get("source")) for cell in cells):
        raise InputError(f"{path.name} has cells without text", _ALLOWED, _TODO)
    notebook: dict[str, Any] = content
    return notebook


def _text(source: Any) -> bool:
    lines = source if isinstance(source, list) else [source]
    return all(isinstance(line, str) for line in lines)


def source_of(cell: dict[str, Any]) -> str:
    """Text of a cell."""
    source = cell.get("source", "")
    return source if isinstance(source, str) else "".join(source)


def _code(notebook: dict[str, Any]) -> list[dict[str, Any]]:
    return [cell for cell in notebook["cells"] if cell.get("cell_type") == "code"]


def tags_of(cell: dict[str, Any]) -> frozenset[str]:
    """Tags of a cell, as far as they are words."""
    metadata = cell.get("metadata")
    tags = metadata.get("tags", []) if isinstance(metadata, dict) else []
    return (
        frozenset(tag for tag in tags if isinstance(tag, str))
        if isinstance(tags, list)
        else frozenset()
    )


def is_signed(notebook: dict[str, Any]) -> bool:
    """Whether Jupyter on this machine has signed this very content."""
    import nbformat
    from jupyter_core.paths import jupyter_data_dir
    from nbformat.sign import NotebookNotary

    store = Path(jupyter_data_dir())
    # Asking must not make a trust store where there is none.
    if not all((store / name).is_file() for name in _STORE):
        return False
    notary = NotebookNotary(data_dir=str(store))
    try:
        return bool(notary.check_signature(nbformat.reads(json.dumps(notebook), as_version=4)))
    except Exception:  # noqa: BLE001 - a broken trust store trusts nothing
        return False
    finally:
        notary.store.close()


def _refusal(name: str, foreign: list[str]) -> str:
    shown = "; ".join(foreign[:3]) + (f"; and {len(foreign) - 3} more" if len(foreign) > 3 else "")
    return (
        f"the notebook has code that is not its template's: {shown}. Read it; to run it all the "
        f"same: --trust {name}"
    )
