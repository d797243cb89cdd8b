"""Logs are only added to; a retry is not a second line; corrections are new lines."""

import dataclasses
import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, WorkError
from stallwise.record import lines, log
from stallwise.record.folder import Cookbook
from stallwise.record.log import LogLine, effective, line_id, withdrawal
from stallwise.record.problems import RecordError
from stallwise.record.schema import Book
from stallwise.record.store import Store

AT = dt.datetime(2027, 9, 25, 13, 10, tzinfo=dt.UTC)
PATH = Path("cooks/x/log.jsonl")


def _line(name, minute=0, **more):
    at = AT + dt.timedelta(minutes=minute)
    return LogLine(id=name, at=at, what=more.pop("what", "spritz"), made=AT, **more)


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path)


TEXTS = st.text(st.characters(codec="utf-8"), max_size=30)
INSTANTS = st.datetimes(dt.datetime(1990, 1, 1), dt.datetime(2100, 1, 1), timezones=st.just(dt.UTC))  # noqa: DTZ001
LINES = st.builds(
    LogLine,
    id=st.text("abc123", min_size=1, max_size=8),
    at=INSTANTS,
    what=st.sampled_from(["wrapped", "note", "moved"]),
    made=INSTANTS,
    piece=st.sampled_from(["", "A"]),
    text=TEXTS,
    note=TEXTS,
    about=st.booleans(),
    data=st.dictionaries(
        st.sampled_from(["kind", "to"]),
        st.one_of(TEXTS, st.floats(allow_nan=False, allow_infinity=False)),
        max_size=2,
    ),
    corrects=st.sampled_from([None, "a", "b"]),
    source=st.sampled_from(["command", "paper"]),
    extra=st.dictionaries(st.sampled_from(["weather", "moon"]), TEXTS, max_size=2),
)


@given(written=st.lists(LINES, max_size=6, unique_by=lambda line: line.id))
def test_lines_read_back_as_they_were_added_and_twice_adds_nothing(written, tmp_path_factory):
    store = Store(tmp_path_factory.mktemp("log"))
    assert log.append(store, PATH, written).written == tuple(written)
    before = store.read_bytes(PATH) if written else b""
    assert log.append(store, PATH, written).already == tuple(line.id for line in written)
    assert (store.read_bytes(PATH) if written else b"") == before
    assert log.read(store, PATH).lines == tuple(written)


def test_a_line_once_written_is_never_touched(store):
    log.append(store, PATH, [_line("a", text="first")])
    before = store.read_bytes(PATH)
    done = log.append(store, PATH, [_line("a", text="again"), _line("b"), _line("b", text="twice")])
    assert [line.id for line in done.written] == ["b"]
    assert done.already == ("a",)
    assert store.read_bytes(PATH).startswith(before)
    assert [line.text for line in log.read(store, PATH).lines] == ["first", ""]


def test_a_torn_last_line_is_left_out_told_and_ended_before_the_next(store):
    log.append(store, PATH, [_line("a")])
    whole = store.read_bytes(PATH)
    (store.root / PATH).write_bytes(whole + b'{"schema": 1, "id": "to')
    read = log.read(store, PATH)
    assert [line.id for line in read.lines] == ["a"]
    assert read.torn == (lines.Torn(2, '{"schema": 1, "id": "to', last=True),)
    log.append(store, PATH, [_line("b")])
    read = log.read(store, PATH)
    assert [line.id for line in read.lines] == ["a", "b"]
    assert read.torn == (lines.Torn(2, '{"schema": 1, "id": "to', last=False),)


@pytest.mark.parametrize("number", ["9" * 400, "-" + "9" * 400, "NaN", "-Infinity"])
def test_a_number_that_nothing_can_be_reckoned_with_makes_a_line_unreadable(store, number):
    row = f'{{"id": "f", "pieces": {{"A": {number}}}}}'.encode()
    assert [one.line for one in lines.read_text(row, file="x").torn] == [1]
    (store.root / "learned.json").write_bytes(row)
    with pytest.raises(InputError, match="cannot be read"):
        Cookbook(store.root, Book(title="x")).learned()


def test_a_last_line_that_lacks_only_its_end_is_whole(store):
    log.append(store, PATH, [_line("a")])
    (store.root / PATH).write_bytes(store.read_bytes(PATH).rstrip(b"\n"))
    log.append(store, PATH, [_line("b")])
    assert [line.id for line in log.read(store, PATH).lines] == ["a", "b"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (
            '{"id": "a", "at": "2027-09-25T13:10:00Z", "made": "2027-09-25T13:10:00Z"}',
            "what: this key is missing",
        ),
        ('{"id": "a", "at": "13:10", "what": "x", "made": "2027-09-25T13:10:00Z"}', "'13:10' came"),
        (
            '{"id": "a", "at": "2027-09-25T13:10:00", "what": "x", "made": "2027-09-25T13:10:00Z"}',
            "offset",
        ),
        (
            '{"id": 5, "at": "2027-09-25T13:10:00Z", "what": "x", "made": "2027-09-25T13:10:00Z"}',
            "id: 5 came",
        ),
        ('{"schema": 9, "id": "a"}', "newer stallwise"),
    ],
)
def test_a_wrong_hand_edit_of_a_line_is_told_with_its_line(store, row, words):
    log.append(store, PATH, [_line("a")])
    with (store.root / PATH).open("a") as file:
        file.write(f"{row}\n{row}\n")
    with pytest.raises(RecordError, match=words) as error:
        log.read(store, PATH)
    assert {problem.line for problem in error.value.problems} == {2, 3}
    assert str(error.value).startswith("cooks/x/log.jsonl, line 2")


def test_corrections_stand_in_for_what_they_correct():
    first, second = _line("a", 5, data={"kind": "foil"}), _line("b", 1)
    corrected = dataclasses.replace(first, id="c", at=AT, corrects="a", data={"kind": "paper"})
    again = dataclasses.replace(corrected, id="d", note="second thought", corrects="c")
    log_lines = [first, second, corrected, again]
    assert effective(log_lines) == (again, second)
    assert effective([*log_lines, withdrawal(second, made=AT)]) == (again,)
    assert effective([second, dataclasses.replace(first, corrects="gone")])[-1].id == "a"
    assert effective([dataclasses.replace(second, corrects="b")])[0].id == "b"


def test_the_same_line_typed_twice_has_the_same_id():
    name = line_id(AT, "A", "1310  Wrapped FOIL")
    assert name == line_id(AT, "A", "1310 wrapped foil")
    others = [line_id(AT, "B", "1310 wrapped foil"), line_id(AT, "A", "1310 wrapped foil", 2)]
    assert len({name, *others}) == 3


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(InputError, match="time zone"):
        LogLine(id="a", at=AT.replace(tzinfo=None), what="note", made=AT)


def test_a_log_is_limited_with_a_message(store, monkeypatch):
    monkeypatch.setattr(lines, "LOG_LINES", 3)
    log.append(store, PATH, [_line(str(number)) for number in range(3)])
    with pytest.raises(WorkError, match=r"would have 4 lines.*up to 3"):
        log.append(store, PATH, [_line("x")])
    with pytest.raises(InputError, match="up to 64000 bytes"):
        log.append(store, Path("y.jsonl"), [_line("x", note="n" * 70_000)])
    with pytest.raises(InputError, match="cannot be written"):
        log.append(store, Path("y.jsonl"), [_line("x", data={"v": float("nan")})])
