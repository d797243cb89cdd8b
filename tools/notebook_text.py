"""Notebooks made from lists of cells: templates as text, worked examples run with their outputs kept."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

__all__ = ["template_text", "write_example"]


def template_text(
    name: str, version: int, cells: Iterable[tuple[str, str, str]], parameters: str
) -> str:
    """Text of a template from its cells (id, kind, source); the cell `parameters` gets its own."""
    made = []
    for key, kind, source in cells:
        cell: dict[str, object] = {"cell_type": kind, "id": key, "metadata": {}}
        if key == "parameters":
            cell["metadata"] = {"jupyter": {"source_hidden": True}, "tags": ["parameters"]}
        if kind == "code":
            cell |= {"execution_count": None, "outputs": []}
        text = parameters if key == "parameters" else source
        cell["source"] = text.splitlines(keepends=True)
        made.append(cell)
    metadata = {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
        "stallwise": {"template": name, "version": version},
    }
    whole = {"cells": made, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def write_example(cells: Iterable[tuple[str, str]], target: Path) -> None:
    """Write a worked example (id, source; words where the id says so), run it, keep its outputs."""
    made = []
    for name, source in cells:
        make = new_markdown_cell if name == "title" or name.endswith("-text") else new_code_cell
        cell = make(source)
        cell["id"] = name
        made.append(cell)
    book = new_notebook(cells=made)
    book.metadata["kernelspec"] = {
        "name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python",
    }  # fmt: skip
    os.environ["PYTHONSAFEPATH"] = "1"
    NotebookClient(book, timeout=120, kernel_name="python3").execute()
    for cell in book.cells:
        cell.metadata.pop("execution", None)  # when it ran is nobody's business
    nbformat.write(book, target)
