"""Old files are read as if they were new, and stay old on the disk until they are saved."""

import json
import tomllib

import pytest

from stallwise.record import migrate, toml
from stallwise.record.problems import RecordError
from stallwise.record.schema import SCHEMA

COOK = "first-ribs"


def _bytes(book):
    return {path: path.read_bytes() for path in book.path.rglob("*") if path.is_file()}


def test_a_book_of_schema_0_opens_and_is_not_rewritten(v0):
    before = _bytes(v0)
    record = v0.cook(COOK).load()
    assert record.book.time_zone == "Etc/UTC"
    assert record.cook.serve == "18:00"
    assert record.cook.pieces[0].mass == "3 lb"
    assert record.cook.pieces[0].wrap == "foil"
    assert record.pits["drum"].kind == "closed"
    assert [line.what for line in record.log] == ["meat_on", "wrapped", "served"]
    assert record.state == "finished"
    assert _bytes(v0) == before


def test_saving_an_old_file_keeps_it_beside_and_keeps_its_comments(v0):
    folder = v0.cook(COOK)
    old = folder.text()
    saved = folder.save({"next_time": "earlier"})
    assert saved.kept is not None
    assert saved.kept.read_text() == old
    new = tomllib.loads(folder.text())
    assert new["schema"] == SCHEMA
    assert new["serve"] == "18:00"
    assert new["next_time"] == "earlier"
    assert new["grandmother"] == "said so"
    assert "serving" not in new
    for comment in ("# the first one ever", "# now serve", "# the only rack", "# now mass"):
        assert comment in folder.text()
    assert folder.save({"guests": 4}).kept is None


def test_settings_of_schema_0_can_be_saved(v0):
    assert v0.save({"title": "New"}).book.title == "New"
    assert "# now time_zone" in v0.store.read(v0.path / "cookbook.toml")


def test_a_migration_does_not_change_what_it_is_given():
    data = {"schema": 0, "pieces": [{"weight": "1 lb"}]}
    before = json.dumps(data)
    assert migrate.migrated("cook", data, file="x")["pieces"] == [{"mass": "1 lb"}]
    assert json.dumps(data) == before


def test_an_error_in_an_old_file_is_told_under_the_new_name(v0):
    path = v0.cook(COOK).path / "cook.toml"
    path.write_text(path.read_text().replace('"3 lb"', '"3"'))
    with pytest.raises(RecordError, match=r"cook\.toml, line \d+, pieces\.A\.mass"):
        v0.cook(COOK).read()


def test_every_kind_goes_all_the_way():
    kinds = {kind for kind, _ in migrate.MIGRATIONS}
    assert kinds >= set(toml.KINDS.values()) | {"log"}
    assert {(kind, step) for kind in kinds for step in range(SCHEMA)} == set(migrate.MIGRATIONS)
