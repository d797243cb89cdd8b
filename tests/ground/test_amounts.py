"""Amounts as cooks write them, each beside the reading that would spoil the food."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.amounts import parse_amount, split_amount
from stallwise.ground.errors import InputError
from stallwise.ground.scales import REGIONS
from stallwise.ground.spoons import spoon_measure

#: Text, value, unit, and the wrong reading.
READ = [
    ("2 T", 2, "tbsp", "2 tsp: a third"),
    ("2 t", 2, "tsp", "2 tbsp: three times"),
    ("2T", 2, "tbsp", "refused"),
    ("2 tbsp", 2, "tbsp", "tsp"),
    ("2 Tbsp.", 2, "tbsp", "tsp, or the dot in the name"),
    ("2 TBSP", 2, "tbsp", "unknown"),
    ("2 tbs", 2, "tbsp", "tsp"),
    ("2 Ts", 2, "tbsp", "tsp: lower-cased first"),
    ("2 ts", 2, "tsp", "tbsp"),
    ("2 tsp", 2, "tsp", "tbsp"),
    ("2 tsps", 2, "tsp", "unknown"),
    ("2 Tsp", 2, "tsp", "tbsp: T alone read"),
    ("1 tablespoon", 1, "tbsp", "t"),
    ("3 teaspoons", 3, "tsp", "t"),
    ("1 cup", 1, "cup", "240 ml in a US kitchen"),
    ("2 cups", 2, "cup", "unknown"),
    ("1/4 c", 0.25, "cup", "1.4"),
    ("1 1/2 cups", 1.5, "cup", "11/2 = 5.5"),
    ("½ cup", 0.5, "cup", "no number"),
    ("1½ cup", 1.5, "cup", "11/2 = 5.5"),
    ("1 ½ cup", 1.5, "cup", "1"),
    ("2½ tbsp", 2.5, "tbsp", "21/2 = 10.5"),
    ("1⁄2 tsp", 0.5, "tsp", "12"),
    ("1\u00a01⁄2 tsp", 1.5, "tsp", "11/2"),
    ("1-1/2 T", 1.5, "tbsp", "a range"),
    ("¼ t", 0.25, "tsp", "4"),
    ("0.25 tsp", 0.25, "tsp", "25"),
    ("1,5 tbsp", 1.5, "tbsp", "15"),
    ("3/2 cup", 1.5, "cup", "3"),
    ("1 cup + 2 T", 1.125, "cup", "1"),
    ("1 cup and 2 tbsp", 1.125, "cup", "1"),
    ("half a cup", 0.5, "cup", "1"),
    ("a cup", 1, "cup", "refused"),
    ("500 ml", 5e-4, "m3", "g"),
    ("1.5 dl", 1.5e-4, "m3", "l"),
    ("8 fl oz", 2.365882365e-4, "m3", "8 oz of weight"),
    ("8 oz", 0.226796185, "kg", "8 fl oz"),
    ("35 g", 0.035, "kg", "35 kg"),
    ("2 lb 3 oz", 0.9922333, "kg", "2.3 lb"),
    ("jar 412 -> 377", 0.035, "kg", "412, or 377"),
    ("412 → 377", 0.035, "kg", "412"),
    ("412 g → 377", 0.035, "kg", "377"),
    ("12.4 oz -> 11.1 oz", 0.03685438, "kg", "1.3 g"),
    ("1 batch", 1, "batch", "unknown"),
    ("half a batch", 0.5, "batch", "1"),
    ("1.25 %", 0.0125, "share", "1.25"),
    ("¾ cup", 0.75, "cup", "3 cups, or no number"),
    ("1¾ tsp", 1.75, "tsp", "13/4 = 3.25"),
    ("2⅓ cups", 7 / 3, "cup", "21/3 = 7"),
    ("⅛ t", 0.125, "tsp", "8"),
    ("1½T", 1.5, "tbsp", "1, or tesla"),
    ("1 T.", 1, "tbsp", "tesla"),
    ("1 Tbl", 1, "tbsp", "refused"),
    ("1 tB", 1, "tbsp", "tsp"),
    ("2 TSP", 2, "tsp", "T alone read"),
    ("1 C", 1, "cup", "one degree, or a hundred"),
    ("1 c. + 2 T.", 1.125, "cup", "the dots in the names"),
    ("1/ 2 cup", 0.5, "cup", "2 cups"),
    ("1 1 /2 cups", 1.5, "cup", "1"),
    ("½ tsp + ¼ tsp", 0.75, "tsp", "½"),
    ("1 tbsp plus 1 tsp", 4 / 3, "tbsp", "1"),
    ("two tablespoons", 2, "tbsp", "no number"),
    ("a quarter of a cup", 0.25, "cup", "a quart"),
    ("three quarters cup", 0.75, "cup", "3 quarts"),
    ("quarter teaspoon", 0.25, "tsp", "a quart"),
    ("one and a half cups", 1.5, "cup", "1"),
    ("half tsp", 0.5, "tsp", "1"),
    ("2 level tsp", 2, "tsp", "unknown"),
    ("1 cup (240 ml)", 1, "cup", "240 cups, or both added"),
    ("12 fl. oz.", 3.5488235475e-4, "m3", "12 oz of weight"),
    ("12 oz", 0.3401942775, "kg", "12 fl oz"),
    ("500 mL", 5e-4, "m3", "500 l, or 500 cups"),
    ("0,5 l", 5e-4, "m3", "5 l"),
    ("1,5 kg", 1.5, "kg", "15 kg"),
    ("1.500 kg", 1.5, "kg", "1500 kg"),
    ("1 kg 200 g", 1.2, "kg", "1 kg"),
    ("4-lb", 1.81436948, "kg", "negative, or -lb"),
    ("2#", 0.90718474, "kg", "number 2"),
    ("5 mg", 5e-6, "kg", "5 g"),
    ("30 grams", 0.03, "kg", "30 grains"),
    ("1 imp pint", 5.6826125e-4, "m3", "a US pint: a sixth less"),
    ("1 imperial fl oz", 2.84130625e-5, "m3", "a US fluid ounce"),
    ("1 qt", 9.46352946e-4, "m3", "a litre"),
    ("jar 412->377", 0.035, "kg", "412, or a range"),
    ("1 lb 2 oz -> 14 oz", 0.113398092, "kg", "1 lb"),
    ("12 per cent", 0.12, "share", "12"),
    ("1,2 %", 0.012, "share", "12 %"),
    ("100 %", 1, "share", "100 times"),
]

#: Text, and words of the question.
ASKED = [
    ("2-3 T", "'2 T' or '3 T'?"),
    ("2 to 3 T", "'2 T' or '3 T'?"),
    ("2 – 3 T", "'2 T' or '3 T'?"),
    ("1/2-3/4 t", "'1/2 t' or '3/4 t'?"),
    ("21/2 T", "'2 1/2' (2.5) or '10.5'"),
    ("11/4 t", "'1 1/4' (1.25) or '2.75'"),
    ("2", "'2 g', '2 tsp' or '2 tbsp'?"),
    ("2 TS", "tablespoons or teaspoons"),
    ("2 gr", "grain or a gram"),
    ("2 T salt", "'salt'"),
    ("2 tbps", "Nearest: tb"),
    ("a pinch", "every cook's own"),
    ("3 bulbs", "not a unit"),
    ("jar 377 -> 412", "goes up"),
    ("412 g -> 2 cups", "two different kinds"),
    ("1 -> 2 -> 3", "more than one arrow"),
    ("-2 T", "negative"),
    ("1 cup 30 g", "mixes weight and volume"),
    ("1/0 T", "zero"),
    ("salt", "no number"),
    ("scant cup", "no number"),
    ("1 heaping tbsp", "not the same twice"),
    ("a heaped teaspoon", "not the same twice"),
    ("1 stick butter", "several sizes"),
    ("2 dashes", "every cook's own"),
    ("1 dessertspoon", "differs between countries"),
    ("2 tbsp (30 g)", "'2 tbsp' or '30 g'?"),
    ("1 cup (200 ml)", "'1 cup' or '200 ml'?"),
    ("1 cup less 2 tbsp", "stands between"),
    ("1.1/2 cups", "not a unit"),
    ("1+1/2 cup", "no unit"),
    ("2 x 15 g", "not a unit"),
    ("1e3 g", "not a unit"),
    ("1,500 g", "'1500' or '1.500'?"),
    ("4 lb 8", "no unit"),
    ("30 Gr", "grain or a gram"),
    ("412 - 377", "a range"),
    ("120 %", "more than the whole"),
    ("1 kg/lb", "Nearest: lb"),
]


@pytest.mark.parametrize(("text", "value", "unit", "wrong"), READ)
def test_reads(text, value, unit, wrong):
    amount = parse_amount(text)
    assert (amount.unit, amount.text) == (unit, text), f"never {wrong}"
    assert amount.value == pytest.approx(value, rel=1e-6), f"never {wrong}"


@pytest.mark.parametrize(("text", "words"), ASKED)
def test_asks(text, words):
    with pytest.raises(InputError) as caught:
        parse_amount(text, key="amount")
    assert words in str(caught.value)


def test_a_tablespoon_is_three_teaspoons_and_never_the_other_way():
    assert parse_amount("1 T").si == pytest.approx(3 * parse_amount("1 t").si)


@pytest.mark.parametrize(
    ("text", "rest"),
    [("2 Tbsp. salt", "salt"), ("1 tsp. of fine salt", "fine salt"), ("2 T, heaped", "heaped")],
)
def test_the_rest_of_the_line_is_kept_without_the_dot(text, rest):
    assert split_amount(text)[1] == rest


def test_the_cooks_own_measure_counts_what_it_was_weighed_at():
    ladles = parse_amount("2 ladles", measures={"ladles": "118 g"})
    assert (ladles.kind, ladles.si) == ("mass", pytest.approx(0.236))
    mugs = parse_amount("1/2 mug", measures={"mug": "300 ml"})
    assert (mugs.kind, mugs.si) == ("volume", pytest.approx(150e-6))


def test_own_measures_are_counted_by_one_name_in_any_number():
    own = {"stick": "113 g", "pinches": "0.3 g"}
    assert parse_amount("2 sticks", measures=own).si == pytest.approx(0.226)
    assert parse_amount("a pinch", measures=own).si == pytest.approx(3e-4)


def test_a_piece_may_stand_behind_its_weight():
    for said in ("a 4-lb piece", "a four pound piece", "4 lb piece"):
        amount, rest = split_amount(said)
        assert (amount.si, rest) == (pytest.approx(1.81436948), "piece"), "never 1 lb, never -4"


def test_an_imperial_kitchen_means_its_own_pint():
    pint = parse_amount("1 pint", region="imperial").si
    assert pint == pytest.approx(568.26125e-6)
    assert parse_amount("20 fl oz", region="imperial").si == pytest.approx(pint)
    assert parse_amount("2 cups", region="imperial").si == pytest.approx(pint)
    assert parse_amount("1 US pint", region="imperial").si == pytest.approx(473.176473e-6)


def test_spoons_follow_the_region():
    assert parse_amount("1 T", region="metric-20").si == pytest.approx(20e-6)
    assert parse_amount("1 T", region="metric").si == pytest.approx(15e-6)
    with pytest.raises(InputError, match="US pint"):
        parse_amount("1 pint", region="metric")


@given(st.floats(min_value=1e-7, max_value=3e-3), st.sampled_from(sorted(REGIONS)))
def test_a_spoon_is_never_far_from_what_it_stands_for(volume_m3, region):
    measure = spoon_measure(volume_m3, region)
    held = measure.volume_m3 - volume_m3
    if measure.error_fraction == -1.0:
        assert measure.text == "under 1/4 tsp"
        assert volume_m3 < REGIONS[region]["tsp"] / 8 * 1.001
        return
    # Half of the widest gap of the rule: a quarter of a cup, the spoons all being narrower.
    assert abs(held) <= REGIONS[region]["cup"] / 8 * 1.001
    assert held / volume_m3 == pytest.approx(measure.error_fraction, abs=1e-9)
    # What is printed is what is counted: read the words back.
    parsed = parse_amount(measure.text, region=region)
    assert parsed.si == pytest.approx(measure.volume_m3, rel=1e-9)


@given(st.text(max_size=12))
def test_any_text_is_read_or_asked(text):
    try:
        amount = parse_amount(text)
    except InputError:
        return
    assert amount.si >= 0.0
