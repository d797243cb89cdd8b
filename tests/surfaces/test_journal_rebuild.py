"""Only what changed is made again."""

from __future__ import annotations

import dataclasses
import datetime as dt
import importlib.util
import runpy
import shutil
from pathlib import Path

import pytest

from stallwise.ground import usercache
from stallwise.surfaces.journal import basis, publish

_HERE = Path(__file__)
_SPEC = importlib.util.spec_from_file_location("cooks", _HERE.with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)
_MADE = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))
MADE_AT = dt.datetime(2027, 11, 1, tzinfo=dt.UTC)


@pytest.fixture
def book(tmp_path):
    """Two cooks that were started and are over, on the disk."""
    book = cooks.start_book(tmp_path)
    for make in (cooks.shoulder, cooks.ribs):
        folder = make(book)
        day = dt.datetime.combine(folder.read().date, dt.time(6), dt.UTC)
        lines = [("meat_on", piece.letter, day) for piece in folder.read().pieces] + [
            ("off", piece.letter, day + dt.timedelta(hours=9)) for piece in folder.read().pieces
        ]
        from stallwise.record.log import LogLine

        folder.append(
            [
                LogLine(
                    id=f"{what}{piece}", at=at, what=what, piece=piece, made=at, source="command"
                )
                for what, piece, at in lines
            ]
        )
    return book


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """Keep what is kept for the user beside the test."""
    monkeypatch.setattr(usercache.platformdirs, "user_cache_path", lambda _: tmp_path / "cache")


def cache_of(book):
    return [*(book.path.parent / "cache" / "lending").glob("*.json")]


def made(book, *chosen):
    shoulder = _MADE["shoulder"]()

    def answer(record, **_):
        return dataclasses.replace(
            shoulder, cook=record.name, title=record.cook.title, date=record.cook.date
        )

    report = publish(book, chosen, book.path / "journal", made_at=MADE_AT, answer=answer)
    assert not report.troubles
    return [Path(page).stem for page in report.written[:-1]]


def test_a_page_is_made_again_only_where_something_changed(book):
    ribs, shoulder = book.cooks()
    assert made(book) == [ribs.name, shoulder.name]
    before = {path: path.stat().st_mtime_ns for path in (book.path / "journal").rglob("*.*")}
    assert made(book) == []
    after = {path: path.stat().st_mtime_ns for path in (book.path / "journal").rglob("*.*")}
    assert {path.name for path in after if after[path] != before.get(path)} <= {".journal.lock"}
    ribs.save({"outcome": "Both bit clean."})
    assert made(book) == [ribs.name]
    assert "Both bit clean." in (book.path / "journal" / "index.html").read_text("utf-8")
    # One that is named is made again in any case.
    assert made(book, shoulder) == [shoulder.name]
    (book.path / "journal" / "cooks" / f"{shoulder.name}.html").unlink()
    assert made(book) == [shoulder.name]


def test_a_forecast_that_was_kept_makes_its_page_again_and_no_other_result_does(book):
    ribs, _ = book.cooks()
    made(book)
    results = ribs.path / "results"
    results.mkdir(exist_ok=True)
    (results / "result.json").write_text("{}")
    assert made(book) == []
    (results / "forecasts.jsonl").write_text("{}\n")
    assert made(book) == [ribs.name]


def test_what_all_cooks_share_makes_all_again(book):
    ribs, shoulder = book.cooks()
    made(book)
    (book.path / "mixes" / "new.toml").write_text('schema = 1\nname = "x"\nkind = "rub"\n')
    assert made(book) == [ribs.name, shoulder.name]
    assert made(book) == []


def test_what_a_cook_lends_makes_those_again_that_may_take_it(book):
    ribs, shoulder = book.cooks()
    text = cooks.SHOULDER.replace("2027-09-25", "2027-10-09")
    later = book.new_cook("later shoulder", dt.date(2027, 10, 9), text)
    shutil.copy(shoulder.path / "log.jsonl", later.path)
    made(book)
    for change in ({"pieces.A.mass_edible": "4 lb"}, {"teaches": False}):
        shoulder.save(change)
        assert made(book) == [later.name, shoulder.name]
        later.save(change)
        assert made(book) == [later.name]
    # What was learned of a day is known to those after it alone.
    lesson = {"cook": ribs.name, "date": "2027-10-02", "knowledge": "k", "pits": {}, "cuts": {}}
    book.write_learned({"cooks": [lesson]})
    assert made(book) == [later.name]
    book.write_learned({"cooks": [{**lesson, "knowledge": "k2"}]})
    assert made(book) == [later.name]
    ribs.save({"mixes+": {"mix": "bone-stock", "from": f"{shoulder.name}/A", "take": "1 lb"}})
    assert made(book) == [ribs.name]
    shoulder.save({"pieces.A.mass_saved": "2 lb"})
    assert made(book) == [ribs.name, shoulder.name]


def test_what_was_read_of_other_cooks_is_kept_in_the_users_cache_and_not_needed(book, monkeypatch):
    from stallwise.surfaces.journal import lending

    made(book)
    with monkeypatch.context() as m:
        m.setattr(lending, "_read", lambda cook: pytest.fail(f"{cook.name} was read again"))
        assert made(book) == []
    for spoilt in (b"", b"{", b'{"schema": 1}', b'{"cooks": {"x": [1, 2]}, "schema": 1}', b"[]"):
        for path in cache_of(book):
            path.write_bytes(spoilt)
        assert made(book) == []
    kept = b"".join(path.read_bytes() for path in cache_of(book))
    assert kept.startswith(b"{")


def test_another_table_or_form_of_the_program_makes_all_again(book, root, tmp_path, monkeypatch):
    for kind in ("data", "templates"):
        left = shutil.ignore_patterns("sample")
        shutil.copytree(root / kind, tmp_path / "own" / kind, ignore=left)
    monkeypatch.setattr(basis.assets, "folder", lambda kind: tmp_path / "own" / kind)
    assert len(made(book)) == 2
    assert made(book) == []
    for changed in ("data/cuts/lamb-shoulder.toml", "templates/journal/base.html"):
        path = tmp_path / "own" / changed
        path.write_text(path.read_text() + "\n")
        assert len(made(book)) == 2
        assert made(book) == []
