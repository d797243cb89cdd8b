"""What lies in a book and is no part of it is found, set aside where it holds nothing, and never merged."""

import dataclasses
import datetime as dt
import shutil

import pytest

from stallwise.record import disk, log
from stallwise.record.check import check
from stallwise.record.lines import Torn
from stallwise.record.names import copy_of

THERE = ["log.jsonl", "backyard.toml", "probe.csv", "probe.raw.csv", "2027-09-25-ribs", "rub.toml"]


def texts(report, level=None):
    return [one.text for one in report.findings if level in {None, one.level}]


def new_in(before, after):
    return [text for text in texts(after) if text not in texts(before)]


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("log (1).jsonl", "log.jsonl"),
        ("log (Conflict, 2027-09-25 at the pit).jsonl", "log.jsonl"),
        ("log-KITCHEN7.jsonl", "log.jsonl"),
        ("log.other-20270925-101500-AB12.jsonl", "log.jsonl"),
        ("log~2.jsonl", "log.jsonl"),
        ("Copy of log.jsonl", "log.jsonl"),
        ("backyard [copy].toml", "backyard.toml"),
        ("probe.raw (1).csv", "probe.raw.csv"),
        ("2027-09-25-ribs (2)", "2027-09-25-ribs"),
        *((name, None) for name in THERE),
        *((name, None) for name in ("probe-2.csv", "probe-2.raw.csv", "2027-09-25-ribs-2")),
        *((name, None) for name in ("rub hot.toml", "rub-two.toml", "logs.jsonl", "cook.schema-0.toml")),
    ],
)  # fmt: skip
def test_a_second_copy_is_told_by_its_name(name, other):
    assert copy_of(name, [*THERE, name]) == other


def test_a_copy_of_a_log_is_not_read_and_its_own_lines_are_named(v1):
    ribs = v1.cook("ribs")
    read, before = ribs.log(), check(v1.path)
    path, copy = ribs.path / "log.jsonl", ribs.path / "log (kitchen's copy).jsonl"
    mine = dataclasses.replace(read.lines[-1], id="only-here", note="from the other machine")
    shutil.copy(path, copy)
    log.append(v1.store, copy, [mine])
    assert ribs.log() == read
    (said,) = new_in(before, check(v1.path, repair=True))
    assert "is a second copy of log.jsonl" in said
    assert (
        f"It holds 1 lines that log.jsonl has not, the first in line {len(read.lines) + 1}" in said
    )
    assert copy.exists()
    with path.open("a") as file:  # what the message says to do
        file.write(copy.read_text().splitlines()[-1] + "\n")
    (said,) = new_in(before, check(v1.path))
    assert "--repair sets it aside" in said
    whole = copy.read_bytes()
    check(v1.path, repair=True)
    assert not copy.exists()
    aside = v1.path / "aside" / "cooks" / ribs.name / copy.name
    assert aside.read_bytes() == whole
    assert texts(check(v1.path)) == texts(before)
    assert [line.id for line in ribs.log().lines] == [
        *(line.id for line in read.lines),
        "only-here",
    ]


def test_copies_teach_nothing_and_stand_for_no_pit_mix_or_reading(v1):
    ribs, shoulder = v1.cook("ribs"), v1.cook("shoulder")
    cooks, pits, mixes = [one.name for one in v1.cooks()], v1.pits(), v1.overlay("mixes")
    readings, before = shoulder.readings(), check(v1.path)
    shutil.copytree(ribs.path, ribs.path.with_name(f"{ribs.name} (2)"))
    other = shutil.copytree(ribs.path, ribs.path.with_name(f"{ribs.name} (conflict)"))
    (other / "cook.toml").write_text((other / "cook.toml").read_text() + '\nx_more = "1"\n')
    for folder, name in (("pits", "backyard.toml"), ("mixes", "house-rub.toml")):
        path = v1.path / folder / name
        (path.parent / name.replace(".", " (1).")).write_text(path.read_text() + "\n# mine\n")
    (probe,) = (shoulder.path / "readings").glob("*probe.csv")
    shutil.copy(probe, probe.with_name("overnight-probe (1).csv"))
    (v1.path / "learned (1).json").write_text("{")
    assert [one.name for one in v1.cooks()] == cooks
    assert (v1.pits(), v1.overlay("mixes"), shoulder.readings()) == (pits, mixes, readings)
    for repair, count in ((False, 6), (True, 6), (False, 3)):
        found = new_in(before, check(v1.path, repair=repair))
        assert len(found) == count, found
    # What says something else stays and is wrong; what says the same was set aside.
    assert all("It says something else" in one for one in found)
    assert any("(conflict): is a second copy" in one and "in cook.toml" in one for one in found)


@pytest.mark.parametrize("left", ["\0\0\0", '{"schema": 1, "id": "tö', '{"a": tru', '{"a": [1, -'])
def test_a_line_that_was_cut_short_is_set_aside_also_once_others_came_after_it(v1, left):
    path = v1.cook("ribs").path / "log.jsonl"
    whole, before = path.read_bytes(), check(v1.path)
    first, rest = whole.split(b"\n", 1)
    torn = left.encode()
    path.write_bytes(first + b"\n" + torn + b"\n" + rest + torn)
    assert len([one for one in texts(check(v1.path), "wrong") if "--repair sets it" in one]) == 2
    assert len(texts(check(v1.path, repair=True), "mended")) == 2
    assert path.read_bytes() == whole
    assert path.with_name("log.torn").read_bytes() == torn + b"\n" + torn + b"\n"
    assert texts(check(v1.path)) == texts(before)


@pytest.mark.parametrize("slip", ["oh", '{"id": "a, "at": 1}', '{"id": "a}', "[1]", '{"a": 1,}'])
def test_a_slip_of_the_hand_is_left_to_the_hand(slip):
    assert not Torn(2, slip, last=False).unfinished


def test_what_was_left_before_a_rename_is_found_everywhere_and_set_aside(v1):
    ribs, before = v1.cook("ribs"), check(v1.path)
    for place in (v1.path, v1.path / "pits", ribs.path, ribs.path / "results"):
        (place / f"{disk.TEMPORARY}1").write_text("ha")
    (v1.path / "cooks" / f"{disk.TEMPORARY}2").mkdir()
    (v1.path / "cooks" / f"{disk.TEMPORARY}2" / "cook.toml").write_text("ha")
    assert len(new_in(before, check(v1.path))) == 5
    assert len(new_in(before, check(ribs.path))) == 2
    check(v1.path, repair=True)
    assert texts(check(v1.path)) == texts(before)
    kept = [path for path in (v1.path / "aside").rglob("*") if path.is_file()]
    assert [path.read_text() for path in kept] == ["ha"] * 5


def test_a_clock_that_was_put_back_is_told_and_changes_no_line(v1):
    ribs = v1.cook("ribs")
    last = ribs.log().lines[-1]
    back = dt.timedelta(minutes=58)
    # The same words at another minute are another line; a retry, whatever the clock says by then, is none.
    early = dataclasses.replace(last, id="", at=last.at - back, made=last.made - back)
    early = dataclasses.replace(early, id=log.line_id(early.at, early.piece, early.text))
    retry = dataclasses.replace(early, made=early.made + 2 * back)
    assert ribs.append([early]).written == (early,)
    assert ribs.append([retry]).already == (early.id,)
    assert ribs.log().lines[-2:] == (last, early)
    order = [line.at for line in log.effective(ribs.log().lines)]
    assert order == sorted(order)
    # Of two corrections the one that was written last counts, though its clock was an hour behind.
    first = dataclasses.replace(last, id="c1", corrects=last.id, note="first")
    second = dataclasses.replace(first, id="c2", made=last.made - back, note="second")
    ribs.append([first, second])
    (kept,) = (one for one in log.effective(ribs.log().lines) if one.id in {last.id, "c1", "c2"})
    assert kept.note == "second"
    found = [
        text for text in texts(check(v1.path), "note") if "58 min before the line above" in text
    ]
    assert len(found) == 2
