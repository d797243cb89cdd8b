"""What is private is looked for in every file of a journal: in each field that the schema has, by a word of its own."""

from __future__ import annotations

import datetime as dt
import importlib.util
import json
from pathlib import Path

import pytest
import tomlkit
from PIL import Image

from stallwise.ground.errors import InputError
from stallwise.joins.ask import ask
from stallwise.record import keptback
from stallwise.record.schema import Cook
from stallwise.surfaces.journal import publish
from stallwise.surfaces.journal.public import public_cook

_HERE = Path(__file__)
_SPEC = importlib.util.spec_from_file_location("planted", _HERE.with_name("planted.py"))
planted = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(planted)
MADE_AT = dt.datetime(2027, 11, 1, tzinfo=dt.UTC)

#: All that a page tells of what somebody wrote. A field that is new in the schema stays at home until it is
#: put on this list, by somebody who thought about it.
SHOWN = {
    "book title", "book author", "mix name", "mix note", "ingredient name",
    "cook title", "cook tags.0", "cook photos.0.caption", "cook outcome", "cook notes", "cook tasting",
    "cook contest.hand_ins.0.name", "cook contest.hand_ins.0.why", "cook contest.hand_ins.0.comments.0",
    "cook contest.hand_ins.0.number.name", "cook number.name", "cook next_time", "cook jobs.0.job", "mix lines.note",
    # Where a step is done, and what a pit is called.
    "cook pits.0.pit", "cook pieces.0.place", "cook jobs.0.place",
}  # fmt: skip
#: What is left of that when a cook keeps back all that can be kept back by name.
NEEDED = {"book title", "book author", "cook title"}


@pytest.fixture(scope="module")
def sown(tmp_path_factory):
    def answered(record):
        public_cook(record.cook)
        if record.cook.photos[0].file != "a.jpg" or record.cook.contest.hand_ins[0].photo:
            raise InputError("another photo")
        return ask(record, made_at=MADE_AT, changes={"members": 20})

    made = planted.planted(tmp_path_factory.mktemp("sown"), answered)
    (folder,) = made.book.cooks()
    Image.new("RGB", (900, 600), "#803040").save(folder.path / "photos" / "a.jpg")
    return made


def told(made, out):
    """Where the words come from that stand in any file that is published, or in a file's name."""
    report = publish(
        made.book, [], out, made_at=MADE_AT,
        answer=lambda record, **_: ask(record, made_at=MADE_AT, changes={"members": 20}),
    )  # fmt: skip
    assert not report.troubles
    files = [path for path in out.rglob("*") if path.is_file()]
    assert len(files) > 8
    everything = b"\n".join(
        [
            *(path.read_bytes() for path in files),
            *(path.relative_to(out).as_posix().encode() for path in files),
        ]
    )
    # Folded lines of a calendar, escaped letters of a script, small letters of a name or a search.
    text = everything.replace(b"\r\n ", b"").decode("utf-8", "replace").lower()
    assert str(made.book.path).lower() not in text
    return {where for token, where in made.tokens.items() if token.lower() in text}


def test_nothing_is_told_but_what_a_page_is_for(sown, tmp_path):
    assert told(sown, tmp_path / "out") == SHOWN


def test_all_that_can_be_kept_back_is(sown, tmp_path):
    (folder,) = sown.book.cooks()
    text = folder.text()
    keep = sorted({*keptback.PARTS, *Cook.model_fields} - keptback.NEEDED - {keptback.ALL})
    folder.save({"private": keep})
    try:
        assert told(sown, tmp_path / "out") == NEEDED
    finally:
        (folder.path / "cook.toml").write_text(text, "utf-8")


def test_of_a_cook_that_is_kept_back_there_is_no_word(sown, tmp_path):
    (folder,) = sown.book.cooks()
    text, out = folder.text(), tmp_path / "out"
    assert told(sown, out) == SHOWN
    folder.save({"private": ["all"]})
    try:
        publish(sown.book, [], out, made_at=MADE_AT)
        everything = b"".join(
            path.read_bytes() for path in out.rglob("*") if path.is_file()
        ).lower()
        left = {
            where for token, where in sown.tokens.items() if token.lower().encode() in everything
        }
        assert left == {"book title", "book author"}
        assert not (out / "cooks").exists()
        held = json.loads((out / ".journal.json").read_text("utf-8"))
        assert (held["cooks"], held["leaving"]) == ({}, [])
    finally:
        (folder.path / "cook.toml").write_text(text, "utf-8")


def test_each_field_that_can_be_kept_back_is_kept_back_alone(sown, tmp_path):
    (folder,) = sown.book.cooks()
    text = folder.text()
    data = tomlkit.parse(text)
    try:
        for n, name in enumerate(
            (
                "outcome",
                "next_time",
                "notes",
                "tasting",
                "number",
                "tags",
                "photos",
                "jobs",
                "contest",
            )
        ):
            folder.save({"private": [name]})
            gone = SHOWN - told(sown, tmp_path / f"out-{n}")
            assert f"cook {name}" in {where[: len(name) + 5] for where in gone}, (name, gone)
            assert all(where.startswith((f"cook {name}", "mix", "ingredient")) for where in gone), (
                name,
                gone,
            )
    finally:
        (folder.path / "cook.toml").write_text(tomlkit.dumps(data), "utf-8")
