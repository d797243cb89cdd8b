"""Pictures are taken in when they are pictures, by what they hold and not by their name."""

import io
import struct
import zlib

import pytest
from PIL import Image

from stallwise.ground.errors import InputError
from stallwise.record import cookfolder, disk, photos


def _picture(kind="JPEG", size=(60, 40), **options):
    out = io.BytesIO()
    Image.new("RGB", size, (120, 60, 30)).save(out, kind, **options)
    return out.getvalue()


def _claiming(width, height):
    """A small PNG whose head says that it is a large one."""
    data = bytearray(_picture("PNG"))
    data[16:24] = struct.pack(">II", width, height)
    data[29:33] = struct.pack(">I", zlib.crc32(data[12:29]))
    return bytes(data)


@pytest.fixture
def ribs(v1):
    return v1.cook("ribs")


def _add(folder, tmp_path, name, data, **options):
    path = tmp_path / name
    path.write_bytes(data)
    return folder.add_photo(path, **options)


@pytest.mark.parametrize(
    ("name", "kind", "made"),
    [
        ("Bark 1.jpeg", "JPEG", "bark-1.jpg"),
        ("a:b?.png", "PNG", "a-b.png"),
        ("x.jpg", "WEBP", "x.webp"),
    ],
)
def test_a_photo_is_copied_under_a_safe_name_and_named_in_the_cook(
    ribs, tmp_path, name, kind, made
):
    data = _picture(kind)
    comments = [line for line in ribs.text().splitlines() if "#" in line]
    photo = _add(ribs, tmp_path, name, data, caption="done at last", lead=True)
    assert photo.file == made
    assert (ribs.path / "photos" / made).read_bytes() == data
    assert ribs.read().photos[-1] == photo
    assert [line for line in ribs.text().splitlines() if "#" in line] == comments


def test_the_original_is_kept_with_all_it_says(ribs, tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6
    photo = _add(ribs, tmp_path, "upright.jpg", _picture(exif=exif))
    with Image.open(ribs.path / "photos" / photo.file) as kept:
        assert kept.getexif()[0x0112] == 6


def test_the_same_photo_twice_is_one_and_another_of_that_name_is_a_second(ribs, tmp_path):
    first = _add(ribs, tmp_path, "bark.jpg", _picture())
    text = ribs.text()
    assert _add(ribs, tmp_path, "again.jpg", _picture()) == first
    assert ribs.text() == text
    assert _add(ribs, tmp_path, "bark.jpg", _picture(size=(61, 40))).file == "bark-2.jpg"


HEIC = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 100


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"not a picture at all", "is not a picture.*JPEG, PNG or WebP"),
        (b"", "is not a picture"),
        (HEIC, "is a HEIC picture.*export it as JPEG"),
        (_picture(size=(600, 400))[:-400], "is not a picture that can be read"),
        (_picture("GIF"), "is not a picture that can be read"),
        (_claiming(9000, 7000), "9000 × 7000 pixels.*60 million"),
        (_claiming(20_000, 10_000), "pixels"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is not a picture"),
    ],
    ids=["text", "empty", "heic", "torn", "gif", "large", "bomb", "svg"],
)
def test_what_is_no_picture_is_refused_with_one_message(ribs, tmp_path, data, words):
    text, there = ribs.text(), set((ribs.path / "photos").iterdir())
    with pytest.raises(InputError, match=words):
        _add(ribs, tmp_path, "ribs.jpg", data)
    assert ribs.text() == text
    assert set((ribs.path / "photos").iterdir()) == there


def test_a_photo_file_is_limited_in_size(ribs, tmp_path, monkeypatch):
    monkeypatch.setattr(cookfolder, "PHOTO_BYTES", 100)
    with pytest.raises(InputError, match="up to"):
        _add(ribs, tmp_path, "bark.jpg", _picture())


def test_a_photo_whose_cook_cannot_be_saved_is_taken_back(ribs, tmp_path, monkeypatch):
    real = disk.replace

    def replace(path, data):
        if path.name == "cook.toml":
            raise OSError(28, "No space left on device")
        real(path, data)

    monkeypatch.setattr(disk, "replace", replace)
    with pytest.raises(Exception, match="disk is full"):
        _add(ribs, tmp_path, "bark.jpg", _picture())
    assert not (ribs.path / "photos" / "bark.jpg").exists()


def test_the_limits_told_are_the_limits_held():
    assert f"{photos.PIXELS // 10**6} million" in photos._ALLOWED
