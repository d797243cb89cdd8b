"""Salt counted once, and where what was made goes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.models.ledger import ledger, ledgers
from stallwise.models.mixes import scale
from stallwise.models.salt import SaltUse, enhanced_salt_g, salt, sticks_of
from stallwise.tables.mix import Pantry
from stallwise.tables.mixbook import mix_from_mapping, pantry
from stallwise.tables.serves import parse_target

SHIPPED = pantry()


def made(key, target):
    return scale(key, parse_target(target), SHIPPED)


RUB, GLAZE, LIQUID, BUTTER = (
    made("plain-rub", "4 kg"),
    made("stock-glaze", "4 pieces"),
    made("wrap-liquid", "4 pieces"),
    made("wrap-butter", "4 pieces"),
)


def test_salt_is_summed_over_everything_that_stays_on():
    added = enhanced_salt_g(2.8, 250.0, 65.0)
    total = salt(
        [SaltUse(RUB, 0.9), SaltUse(GLAZE), SaltUse(LIQUID), SaltUse(BUTTER)],
        2.0,
        others_g={"enhanced meat": added},
    )
    parts = total.parts_g
    assert parts["Salt and pepper rub"] == pytest.approx(0.9 * RUB.salt_g)
    assert parts["Stock and honey glaze"] == pytest.approx(0.5 * GLAZE.salt_g)
    assert parts["enhanced meat"] == pytest.approx((250 - 65) * 28 / 393.37, rel=1e-4)
    assert total.salt_g == pytest.approx(sum(parts.values()))
    assert total.per_kg_edible_g == pytest.approx(total.salt_g / 2.0)
    notes = " ".join(total.notes)
    assert "50 % is counted" in notes
    assert "Salt and pepper rub" not in notes  # its share was said
    assert "more than most like" in notes


def test_the_same_thing_is_not_counted_twice():
    with pytest.raises(InputError, match="counted twice"):
        salt([SaltUse(RUB), SaltUse(RUB)], 2.0)
    both = salt([SaltUse(RUB), SaltUse(RUB, name="second coat")], 2.0)
    assert both.salt_g == pytest.approx(2 * RUB.salt_g)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: salt([], 0.0), "edible meat"),
        (lambda: salt([SaltUse(RUB, 1.5)], 1.0), "0 to 1"),
        (lambda: salt([], 1.0, others_g={"x": -1.0}), "0 g or more"),
        (lambda: enhanced_salt_g(1.0, 50.0, 65.0), "plain cut"),
        (lambda: enhanced_salt_g(1.0, 50_000.0), "on the label"),
    ],
)
def test_impossible_salt_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_a_brine_says_itself_how_much_goes_in():
    mapping = {"kind": "brine", "lines": [{"ingredient": "salt_fine_table", "amount": "50 g"}]}
    book = Pantry(SHIPPED.ingredients, {"b": mix_from_mapping({"name": "b", **mapping}, key="b")})
    brine = scale("b", parse_target("1 batch"), book)
    with pytest.raises(InputError, match="not said"):
        sticks_of(brine)
    assert sticks_of(brine, 0.4) == 0.4


def test_stock_made_is_wrap_and_glaze_and_left():
    (line,) = ledgers([RUB, GLAZE, LIQUID, BUTTER], [made("bone-stock", "2 batches")])
    assert set(line.used) == {"Stock and honey glaze", "Wrap liquid from stock"}
    assert line.made_g == pytest.approx(sum(line.used.values()) + line.left_g)
    assert (line.short_g, line.short_text) == (0.0, "")


def test_stock_that_is_short_says_by_how_many_spoons():
    # 1/2 cup for the glaze and 4 tbsp for the wraps, out of 3/4 cup less 2 tbsp.
    stock = made("bone-stock", "1 batch")
    density = stock.total_g * 1e-3 / stock.volume_m3
    two_tbsp_g = 2 * 14.78676478125e-6 * density * 1e3
    uses = {"glaze": GLAZE.lines[0].grams, "wrap": LIQUID.lines[0].grams}
    line = ledger("bone-stock", stock.total_g - two_tbsp_g, uses, density_kg_m3=density)
    assert line.short_text == "short by 2 tbsp"
    assert line.left_g == 0.0
    assert line.short_g == pytest.approx(two_tbsp_g)
    assert ledger("x", 10.0, {"a": 42.0}).short_text == "short by 32 g"


def test_what_is_used_through_another_jar_is_counted_there():
    glaze = scale("stock-glaze", parse_target("4 pieces"), SHIPPED)
    stock, jar = ledgers([glaze], [made("bone-stock", "1 batch"), made("stock-glaze", "8 pieces")])
    assert stock.used == {"Stock and honey glaze": pytest.approx(2 * glaze.lines[0].grams)}
    assert jar.used == {"on the meat": pytest.approx(glaze.total_g)}
    assert jar.left_g == pytest.approx(glaze.total_g)


def test_what_is_made_from_a_jar_takes_nothing_from_what_is_in_the_jar():
    sauce = {"kind": "sauce", "lines": [{"mix": "stock-glaze", "amount": "50 g"}]}
    mixes = {**SHIPPED.mixes, "s": mix_from_mapping({"name": "Sauce", **sauce}, key="s")}
    served = scale("s", parse_target("1 batch"), Pantry(SHIPPED.ingredients, mixes))
    stock, jar = ledgers([served], [made("bone-stock", "1 batch"), made("stock-glaze", "4 pieces")])
    assert set(stock.used) == {"Stock and honey glaze"}
    assert jar.used == {"Sauce": pytest.approx(50.0)}
    (alone,) = ledgers([served], [made("bone-stock", "1 batch")])
    assert set(alone.used) == {"Sauce"}


@given(
    st.floats(0.0, 5e3),
    st.dictionaries(st.sampled_from(["wrap", "glaze", "sauce"]), st.floats(0.0, 3e3)),
)
def test_a_ledger_balances_and_is_never_negative(made_g, uses):
    line = ledger("stock", made_g, uses, density_kg_m3=998.2)
    assert line.left_g >= 0.0
    assert line.short_g >= 0.0
    assert min(line.left_g, line.short_g) == 0.0
    assert line.made_g + line.short_g == pytest.approx(
        sum(line.used.values()) + line.left_g, abs=1e-5
    )
    assert bool(line.short_text) == (line.short_g > 0.0)


def test_a_negative_ledger_is_refused():
    with pytest.raises(InputError, match="0 g or more"):
        ledger("stock", -1.0, {})
