"""Pictures that are given away: the same pixels, and nothing that a camera wrote beside them."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps

from stallwise.ground.errors import InputError
from stallwise.record.bare import bare

PLACE = b"made up place 52.0N"


def picture(form, *, mode="RGB", orientation=6, **save):
    """A picture with all that a camera may write beside it."""
    rng = np.random.default_rng(3)
    image = Image.fromarray(rng.integers(0, 255, (24, 40, 3), dtype=np.uint8)).convert(mode)
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "made up maker"
    exif.get_ifd(0x8825)[2] = (52.0, 1.0, 2.0)
    exif.get_ifd(0x8769)[0x9003] = "2026:05:16 10:11:12"
    out = io.BytesIO()
    image.save(out, form, exif=exif, **save)
    return out.getvalue()


def pixels(data):
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(ImageOps.exif_transpose(image).convert("RGBA"))


@pytest.mark.parametrize(
    ("form", "more"),
    [
        ("JPEG", {}),
        ("JPEG", {"progressive": True, "comment": PLACE}),
        ("JPEG", {"orientation": 1}),
        ("JPEG", {"mode": "L"}),
        ("JPEG", {"mode": "CMYK"}),
        ("JPEG", {"icc_profile": ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()}),
        ("PNG", {}),
        ("PNG", {"mode": "RGBA"}),
        ("PNG", {"mode": "P"}),
        ("PNG", {"icc_profile": ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()}),
        ("WEBP", {"xmp": PLACE}),
    ],
)  # fmt: skip
def test_pixels_stay_and_everything_else_goes(form, more):
    data = picture(form, **more)
    # A film, or another picture, hung on behind the end.
    found = bare(data + PLACE, "bark.jpg")
    assert np.array_equal(pixels(found), pixels(data))
    assert PLACE not in found
    assert b"made up maker" not in found
    with Image.open(io.BytesIO(found)) as image:
        exif = image.getexif()
        assert set(exif) <= {0x0112}
        assert not exif.get_ifd(0x8825)
        assert not exif.get_ifd(0x8769)
        assert ("icc_profile" in image.info) == ("icc_profile" in more)
    assert bare(found, "bark.jpg") == found


def test_no_picture_is_refused_by_name():
    with pytest.raises(InputError, match=r"bark\.jpg"):
        bare(b"\xff\xd8\xff\xe0 no picture", "bark.jpg")
