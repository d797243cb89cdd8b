"""A trial from the question to the paragraph, as a cook goes through it."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from stallwise.ground.errors import InputError
from stallwise.joins.taste import tasteplan
from stallwise.joins.taste.tastebefore import before_words, draft_trial, serving_words
from stallwise.joins.taste.tasteentry import read_slips
from stallwise.joins.taste.tasteresult import trial_result, trial_results
from stallwise.joins.taste.tasteserve import serve
from stallwise.joins.taste.tastewords import also_words, behind, count_words, headline, paragraph
from stallwise.record.trial import Answer, Trial, TrialRecord
from stallwise.tables.tastings import rule

AT = dt.datetime(2026, 7, 18, 20, 0, tzinfo=dt.UTC)
ARMS = ["the stock glaze", "the sharp glaze"]
SHARP = ARMS[1]
BONES = {"A": 12, "B": 12}
COOK = "c"


def made(**chosen):
    """A closed trial of two glazes on two racks, plated by somebody else, with changes."""
    values = {
        "asks": "like", "factor": "glaze", "arms": ARMS, "tasters": 8, "bones": BONES,
        "plated_by": "someone else", **chosen,
    }  # fmt: skip
    closed = values.pop("closed", {"at": AT})
    return Trial.model_validate({"closed": closed, **draft_trial(COOK, **values)})


def answered(trial, answer):
    """Record in which `answer(taster, rows of a set)` gives rows of (codes, asked, said)."""
    key = serve(trial, COOK).key
    sets = {}
    for row in key:
        sets.setdefault((row.taster, row.set), []).append(row)
    rows = [
        Answer(line, COOK, "t", taster, tuple(codes), asked, said)
        for line, (taster, codes, asked, said) in enumerate(
            [(taster, *one) for (taster, _), of in sets.items() for one in answer(taster, of)], 2
        )
    ]
    return TrialRecord("t", trial, key, tuple(rows))


def votes(count):
    """The first so many sets go to the sharp glaze."""
    to_come = iter([SHARP] * count + [ARMS[0]] * 99)

    def answer(_, rows):
        arm = next(to_come)
        yield [next(row.code for row in rows if row.arm == arm)], "", ""

    return answer


def points(more):
    """Liking 6 for the stock glaze, so much more for the sharp one, a list by taster."""

    def answer(taster, rows):
        for row in rows:
            value = 6 + (more[int(taster[1:]) - 1] if row.arm == SHARP else 0)
            yield [row.code], "liking", str(value)

    return answer


def told(record):
    result = trial_result(record)
    return result, " ".join(paragraph(result))


# --- before ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asks", "arms", "sets", "method"),
    [("like", 2, 1, "which-like"), ("like", 2, 3, "like-score"), ("like", 3, 1, "order-like"),
     ("more", 2, 1, "which-more"), ("more", 4, 1, "order-more"), ("tell", 2, 1, "two-pairs")],
)  # fmt: skip
def test_three_questions_pick_the_way_of_asking(asks, arms, sets, method):
    assert tasteplan.choose_method(asks, arms, sets=sets).key == method


def test_with_little_meat_three_plates_do():
    assert tasteplan.choose_method("tell", 2, plates=3).key == "odd-one-out"
    with pytest.raises(InputError, match="two arms for 'tell'"):
        tasteplan.choose_method("tell", 2, plates=2)


@pytest.mark.parametrize(
    ("factor", "racks", "layout"),
    [("glaze", 1, "there and back"), ("finishing salt", 2, "there and back"),
     ("rub", 1, "blocks of three"), ("mop", 2, "crossed over"), ("mop", 1, "half and half"),
     ("membrane", 2, "rack by rack")],
)  # fmt: skip
def test_what_can_be_laid_on_a_bone_is(factor, racks, layout):
    assert tasteplan.choose_layout(factor, racks, 2) == layout


def test_a_membrane_asks_for_a_second_rack():
    with pytest.raises(InputError, match=r"2 pieces or more.*Cook 1 more"):
        made(factor="membrane", bones={"A": 12})


def test_before_says_what_could_be_seen_and_what_less_takes():
    said = " ".join(before_words(made(asks="more", attribute="smoky", tasters=5, sets=2)))
    assert "With 5 tasters and 2 sets of plates each you would see a difference that" in said
    assert (
        "4 times in 5; for less you need more: about 33 answers for 76 of 100, which these find"
        in said
    )
    assert "24 bones, 20 bites" in said
    half = " ".join(before_words(made(layout="half and half")))
    assert "6 bones apart: whatever changes along the rack will look like the arm" in half


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({"tasters": 5}, "6 tasters or more.*smallest that could work is 6"),
        ({"tasters": 2, "asks": "tell", "bones": {}}, "3 tasters or more"),
        ({"tasters": 2, "arms": ["a", "b", "c"]}, "3 tasters or more"),
        ({"arms": ["a"], "method": "which-like"}, "compares with nothing"),
        ({"asks": "more"}, "more of what"),
        ({"also": ["smoky", "sweet", "salt", "tang", "bitter"]}, "5 at most, liking first"),
        ({"method": "two-pairs"}, "'like' is asked"),
        ({"method": "most-of-three", "asks": "more", "attribute": "smoky"}, "expect"),
    ],
)  # fmt: skip
def test_what_can_show_nothing_is_refused_with_what_could(chosen, words):
    with pytest.raises(InputError, match=words):
        made(**chosen)


def test_a_slip_in_a_file_holds_as_many_as_one_that_is_planned():
    most = int(rule("sheet.attributes")) - 1
    values = made().model_dump() | {"closed": None}
    Trial.model_validate({**values, "also": ["sweet"] * most})
    with pytest.raises(ValueError, match="at most 4"):
        Trial.model_validate({**values, "also": ["sweet"] * (most + 1)})


def test_liking_comes_first_on_the_slip():
    trial = made(asks="more", attribute="smoky", also=["sweet", "liking"])
    assert trial.also == ["liking", "sweet"]


# --- plates ---------------------------------------------------------------------------


def test_every_taster_gets_neighbouring_bones_and_ends_are_left_over():
    trial = made()
    serving = serve(trial, COOK)
    assert len(serving.key) == 16
    assert len({(row.piece, row.bone) for row in serving.key}) == 16
    for taster in {row.taster for row in serving.key}:
        one, other = (row for row in serving.key if row.taster == taster)
        assert {one.arm, other.arm} == set(ARMS)
        assert abs(one.bone - other.bone) <= 1
    assert {bone for _, bone in serving.left_over} >= {1, 12}
    first = [row.arm for row in serving.key if row.place == 1]
    assert first.count(SHARP) == 4
    assert "A1" in " ".join(serving_words(trial, serving))


def test_a_second_weekend_has_other_codes():
    trial = made()
    again = trial.model_copy(update={"racks": [*trial.racks, *(
        rack.model_copy(update={"cook": "d"}) for rack in trial.racks)]})  # fmt: skip
    keys = [serve(again, cook).key for cook in (COOK, "d")]
    codes, begins = (
        [[getattr(row, name) for row in key if row.place == 1] for key in keys]
        for name in ("code", "arm")
    )
    assert codes[0] != codes[1]
    assert begins[0] != begins[1]
    assert keys[0] == serve(trial, COOK).key  # the first weekend stays as it was drawn


@pytest.mark.parametrize(
    ("chosen", "words"),
    [({"tasters": 8, "asks": "tell"}, "32 bites and 24 bones"), ({"sets": 5, "tasters": 2}, "8 at most")],
)  # fmt: skip
def test_too_many_bites_are_refused(chosen, words):
    values = {"asks": "like", "question": "?", "factor": "glaze", "arms": ARMS, "method": "two-pairs"
              if chosen.get("asks") == "tell" else "like-score", "tasters": 8, "layout": "there and back",
              "racks": [{"cook": COOK, "piece": letter, "bones": 12} for letter in "AB"], **chosen}  # fmt: skip
    with pytest.raises(InputError, match=words):
        serve(Trial.model_validate(values), COOK)


# --- the paragraph --------------------------------------------------------------------


def test_nothing_shown_says_what_could_not_have_been_seen():
    result, said = told(answered(made(), votes(5)))
    assert result.verdict == "not shown"
    assert "5 of 8 tasters liked the sharp glaze better, 3 the stock glaze." in said
    assert "Tossing a coin comes out at least that uneven 73 times in 100." in said
    assert "only a liking that 97 of 100 people share would have been found 4 times in 5" in said
    assert "You could not have seen a smaller one." in said
    assert "Anything from 24 to 91 of 100 for the sharp glaze still fits" in said
    assert "One more rack, with 14 tasters in all" in said
    assert result.dots.rows[0].dots[0] == ("T1", 1.0)


def right_of(count):
    """Four plates in two pairs: the first so many sets come out right."""
    to_come = iter([True] * count + [False] * 99)

    def answer(_, rows):
        ok = next(to_come)
        alike = [row.code for row in rows[1:] if (row.arm == rows[0].arm) == ok]
        yield [rows[0].code, alike[0]], "", ""

    return answer


def test_few_right_answers_say_what_as_good_as_each_other_takes():
    few, said = told(answered(made(asks="tell", tasters=8, bones={}), right_of(2)))
    assert "similar_p" not in few.figures
    assert "where nobody can tell, about 39 answers show it 4 times in 5." in said
    some, said = told(answered(made(asks="tell", tasters=20, sets=2, bones={}), right_of(17)))
    assert some.figures["similar_p"] > rule("alpha")
    assert "39 answers show it 4 times in 5; as many as here do 77 times in 100." in said
    _, said = told(answered(made(asks="tell", tasters=20, sets=2, bones={}), right_of(13)))
    assert "near enough to call them as good as each other" in said
    assert "39 answers" not in said


def test_shown_asks_for_another_cook():
    result, said = told(answered(made(), votes(8)))
    assert (result.verdict, result.leader) == ("shown", SHARP)
    assert said.startswith("Shown here: the sharp glaze was liked better. All 8 tasters")
    assert "another cook with the arms swapped is needed" in said
    assert "could not have seen" not in said


@pytest.mark.parametrize(
    ("plated_by", "words"),
    [("someone else", "Blind: someone"), ("the cook, tasting last", "Nearly blind"),
     ("the cook", "Not blind: who tasted knew"), (None, "nobody wrote down who plated")],
)  # fmt: skip
def test_who_knew_is_said(plated_by, words):
    _, said = told(answered(made(plated_by=plated_by), votes(8)))
    assert words in said
    assert ("not blind" in said.split(".")[0]) == (plated_by in {None, "the cook"})


@pytest.mark.parametrize("plated_by", ["someone else", "the cook, tasting last"])
def test_arms_that_look_different_are_not_blind_to_the_eye(plated_by):
    trial = made(plated_by=plated_by, look_alike=False)
    _, said = told(answered(trial, votes(8)))
    assert said.startswith("It leans clearly, but the arms looked different: the sharp glaze was")
    assert "but for the look: " in said
    assert "Good evidence" not in said
    _, said = told(answered(trial, votes(6)))
    assert said.startswith(
        "Not shown: it leans to the sharp glaze, and that could be chance or the look of it."
    )
    _, said = told(answered(made(plated_by="the cook", look_alike=False), votes(8)))
    assert said.startswith("It leans clearly, but not blind")


def test_half_and_half_is_told_as_mixed_up():
    trial = made(layout="half and half", bones={"A": 16})
    result, said = told(answered(trial, votes(8)))
    assert result.linear == pytest.approx(0.753, abs=0.001)
    assert "lay at different ends of the rack, 8 bones apart" in said
    assert "would look like 0.8 points" in said


def test_ends_against_middle_is_told_as_mixed_up():
    trial = made(factor="rub", bones={"A": 12}, tasters=6)
    assert trial.layout == "blocks of three"
    words = "whatever differs between ends and middle"
    assert words in " ".join(before_words(trial))
    _, said = told(answered(trial, votes(6)))
    assert words in said
    assert words not in " ".join(before_words(made(factor="rub")))


def test_one_taster_leans_where_the_order_does():
    trial = made(asks="more", attribute="smoky", arms=["a", "b", "c"], tasters=3)

    def backwards(taster, rows):
        if taster == "T1":
            for row in rows:
                yield [row.code], "", str(3 - "abc".index(row.arm))

    result, said = told(answered(trial, backwards))
    assert (result.verdict, result.leader) == ("one taster", "a")
    assert said.startswith("One taster leans to a.")


def test_a_rack_each_is_one_try():
    trial = made(factor="membrane")
    result, said = told(answered(trial, votes(8)))
    assert result.racks_per_arm == 1
    assert "so for pieces this is a single try" in said


def test_one_taster_is_one_opinion():
    trial = made().model_copy(update={"tasters": 1})
    result, said = told(answered(trial, votes(1)))
    assert result.verdict == "one taster"
    assert "one person's opinion, and nothing follows for others" in said
    assert "coin" not in said


def test_repeats_of_a_taster_are_no_new_tasters():
    trial = made(method="which-like", sets=2, tasters=6)
    result, said = told(answered(trial, votes(9)))
    assert result.units <= 6
    assert "12 bites came from 6 tasters; the tasters are counted" in said
    assert result.figures["pooled_false_alarm"] > 0.05


def test_liking_in_words_and_points():
    result, said = told(answered(made(method="like-score"), points([1, 0, -1, 2, 1, 0, 0, 1])))
    assert result.verdict == "not shown"
    assert result.figures["mean"] == 0.5
    assert "4 gave more to the sharp glaze and 1 gave more to the stock glaze, 3 the same" in said
    assert re.search(
        r"true difference of about \d\.\d points would have been found 4 times in 5", said
    )
    assert "points more for the stock glaze to" in said
    assert result.dots.unit == "points"


def test_a_line_is_wider_than_the_scale_in_words_before_as_after():
    nine = tasteplan.before(made(method="like-score")).smallest
    line = tasteplan.before(made(method="line-score", asks="more", attribute="smoky")).smallest
    assert line == pytest.approx(nine * 10.0 / 8.0)


def test_tasters_of_one_mind_are_not_proof_by_themselves():
    few = trial_result(answered(made(method="like-score", tasters=3), points([1, 1, 1])))
    many = trial_result(answered(made(method="like-score"), points([1] * 8)))
    assert (few.verdict, many.verdict) == ("not shown", "shown")
    assert few.figures["low"] < 0 < many.figures["low"]


def test_two_tasters_could_not_have_seen_anything():
    trial = made(method="like-score").model_copy(update={"tasters": 2})
    _, said = told(answered(trial, points([1, 2])))
    assert "nothing could have been shown: the scale has no difference so large" in said
    assert "With 2 tasters hardly any difference" in " ".join(before_words(trial))


def test_places_that_skip_are_left_out_and_said():
    def skip(taster, rows):
        for place, row in zip("124" if taster == "T2" else "123", rows, strict=True):
            yield [row.code], "", place

    trial = made(arms=["a", "b", "c"], bones={"A": 12, "B": 12, "C": 12})
    result, _ = told(answered(trial, skip))
    assert any(
        "line 5 is left out: Place '4'" in one or "place '4'" in one for one in result.doubts
    )
    assert any("T2 did not put every arm in order" in one for one in result.doubts)
    assert result.units == 7


def test_all_ties_compare_nothing():
    result, said = told(answered(made(method="like-score"), points([0] * 8)))
    assert result.verdict == "ties"
    assert "nothing to compare" in said
    assert "no difference" not in said


def test_bad_answers_are_said_and_the_rest_counts():
    record = answered(made(method="like-score"), points([1, 2, 1, 2, 1, 2, 1, 2]))
    t1, t2 = ([row for row in record.key if row.taster == name] for name in ("T1", "T2"))
    answers = [one for one in record.answers if one.taster != "T3"]
    answers[0] = Answer(2, COOK, "t", "T1", (t1[0].code,), "liking", "12")
    answers.append(Answer(90, COOK, "t", "T2", (t2[0].code,), "liking", "1"))
    answers.append(Answer(91, COOK, "t", "T4", (t2[0].code,), "liking", "5"))
    answers.append(Answer(92, COOK, "t", "Hugo", (t2[0].code,), "liking", "5"))
    result = trial_result(TrialRecord("t", record.trial, record.key, tuple(answers)))
    doubts = "\n".join(result.doubts)
    assert "line 2 is left out: '12' is out of the scale. Allowed: 1 to 9" in doubts
    assert f"T2 gave plate {t2[0].code} two values; both are left out." in doubts
    assert "It was on a plate of T2" in doubts
    assert "taster 'Hugo'. Allowed: T1, T2, T3" in doubts
    assert "No answer from T3: 7 of 8 sets are answered" in doubts
    assert "Not every plate has an answer from T1, T2" in doubts
    assert result.units == 5


def test_one_set_answered_twice_in_two_ways_counts_for_none():
    record = answered(made(), votes(8))
    rows = [row for row in record.key if row.taster == "T1"]
    other = next(row for row in rows if row.arm == ARMS[0])
    more = (*record.answers, Answer(50, COOK, "t", "T1", (other.code,), "", ""))
    result = trial_result(TrialRecord("t", record.trial, record.key, more))
    assert result.units == 7
    assert any("T1 answered set 1 of c twice in different ways" in one for one in result.doubts)


def test_one_arm_alone_compares_with_nothing():
    trial = made().model_copy(update={"arms": [SHARP], "racks": [], "layout": None})
    result, said = told(TrialRecord("t", trial, (), ()))
    assert result.verdict == "one arm"
    assert "compares with nothing" in said


def test_one_arm_on_a_rack_is_told_too():
    record = answered(made(), votes(8))
    alone = record.trial.model_copy(update={"arms": [SHARP]})
    result, said = told(TrialRecord("t", alone, record.key, record.answers))
    assert result.verdict == "one arm"
    assert "compares with nothing" in said
    assert "the stock glaze', which is no arm of this trial any more" in " ".join(result.doubts)


def test_a_layout_that_cannot_be_is_said_and_the_answers_count():
    record = answered(made(), votes(8))
    wrong = record.trial.model_copy(
        update={"layout": "crossed over", "racks": record.trial.racks[:1]}
    )
    result, _ = told(TrialRecord("t", wrong, record.key, record.answers))
    assert result.verdict == "shown"
    assert any("layout cannot be" in one and "second rack" in one for one in result.doubts)


def test_arms_renamed_after_the_lock_are_said():
    record = answered(
        made(arms=[*ARMS, "plain"]), lambda _, rows: [([r.code], "", "1") for r in rows]
    )
    renamed = record.trial.model_copy(update={"arms": [*ARMS, "bare"]})
    result, _ = told(TrialRecord("t", renamed, record.key, record.answers))
    assert "'plain', which is no arm" in result.doubts[0]


@pytest.mark.parametrize("method", ["pairs-of-many", "odd-one-out", "most-of-three"])
def test_one_arm_cannot_be_served(method):
    trial = Trial.model_validate(
        {
            "question": "?",
            "asks": "tell",
            "factor": "x",
            "arms": ["a"],
            "method": method,
            "tasters": 3,
        }
    )
    with pytest.raises(InputError, match="compares with nothing"):
        serve(trial, COOK)


def test_an_open_trial_tells_nothing_of_its_arms():
    record = answered(made(closed=None, locked={"at": AT, "plan": {}}), votes(8))
    result, said = told(record)
    assert (result.verdict, result.figures, result.dots, result.leader) == (
        "key closed",
        {},
        None,
        "",
    )
    assert "8 of 8 sets are answered" in said
    assert not any(arm in headline(result) for arm in ARMS)


def test_what_was_noticed_afterwards_is_a_hint():
    trial = made(closed=None, planned=False)
    said_so = tuple(
        Answer(n, COOK, "t", f"T{n}", (SHARP if n < 8 else ARMS[0],), "", "") for n in range(1, 9)
    )
    result, said = told(TrialRecord("t", trial, (), said_so))
    assert result.figures["second"] == 7
    assert "not planned: a hint for a trial" in said


def test_a_change_after_the_lock_is_shown():
    trial = made()
    from stallwise.record.trial import plan_of

    locked = {"at": AT, "plan": {**plan_of(trial), "tasters": 12}}
    changed = Trial.model_validate({**trial.model_dump(), "locked": locked})
    _, said = told(answered(changed, votes(5)))
    assert "Changed after it was locked: tasters was 12, is 8." in said


def test_counts_of_the_eye_stand_apart():
    counts = [
        {"what": "bones bare", "arm": ARMS[0], "count": 2, "out_of": 12},
        {"what": "bones bare", "arm": SHARP, "count": 9, "out_of": 12},
        {"what": "slices torn", "arm": SHARP, "side": "left", "count": 3, "out_of": 9},
    ]
    result = trial_result(answered(made(counts=counts), votes(5)))
    said = [count_words(one) for one in result.counts]
    assert "2 of 12 with the stock glaze and 9 of 12 with the sharp glaze" in said[0]
    assert result.counts[0].shown
    assert said[1] == "Slices torn (left): 3 of 9 with the sharp glaze."


def test_what_else_was_asked_is_told_and_not_compared():
    trial = made(also=["sweet", "smoky", "musty"])

    def answer(taster, rows):
        yield from votes(8)(taster, rows)
        for row in rows:
            yield [row.code], "sweet", "too much" if row.arm == SHARP else "just right"
            yield [row.code], "smoky", "4.5"
            yield [row.code], "musty", "no" if taster != "T1" else "like a cellar"

    result = trial_result(answered(trial, answer))
    assert [also_words(one) for one in result.also] == [
        "Sweetness: the stock glaze right for 8; the sharp glaze too much for 8.",
        "Smokiness: the stock glaze 4.5 on average of 8; the sharp glaze 4.5 on average of 8.",
        "Musty: the stock glaze yes for 0 of 7; the sharp glaze yes for 0 of 7.",
    ]
    assert result.words == (("T1", "like a cellar"),) * 2


def test_warmth_and_core_are_told_where_they_differ():
    trial = made(core_off=["203 F", "195 F"], look_alike=False)

    def answer(taster, rows):
        yield from votes(8)(taster, rows)
        for row in rows:
            yield [row.code], "served-at", "150 F" if row.arm == SHARP else "130 F"

    _, said = told(answered(trial, answer))
    assert "The sharp glaze was served 20 °F warmer" in said
    assert "The stock glaze came off 8 °F hotter" in said
    assert "The arms looked different" in said


WAYS = {
    "which-like": {}, "which-more": {"asks": "more", "attribute": "smoky"},
    "two-pairs": {"asks": "tell", "tasters": 6}, "odd-one-out": {"asks": "tell"},
    "match-the-first": {"asks": "tell"}, "same-or-different": {"asks": "tell", "bones": {}},
    "most-of-three": {"tasters": 6, "asks": "more", "attribute": "smoky", "expect": SHARP},
    "this-one": {"asks": "tell"}, "like-score": {}, "line-score": {"asks": "more", "attribute": "smoky"},
    "order-like": {"arms": [*ARMS, "plain"]},
    "order-more": {"asks": "more", "attribute": "smoky", "arms": [*ARMS, "plain"]},
    "which-like-or-neither": {}, "which-more-or-neither": {"asks": "more", "attribute": "sweet"},
    "just-right": {"attribute": "sweet"}, "pairs-of-many": {"arms": [*ARMS, "plain"]},
    "pairs-over-weekends": {"asks": "more", "attribute": "smoky", "expect": SHARP},
}  # fmt: skip


@pytest.mark.parametrize("method", WAYS)
@pytest.mark.parametrize("lean", [0.0, 0.5, 1.0])
def test_every_way_of_asking_is_read_and_told_in_plain_words(method, lean):
    trial = made(method=method, **WAYS[method])

    def answer(taster, rows):
        one = int(taster[1:]) / trial.tasters <= lean
        arms = [row.arm for row in rows]
        if method in {"like-score", "line-score", "just-right"}:
            for row in rows:
                value = {"just-right": 0}.get(method, 5) + (one and row.arm == SHARP)
                yield [row.code], "", str(value)
        elif method.startswith("order"):
            for place, row in enumerate(sorted(rows, key=lambda r: r.arm, reverse=one), 1):
                yield [row.code], "", str(place)
        elif method == "same-or-different":
            yield (
                [row.code for row in rows],
                "",
                "different" if one and len(set(arms)) > 1 else "same",
            )
        elif method == "this-one":
            yield [rows[0].code], "", "yes" if one and rows[0].arm == ARMS[0] else "no"
        elif method == "two-pairs":
            mates = [row.code for row in rows if (row.arm == rows[0].arm) == one]
            yield (
                [rows[0].code, next(code for code in reversed(mates) if code != rows[0].code)],
                "",
                "",
            )
        else:
            wanted = SHARP if one else arms[0]
            yield [next((row.code for row in rows if row.arm == wanted), rows[-1].code)], "", ""

    result, said = told(answered(trial, answer))
    assert not result.doubts
    assert len(paragraph(result)) >= 2
    front = said + " ".join(before_words(trial))
    assert not re.search(
        r"signific|\bp[ -]?value|\bd'|hypothes|no difference|proves|\bnan\b|\binf\b|None", front
    )
    if result.verdict == "not shown":
        assert "could not have seen" in front or "nothing could have been shown" in front
    assert behind(result).rows


def test_a_trial_that_cannot_be_read_keeps_no_cook_from_its_answer():
    broken = made().model_copy(update={"method": "which-lik"})
    found, warned = trial_results([answered(made(), votes(5)), TrialRecord("x", broken, (), ())])
    assert len(found) == 1
    assert "Trial x cannot be read" in warned[0].text
    assert "which-like" in warned[0].text


# --- slips ----------------------------------------------------------------------------


def slips(trial, *lines):
    record = TrialRecord("t", trial, serve(trial, COOK).key, ())
    codes = {f"c{n}": row.code for n, row in enumerate(record.key)}
    return read_slips([line.format(**codes) for line in lines], record, COOK), codes


def test_slips_are_read_as_they_are_written():
    typed, codes = slips(made(), "T1 {c0}", "", "# tea", "t1 {c0} 140 F", "T1 {c1}: sweetness too much",
                         "T2 {c2}/{c3} neither")  # fmt: skip
    assert not typed.questions
    assert [(one.taster, one.codes, one.asked, one.said) for one in typed.answers] == [
        ("T1", (codes["c0"],), "liking", ""),
        ("T1", (codes["c0"],), "served-at", "140 F"),
        ("T1", (codes["c1"],), "sweet", "too much"),
        ("T2", (codes["c2"], codes["c3"]), "liking", "neither"),
    ]


def test_an_order_is_one_line():
    trial = made(arms=["a", "b", "c"], bones={"A": 12, "B": 12})
    typed, codes = slips(trial, "T1 {c2} {c0} {c1}", "T2 {c3} {c4}")
    assert [(one.codes, one.said) for one in typed.answers] == [
        ((codes["c2"],), "1"), ((codes["c0"],), "2"), ((codes["c1"],), "3"),
    ]  # fmt: skip
    assert "once" in typed.questions[0]


@pytest.mark.parametrize(
    ("line", "words"),
    [("T1 {c2}", "on a plate of T2"), ("T1 {c0} smoky 12", "out of the scale"), ("Hugo {c0}", "T1, T2, T3"), ("T1", "no plate is named"),
     ("T1 999", "code 999|no plate")],
)  # fmt: skip
def test_a_doubtful_slip_is_asked_about(line, words):
    typed, _ = slips(made(), line)
    assert not typed.answers
    assert re.search(words, typed.questions[0])
