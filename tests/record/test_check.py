"""A look over a cookbook tells all that is wrong, and repair throws nothing away."""

import shutil

import pytest

from stallwise.ground.errors import InputError
from stallwise.record.check import check
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample


def _texts(report, level=None):
    return [one.text for one in report.findings if level in {None, one.level}]


def _change(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def test_a_sound_cookbook_has_only_notes_on_keys_that_are_kept(v1):
    report = check(v1.path)
    assert not report.wrong
    assert "cookbook.toml, line 9: house_rule is not a key of ours" in _texts(report)[0]
    assert "cook.toml, line 13: smoke_colour is not a key of ours" in _texts(report)[1]
    assert report.summary.endswith("0 wrong, 2 to know.")
    assert set(report.plain()) == {"files", "wrong", "findings"}


def test_everything_that_is_wrong_is_told(v1):
    ribs = v1.cook("ribs")
    _change(v1.path / "pits" / "oven.toml", '"oven"', '"ovn"')
    _change(ribs.path / "cook.toml", '"2 lb 8 oz"', '"-2 lb"')
    _change(ribs.path / "cook.toml", 'place = "hot end"', 'plce = "hot end"')
    (v1.path / "mixes" / "house-rub.toml").write_text("schema = \n")
    (v1.path / "learned.json").write_text("{")
    with (ribs.path / "log.jsonl").open("a") as file:
        file.write('{"schema": 1, "id": "z"}\n')
    report = check(v1.path)
    assert report.wrong
    wrong = "\n".join(_texts(report, "wrong"))
    for words in (
        "pits/oven.toml, line 3, kind",
        "cook.toml, line 35, pieces.A.mass",
        "no key 'plce'",
        "mixes/house-rub.toml, line 1",
        "learned.json cannot be read",
        "log.jsonl, line 10, at: this key is missing",
    ):
        assert words in wrong


def test_names_that_are_not_there_are_told(v1):
    ribs = v1.cook("ribs")
    (ribs.path / "photos" / "board-1.png").rename(ribs.path / "photos" / "other.png")
    _change(ribs.path / "cook.toml", 'mix = "house-rub"', 'mix = "no-rub"')
    _change(ribs.path / "cook.toml", 'pit = "backyard"', 'pit = "elsewhere"')
    _change(ribs.path / "cook.toml", 'mass_bin = "4 oz"', 'mass_bin = "9 oz"')
    _change(ribs.path / "log.jsonl", '"piece": "A"', '"piece": "K"')
    known = {"mixes": ["plain-rub"], "words": ["meat_on"]}
    report = check(ribs.path, known=known)
    texts = "\n".join(_texts(report))
    for words in (
        "photo 'board-1.png' is not in the photos folder",
        "other.png: is named nowhere",
        "no mix 'no-rub'",
        "nothing is written of pit 'elsewhere'",
        "Which weight is wrong?",
        "names 'K'",
        "'spritz' is not a word of ours",
    ):
        assert words in texts
    assert "cookbook.toml" not in texts  # only this cook was looked at


@pytest.mark.parametrize("name", ["log.jsonl", "results/forecasts.jsonl"])
def test_repair_moves_a_torn_end_aside_and_drops_nothing(v1, name):
    path = v1.cook("ribs").path / name
    whole = path.read_bytes()
    torn = '{"schema": 1, "id": "tö'.encode()[:-1]  # cut inside a letter
    path.write_bytes(whole + torn)
    assert any("--repair" in text for text in _texts(check(v1.path), "wrong"))
    assert path.read_bytes() == whole + torn
    report = check(v1.path, repair=True)
    assert not report.wrong
    assert len(_texts(report, "mended")) == 1
    assert path.read_bytes() == whole
    aside = path.with_name(path.stem + ".torn")
    assert aside.read_bytes() == torn + b"\n"
    path.write_bytes(whole + b"{")
    check(v1.path, repair=True)
    assert aside.read_bytes() == torn + b"\n{\n"
    assert check(v1.path, repair=True).findings == check(v1.path).findings


def test_what_an_import_left_that_was_cut_short_is_named_and_set_aside(v1, tmp_path):
    file = tmp_path / "probe.csv"
    folder = v1.cook("ribs")
    day = folder.read().date
    file.write_text(f"time,core A (C)\n{day} 12:00,50\n{day} 12:10,55\n")
    place = folder.path / "readings"
    written = folder.add_readings(file).written
    whole = check(v1.path)
    assert not any("cut short" in text for text in _texts(whole))
    kept = place / next(name for name in written if name.endswith(".csv") and "raw" not in name)
    kept.unlink()  # it is written last
    raw, told = (place / name for name in written if place / name != kept)
    content = raw.read_bytes()
    for _ in range(2):
        named = [text for text in _texts(check(v1.path), "note") if "cut short" in text]
        assert len(named) == 2
    for number in ("", "-2"):
        report = check(v1.path, repair=True)
        assert [text.count("moved to unfinished") for text in _texts(report, "mended")] == [1, 1]
        aside = place / "unfinished" / raw.name.replace(".raw", f"{number}.raw")
        assert aside.read_bytes() == content
        assert not raw.exists()
        assert not told.exists()
        raw.write_bytes(content)
        told.write_bytes(b"{}")
    raw.unlink()
    told.unlink()
    assert folder.add_readings(file).written == written


def test_a_bad_line_in_the_middle_is_told_and_left_to_a_person(v1):
    path = v1.cook("ribs").path / "log.jsonl"
    path.write_bytes(b"oh\n" + path.read_bytes())
    before = path.read_bytes()
    report = check(v1.path, repair=True)
    assert any(
        "log.jsonl, line 1: this line cannot be read" in text for text in _texts(report, "wrong")
    )
    assert path.read_bytes() == before


def test_links_and_leavings_are_told(v1, tmp_path):
    (tmp_path / "x.toml").write_text("a = 1\n")
    (v1.path / "cuts" / "x.toml").symlink_to(tmp_path / "x.toml")
    (v1.path / "cooks" / ".tmp-123").mkdir()
    (v1.path / "cooks" / "notes").mkdir()
    texts = "\n".join(_texts(check(v1.path)))
    assert "cuts/x.toml: is a link" in texts
    assert ".tmp-123: was left by a write" in texts
    assert "cooks/notes: is no cook" in texts


def test_a_book_whose_settings_are_wrong_is_looked_over_all_the_same(v1):
    _change(v1.path / "cookbook.toml", '"us"', '"both"')
    _change(v1.cook("ribs").path / "cook.toml", '"2 lb 8 oz"', '"2"')
    assert len(_texts(check(v1.path), "wrong")) == 2


def test_a_folder_that_is_no_cookbook_is_refused(tmp_path):
    with pytest.raises(InputError, match="is no cookbook"):
        check(tmp_path)


def test_an_old_book_is_sound(v0):
    report = check(v0.path)
    assert not report.wrong
    assert sum("of schema 0" in text for text in _texts(report)) == 3
    assert not any("serving" in text for text in _texts(report))
    shutil.rmtree(v0.path / "cooks")
    assert not check(v0.path).wrong


def test_a_folder_that_is_no_cook_is_said_and_not_passed(tmp_path):
    book = Cookbook.start(tmp_path / "b", title="b")
    for name in ("nosuch", "cooks/nosuch"):
        with pytest.raises(InputError, match="nosuch"):
            check(book.path / name)
    assert check(book.path / "cooks").wrong == 0


def test_a_photo_that_is_no_picture_is_wrong(tmp_path):
    book = Cookbook.start(tmp_path / "b", title="b")
    name = bring_sample(book)[0]
    photo = next((book.cook(name).path / "photos").glob("*.jpg"))
    photo.write_text("not a picture", encoding="utf-8")
    report = check(book.path)
    assert report.wrong == 1
    assert photo.name in report.findings[0].text
