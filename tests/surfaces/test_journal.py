"""The journal as files: what is shown, what is kept back, and what a stranger's text and photos may do."""

from __future__ import annotations

import dataclasses
import datetime as dt
import io
import json
import re
import runpy
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from PIL import Image, PngImagePlugin

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.learn.keptresult import CookTally, KeptWindow, TallyRow
from stallwise.joins.learn.scored import Scored
from stallwise.joins.mix.mixresult import SpendingResult
from stallwise.joins.result import FinishSeen
from stallwise.joins.sheet.sheetwords import sheet_rows
from stallwise.joins.weighed import Weighed
from stallwise.record.schema import Book, Cook, Number, Photo
from stallwise.surfaces.journal import darkroom, publish
from stallwise.surfaces.journal.notes import as_html
from stallwise.surfaces.journal.public import public_cook, public_result

_MADE = runpy.run_path(str(Path(__file__).parents[1] / "pictures" / "results.py"))
MADE_AT = dt.datetime(2027, 9, 26, 9, tzinfo=dt.UTC)
#: Scripts of our own, and data for other programs: neither asks anything of a network.
_OURS = re.compile(
    r'<script src="(?:\.\./)?(?:search|scale)\.js" defer></script>'
    r'|<script type="application/ld\+json">[^<>]*</script>'
)
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"


class Shelf:
    """A cookbook of Results made by hand."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.book = Book(schema=1, title="The village hall cookbook", author="The supper committee")
        self.results = {}
        self.folders = []

    def add(self, result, *, photos=(), **words):
        folder = self.path / "cooks" / result.cook
        (folder / "photos").mkdir(parents=True)
        words = {"title": result.title, "sample": result.sample} | words
        cook = Cook(
            schema=1,
            date=result.date,
            pieces=[{"letter": piece.piece, "cut": piece.cut} for piece in result.pieces],
            mixes=[{"mix": mix.mix, "on": list(mix.on)} for mix in result.mixes],
            photos=list(photos),
            **words,
        )
        self.results[result.cook] = result
        record = SimpleNamespace(cook=cook, book=self.book, name=result.cook, state=result.state)
        self.folders.append(SimpleNamespace(name=result.cook, path=folder, load=lambda: record))
        return folder / "photos"

    def cooks(self):
        return self.folders

    def learned(self):
        return None

    def publish(self, *names, out=None):
        chosen = [folder for folder in self.folders if folder.name in names]
        return publish(
            self,
            chosen,
            out or self.path / "journal",
            made_at=MADE_AT,
            answer=lambda record, **_: self.results[record.name],
        )

    def page(self, name):
        return (self.path / "journal" / "cooks" / f"{name}.html").read_text(encoding="utf-8")


@pytest.fixture
def shoulder():
    return _MADE["shoulder"]()


@pytest.fixture
def ribs():
    return _MADE["ribs"]()


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


def picture(size=(120, 80), colour="red"):
    """Left half of one colour, right half white."""
    image = Image.new("RGB", size, "white")
    image.paste(colour, (0, 0, size[0] // 2, size[1]))
    return image


def camera(orientation=1):
    """What a phone writes beside the pixels: way up, place, maker."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "MAKERWORD"
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (12.0, 34.0, 56.0), "E", (1.0, 2.0, 3.0)
    return exif


def test_page_tells_the_cook_in_the_order_it_is_read(shelf, shoulder):
    shelf.add(
        shoulder,
        outcome="It pulled clean.",
        next_time="Wrap half an hour later.",
        notes="The wind **turned** at two.",
        tasting="T1 wanted more pepper.",
        number=Number(name="at the door", value=8.5, out_of=10),
    )
    report = shelf.publish()
    assert not report.failed
    html = shelf.page(shoulder.cook)
    order = [
        "our own invention",
        '<h1 class="p-name" dir="auto">Harvest supper shoulder</h1>',
        "It pulled clean.",
        "Wrap half an hour later.",
        "Pulls between 11:15 and 14:45, four times in five; it was tender at 12:37.",
        "<svg",
        "The same day as a table",
        "Ready to eat by 16:00: 9 times in 10.",
        "Keep the fire well clear of walls",
        "plain rub, 3.85 kg of meat",
        "<b>8.5</b> of 10",
        "T1 wanted more pepper.",
        "20 g of salt in a kilogram of what is eaten",
        "Made, used, left",
        "<strong>turned</strong>",
        "What it was forecast with",
        "Where each number comes from",
        "Choi, Okos",
    ]
    body = html[html.index("<body>") :]
    assert [text for text in order if text not in body] == []
    places = [body.index(text) for text in order]
    assert places == sorted(places)
    assert (
        '<time class="dt-published" datetime="2027-09-25">Saturday 25 September 2027</time>' in html
    )
    assert html.count("Take care:") == 2


def test_every_mark_leads_to_its_words(shelf, shoulder):
    shelf.add(shoulder)
    shelf.publish()
    html = shelf.page(shoulder.cook)
    marks = set(re.findall(r'href="#from-(\w+)"', html))
    assert marks >= {"readings", "log", "forecast", "sheet", "mixes", "salt", "ledger"}
    assert marks == set(re.findall(r'id="from-(\w+)"', html))


def test_what_was_weighed_stands_beside_what_was_likely(shelf, shoulder):
    piece = dataclasses.replace(shoulder.pieces[0], weighed=Weighed(4.5, 2.4, 2.0, 0.377))
    shelf.add(dataclasses.replace(shoulder, pieces=(piece,)))
    shelf.publish()
    html = shelf.page(shoulder.cook)
    table = html[html.index('id="the-pieces"') :].replace("\N{NO-BREAK SPACE}", " ")
    for said in ("as bought", "9 lb 15 oz", "33 to 43", "lost, weighed", "38 %"):
        assert said in table, said


def _fire(pit):
    said = dict.fromkeys(field.name for field in dataclasses.fields(FuelResult))
    said |= {"pit": pit, "unit": "split", "unit_kg": 0.7, "used_kg": 7.0, "smoke": {}, "vents": ""}
    return FuelResult(**said)


def test_two_fires_are_told_each_by_its_letter_and_with_their_source(shelf, ribs):
    shelf.add(dataclasses.replace(ribs, fuel=(_fire("P"), _fire("Q"))))
    assert not shelf.publish().troubles
    html = shelf.page(ribs.cook)
    assert re.findall(r'<dt><span class="letter">(\w)</span> Put on</dt>', html) == [
        "P",
        "Q",
    ]
    assert 'href="#from-fuel"' in html


def test_what_is_private_does_not_reach_any_file(shelf, shoulder):
    photos = [
        Photo(file="open.jpg", caption="the bark"),
        Photo(file="closed.jpg", caption="SECRETCAPTION", private=True),
    ]
    folder = shelf.add(
        shoulder,
        photos=photos,
        notes="SECRETNOTE",
        tasting="SECRETTASTE",
        carried="SECRETCARRIED",
        tags=["SECRETTAG"],
        next_time="open",
        private=["notes", "tasting", "tags", "mixes.plain-rub"],
    )
    for photo in photos:
        picture().save(folder / photo.file)
    shelf.publish()
    out = shelf.path / "journal"
    everything = b"".join(p.read_bytes() for p in out.rglob("*") if p.is_file())
    for word in (
        b"SECRET",
        b"plain rub",
        b"plain-rub",
        b"black pepper",
        str(shelf.path).encode(),
        b"open.jpg",
    ):
        assert word not in everything, word
    assert b"a mix kept private" in everything
    assert len(list((out / "photos" / shoulder.cook).iterdir())) == 1


def test_remarks_paths_and_free_text_of_the_log_stay_at_home(shelf, shoulder):
    events = (
        *shoulder.events,
        dataclasses.replace(shoulder.events[1], what="note", text="SECRETREMARK"),
        dataclasses.replace(shoulder.events[1], what="off", text="SECRETTEXT"),
    )
    leaky = dataclasses.replace(shoulder.warnings[0], text="log.jsonl line 3 of /srv/book is torn")
    result = dataclasses.replace(shoulder, events=events, warnings=(*shoulder.warnings, leaky))
    shelf.add(result)
    shelf.publish()
    html = shelf.page(shoulder.cook)
    assert "SECRET" not in html
    assert "torn" not in html
    assert "Heavier than the shoulders" in html


@pytest.mark.parametrize(
    "name",
    [
        "nots",
        "title",
        "mixes.rub-plain",
        "photos.none.jpg",
        "mixes.plain-rub.notes",
        "pieces.A.mass",
        "serve",  # a page cannot do without it: to take the name would keep nothing back
        "pits",
    ],
)
def test_a_slip_in_private_publishes_nothing(shelf, shoulder, name):
    shelf.add(shoulder, private=[name])
    report = shelf.publish()
    assert report.failed == (shoulder.cook,)
    assert not (shelf.path / "journal" / "cooks").exists()
    with pytest.raises(NotFoundError):
        public_cook(shelf.folders[0].load().cook)


def _written(shelf):
    """Every file of a journal, the lines of a calendar unfolded."""
    files = (path for path in (shelf.path / "journal").rglob("*") if path.is_file())
    return b"".join(path.read_bytes() for path in files).replace(b"\r\n ", b"")


def test_who_did_it_is_named_in_no_file(shelf, shoulder):
    steps = tuple(dataclasses.replace(step, person="1 2") for step in shoulder.steps)
    shelf.add(dataclasses.replace(shoulder, steps=steps, roles=("SECRETONE", "SECRETTWO")))
    shelf.publish()
    assert b"SECRET" not in _written(shelf)
    assert b"hands 1" not in _written(shelf)


def test_a_log_kept_back_dates_no_step(shelf, shoulder):
    at = dt.datetime(2027, 9, 25, 13, 37, tzinfo=dt.UTC)
    steps = tuple(dataclasses.replace(step, done_at=at) for step in shoulder.steps)
    result = dataclasses.replace(shoulder, steps=steps, events=(), readings={})
    folder = shelf.add(result, private=["log"])
    shelf.publish()
    assert b"13:37" not in _written(shelf)
    assert "As planned, as it went" not in shelf.page(folder.parent.name)


def test_work_beside_the_meat_can_be_kept_back(shelf, shoulder):
    job = dataclasses.replace(shoulder.steps[0], id="job-ring", what="Ring SECRETAUNT")
    said = dataclasses.replace(shoulder.warnings[0], text="Ring SECRETAUNT waits for A.")
    result = dataclasses.replace(
        shoulder, steps=(job, *shoulder.steps), warnings=(said, *shoulder.warnings)
    )
    shelf.add(result, private=["jobs"])
    shelf.publish()
    assert b"SECRET" not in _written(shelf)
    assert b"Heavier than the shoulders" in _written(shelf)


def test_how_many_ate_can_be_kept_back(shelf, shoulder):
    mix = dataclasses.replace(shoulder.mixes[0], for_text="for 4321 guests")
    salt = dataclasses.replace(shoulder.salt[0], serving_kg=0.4321)
    shelf.add(dataclasses.replace(shoulder, mixes=(mix,), salt=(salt,)), private=["guests"])
    shelf.publish()
    assert b"4321 guests" not in _written(shelf)
    assert b"0.4321" not in _written(shelf)
    assert b"for all guests" in _written(shelf)


def _spent(result):
    spent = SpendingResult(
        "$", 41.23, 5.43, 7.65, 54.31, 12.34, 25.86, ("SECRETEXTRA", "paprika", "fuel")
    )
    return dataclasses.replace(result, spending=spent)


def test_what_it_cost_is_nobodys_business_unless_the_cook_says_so(shelf, shoulder, ribs):
    shelf.add(_spent(shoulder))
    shelf.publish()
    assert not any(word in _written(shelf) for word in (b"54.31", b"41.23", b"12.34"))
    shelf.add(_spent(ribs), public=["costs"], private=["guests"])
    shelf.publish()
    html = shelf.page(ribs.cook)
    assert "$54.31" in html
    assert "other things; fuel" in html
    assert 'href="#from-cost"' in html
    # Nothing that the page does not name, and no plate of guests who are kept back.
    assert not any(word in _written(shelf) for word in (b"SECRETEXTRA", b"12.34"))


def test_what_is_kept_back_wins_over_what_is_made_public(shelf, ribs):
    for private in (["costs"], ["pieces.B"]):
        assert public_result(_spent(ribs), private, ["costs"]).spending is None
    with pytest.raises(NotFoundError, match=r"key for public.*costs"):
        public_cook(Cook(title="x", date=ribs.date, pieces=[{"letter": "A", "cut": "turkey-half"}],
                         public=["weights"]))  # fmt: skip


def test_what_no_list_names_is_left_out_of_a_page(shoulder):
    """A field that comes new into the Result is kept back until somebody puts it on a list."""
    full = {
        field.name: "SECRETFIELD"
        for field in dataclasses.fields(shoulder)
        if field.default is not dataclasses.MISSING
        or field.default_factory is not dataclasses.MISSING
    }
    keep = {"readings", "inferred", "fuel", "estimates", "trials", "sources", "kept", "tallied",
            "widening", "widening_cooks"}  # fmt: skip
    shown = public_result(
        dataclasses.replace(shoulder, **{k: v for k, v in full.items() if k not in keep}), []
    )
    assert [name for name, value in vars(shown).items() if value == "SECRETFIELD"] == []
    assert len(full) - len(keep) > 12


def test_what_was_told_on_the_way_goes_with_the_log_the_readings_and_the_piece(ribs):
    at = ribs.hour_zero
    window = KeptWindow("B", at, at, 0.0, (4.0, 5.0, 6.0), (at, at, at), 1.0)
    scored = Scored("x", 0.0, 0.0, (4.0, 5.0, 6.0), (1.0, 1.0, 1.0), (), None, ())
    row = TallyRow("B", "ribs", "foil", "1", at, at, 4.0, 5.0, False, scored, None)
    tallied = CookTally("x", ribs.date, True, (row,), (), {"SECRET": 1}, 0)
    told = dataclasses.replace(ribs, kept=(window,), tallied=tallied)
    shown = public_result(told, [])
    assert (shown.kept, shown.tallied) == ((window,), tallied)
    for private in ("log", "readings"):
        shown = public_result(told, [private])
        assert (shown.kept, shown.tallied) == ((), None)
    shown = public_result(told, ["pieces.B"])
    assert (shown.kept, shown.tallied.forecasts, shown.tallied.left_out) == ((), (), {})


def test_a_piece_kept_back_is_nowhere(ribs):
    result = public_result(ribs, ["pieces.B"])
    assert {p.piece for p in result.pieces} == {"A"}
    assert "B" not in {e.piece for e in result.events} | {s.piece for s in result.steps}
    with pytest.raises(InputError, match="no piece to show"):
        public_result(ribs, ["pieces.A", "pieces.B"])


def test_when_it_had_its_finish_is_kept_back_with_what_told_of_it(shoulder):
    assert public_result(shoulder, ["readings"]).pieces[0].finish_seen  # feel checks told of it
    assert public_result(shoulder, ["log"]).pieces[0].finish_seen is None
    read = FinishSeen(shoulder.as_of, 2.0, "core", 73.9)
    by_core = dataclasses.replace(
        shoulder, pieces=(dataclasses.replace(shoulder.pieces[0], finish_seen=read),)
    )
    assert public_result(by_core, ["readings"]).pieces[0].finish_seen is None
    assert public_result(by_core, []).pieces[0].finish_seen == read


def test_hostile_words_come_out_as_words(shelf, shoulder):
    mix = dataclasses.replace(shoulder.mixes[0], name=HOSTILE, notes=(HOSTILE,))
    piece = dataclasses.replace(shoulder.pieces[0], name=HOSTILE, finish=HOSTILE)
    result = dataclasses.replace(shoulder, title=HOSTILE, mixes=(mix,), pieces=(piece,))
    folder = shelf.add(
        result,
        photos=[Photo(file="a.jpg", caption=HOSTILE)],
        outcome=HOSTILE,
        next_time=HOSTILE,
        notes=f"{HOSTILE}\n\n![pixel](http://x.invalid/p.gif) [go](javascript:alert(3))",
        tasting=HOSTILE,
        number=Number(name=HOSTILE, value=1),
    )
    picture().save(folder / "a.jpg")
    assert not shelf.publish().troubles
    index = (shelf.path / "journal" / "index.html").read_text(encoding="utf-8")
    for html in (_OURS.sub("", shelf.page(result.cook)), _OURS.sub("", index)):
        assert "&lt;script&gt;" in html
        assert not re.search(
            r"<script|<img src=x|onerror=alert\(2\)>[^&]*<img|<img[^>]*http|href=\"javascript", html
        )
        inside = re.findall(r"<(?!/)[a-z][^>]*>", html)
        assert not [
            tag for tag in inside if re.search(r"\son\w+=|\sstyle=", re.sub(r'"[^"]*"', "", tag))
        ]


def test_nothing_is_asked_of_any_network(shelf, shoulder):
    folder = shelf.add(shoulder, photos=[Photo(file="a.jpg")])
    picture().save(folder / "a.jpg")
    shelf.publish()
    for path in (shelf.path / "journal").rglob("*"):
        if path.suffix in {".html", ".css", ".svg"}:
            text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
            text = _OURS.sub("", text)
            assert not re.search(r"https?:|//\w|url\(|@import|<script|<style", text), path.name
    html = shelf.page(shoulder.cook)
    assert "default-src 'none'; img-src 'self'; style-src 'self'; script-src 'self'" in html


def test_photo_is_upright_once_however_often_it_is_published(shelf, shoulder):
    folder = shelf.add(shoulder, photos=[Photo(file="a.jpg", caption="the bark")])
    picture((900, 600)).save(folder / "a.jpg", exif=camera(6))
    shelf.publish()
    made = shelf.path / "journal" / "photos" / shoulder.cook
    first = {path.name: path.read_bytes() for path in made.iterdir()}
    shelf.publish()
    assert {path.name: path.read_bytes() for path in made.iterdir()} == first
    large = max(made.iterdir(), key=lambda path: path.stat().st_size)
    with Image.open(large) as image:
        assert image.size == (600, 900)
        # Red was left; a quarter turn to the right puts it on top.
        assert image.convert("RGB").getpixel((300, 100))[1] < 60
        assert image.convert("RGB").getpixel((300, 800))[1] > 200
    html = shelf.page(shoulder.cook)
    assert re.search(r'width="600" height="900" alt="the bark"', html)
    assert re.search(r"-900\.webp 600w, .*-800\.webp 533w, .*-400\.webp 26[67]w", html)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_place_maker_and_every_other_note_are_gone(tmp_path, kind):
    source = io.BytesIO()
    extra = (
        {"xmp": b"<x>SECRETPLACE</x>"} if kind != "PNG" else {"pnginfo": PngImagePlugin.PngInfo()}
    )
    if kind == "PNG":
        extra["pnginfo"].add_itxt("XML:com.adobe.xmp", "SECRETPLACE")
    picture().save(source, kind, exif=camera(), **extra)
    assert b"SECRETPLACE" in source.getvalue()
    made = darkroom.develop(source.getvalue(), tmp_path, "a")
    for size in made:
        data = (tmp_path / size["file"]).read_bytes()
        assert not re.search(rb"SECRETPLACE|MAKERWORD|Exif|EXIF|XMP|ICCP", data)


def test_a_phones_heic_is_read_where_its_reader_is_installed_and_named_in_words(shelf, shoulder):
    pillow_heif = pytest.importorskip("pillow_heif", reason="the heic extra is not installed")
    folder = shelf.add(shoulder, photos=[Photo(file="phone.jpg", caption="from a phone")])
    pillow_heif.from_pillow(picture((64, 48))).save(folder / "phone.heic", exif=camera().tobytes())
    (folder / "phone.heic").rename(folder / "phone.jpg")
    report = shelf.publish()
    assert report.troubles == (
        f"{shoulder.cook}: photo 'phone.jpg' is a HEIC picture under a .jpg name.",
    )
    made = list((shelf.path / "journal" / "photos" / shoulder.cook).iterdir())
    assert len(made) == 1
    assert b"Exif" not in made[0].read_bytes()


def test_without_that_reader_the_message_says_what_to_do(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(
        darkroom.PhotoError, match=r"export it as JPEG, or install stallwise\[heic\]"
    ):
        darkroom.develop(_HEIC, tmp_path, "a")


def test_a_made_photo_that_holds_more_than_pixels_is_refused(tmp_path):
    picture().save(tmp_path / "a.webp", exif=camera())
    with pytest.raises(darkroom.PhotoError, match="more than a picture"):
        darkroom.look(tmp_path / "a.webp")


def _bomb():
    """Few bytes that claim 240 million pixels."""
    out = io.BytesIO()
    Image.new("1", (20_000, 12_000)).save(out, "PNG")
    return out.getvalue()


def _jpeg():
    out = io.BytesIO()
    picture((640, 480)).save(out, "JPEG")
    return out.getvalue()


_HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(64)
_WRONG = {
    "page.jpg": (b"<html><script>alert(1)</script>", "not a picture"),
    "bomb.png": (_bomb, "more pixels"),
    "torn.jpg": (lambda: _jpeg()[:2000], "torn or damaged"),
    "empty.jpg": (b"", "not a picture"),
    "drawing.svg": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not a picture"),
    "gone.jpg": (None, "not among the files"),
    "phone.jpg": (_HEIC, "HEIC picture under a .jpg name"),
}


def test_what_is_no_photo_is_named_and_the_rest_is_published(shelf, shoulder):
    photos = [Photo(file=name) for name in [*_WRONG, "good.jpg"]]
    folder = shelf.add(shoulder, photos=photos)
    for name, (made, _) in _WRONG.items():
        if made is not None:
            (folder / name).write_bytes(made() if callable(made) else made)
    (folder / "good.jpg").write_bytes(_jpeg())
    report = shelf.publish()
    assert not report.failed
    for name, (_, said) in _WRONG.items():
        assert any(name in trouble and said in trouble for trouble in report.troubles), name
    html = shelf.page(shoulder.cook)
    assert html.count("<img") == 1
    assert 'alt="photo without a caption"' in html


def test_a_link_out_of_the_photos_folder_is_not_followed(shelf, shoulder, tmp_path):
    folder = shelf.add(shoulder, photos=[Photo(file="a.jpg")])
    picture().save(tmp_path / "other.jpg")
    (folder / "a.jpg").symlink_to(tmp_path / "other.jpg")
    assert "not among the files" in shelf.publish().troubles[0]


def test_transparent_and_strangely_coloured_pictures_come_out_on_white(tmp_path):
    for mode in ("RGBA", "LA", "P", "L", "CMYK", "I;16", "1"):
        out = io.BytesIO()
        Image.new(mode, (40, 30)).save(out, "JPEG" if mode == "CMYK" else "PNG")
        made = darkroom.develop(out.getvalue(), tmp_path, mode.replace(";", ""))
        assert (made[0]["width"], made[0]["height"]) == (40, 30)
    with Image.open(tmp_path / "RGBA-40.webp") as image:
        assert min(image.convert("RGB").getpixel((20, 15))) > 240


def test_index_lists_the_newest_first_with_outcome_and_lead_photo(shelf, shoulder, ribs):
    shelf.add(ribs)
    folder = shelf.add(
        shoulder,
        outcome="It pulled clean.",
        photos=[Photo(file="a.jpg"), Photo(file="b.jpg", lead=True)],
    )
    picture().save(folder / "a.jpg")
    picture(colour="blue").save(folder / "b.jpg")
    shelf.publish()
    html = (shelf.path / "journal" / "index.html").read_text(encoding="utf-8")
    assert html.index("Harvest supper") < html.index("Two racks")
    assert "It pulled clean." in html
    assert 'href="cooks/2027-06-12-two-racks.html"' in html
    lead = re.search(r'<img class="u-photo" src="(photos/[^"]+)"', html)[1]
    with Image.open(shelf.path / "journal" / lead) as image:
        assert image.convert("RGB").getpixel((20, 40))[2] > 200


def test_one_cook_that_fails_leaves_its_page_and_the_others(shelf, shoulder, ribs):
    shelf.add(shoulder, outcome="As it was.")
    shelf.add(ribs)
    shelf.publish()
    before = shelf.page(shoulder.cook)

    def broken():
        raise InputError("cook.toml: mass = 5 says no unit")

    shelf.folders[0].load = broken
    report = shelf.publish()
    assert report.failed == (shoulder.cook,)
    assert "mass = 5 says no unit" in report.troubles[0]
    assert shelf.page(shoulder.cook) == before
    assert "As it was." in (shelf.path / "journal" / "index.html").read_text(encoding="utf-8")
    assert json.dumps(report.plain())


def test_one_cook_written_again_keeps_the_others_in_the_index(shelf, shoulder, ribs):
    shelf.add(shoulder)
    shelf.add(ribs)
    shelf.publish()
    report = shelf.publish(ribs.cook)
    assert [Path(page).name for page in report.written] == [f"{ribs.cook}.html", "index.html"]
    index = (shelf.path / "journal" / "index.html").read_text(encoding="utf-8")
    assert "Harvest supper" in index


def test_pages_and_photos_of_a_cook_that_is_gone_or_hidden_go(shelf, shoulder, ribs):
    folder = shelf.add(shoulder, photos=[Photo(file="a.jpg")])
    picture().save(folder / "a.jpg")
    shelf.add(ribs)
    out = shelf.path / "journal"
    shelf.publish()
    (out / "CNAME").write_text("kept", encoding="utf-8")
    record = shelf.folders[0].load()
    record.cook = record.cook.model_copy(update={"private": ["all"]})
    del shelf.folders[1]
    report = shelf.publish()
    assert set(report.removed) == {shoulder.cook, ribs.cook}
    assert sorted(p.name for p in out.rglob("*") if p.is_file() and not p.name.startswith(".")) == [
        "CNAME",
        "feed.xml",
        "icon.svg",
        "index.html",
        "scale.js",
        "search-rows.js",
        "search.js",
        "style.css",
    ]


def test_no_link_is_followed_out_of_the_published_folder(shelf, shoulder, tmp_path):
    shelf.add(shoulder)
    out, elsewhere = shelf.path / "journal", tmp_path / "elsewhere"
    out.mkdir()
    elsewhere.mkdir()
    (out / "cooks").symlink_to(elsewhere)
    with pytest.raises(InputError, match="leads out"):
        shelf.publish()
    assert not list(elsewhere.iterdir())


def test_a_list_of_files_from_elsewhere_removes_nothing_outside(shelf, shoulder, tmp_path):
    shelf.add(shoulder)
    out = shelf.path / "journal"
    out.mkdir()
    victim = tmp_path / "victim"
    victim.write_text("kept", encoding="utf-8")
    entry = dict.fromkeys(("name", "title", "date", "day", "subtitle", "outcome"), "x")
    entry |= {"sample": False, "thumb": None, "files": ["../victim", str(victim)]}
    (out / ".journal.json").write_text(json.dumps({"cooks": {"x": entry}}), encoding="utf-8")
    shelf.publish()
    assert victim.exists()


def test_same_cooks_same_time_same_bytes(shelf, shoulder, ribs, tmp_path, drawn_anew):
    folder = shelf.add(shoulder, photos=[Photo(file="a.jpg")])
    picture().save(folder / "a.jpg")
    shelf.add(ribs)

    def bytes_of(out):
        shelf.publish(out=out)
        return {p.relative_to(out): p.read_bytes() for p in out.rglob("*") if p.is_file()}

    assert bytes_of(tmp_path / "one") == bytes_of(tmp_path / "two")


def test_a_plan_has_a_sheet_without_a_column_for_what_happened(shelf, ribs):
    steps = tuple(dataclasses.replace(step, done_at=None) for step in ribs.steps)
    plan = dataclasses.replace(ribs, events=(), steps=steps, state="planned", sample=False)
    shelf.add(plan)
    assert not shelf.publish(plan.cook).troubles
    html = shelf.page(ribs.cook)
    assert "The day sheet" in html
    assert "not logged" not in html
    assert "our own invention" not in html


def test_a_step_is_told_for_the_same_time_as_on_the_sheet_to_print(shelf, shoulder):
    planned, zero = _MADE["planned"], shoulder.hour_zero
    carve = dataclasses.replace(planned(zero, 15.0 - 20 / 60, "Pull apart"), id="carve-A")
    plan = dataclasses.replace(shoulder, steps=(carve,), events=(), state="planned")
    shelf.add(plan)
    shelf.publish(plan.cook)
    printed = sheet_rows(plan.steps, date=plan.date, as_of=plan.as_of)[0].clock
    assert f'">{printed}</time></td>' in shelf.page(plan.cook)


def test_salt_that_is_a_trace_is_not_worth_a_word(shelf, shoulder):
    (salt,) = shoulder.salt
    stock = {**salt.parts_g, "wrap liquid": 0.04}
    shelf.add(dataclasses.replace(shoulder, salt=(dataclasses.replace(salt, parts_g=stock),)))
    shelf.publish()
    page = shelf.page(shoulder.cook)
    assert "in a kilogram of what is eaten" in page
    assert "wrap liquid" not in page[page.index('id="the-salt"') :]


def test_a_plan_is_no_journal_unless_it_is_named(shelf, shoulder, ribs):
    shelf.add(shoulder)
    shelf.add(dataclasses.replace(ribs, events=(), state="planned"))
    index = shelf.path / "journal" / "index.html"
    report = shelf.publish()
    assert report.left_out == (ribs.cook,)
    assert not report.troubles
    assert "Two racks" not in index.read_text(encoding="utf-8")
    assert not shelf.publish(ribs.cook).left_out
    assert '<b class="state">planned</b>' in shelf.page(ribs.cook)
    assert '<span class="tag">planned</span>' in index.read_text(encoding="utf-8")
    # Once asked for it is kept up with the others.
    assert not shelf.publish().left_out
    assert "Two racks" in index.read_text(encoding="utf-8")


def test_a_finished_cook_is_not_reproached_with_steps_that_fell_away(shelf, shoulder):
    planned, zero = _MADE["planned"], shoulder.hour_zero

    def step(kind, hours, what, **more):
        return dataclasses.replace(planned(zero, hours, what, **more), id=f"{kind}-A")

    steps = (
        step("thaw", -40, "Thaw in the fridge, if frozen"),
        step("trim", -2, "Trim it"),
        step("check", 12.0, "Check early"),
        step("wrap", 14.5, "Wrap too late"),
        step("hold", 15.0, "Hold it"),
        step("wrap", 23.5, "Wrap after supper", piece="", pit="P"),
        step("carve", 23.6, "Carve after supper"),
        step("glaze", 23.7, "Glaze, logged", done=23.8),
        step("cool", 19.0, "Leftovers away", piece=""),
    )
    shelf.add(dataclasses.replace(shoulder, steps=steps))
    shelf.publish()
    html = shelf.page(shoulder.cook)
    assert "not logged" not in html
    shown = [step.what for step in steps if step.what in html]
    assert shown == ["Trim it", "Check early", "Hold it", "Glaze, logged", "Leftovers away"]
    running = dataclasses.replace(shoulder, steps=steps, state="running")
    shelf.results[shoulder.cook] = running
    shelf.publish()
    assert "Thaw in the fridge" in shelf.page(shoulder.cook)


def test_the_same_step_of_two_pieces_is_told_once(shelf, ribs):
    steps = tuple(dataclasses.replace(step, done_at=None) for step in ribs.steps)
    shelf.add(dataclasses.replace(ribs, steps=steps))
    shelf.publish()
    html = shelf.page(ribs.cook)
    assert _OURS.sub("", html).count("wrap in foil") == 1
    assert '<span class="letter">A</span> <span class="letter">B</span> wrap in foil' in html


def test_a_cook_without_a_photo_is_words_in_the_index(shelf, shoulder):
    shelf.add(shoulder)
    shelf.publish()
    index = (shelf.path / "journal" / "index.html").read_text(encoding="utf-8")
    assert '<li class="h-entry bare">' in index
    assert "<img" not in index


def test_headings_of_notes_stand_under_the_pages_own():
    html = str(as_html("# One\n\n###### Six\n\n[a](https://x.invalid/)"))
    assert re.findall(r"<h(\d)>", html) == ["3", "3"]
    assert 'rel="noopener noreferrer nofollow"' in html


def test_the_darkroom_starts_without_the_press():
    code = (
        "import stallwise.surfaces.journal.darkroom, sys;"
        "sys.exit(any(m in sys.modules for m in ('jinja2', 'altair', 'stallwise.joins.result')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
