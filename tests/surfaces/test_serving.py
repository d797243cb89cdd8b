"""Rest and hold on every surface: terminal, JSON, notebook and page say the same."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest

from stallwise.cli.main import main
from stallwise.surfaces import notebook

COOK = "2026-05-16-brisket"


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "book"
    assert main(["init", str(place), "--units", "us", "--timezone", "Etc/UTC"]) == 0
    monkeypatch.chdir(place)
    plan = {"serve": "18:00", "hold": "oven", "hold_at": "150 F"}
    settings = [word for name, value in plan.items() for word in ("--set", f"{name}={value}")]
    new = ["--title", "Brisket", "--on", "2026-05-16", *settings]
    assert main(["new", "--cut", "beef-brisket-whole", *new]) == 0
    return place


def rows_of(text: str) -> list[str]:
    """Lines of the table, each with single blanks."""
    body = text.split("Rest and hold, four days in five", 1)[1].split("\n\n", 1)[0]
    return [" ".join(line.split()) for line in body.splitlines()[2:] if line.strip()]


def test_terminal_json_notebook_and_page_agree(book, capsys):
    capsys.readouterr()
    main(["forecast", COOK])
    rows = rows_of(capsys.readouterr().out)
    main(["forecast", COOK, "--json"])
    (piece,) = json.loads(capsys.readouterr().out)["pieces"]
    held = piece["serving"]

    def fahrenheit(quantile, of):
        return f"{round(held[of][quantile] * 1.8 + 32)} °F"

    cores = " ".join(fahrenheit(quantile, "core_c") for quantile in ("p10", "p50", "p90"))
    said = [row.removeprefix("A ") for row in rows]
    assert f"core to serve at 18:00 {cores}" in said
    assert any(row.startswith("waits in an oven at 150 °F") for row in said)
    assert any(row.startswith("down to 148 °F, to slice, after") for row in said)
    assert any(row.endswith(held["past_words"]) for row in said)
    assert held["below_line_h"]["p50"] is None
    assert any(row.startswith("below 140 °F after longer than was tried") for row in said)

    notebook.CookNotebook(notebook.open(str(book / "cooks" / COOK)).desk, panels=False).plan()
    assert rows_of(capsys.readouterr().out) == rows

    main(["publish", COOK])
    page = (book / "journal" / "cooks" / f"{COOK}.html").read_text("utf-8")
    part = page[page.index("Rest and hold, four days in five") :]
    part = part[: part.index("</table>")]
    cells = [re.sub(r"<[^>]+>", " ", row) for row in re.split(r"</tr>", part)]
    shown = [
        " ".join(html.unescape(row).replace("\N{NO-BREAK SPACE}", " ").split()) for row in cells
    ]
    for row in said:
        assert any(row in line for line in shown), row
    for word in ("safe", "pasteur"):
        assert word not in part.lower()
