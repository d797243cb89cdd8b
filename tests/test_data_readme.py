"""data/README.md names every table, and nothing that is not there."""

from __future__ import annotations

import re


def test_every_table_is_named(root):
    data = root / "data"
    text = (data / "README.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1] for line in text.splitlines() if line.startswith("| `")]
    named = {name.split("/")[0] for row in rows for name in re.findall(r"`([^`]+)`", row)}
    there = {path.name for path in data.iterdir() if not path.name.startswith(".")}
    assert named == there - {"README.md"}
