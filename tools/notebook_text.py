"""Notebooks made from lists of cells: templates as text, worked examples run with their outputs kept."""

from __future__ import annotations

import base64
import io
import json
import os
import re
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

__all__ = ["template_text", "told", "worked_example", "write_example"]


def template_text(
    name: str,
    version: int,
    cells: Iterable[tuple[str, str, str]],
    parameters: str,
    *,
    folded: bool = True,
) -> str:
    """Text of a template from its cells (id, kind, source); the cell `parameters` gets its own, `folded` or not."""
    made = []
    for key, kind, source in cells:
        cell: dict[str, object] = {"cell_type": kind, "id": key, "metadata": {}}
        if key == "parameters":
            hidden = {"jupyter": {"source_hidden": True}} if folded else {}
            cell["metadata"] = {**hidden, "tags": ["parameters"]}
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
    nbformat.write(worked_example(cells), target)


def worked_example(cells: Iterable[tuple[str, str]]) -> Any:
    """Run a worked example in a scratch folder whose name stands in no output."""
    made = []
    for name, source in cells:
        make = new_markdown_cell if name == "title" or name.endswith("-text") else new_code_cell
        cell = make(source)
        cell["id"] = name
        if name == "start":
            cell.metadata["jupyter"] = {"source_hidden": True}
        made.append(cell)
    book = new_notebook(cells=made)
    book.metadata["kernelspec"] = {
        "name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python",
    }  # fmt: skip
    with tempfile.TemporaryDirectory() as scratch:
        kernel = NotebookClient(book, timeout=300, kernel_name="python3")
        kernel.execute(env={**os.environ, "PYTHONSAFEPATH": "1", "TMPDIR": scratch})
        here = re.compile(rf"{re.escape(str(Path(scratch).resolve()))}/[^/\s]+/?")
    for cell in book.cells:
        cell.metadata.pop("execution", None)  # when it ran is nobody's business
        if cell.cell_type == "code":
            cell.outputs = _joined(cell.outputs)
            for output in cell.outputs:
                if output.output_type == "stream":
                    output.text = here.sub("", output.text)
                elif "image/svg+xml" in output.data:
                    output.data["image/png"] = _drawn(output.data["image/svg+xml"])
    return book


def _drawn(svg: str) -> str:
    """Draw a picture in few colours beside its SVG, which a notebook that nobody trusts does not show."""
    import vl_convert
    from PIL import Image

    image = Image.open(io.BytesIO(vl_convert.svg_to_png(svg, scale=1.5))).convert("RGB")
    packed = io.BytesIO()
    image.quantize(_COLOURS).save(packed, "PNG", optimize=True)
    return base64.b64encode(packed.getvalue()).decode()


#: Of our pictures, shades of the edges among them.
_COLOURS = 24


def _joined(outputs: list[Any]) -> list[Any]:
    """Put what was printed in several goes into one: how many there were is chance."""
    found: list[Any] = []
    for one in outputs:
        last = found[-1] if found else None
        streams = last is not None and last.output_type == one.output_type == "stream"
        if streams and last.name == one.name:
            last.text += one.text
        else:
            found.append(one)
    return found


def told(book: Any) -> list[tuple[str, str, list[str]]]:
    """List what each cell of a notebook says: its id, its source, and the words of its outputs.

    Of a picture its words. Clocks and seconds of the run itself are left out.
    """
    found = []
    for cell in book.cells:
        said = [_words(output) for output in cell.get("outputs", ())]
        found.append((cell["id"], cell.source, said))
    return found


#: How long a run took, and when a trial was locked.
_CHANCE = re.compile(r"(?<=done in )[\d.]+(?= s)|(?<=Locked )\d{4}-\d\d-\d\d \d\d:\d\d")


def _words(output: Any) -> str:
    if output.output_type == "stream":
        return _CHANCE.sub("", output.text)
    data = output.data
    drawn = re.findall(r">([^<>]+)</text>", data.get("image/svg+xml", ""))
    return "\n".join([data.get("text/plain", ""), *drawn])
