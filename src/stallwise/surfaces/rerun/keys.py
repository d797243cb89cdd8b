"""What a result was made from, as one short key: the same key, the same result."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from stallwise import __version__
from stallwise.ground import assets
from stallwise.joins.ask import read_time
from stallwise.joins.foresight import question
from stallwise.surfaces.rerun.checking import plan_of

if TYPE_CHECKING:
    from stallwise.record.cook import CookRecord

__all__ = ["key_of", "notebook_way", "program"]

#: Figures computed in process; a notebook has a way of its own.
NUMBERS = "numbers"


def key_of(
    record: CookRecord, changes: Mapping[str, Any], *, way: str, made_at: dt.datetime
) -> str:
    """Key of the result that a cook would get now.

    It rests on all that was read of the cook, what was learned before it, the changes, the
    program with its tables, and the notebook. The moment counts where the answer follows it: for a
    plan the day, for a cook under way every second.

    Parameters
    ----------
    record : CookRecord
        The cook.
    changes : mapping
        Parameters laid over it.
    way : str
        `NUMBERS`, or that of a notebook.
    made_at : datetime
        Wall clock, aware.

    Raises
    ------
    InputError
        Something that the cook rests on cannot be read.
    """
    said = changes.get("as_of")
    as_of = read_time(record, said) if isinstance(said, str) else said
    asked = question(record, made_at=made_at, as_of=as_of, changes=plan_of(changes))
    moment = ""
    if as_of is None and asked.as_of == made_at:
        planned = record.state == "planned"
        moment = str(made_at.astimezone(asked.zone).date() if planned else made_at)
    # Other cooks' lessons of later days, and forecasts kept, are in the record and move nothing.
    own = replace(record, learned=None, forecasts=())
    parts = (
        program(),
        way,
        moment,
        repr(sorted(changes.items())),
        repr(asked.knowledge),
        repr(own),
    )
    return _digest(part.encode("utf-8", "surrogateescape") for part in parts)


def notebook_way(notebook: Mapping[str, Any]) -> str:
    """Way of a notebook: its code, not what it printed the last time."""
    cells = [(cell.get("cell_type"), cell.get("source")) for cell in notebook["cells"]]
    return f"notebook {_digest([json.dumps(cells).encode()])}"


@cache
def program() -> str:
    """Key of this program: version, source and tables, so that a checkout is told apart too."""
    files = sorted(Path(assets.__file__).parents[1].rglob("*.py"))
    for kind in get_args(assets.Kind):
        folder = Path(str(assets.folder(kind)))
        files += sorted(path for path in folder.rglob("*") if "sample" not in path.parts)
    found = (path.read_bytes() for path in files if path.is_file())
    return f"{__version__} {_digest(found)}"


def _digest(parts: Iterable[bytes]) -> str:
    whole = hashlib.blake2b(digest_size=16)
    for part in parts:
        whole.update(len(part).to_bytes(8, "big"))
        whole.update(part)
    return whole.hexdigest()
