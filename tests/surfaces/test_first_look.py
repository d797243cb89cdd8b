"""The notebook that readers open first: it runs, and it says what its tool would write."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import first_look
import nbformat
import pytest

ROOT = Path(__file__).parents[2]
NOTEBOOK = ROOT / "notebooks" / "first-look.ipynb"


def test_its_cells_are_those_of_the_tool_and_were_run() -> None:
    book = nbformat.read(NOTEBOOK, as_version=4)
    assert [(cell["id"], cell.source) for cell in book.cells] == list(first_look.CELLS)
    for cell in book.cells:
        if cell.cell_type == "code":
            assert cell.execution_count
            assert all(output.output_type != "error" for output in cell.outputs)


@pytest.mark.notebook
@pytest.mark.slow
def test_it_runs(tmp_path: Path) -> None:
    words = ["--nbval-lax", "--nbval-current-env", "-q", "-p", "no:cacheprovider", str(NOTEBOOK)]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *words],
        cwd=tmp_path, capture_output=True, text=True, timeout=180, check=False,
        env={k: v for k, v in os.environ.items() if not k.startswith(("JPY_", "VSCODE_"))},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:]
    assert "6 passed" in done.stdout
