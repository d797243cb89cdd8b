"""Finding, starting and filling a cookbook."""

import datetime as dt

import pytest

from stallwise.ground.errors import InputError, NotFoundError, WorkError
from stallwise.record import disk, names
from stallwise.record.folder import Cookbook, find_cookbook, read_cook_file
from stallwise.record.problems import RecordError
from stallwise.record.store import ChangedError

DAY = dt.date(2027, 9, 25)
TEXT = """\
# mine
schema = 1
title = "Ribs"
date = 2027-09-25   # a Saturday
serve = "16:00"

[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
"""


@pytest.fixture
def book(tmp_path):
    return Cookbook.start(tmp_path / "mine", "My book", "metric", "Etc/UTC")


@pytest.fixture
def ribs(book):
    return book.new_cook("Ribs", DAY, TEXT)


def _left_over(book):
    return [path.name for path in book.path.rglob(f"{disk.TEMPORARY}*")]


def test_a_new_cookbook_opens_and_is_found_from_inside(book):
    assert (book.book.title, book.book.units, book.book.time_zone) == (
        "My book",
        "metric",
        "Etc/UTC",
    )
    assert find_cookbook(book.path / "cooks") == book.path
    assert book.cooks() == []
    assert Cookbook.start(book.path, "Another title").book.title == "My book"


def test_a_folder_that_is_no_cookbook_is_told(tmp_path):
    (tmp_path / "shed").mkdir()
    (tmp_path / "shed" / "rake.txt").write_text("x")
    for attempt in (
        lambda: Cookbook.open(tmp_path / "shed"),
        lambda: Cookbook.open(tmp_path / "nowhere"),
        lambda: find_cookbook(tmp_path / "shed"),
    ):
        with pytest.raises(InputError, match=r"is no cookbook.*stallwise init") as error:
            attempt()
        assert error.value.status == 2
    with pytest.raises(InputError, match="holds other things"):
        Cookbook.start(tmp_path / "shed", "x")
    assert [path.name for path in (tmp_path / "shed").iterdir()] == ["rake.txt"]


@pytest.mark.parametrize("settings", [{"units": "imperial"}, {"time_zone": "Mars"}])
def test_a_wrong_setting_starts_nothing(tmp_path, settings):
    with pytest.raises(RecordError, match=r"cookbook\.toml, line \d"):
        Cookbook.start(tmp_path / "new", "x", **settings)
    assert not (tmp_path / "new").exists()


def test_two_cooks_of_one_name_on_one_day_both_stand(book):
    made = [book.new_cook("2021-02-15 12:40 Brisket: foil/paper?", DAY, TEXT) for _ in range(3)]
    assert [cook.name for cook in made] == [
        "2027-09-25-2021-02-15-12-40-brisket-foil-paper",
        "2027-09-25-2021-02-15-12-40-brisket-foil-paper-2",
        "2027-09-25-2021-02-15-12-40-brisket-foil-paper-3",
    ]
    assert all(cook.text() == TEXT for cook in made)


def test_a_cook_brings_its_files_and_folders(book):
    cook = book.new_cook("Ribs", DAY, TEXT, {"cook.ipynb": "{}"})
    assert (cook.path / "cook.ipynb").read_text() == "{}"
    assert (cook.path / "photos").is_dir()
    with pytest.raises(InputError, match="plain file name"):
        book.new_cook("Ribs", DAY, TEXT, {"../x": "{}"})
    assert len(book.cooks()) == 1
    assert not _left_over(book)


def test_a_wrong_plan_or_a_full_disk_makes_no_cook(book, monkeypatch):
    with pytest.raises(RecordError):
        book.new_cook("Ribs", DAY, TEXT.replace("letter", "leter"))

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk.os, "write", full)
    with pytest.raises(WorkError, match="disk is full"):
        book.new_cook("Ribs", DAY, TEXT)
    monkeypatch.undo()
    assert book.cooks() == []
    assert not _left_over(book)


def test_cooks_are_listed_newest_first_and_found_by_name_part_or_path(book):
    for title, day in (("Ribs", 3), ("Brisket", 21), ("Lamb", 14)):
        book.new_cook(title, DAY.replace(day=day), TEXT)
    assert [cook.name[11:] for cook in book.cooks()] == ["brisket", "lamb", "ribs"]
    brisket = book.cook("2027-09-21-brisket")
    assert (
        book.cook("brisket") == book.cook(brisket.path) == book.cook(f"{brisket.path}/") == brisket
    )
    with pytest.raises(NotFoundError, match="Nearest: 2027-09-21-brisket"):
        book.cook("2027-09-21-briskt")
    with pytest.raises(NotFoundError, match="Which one"):
        book.cook("2027-09")


def test_a_link_is_no_cook(book, ribs, tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "cook.toml").write_text(TEXT)
    (book.path / "cooks" / "2027-01-01-elsewhere").symlink_to(outside)
    assert [cook.name for cook in book.cooks()] == [ribs.name]


def test_saving_changes_what_is_asked_and_nothing_else(ribs):
    read = ribs.text()
    saved = ribs.save({"pieces.A.wrap": "foil", "serve": None, "guests": 8}, expected=read)
    assert saved.text == ribs.text()
    assert ribs.text() == TEXT.replace('serve = "16:00"\n', "guests = 8\n") + 'wrap = "foil"\n'
    assert ribs.read().pieces[0].wrap == "foil"
    with pytest.raises(ChangedError) as error:
        ribs.save({"guests": 9}, expected=read)
    assert "+guests = 8" in error.value.diff
    assert ribs.read().guests == 8


def test_a_serving_time_that_is_cleared_is_no_serving_time(ribs):
    ribs.save({"serve": None})
    assert ribs.read().serve is None


def test_a_change_that_would_make_the_file_wrong_is_not_written(ribs):
    with pytest.raises(RecordError, match=r"cook\.toml, line \d+, pieces\.A\.mass.*negative"):
        ribs.save({"pieces.A.mass": "-2 lb"})
    with pytest.raises(RecordError, match="no key 'wrapp'"):
        ribs.save({"pieces.A.wrapp": "foil"})
    assert ribs.text() == TEXT


def test_settings_are_saved_in_place(book):
    again = book.save({"measures.ladle": "120 g", "usual_guests": 6})
    assert (again.book.measures, again.book.usual_guests) == ({"ladle": "120 g"}, 6)
    assert "# Settings of this cookbook." in book.store.read(book.path / "cookbook.toml")
    assert Cookbook.open(book.path).book == again.book


def test_forecasts_are_kept_once_and_results_replaced(ribs):
    assert ribs.keep_forecast({"made_at": "now", "p": [1, 2]})
    assert not ribs.keep_forecast({"p": [1, 2], "made_at": "now"})
    assert ribs.keep_forecast({"id": "f2", "made_at": "later"})
    assert [row["id"] for row in ribs.forecasts()][1:] == ["f2"]
    assert ribs.result() is None
    ribs.write_result({"odds": 0.8})
    ribs.write_result({"odds": 0.9})
    assert ribs.result() == {"schema": 1, "odds": 0.9}
    (ribs.path / "results" / "result.json").write_text("{")
    with pytest.raises(InputError, match=r"result\.json cannot be read.*stallwise forecast"):
        ribs.result()


def test_own_tables_lie_over_each_other_and_the_cook_s_own_wins(book, ribs):
    book.put("mixes", "rub", 'schema = 1\nname = "book"\n')
    book.put("pits", "drum", 'name = "drum"\nkind = "closed"\n')
    ribs.keep_mix("rub", 'schema = 1\nname = "cook"\n')
    record = ribs.load()
    assert book.overlay("mixes")["rub"]["name"] == "book"
    assert record.mixes["rub"]["name"] == "cook"
    assert record.pits["drum"].kind == "closed"
    with pytest.raises(ChangedError):
        book.put("mixes", "rub", "schema = 1\n")
    with pytest.raises(InputError, match="'a-b'"):
        book.put("mixes", "../A b", "schema = 1\n")
    with pytest.raises(RecordError, match=r"mixes/bad\.toml, line 1"):
        book.put("mixes", "bad", "schema = \n")


def test_what_was_learned_is_written_whole(book):
    assert book.learned() is None
    book.write_learned({"id": "k1"})
    assert book.learned() == {"schema": 1, "id": "k1"}


def test_a_torn_log_is_a_warning_not_an_error(ribs):
    (ribs.path / "log.jsonl").write_bytes(b'{"id": "to')
    (warning,) = ribs.load().warnings
    assert "Line 1 of log.jsonl" in warning.text


def test_a_friend_s_file_is_read_from_anywhere(tmp_path):
    path = tmp_path / "friend.toml"
    path.write_text(TEXT)
    assert read_cook_file(path).title == "Ribs"
    with pytest.raises(InputError, match="no file"):
        read_cook_file(tmp_path / "none.toml")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Brisket: foil/paper?", "brisket-foil-paper"),
        ("Übergröße & Æble", "ubergrosse-aeble"),
        ("..\\..\\x", "x"),
        ("CON", "con-cook"),
        ("", "cook"),
        ("豚", "cook"),
        ("a" * 100, "a" * 60),
    ],
)
def test_names_are_safe_on_every_system(text, name):
    assert names.slug(text) == name
    assert names.slug(name) == name


def test_a_name_that_is_taken_in_other_letters_is_taken():
    assert names.free("bark", ".jpg", ["BARK.JPG", "bark-2.jpg"]) == "bark-3.jpg"
