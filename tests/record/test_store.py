"""Whole files by rename, only if they are what was read; nothing outside the book."""

import os
from pathlib import Path

import pytest

from stallwise.ground.errors import InputError
from stallwise.record import disk
from stallwise.record.store import ANY, ChangedError, Store, digest, write_new

NAME = Path("cook.toml")


@pytest.fixture
def store(tmp_path):
    (tmp_path / NAME).write_text("a = 1\nb = 2\n")
    return Store(tmp_path)


@pytest.mark.parametrize("was", ["a = 1\nb = 2\n", digest("a = 1\nb = 2\n"), ANY])
def test_a_file_that_is_what_was_read_is_replaced(store, was):
    store.replace(NAME, "a = 3\n", expected=was)
    assert store.read(NAME) == "a = 3\n"


def test_a_file_that_somebody_else_changed_is_shown_as_a_diff_and_left_alone(store):
    with pytest.raises(ChangedError, match="Nothing was written") as error:
        store.replace(NAME, "a = 3\n", expected="a = 1\nb = 1\n")
    assert "-b = 1\n+b = 2\n" in error.value.diff
    assert "-b = 1\n+b = 2\n" in str(error.value)
    assert error.value.status == 1
    assert store.read(NAME) == "a = 1\nb = 2\n"


def test_a_file_that_should_be_new_does_not_take_the_place_of_one(store):
    with pytest.raises(ChangedError):
        store.replace(NAME, "a = 3\n", expected=None)
    with pytest.raises(ChangedError):
        store.replace(Path("gone.toml"), "a = 3\n", expected="a = 1\n")


def test_a_replaced_file_keeps_its_mode(store, tmp_path):
    (tmp_path / NAME).chmod(0o640)
    store.replace(NAME, "a = 3\n", expected=ANY)
    assert (tmp_path / NAME).stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("name", ["link.toml", "folder/secret.toml", "../outside/secret.toml"])
def test_nothing_is_read_or_written_out_of_the_book(tmp_path, name):
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "secret.toml").write_text("x = 1\n")
    book = tmp_path / "book"
    book.mkdir()
    (book / "link.toml").symlink_to(outside / "secret.toml")
    (book / "folder").symlink_to(outside)
    store = Store(book)
    for attempt in (
        lambda: store.read(Path(name)),
        lambda: store.replace(Path(name), "y", expected=ANY),
        lambda: store.append(Path(name), lambda _: ["y"]),
    ):
        with pytest.raises(InputError, match="leads out of the cookbook"):
            attempt()
    assert (outside / "secret.toml").read_text() == "x = 1\n"


def test_a_planted_lock_that_is_a_link_is_not_followed(tmp_path):
    outside, book = tmp_path / "outside.txt", tmp_path / "book"
    outside.write_text("keep me")
    book.mkdir()
    (book / disk.LOCK_NAME).symlink_to(outside)
    with pytest.raises(Exception, match="could not be written"):
        Store(book).replace(NAME, "a = 1\n", expected=ANY)
    assert outside.read_text() == "keep me"


def test_a_pipe_is_no_file_and_blocks_nothing(store, tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(InputError, match="no plain file"):
        store.read(Path("pipe.toml"))


def test_sizes_are_limited_with_a_message(store, tmp_path):
    (tmp_path / NAME).write_text("#" * 5_000_001)
    with pytest.raises(InputError, match=r"5\.0 MB.*up to 5 MB"):
        store.read(NAME)
    with pytest.raises(InputError, match="up to 5 MB"):
        store.replace(Path("new.toml"), "#" * 5_000_001, expected=None)


def test_text_that_is_not_utf8_is_told_with_its_line(store, tmp_path):
    (tmp_path / NAME).write_bytes("a = 1\nb = '°'\n".encode("latin-1"))
    with pytest.raises(InputError, match=r"cook\.toml, line 2.*UTF-8"):
        store.read(NAME)


def test_a_printed_sheet_goes_where_the_cook_says(tmp_path):
    write_new(tmp_path / "sheet.html", "<p>")
    write_new(tmp_path / "sheet.html", "<b>")
    assert (tmp_path / "sheet.html").read_text() == "<b>"
    with pytest.raises(InputError, match="no folder"):
        write_new(tmp_path / "nowhere" / "sheet.html", "<p>")
