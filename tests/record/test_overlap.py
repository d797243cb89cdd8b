"""Readings over earlier ones: asked, and one of three things; never half of them."""

import datetime as dt
import json

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.folder import Cookbook
from stallwise.record.frame import Answers
from stallwise.record.leftout import BY_HAND, bring_back, leave_out, left_out
from stallwise.record.readings import of_letter
from stallwise.record.store import Store

DAY = dt.date(2027, 9, 25)
ZERO = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
PLAN = 'schema = 1\ntitle = "r"\ndate = 2027-09-25\n[[pieces]]\nletter = "A"\ncut = "c"\non = "06:00"\n'


@pytest.fixture
def cook(tmp_path):
    return Cookbook.start(tmp_path / "book", "x").new_cook("r", DAY, PLAN)


def log(tmp_path, name, values, step=10, start=0):
    rows = "".join(
        f"2027-09-25 {6 + (start + n * step) // 60:02d}:{(start + n * step) % 60:02d},{value}\n"
        for n, value in enumerate(values)
    )
    path = tmp_path / name
    path.write_text(f"time,core (C)\n{rows}")
    return path


def core(cook):
    (one,) = of_letter(cook.readings(), "A")
    times, values = one.elapsed(ZERO)
    return [(round(t / 60), v) for t, v in zip(times, values, strict=True)]


@pytest.fixture
def first(cook, tmp_path):
    cook.add_readings(log(tmp_path, "one.csv", [10, 11, 12, 13]))
    return cook


def test_other_readings_of_the_same_time_are_asked_about_and_not_written(first, tmp_path):
    there = {path: path.read_bytes() for path in (first.path / "readings").iterdir()}
    path = log(tmp_path, "two.csv", [20, 21, 22, 23], start=20)
    (ask,) = first.add_readings(path).questions
    assert all(word in ask for word in ("one", "skip", "merge", "replace"))
    assert first.add_readings(path, dry_run=True).questions == (ask,)
    assert {path: path.read_bytes() for path in (first.path / "readings").iterdir()} == there
    with pytest.raises(InputError, match="skip, merge, replace"):
        first.add_readings(path, over="both")


@pytest.mark.parametrize(
    ("over", "values"),
    [
        ("skip", [(0, 10), (10, 11), (20, 12), (30, 13), (35, 22), (45, 23)]),
        ("merge", [(0, 10), (10, 11), (15, 20), (20, 12), (25, 21), (30, 13), (35, 22), (45, 23)]),
        ("replace", [(0, 10), (10, 11), (15, 20), (25, 21), (35, 22), (45, 23)]),
    ],
)
def test_the_three_ways(first, tmp_path, over, values):
    old = (first.path / "readings" / "one.csv").read_bytes()
    report = first.add_readings(log(tmp_path, "two.csv", [20, 21, 22, 23], start=15), over=over)
    assert report.written[-1] == "two.csv"
    assert core(first) == values
    assert (first.path / "readings" / "one.csv").read_bytes() == old


def test_a_second_probe_in_a_piece_is_merged_whole(first, tmp_path):
    path = tmp_path / "two.csv"
    rows = "".join(f"2027-09-25 06:{n}0,{30 + n}\n" for n in range(4))
    path.write_text(f"time,core B (C)\n{rows}")
    said = Answers(columns={"core B": "A"})
    assert first.add_readings(path, said).questions
    first.add_readings(path, said, over="merge")
    assert [len(one.at) for one in of_letter(first.readings(), "A")] == [4, 4]


def test_what_was_replaced_says_so_and_comes_back_with_the_new_import_taken_away(first, tmp_path):
    first.add_readings(log(tmp_path, "two.csv", [20, 21], start=15), over="replace")
    old = next(one for one in first.readings() if one.file.endswith("one.csv"))
    assert [(d.celsius, d.reason) for d in old.dropped] == [(12.0, "replaced by two")]
    for path in (first.path / "readings").glob("two*"):
        path.unlink()
    assert core(first) == [(0, 10), (10, 11), (20, 12), (30, 13)]


def test_a_file_read_in_another_way_may_take_its_own_place(first, tmp_path):
    path = tmp_path / "one.csv"
    with pytest.raises(InputError, match="--overlap replace"):
        first.add_readings(path, Answers(columns={"core": "A F"}))
    first.add_readings(path, Answers(columns={"core": "A F"}), over="replace")
    assert core(first)[0][1] == pytest.approx((10 - 32) / 1.8, abs=0.001)
    assert len(core(first)) == 4


def test_readings_beside_earlier_ones_are_not_asked_about(first, tmp_path):
    assert first.add_readings(log(tmp_path, "two.csv", [20, 21], start=60)).written
    assert len(core(first)) == 6
    (one,) = of_letter(first.readings(), "A")
    assert list(one.at) == sorted(one.at)


@pytest.mark.parametrize("step", [1, 2, 3])
def test_an_import_that_breaks_off_has_not_happened(first, tmp_path, monkeypatch, step):
    before = core(first)
    real, calls = Store.replace, []

    def torn(self, path, *args, **more):
        calls.append(path)
        if len(calls) == step:
            raise KeyboardInterrupt
        return real(self, path, *args, **more)

    path = log(tmp_path, "two.csv", [20, 21], start=15)
    # The power goes: nothing takes back what was written.
    monkeypatch.setattr(Store, "remove_new", lambda *_: None)
    monkeypatch.setattr(Store, "replace", torn)
    with pytest.raises(KeyboardInterrupt):
        first.add_readings(path, over="replace")
    monkeypatch.undo()
    assert core(first) == before
    assert first.add_readings(path, over="replace").written
    assert len(core(first)) == 5


def test_what_was_left_out_is_numbered_and_comes_back(cook, tmp_path):
    path = log(tmp_path, "one.csv", ["63.1", "85.0", "63.2", "wet", "63.4", "-127"], step=1)
    cook.add_readings(path)
    out = left_out(cook.own_readings())
    assert [(each.number, each.dropped[0].value) for each in out] == [
        (1, "85.0"),
        (2, "wet"),
        (3, "-127"),
    ]
    with pytest.raises(InputError, match="'wet'"):
        bring_back(cook, [2])
    with pytest.raises(NotFoundError, match="'9'"):
        bring_back(cook, [9])
    bring_back(cook, [1])
    assert core(cook) == [(0, 63.1), (1, 85.0), (2, 63.2), (4, 63.4)]
    bring_back(cook, [])
    assert len(core(cook)) == 5
    # Not asked and not dropped again: it is the same import.
    assert cook.add_readings(path).already == "one"


def test_a_stretch_is_left_out_by_hand_and_comes_back(first):
    text = (first.path / "readings" / "one.csv").read_text()
    count = leave_out(
        first, "core (C)", ZERO + dt.timedelta(minutes=5), ZERO + dt.timedelta(minutes=25)
    )
    assert count == 2
    assert core(first) == [(0, 10), (30, 13)]
    (run,) = left_out(first.own_readings())
    assert run.reason == BY_HAND
    bring_back(first, [1])
    assert (first.path / "readings" / "one.csv").read_text() == text
    with pytest.raises(NotFoundError, match="Nearest: core"):
        leave_out(first, "cor (C)", ZERO, ZERO)


def test_the_record_of_an_import_names_what_it_replaced(first, tmp_path):
    first.add_readings(log(tmp_path, "two.csv", [20, 21], start=15), over="replace")
    told = json.loads((first.path / "readings" / "two.json").read_text())
    assert (
        told["replaces"][0] | {"file": "one", "piece": "A", "place": "core"} == told["replaces"][0]
    )


def test_a_probe_named_by_its_header_or_by_column_is_one_probe(first, tmp_path):
    path = log(tmp_path, "two.csv", [20, 21, 22, 23], start=15)
    said = Answers(columns={"core": "A"})
    (ask,) = first.add_readings(path, said).questions
    assert "skip" in ask
    first.add_readings(path, said, over="skip")
    assert len(of_letter(first.readings(), "A")) == 1


@pytest.mark.parametrize(
    ("over", "words"),
    [
        ("skip", "2 of 4 readings would be added, 2 skipped"),
        ("merge", "4 of 4 readings would be added, 0 skipped"),
    ],
)
def test_a_dry_run_says_how_many_would_be_added_and_skipped(first, tmp_path, over, words):
    path = log(tmp_path, "two.csv", [20, 21, 22, 23], start=15)
    report = first.add_readings(path, over=over, dry_run=True)
    assert any(words in note for note in report.notes), report.notes
