"""Side-by-sides in the notebook: planned, locked, slips a question at a time, closed; blind until then."""

import importlib.util
import re
from pathlib import Path

import pytest

from stallwise.joins.taste.slipquestions import slip_questions
from stallwise.joins.taste.tasteentry import read_slips
from stallwise.joins.taste.tasteserve import serve
from stallwise.record.trial import Trial, TrialRecord
from stallwise.record.trials import add_answers, read_trial, take_back_answers
from stallwise.surfaces.widgets.sidebysides import SideBySides
from stallwise.surfaces.widgets.tasting import Tasting
from stallwise.tables import tastings

_SPEC = importlib.util.spec_from_file_location("cooks", Path(__file__).with_name("cooks.py"))
cooks = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(cooks)


@pytest.fixture
def folder(tmp_path):
    return cooks.ribs(cooks.start_book(tmp_path))


@pytest.fixture
def panel(folder):
    desk = cooks.desk_of(folder, cooks.NIGHT)
    whole = SideBySides(desk)
    plan = whole.plan
    plan.factor.value, plan.arms.value, plan.tasters.value = "glaze", "stock, sharp", "6"
    plan.bones.value = "A=12"
    return whole


@pytest.fixture
def trial(panel):
    panel.plan.keep.click()
    (one,) = panel.each.values()
    one.lock.click()
    return one


def shown(widget):
    """All the words that a panel shows."""
    found = [str(getattr(widget, name, "")) for name in ("value", "description")]
    found += [str(getattr(widget, "options", ""))]
    return " ".join([*found, *map(shown, getattr(widget, "children", ()))])


def key(folder):
    return read_trial(folder.home, "glaze").key


def test_from_a_plan_to_what_it_shows(panel, folder):
    panel.plan.try_it.click()
    assert "With 6 tasters you would see" in panel.plan.said.value
    assert read_trial_names(folder) == []
    panel.plan.keep.click()
    (one,) = panel.each.values()
    assert "With 6 tasters" in one.head.value
    one.lock.click()
    assert "12 plates" in one.guard.box.value
    slips = one.slips
    sharp = {row.taster: row.code for row in key(folder) if row.arm == "sharp"}
    for number in range(1, 7):
        assert slips.taster.value == f"T{number}"
        slips.choice.value = sharp[f"T{number}"]
        slips.write.click()
        # It is on the disk before it is said to be.
        assert f"T{number}, {sharp[f'T{number}']}" in one.guard.box.value
        assert len(read_trial(folder.home, "glaze").answers) == number
    assert "This slip is whole" in slips.asked.value
    one.close.click()
    assert "not ticked" in one.guard.box.value
    one.all_in.value = True
    one.close.click()
    assert "sharp was liked better" in one.head.value
    assert "<svg" in one.head.value


def read_trial_names(folder):
    from stallwise.record.trials import trial_names

    return trial_names(folder.home)


def test_nothing_of_the_arms_before_it_is_closed(panel, trial, folder):
    for _ in range(3):
        words = shown(trial.widget) + shown(panel.plan.arms)
        assert not {"sharp", "stock"} & set(re.findall(r"[a-z]+", words))
        trial.slips.choice.value = trial.slips.choice.options[0][1]
        trial.slips.write.click()
    again = Tasting(cooks.desk_of(folder, cooks.NIGHT), raises=True)
    assert "sharp" not in shown(again.trials.list)


def test_an_answer_left_open_one_typed_wrong_and_one_in_lines(trial, folder):
    slips = trial.slips
    slips.write.click()
    assert "nothing is answered" in trial.guard.box.value
    first = slips.question.codes
    slips.taster.value = "T3"
    mine = slips.question.codes
    assert mine != first
    slips.choice.value = mine[1]
    slips.write.click()
    slips.wrong.value = slips.wrong.options[1][1]
    slips.back.click()
    assert read_trial(folder.home, "glaze").answers == ()
    slips.lines.value = f"T3 {mine[0]}\nT1 999\n"
    slips.read.click()
    assert "999" in trial.guard.box.value
    assert slips.lines.value  # what was not taken stays to be mended
    slips.lines.value = f"T3 {mine[0]}\nT1 {first[0]}\n"
    slips.read.click()
    assert "1 written" in trial.guard.box.value
    assert [one.taster for one in read_trial(folder.home, "glaze").answers] == ["T3", "T1"]


def test_a_taken_back_answer_leaves_what_others_wrote(trial, folder):
    book = folder.home
    codes = {row.taster: row.code for row in key(folder)}
    record = read_trial(book, "glaze")
    typed = read_slips([f"T1 {codes['T1']}", f"T2 {codes['T2']}"], record, folder.name)
    add_answers(book, folder.name, typed.answers)
    path = folder.path / "tastings.csv"
    path.write_text(path.read_text().replace("said\n", "said,mine\n").replace(",\n", ",,sunny\n"))
    (first, _) = read_trial(book, "glaze").answers
    assert take_back_answers(book, folder.name, [first]) == 1
    assert take_back_answers(book, folder.name, [first]) == 0
    assert [one.taster for one in read_trial(book, "glaze").answers] == ["T2"]
    assert "sunny" in path.read_text()


@pytest.mark.parametrize("way", tastings.methods())
def test_every_answer_of_every_way_is_read_and_closes_its_question(way):
    method = tastings.method(way)
    arms = ["stock", "sharp", "tart"][: max(method.arms_from, 2)]
    more = {"attribute": "smoky", "expect": arms[-1]} if method.asks == "more" else {}
    trial = Trial(
        question="q", asks=method.asks, factor="glaze", arms=arms, method=way, tasters=3,
        cooks=["c"], also=["sweet", "chews", "off-flavour"], **more,
    )  # fmt: skip
    record = TrialRecord("x", trial, serve(trial, "c").key, ())
    for one in slip_questions(record, "c", "T2"):
        said = [value for _, value in one.choices] or [" ".join(one.codes) if one.order else "6"]
        for each in said:
            typed = read_slips([one.line(each)], record, "c")
            assert typed.questions == ()
            after = TrialRecord("x", trial, record.key, typed.answers)
            (same,) = [
                other
                for other in slip_questions(after, "c", "T2")
                if (other.codes, other.asked) == (one.codes, one.asked)
            ]
            assert not same.open
        assert not any(arm in f"{one.text} {one.choices}" for arm in arms)


@pytest.mark.parametrize(
    ("box", "value", "said"),
    [
        ("tasters", "a few", "whole number"),
        ("arms", "stock", "two or more"),
        ("bones", "Z=4", "A=12"),
    ],
)
def test_a_plan_that_cannot_be_is_told_and_stays(panel, folder, box, value, said):
    getattr(panel.plan, box).value = value
    panel.plan.keep.click()
    assert said in panel.plan.guard.box.value
    assert getattr(panel.plan, box).value == value
    assert read_trial_names(folder) == []
