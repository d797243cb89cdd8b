"""JSON Schemas of a cookbook's files, for editors and for other programs.

``python -m stallwise.record.schemas`` writes them into ``data/schemas`` of a checkout.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path

from pydantic import BaseModel

from stallwise.record import disk
from stallwise.record.schema import SCHEMA, Book, Cook, LogEntry, Pit
from stallwise.record.trial import Trial

__all__ = ["MODELS", "main", "text_of"]

#: File under ``data/schemas`` and the model it is made from.
MODELS: Mapping[str, type[BaseModel]] = {
    "cook.json": Cook,
    "cookbook.json": Book,
    "log_line.json": LogEntry,
    "pit.json": Pit,
    "trial.json": Trial,
}


def text_of(name: str) -> str:
    """Text of one schema file."""
    schema = MODELS[name].model_json_schema(by_alias=True, mode="validation")
    whole = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$comment": f"schema {SCHEMA}",
        **schema,
    }
    return json.dumps(whole, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def main(folder: Path | None = None) -> int:
    """Write all schema files; the default is ``data/schemas`` of this checkout."""
    place = folder or Path(__file__).resolve().parents[3] / "data" / "schemas"
    disk.make_folder(place)
    for name in MODELS:
        disk.replace(place / name, text_of(name).encode())
    return 0


if __name__ == "__main__":
    sys.exit(main())
