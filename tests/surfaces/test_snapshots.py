"""Pictures dropped in, without a browser: times by one clock put right once, and nothing of them published."""

import datetime as dt
import importlib.util
import io
import re
from pathlib import Path

import pytest
from PIL import ExifTags, Image

from stallwise.ground.errors import InputError
from stallwise.record.camera import shift_of, shift_words
from stallwise.record.photos import taken_of
from stallwise.record.problems import RecordError
from stallwise.record.sharing import shared
from stallwise.surfaces.journal import publish
from stallwise.surfaces.widgets.typein import TypeIn

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)

SHEET = "0200 on\n0800 wrapped foil\n1440 probe tender\n1450 off\n1600 served"


def picture(taken, *, zone="", colour="brown"):
    """A picture as a telephone leaves it: its clock, its place (open ocean, nobody's), its maker's notes."""
    exif = Image.Exif()
    notes = exif.get_ifd(ExifTags.IFD.Exif)
    notes[ExifTags.Base.DateTimeOriginal] = taken
    if zone:
        notes[ExifTags.Base.OffsetTimeOriginal] = zone
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (0.0, 6.0, 0.0)
    held = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(held, "JPEG", exif=exif)
    return held.getvalue()


@pytest.fixture
def folder(tmp_path):
    return cooks.shoulder(cooks.start_book(tmp_path))


@pytest.fixture
def panel(folder):
    made = TypeIn(cooks.desk_of(folder, cooks.NIGHT), raises=True)
    made.paper.lines.value = SHEET
    return made


def _drop(panel, **pictures):
    panel.photos.file.set_trait(
        "value",
        tuple(
            {"name": f"{name}.jpg", "type": "image/jpeg", "size": len(data),
             "content": memoryview(data), "last_modified": cooks.BEFORE}
            for name, data in pictures.items()
        ),
    )  # fmt: skip


def _words(panel):
    return [re.sub(r"<[^>]+>", "", row.shown.value) for row in panel.photos.rows]


def test_a_picture_proposes_its_time_and_what_it_lies_near(panel):
    _drop(panel, wrap=picture("2027:09:25 08:03:10"), bare=picture("2027:09:25 11:20:00"),
          other=picture("2021:01:01 00:00:05"), none=picture("0000:00:00 00:00:00"))  # fmt: skip
    assert _words(panel) == [
        "wrap.jpg: 08:03, 3 min after 08:00 all pieces: wrapped in foil",
        "bare.jpg: 11:20, no line near it",
        "other.jpg: 2021-01-01 00:00, far from this cook: is its clock right?",
        "none.jpg: no time in it: type one with what happened",
    ]
    assert [row.caption.value for row in panel.photos.rows] == ["Wrapped in foil", "", "", ""]


def test_a_clock_that_is_off_is_put_right_once_for_all_pictures_and_for_a_later_kernel(
    panel, folder
):
    _drop(panel, wrap=picture("2027:09:25 06:58:00"), off=picture("2027:09:25 13:49:00"))
    photos = panel.photos
    photos.which.value = 0
    photos.line.value = next(i for words, i in photos.line.options if "wrapped" in words)
    photos.match.click()
    assert photos.camera.value == folder.read().camera == "1 h 2 min behind"
    assert "at the minute of 08:00" in _words(panel)[0]
    assert "1 min after 14:50" in _words(panel)[1]
    # A caption that the cook wrote stays, one that was proposed follows.
    photos.rows[0].caption.value = "Foil, tight at the corners"
    photos.camera.value = "3 min ahead"
    assert [row.caption.value for row in photos.rows] == ["Foil, tight at the corners", ""]
    again = TypeIn(cooks.desk_of(folder, cooks.NIGHT), raises=True)
    assert again.photos.camera.value == "3 min ahead"


def test_a_zone_that_the_camera_names_wins_over_the_cooks(panel):
    _drop(panel, away=picture("2027:09:25 10:01:00", zone="+02:00"))
    assert "08:01, 1 min after 08:00" in _words(panel)[0]


def test_what_happened_becomes_a_line_of_the_sheet_and_nothing_is_written(panel, folder):
    _drop(panel, bark=picture("2027:09:25 05:10:40"), late=picture("2027:09:26 00:20:00"))
    panel.photos.rows[0].happened.value = "bark dark"
    panel.photos.rows[1].happened.value = "note: washing up"
    panel.photos.to_lines.click()
    assert panel.paper.lines.value.splitlines()[-2:] == [
        "2027-09-25 05:10 bark dark", "2027-09-26 00:20 note: washing up"
    ]  # fmt: skip
    assert "bark mahogany" in panel.day.value
    assert not folder.log().lines


def test_attached_the_original_is_whole_and_the_page_holds_neither_time_nor_place(panel, folder):
    shot = picture("2027:09:25 08:13:47", zone="+00:00")
    panel.paper.write.click()
    _drop(panel, wrap=shot, bare=picture("2027:09:25 11:20:00", colour="black"))
    panel.photos.camera.value = "7 min ahead"
    panel.photos.keep.click()
    assert [row.name for row in panel.photos.rows] == ["bare.jpg"]
    (photo,) = folder.read().photos
    assert photo.caption == "Wrapped in foil"
    assert (folder.path / "photos" / photo.file).read_bytes() == shot
    # What is looked at in the panel is rebuilt from pixels too.
    assert b"2027:09:25" not in _shown_bytes(panel)
    report = publish(folder.home, [folder], folder.home.path / "journal", made_at=cooks.NIGHT)
    assert not report.failed
    for path in (folder.home.path / "journal").rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            for secret in (b"2027:09:25", b"08:13", b"08:06", b"7 min ahead", b"Exif", b"GPS"):
                assert secret not in data, (path.name, secret)


def test_a_cook_that_is_given_away_says_nothing_of_the_camera_or_of_drafts(panel, folder):
    panel.paper.write.click()
    panel.paper.lines.value = "1700 note: a draft"
    _drop(panel, wrap=picture("2027:09:25 08:13:47"))
    panel.photos.camera.value = "7 min ahead"
    panel.photos.keep.click()
    given = b"".join(shared(folder).files.values())
    for secret in (b"7 min ahead", b"camera", b"2027:09:25", b"a draft"):
        assert secret not in given
    assert "1700 note: a draft" in (folder.path / "unwritten.txt").read_text()


def _shown_bytes(panel):
    import base64

    shown = "".join(row.widget.children[0].value for row in panel.photos.rows)
    return b"".join(base64.b64decode(data) for data in re.findall(r"base64,([^\"]+)", shown))


def test_many_or_large_ones_are_taken_from_the_folder(panel, folder):
    place = folder.path / "photos"
    place.mkdir(exist_ok=True)
    (place / "bark.jpg").write_bytes(picture("2027:09:25 08:01:00"))
    (place / "notes.txt").write_text("no picture")
    panel.photos.guard.raises = False
    panel.photos.look.click()
    assert [row.name for row in panel.photos.rows] == ["bark.jpg"]
    assert "notes.txt is not a picture" in panel.photos.guard.box.value
    panel.photos.keep.click()
    assert [photo.file for photo in folder.read().photos] == ["bark.jpg"]
    assert sorted(path.name for path in place.iterdir()) == ["bark.jpg", "notes.txt"]


@pytest.mark.parametrize("text", ["right", "1 h 2 min behind", "3 min ahead", "1 d 2 h behind"])
def test_a_shift_is_said_as_it_is_read(text):
    assert shift_of(shift_words(shift_of(text))) == shift_of(text)


@pytest.mark.parametrize("text", ["2 min", "wrong", "behind", "five min behind", "2 lb behind"])
def test_a_shift_that_tells_no_way_is_asked(text, panel, folder):
    with pytest.raises(InputError):
        shift_of(text)
    panel.photos.guard.raises = False
    panel.photos.camera.value = text
    assert "wrong" in panel.photos.guard.box.value
    assert panel.photos.camera.value == text
    assert folder.read().camera is None
    with pytest.raises(RecordError, match="camera"):
        folder.save({"camera": text})


@pytest.mark.parametrize("data", [b"", b"not a picture", picture("2027:09:25 08:01:00")[:300]])
def test_a_file_that_is_no_picture_has_no_time(data):
    assert taken_of(data) is None


def test_an_hour_that_the_clock_shows_twice_is_the_first():
    from zoneinfo import ZoneInfo

    taken = taken_of(picture("2027:10:31 02:30:00"))
    assert taken.at(ZoneInfo("Europe/Berlin")) == dt.datetime(2027, 10, 31, 0, 30, tzinfo=dt.UTC)
