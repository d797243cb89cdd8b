"""A cookbook with one planned cook of ribs, for the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from stallwise.cli.main import main


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book in US units in the working folder, with the cook 2026-05-16-ribs."""
    place = tmp_path / "book"
    assert main(["init", str(place), "--units", "us", "--timezone", "Etc/UTC"]) == 0
    monkeypatch.chdir(place)
    new = ["new", "--cut", "pork-spare-ribs-trimmed", "--title", "Ribs", "--on", "2026-05-16"]
    assert main([*new, "--set", "serve=16:00", "--set", "mass=3 lb"]) == 0
    return place
