"""The sample cookbook: marked as ours, whole, with places to strip, and made again byte for byte."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from PIL import ExifTags, Image, ImageOps

from stallwise.ground import assets
from stallwise.ground.errors import InputError
from stallwise.record.check import check
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

SAMPLE = Path(__file__).resolve().parents[1] / "data" / "sample"
COOKS = ["2026-09-26-harvest-supper", "2026-05-16-spring-ribs"]


@pytest.fixture
def book(tmp_path) -> Cookbook:
    return Cookbook.start(tmp_path / "book", title="Ours", units="metric", time_zone="Etc/UTC")


@pytest.fixture
def tools(root, monkeypatch):
    monkeypatch.syspath_prepend(str(root / "tools"))
    yield
    for name in [name for name in sys.modules if name.startswith(("sample_", "make_sample"))]:
        del sys.modules[name]


def photos() -> list[Path]:
    return sorted(SAMPLE.glob("cooks/*/photos/*.jpg"))


def content(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_the_sample_comes_whole_and_valid(book):
    assert bring_sample(book) == COOKS
    known = {
        kind: {name.removesuffix(".toml") for name in assets.names("data", kind)}
        for kind in ("cuts", "mixes")
    }
    report = check(book.path, known=known)
    assert [one.text for one in report.findings] == []
    assert all(item.items() <= content(book.path).items() for item in [content(SAMPLE)])
    assert {folder.state() for folder in book.cooks()} == {"finished"}


def test_what_is_there_is_left_alone(book):
    mine = 'schema = 1\nname = "Mine"\n'
    book.put("pits", "backyard-offset", mine)
    bring_sample(book)
    cook = book.cook("harvest")
    cook.save({"outcome": "Burnt."})
    (cook.path / "photos" / "pit-at-dawn.jpg").unlink()
    before = content(book.path)
    assert bring_sample(book) == []
    assert content(book.path) == before
    assert (book.path / "pits" / "backyard-offset.toml").read_text() == mine


def test_a_link_out_of_the_book_is_not_followed(book, tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    (book.path / "mixes").rmdir()
    (book.path / "mixes").symlink_to(outside)
    with pytest.raises(InputError, match="leads out of the cookbook"):
        bring_sample(book)
    assert not list(outside.iterdir())


@pytest.mark.parametrize("name", COOKS)
def test_every_cook_is_marked_and_nobodys(book, name):
    bring_sample(book)
    cook = book.cook(name).read()
    assert cook.sample
    assert cook.time_zone.startswith("Etc/")
    assert all("drawing" in photo.caption for photo in cook.photos)
    assert sum(photo.lead for photo in cook.photos) == 1
    assert cook.next_time
    assert cook.outcome
    assert cook.number


def test_the_probes_faults_are_in_the_file_and_out_of_the_readings(book):
    bring_sample(book)
    grate, core = book.cook("harvest").load().readings
    assert (grate.pit, core.piece) == ("P", "A")
    raw = (book.cook("harvest").path / "readings" / "probe.raw.csv").read_text()
    assert "1832" in raw
    assert max(value for value in grate.temperature_c if value is not None) < 150
    gaps = [(b - a).total_seconds() / 60 for a, b in zip(core.at, core.at[1:], strict=False)]
    assert sorted(gaps)[-2:] == [5, 40]


def test_the_stall_can_be_seen_before_the_wrap(book):
    bring_sample(book)
    folder = book.cook("harvest")
    _, core = folder.load().readings
    log = folder.log().lines
    on = min(line.at for line in log if line.what == "meat_on")
    wrapped = min(line.at for line in log if line.what == "wrapped")
    at = {
        round((t - on).total_seconds() / 3600, 2): c
        for t, c in zip(core.at, core.temperature_c, strict=True)
    }
    stall = (at[9.75] - at[7.0]) / 2.75
    # Nearly three hours at two kelvin an hour, and more than twice as quick before and after.
    assert stall < 2.2
    assert min(at[3.0] - at[2.0], at[12.0] - at[11.0]) > 2.5 * stall
    assert (wrapped - on).total_seconds() / 3600 > 9.75


@pytest.mark.parametrize("path", photos(), ids=lambda path: path.stem)
def test_every_photo_carries_a_place_to_strip(path):
    with Image.open(path) as picture:
        exif = picture.getexif()
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    assert place[ExifTags.GPS.GPSLatitude][0] == 0  # open ocean: nobody's place
    assert place[ExifTags.GPS.GPSLongitude][0] == 0
    assert exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal].startswith("2026:")
    assert path.stat().st_size < 220_000


def test_one_photo_is_stored_sideways():
    turned = {}
    for path in photos():
        with Image.open(path) as picture:
            if picture.getexif()[ExifTags.Base.Orientation] == 6:
                turned[path.stem] = (picture.size, ImageOps.exif_transpose(picture).size)
    assert turned == {"pit-at-dawn": ((1600, 1200), (1200, 1600))}


def test_the_sample_is_small():
    assert sum(len(data) for data in content(SAMPLE).values()) < 2_000_000


def test_plan_log_and_readings_are_made_again_byte_for_byte(tools, tmp_path):
    from make_sample import make

    make(tmp_path / "sample", drawn=SAMPLE)
    assert content(tmp_path / "sample") == content(SAMPLE)


def test_a_sheet_that_the_day_contradicts_is_refused(tools, monkeypatch, tmp_path):
    import make_sample

    real = make_sample._text
    monkeypatch.setattr(
        make_sample,
        "_text",
        lambda name: real(name).replace("1310 bend not yet", "1310 bend tender"),
    )
    with pytest.raises(SystemExit, match="tenderness is"):
        make_sample.make(tmp_path / "sample", drawn=SAMPLE)


@pytest.mark.audit
def test_pictures_are_drawn_again_byte_for_byte(tools):
    from make_sample import HARVEST, RIBS, _developed

    for story in (HARVEST, RIBS):
        for shot in story.shots:
            (kept,) = SAMPLE.glob(f"cooks/*/photos/{shot.name}.jpg")
            assert _developed(story, shot) == kept.read_bytes(), shot.name
