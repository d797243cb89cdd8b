"""Files of a journal as a whole: none carries a camera's notes, none leads out, none is claimed twice."""

from __future__ import annotations

import dataclasses
import io
import os
import runpy
from pathlib import Path

import pytest
from PIL import Image

from stallwise.pictures.charts import Picture
from stallwise.record.schema import Photo
from stallwise.surfaces.journal import view

_HERE = Path(__file__)
_MADE = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))
_SHELF = runpy.run_path(str(_HERE.with_name("test_journal.py")))
Shelf, camera, picture = (_SHELF[name] for name in ("Shelf", "camera", "picture"))
#: Where a file says who made it, when and where.
NOTES = (
    b"Exif",
    b"EXIF",
    b"GPS",
    b"MAKERWORD",
    b"ns.adobe.com",
    b"XMP ",
    b"ICCP",
    b"photoshop",
    b"JFIF",
    b"tEXt",
)


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    monkeypatch.setattr(
        view, "day_picture", lambda *_, **__: Picture("<svg/>", "It went.", ((), ()))
    )
    return Shelf(tmp_path / "book")


def test_no_file_that_is_published_carries_a_cameras_notes(shelf):
    names = ["a.jpg", "b.png", "c.webp"]
    photos = [Photo(file=name, caption=name[0]) for name in names]
    folder = shelf.add(_MADE["shoulder"](), photos=photos)
    for name, kind in zip(names, ("JPEG", "PNG", "WEBP"), strict=True):
        out = io.BytesIO()
        picture((900, 600)).save(out, kind, exif=camera(6))
        assert b"MAKERWORD" in out.getvalue()
        (folder / name).write_bytes(out.getvalue())
    assert not shelf.publish().troubles
    files = [path for path in (shelf.path / "journal").rglob("*") if path.is_file()]
    assert len([path for path in files if path.suffix == ".webp"]) == 9
    for path in files:
        data = path.read_bytes()
        # A picture's own bytes may spell anything; its parts are named at their heads.
        looked = data if path.suffix != ".webp" else data[:64]
        assert not [note for note in NOTES if note in looked], path.name
        if path.suffix == ".webp":
            with Image.open(path) as image:
                assert not image.getexif()
                assert not {"exif", "xmp", "icc_profile"} & set(image.info)


def test_no_two_pages_claim_one_file_and_none_lies_outside(shelf):
    names = [
        "Ribs",
        "ribs",
        "RIBS",
        "rïbs",
        "ribs-2",
        "../ribs",
        "..",
        "index",
        "a/b",
        "a b",
        "a_b",
        "CON",
        "🔥",
        "-",
    ]
    ribs = _MADE["ribs"]()
    for name in names:
        made = dataclasses.replace(ribs, cook=name.replace("/", "∕"), title=name)
        shelf.add(made, tags=[name, name.upper(), f"{name} "])
    report = shelf.publish()
    assert not report.troubles
    out = (shelf.path / "journal").resolve()
    files = [path for path in out.rglob("*") if path.is_file()]
    pages = [path for path in files if path.parent.name == "cooks"]
    assert len(pages) == len(names)
    told = [path.relative_to(out).as_posix().casefold() for path in files]
    assert len(told) == len(set(told))
    assert all(
        part.isascii() and not part.startswith("-") for name in told for part in name.split("/")
    )
    outside = [path for path in shelf.path.parent.rglob("*.html") if not path.is_relative_to(out)]
    assert outside == []


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no links here")
@pytest.mark.parametrize("place", ["photos", "files", "tags"])
def test_a_link_in_the_published_folder_is_not_written_through(shelf, tmp_path, place):
    folder = shelf.add(_MADE["shoulder"](), photos=[Photo(file="a.jpg")], tags=["oak"])
    picture().save(folder / "a.jpg")
    out, elsewhere = shelf.path / "journal", tmp_path / "elsewhere"
    out.mkdir(parents=True)
    elsewhere.mkdir()
    (out / place).symlink_to(elsewhere)
    with pytest.raises(Exception, match="leads out"):
        shelf.publish()
    assert not list(elsewhere.iterdir())
