"""A journal compared whole with the golden one: every page, its data, the feed, pictures, photos.

Made anew by ``python -m tests.surfaces.golden_site``.
"""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET

import pytest
from PIL import Image

from tests.surfaces import golden_site

MORE = "python -m tests.surfaces.golden_site makes it anew"


@pytest.fixture(scope="module")
def journal(tmp_path_factory):
    return golden_site.publish(tmp_path_factory.mktemp("golden"))


def test_every_page_is_as_it_was(journal):
    made = dict(golden_site.shown(journal))
    golden = {
        path.relative_to(golden_site.GOLDEN).as_posix(): path.read_text(encoding="utf-8")
        for path in golden_site.GOLDEN.rglob("*")
        if path.is_file()
    }
    assert sorted(made) == sorted(golden), MORE
    for name, text in golden.items():
        # Line by line, so that what differs is seen.
        assert made[name].splitlines() == text.splitlines(), f"{name}: {MORE}"


def test_it_holds_what_a_journal_has_and_is_small():
    files = json.loads((golden_site.GOLDEN / "files.json").read_text(encoding="utf-8"))
    kinds = ("cooks", "cuts", "mixes", "tags", "trials", "years", "photos", "files")
    assert all(any(name.startswith(f"{kind}/") for name in files) for kind in kinds)
    assert {"index.html", "tally.html", "feed.xml", "sitemap.xml", "search-rows.js"} <= set(files)
    assert sum(path.stat().st_size for path in golden_site.GOLDEN.rglob("*")) < 250_000


def test_its_feed_and_its_data_are_read(journal):
    feed = ET.fromstring((journal / "feed.xml").read_text(encoding="utf-8"))  # noqa: S314 - our own
    assert len(feed.findall("{http://www.w3.org/2005/Atom}entry")) == 2
    for path in (journal / "cooks").glob("*.html"):
        html = path.read_text(encoding="utf-8")
        data = html.partition('<script type="application/ld+json">')[2].partition("</script>")[0]
        assert json.loads(data)["@type"] == "Recipe"


def test_its_style_comes_without_remarks_and_says_the_same(journal, root):
    ours = (root / "templates" / "journal" / "style.css").read_text(encoding="utf-8")
    style = (journal / "style.css").read_text(encoding="utf-8")
    assert "/*" not in style
    assert style.count("{") == style.count("}") == ours.count("{")
    assert style.count(";") >= ours.count(";") - 12  # those of its remarks


def test_no_photo_carries_anything_but_its_pixels(journal):
    photos = list(journal.rglob("*.webp"))
    assert len(photos) > 3
    for path in photos:
        with Image.open(path) as image:
            image.load()
            assert not {"exif", "xmp", "icc_profile", "photoshop"} & set(image.info), path
            assert not image.getexif()
        assert b"MAKERWORD" not in path.read_bytes()


def test_a_link_to_a_page_without_a_photo_is_shown_with_the_picture_of_its_day(journal):
    html = (journal / "cooks" / "2027-06-12-two-racks.html").read_text(encoding="utf-8")
    file = "files/2027-06-12-two-racks/picture.png"
    assert f'<meta property="og:image" content="https://hall.invalid/cooks/{file}">' in html
    with Image.open(journal / file) as image:
        assert image.width == 1200
        assert len(image.convert("RGB").getcolors(1000)) > 8
        assert not image.info.keys() - {"transparency"}
    assert (journal / file).stat().st_size < 100_000
    # One with a photo has none, and none is made where nobody set an address.
    assert not (journal / "files" / "2027-09-25-harvest-supper" / "picture.png").exists()
