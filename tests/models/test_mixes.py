"""Scaling: grams through every nesting, spoons beside, loops and impossible pots refused."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.ground.scales import TABLESPOON_M3
from stallwise.models.mixes import in_order, leaves, scale, target_for
from stallwise.models.needs import needs
from stallwise.tables.ingredient import SODIUM_MG_PER_G_SALT
from stallwise.tables.mix import Pantry
from stallwise.tables.mixbook import mix_from_mapping, pantry
from stallwise.tables.serves import parse_target
from tests.models.nests import ITEMS, line, nested, sodium_of

SHIPPED = pantry()


def book(**mixes):
    """Pantry of mixes given as mappings; a bare list is the lines of a batch."""
    full = {
        key: {"name": key, "kind": "rub", "lines": value} if isinstance(value, list) else value
        for key, value in mixes.items()
    }
    made = {
        key: mix_from_mapping({"name": key, "kind": "rub", **value}, key=key)
        for key, value in full.items()
    }
    return Pantry(SHIPPED.ingredients, made)


def test_the_plain_rub_for_meat_is_a_hundredth_salt():
    rub = scale("plain-rub", parse_target("4 kg"), SHIPPED)
    salt, pepper = rub.lines
    assert rub.total_g == pytest.approx(60.0)
    assert salt.grams / rub.total_g == pytest.approx(4.8 / (4.8 + 2.4))
    assert (salt.grams, pepper.grams) == (pytest.approx(40.0), pytest.approx(20.0))
    assert rub.salt_g == pytest.approx(40.0, abs=0.05)
    assert salt.spoons == "3 tbsp"
    assert salt.spoon_error_fraction == pytest.approx(3 * 14.4 / 40.0 - 1)


@pytest.mark.parametrize(("pepper", "share"), [("1 T", 0.676), ("2 T", 0.511)], ids=["1:1", "1:2"])
def test_salt_share_of_salt_and_ground_pepper_by_volume(pepper, share):
    # Label weights 4.8 g and SR28 NDB 02030 2.3 g (6.9 g a tablespoon).
    mixes = book(m_sp=[line("salt_kosher_rolled", "1 T"), line("pepper_black_ground", pepper)])
    rub = scale("m_sp", parse_target("1 batch"), mixes)
    assert rub.lines[0].grams / rub.total_g == pytest.approx(share, abs=0.002)


@pytest.mark.parametrize(("salt", "grams"), [("rolled", 28.8), ("flaked", 16.8)])
def test_the_same_spoons_of_two_crystals_are_not_the_same_salt(salt, grams):
    # 2 tbsp of salt and 2 tbsp of pepper: 14.4 and 8.4 g a tablespoon by label, 6.9 g (NDB 02030).
    lines = [line(f"salt_kosher_{salt}", "2 T"), line("pepper_black_ground", "2 T")]
    rub = scale("m_sp", parse_target("1 batch"), book(m_sp=lines))
    assert rub.lines[0].grams == pytest.approx(grams)
    assert rub.salt_g == pytest.approx(grams, rel=2e-3)
    assert rub.total_g == pytest.approx(grams + 13.8)
    assert [one.spoons for one in rub.lines] == ["2 tbsp", "2 tbsp"]
    other = {"rolled": "3 1/2 tbsp of flaked", "flaked": "1 1/4 tbsp of rolled"}[salt]
    assert f"the same {grams:.0f} g of salt" in " ".join(rub.notes)
    assert other in " ".join(rub.notes)


def test_a_pepper_says_the_openings_of_its_sieve():
    rub = scale("plain-rub", parse_target("4 kg"), SHIPPED)
    assert "16 mesh: the openings of that sieve are 1.18 mm" in " ".join(rub.notes)
    # No. 60 is not in the printed table that was read.
    fine = scale("m_p", parse_target("1 batch"), book(m_p=[line("pepper_black_fine", "1 T")]))
    assert "sieve" not in " ".join(fine.notes)


def test_a_reduced_glaze_says_how_its_sugar_rises():
    # 300 g of sugar in 1 kg, down to 700 g: 30 °Bx to 42.9 °Bx.
    lines = [line("sugar_granulated", "300 g"), line("water_tap", "700 g")]
    glaze = {"kind": "glaze", "lines": lines, "reduce": {"to": "700 g"}}
    notes = " ".join(scale("m_g", parse_target("1 batch"), book(m_g=glaze)).notes)
    assert "in the pot from 30 to 43 % as it reduces" in notes


def test_sauce_with_reduced_stock_goes_from_one_rack_to_five():
    # Half a cup of sauce with a quarter cup of stock that was boiled down four-fold, for one rack.
    stock = {"kind": "stock", "lines": [line("stock_chicken_homemade", "3 cups")]}
    stock["reduce"] = {"to": "3/4 cup", "power": "1 kW"}
    sauce = {
        "kind": "sauce",
        "per": "piece",
        "lines": [line("sauce_barbecue", "1/2 cup"), line("m_stock", "1/4 cup")],
    }
    mixes = book(m_stock=stock, m_sauce=sauce)
    one, five = (scale("m_sauce", parse_target(f"{n} pieces"), mixes) for n in (1, 5))
    assert [entry.spoons for entry in five.lines] == ["2 1/2 cups", "1 1/4 cups"]
    assert five.lines[1].grams == pytest.approx(5 * one.lines[1].grams, rel=1e-12)
    # 5/4 cup of it are 5/3 of what 3 cups leave, so 5 cups go into the pot.
    (pot,) = five.parts
    assert pot.leaves_g["stock_chicken_homemade"] == pytest.approx(5 * 240)
    assert pot.sodium_mg == pytest.approx(5 * 240 * 1.43)  # NDB 06172
    assert pot.reduction.boil_s == pytest.approx(5 / 3 * 1200, rel=5e-3)


def test_two_hundred_mixes_are_scaled_and_summed_in_a_blink():
    lines = [line("bone-stock", "1/4 cup"), *(line(key, "1 T") for key in ITEMS[:8])]
    lines[0] = {"mix": "bone-stock", "amount": "1/4 cup"}
    made = {f"m_{n}": {"kind": "glaze", "per": "piece", "lines": lines} for n in range(200)}
    mixes = Pantry(SHIPPED.ingredients, {**SHIPPED.mixes, **book(**made).mixes})
    target = parse_target("5 pieces")
    times = []
    for _ in range(3):
        begun = time.process_time()
        scaled = [scale(key, target, mixes) for key in made]
        needs, salt_g = leaves(scaled), sum(one.salt_g for one in scaled)
        times.append(time.process_time() - begun)
    assert needs["bones_meaty"] > 0
    assert salt_g > 0
    assert min(times) < 0.2


def test_what_is_there_is_measured_with_the_kitchens_own_spoons():
    mixes = book(m_r=[line("paprika", "1 T"), line("cumin_seed", "1 T")])
    large = parse_target("1 T of paprika", region="metric-20")
    batch = scale("m_r", parse_target("1 batch"), mixes)
    # One tablespoon of 20 ml, where the mix takes one of 14.8 ml.
    assert scale("m_r", large, mixes, region="metric-20").factor == pytest.approx(
        large.amount.si / TABLESPOON_M3
    )
    assert scale("m_r", parse_target("1 T of paprika"), mixes).factor == pytest.approx(batch.factor)


def test_what_is_made_counts_once_though_as_much_goes_on_the_meat():
    rub = scale("plain-rub", parse_target("4 kg"), SHIPPED)
    assert needs([rub], [rub]).grams == pytest.approx(needs([], [rub]).grams)


def test_targets_agree_with_each_other():
    for key, text in [
        ("plain-rub", "4 kg"),
        ("stock-glaze", "6 pieces"),
        ("bone-stock", "3 batches"),
    ]:
        one = scale(key, parse_target(text), SHIPPED)
        by_mass = scale(key, parse_target(f"{one.total_g!r} g", batch=True), SHIPPED)
        by_volume = scale(key, parse_target(f"{one.volume_m3 * 1e6!r} ml", batch=True), SHIPPED)
        for other in (by_mass, by_volume):
            assert other.factor == pytest.approx(one.factor, rel=1e-9)
            assert other.salt_g == pytest.approx(one.salt_g, rel=1e-9)


def test_what_a_mix_does_not_say_is_asked():
    with pytest.raises(InputError, match="guest"):
        scale("plain-rub", parse_target("28 guests"), SHIPPED)
    with pytest.raises(NotFoundError, match="plain-rub"):
        scale("plane-rub", parse_target("4 kg"), SHIPPED)


def test_a_share_of_the_meat_scales_with_the_meat():
    mixes = book(m_dry={"per": "1 kg meat", "lines": [line("salt_fine_table", "1.25 %")]})
    assert scale("m_dry", parse_target("2.3 kg"), mixes).total_g == pytest.approx(28.75)
    with pytest.raises(InputError, match="of what"):
        scale("m_x", parse_target("1 batch"), book(m_x=[line("salt_fine_table", "1.25 %")]))


def test_a_loop_is_shown():
    mixes = book(
        m_a=[line("m_b", "10 g"), line("paprika", "10 g")],
        m_b=[line("m_c", "10 g")],
        m_c=[line("m_b", "1 g")],
    )
    with pytest.raises(InputError, match="m_b → m_c → m_b"):
        scale("m_a", parse_target("1 batch"), mixes)


def test_a_miss_says_in_which_mix():
    with pytest.raises(
        NotFoundError, match=r"m_a: line 1 \(paprka\): no ingredient is called .* Did you mean pap"
    ):
        scale("m_a", parse_target("1 batch"), book(m_a=[line("paprka", "1 T")]))
    with pytest.raises(NotFoundError, match=r"m_a: line 1 \(m_z\): no mix is called 'm_z'"):
        scale("m_a", parse_target("1 batch"), book(m_a=[line("m_z", "1 g")]))


def test_a_strangers_nest_of_mixes_keeps_nobody_busy():
    deep = {f"m_{n}": [line(f"m_{n + 1}", "1 g")] for n in range(60)} | {
        "m_60": [line("paprika", "1 g")]
    }
    with pytest.raises(InputError, match="up to 40 in one another"):
        scale("m_0", parse_target("1 batch"), book(**deep))
    twice = {f"m_{n}": [line(f"m_{n + 1}", "1 g")] * 2 for n in range(14)} | {
        "m_14": [line("paprika", "1 g")]
    }
    with pytest.raises(InputError, match="more than 2000 mixes"):
        scale("m_0", parse_target("1 batch"), book(**twice))


def test_a_stock_that_makes_more_than_went_in_is_refused():
    lines = [line("water_tap", "1 kg")]
    with pytest.raises(InputError, match="no more than went in"):
        scale(
            "m_s", parse_target("1 batch"), book(m_s={"lines": lines, "simmer": {"makes": "2 l"}})
        )


def test_a_pot_is_not_boiled_dry():
    lines = [line("water_tap", "100 g"), line("honey", "400 g")]
    with pytest.raises(InputError, match="holds 168 g of water"):
        scale("m_g", parse_target("1 batch"), book(m_g={"lines": lines, "reduce": {"by": 4}}))
    with pytest.raises(InputError, match="less than there was"):
        scale("m_g", parse_target("1 batch"), book(m_g={"lines": lines, "reduce": {"to": "2 l"}}))


STOCK = {
    "kind": "stock",
    "lines": [
        line("stock_chicken_homemade", "3 cups"),
        line("salt_fine_table", "1 g", when="after reducing"),
    ],
    "reduce": {"to": "3/4 cup", "power": "1 kW"},
}


def test_three_cups_to_three_quarters_takes_twenty_minutes_and_keeps_its_salt():
    stock = scale("m_s", parse_target("1 batch"), book(m_s=STOCK))
    assert stock.reduction.boil_s / 60 == pytest.approx(20.0, abs=0.1)
    assert stock.reduction.ratio == pytest.approx(4.0)
    # 720 g at 143 mg of sodium in 100 g (SR28 NDB 06172), and the salt stirred in.
    assert stock.sodium_mg == pytest.approx(720 * 1.43 + 387.58)
    # What boils away is water: 532 ml of it.
    assert stock.total_g == pytest.approx(720 - 532.3 * 0.9982 + 1.0, abs=0.2)
    notes = " ".join(stock.notes)
    assert "season after reducing" in notes
    assert "about 20 min at 1 kW" in notes
    assert "stir in: Salt, fine table" in notes


def test_salt_before_reducing_is_pointed_out():
    early = {**STOCK, "lines": [line("water_tap", "3 cups"), line("salt_fine_table", "1 t")]}
    notes = " ".join(scale("m_s", parse_target("1 batch"), book(m_s=early)).notes)
    assert "Salt, fine table goes in before reducing and ends 4 times as strong" in notes


def test_heat_that_was_not_said_gives_a_band():
    stock = scale("bone-stock", parse_target("1 batch"), SHIPPED)
    how = stock.reduction
    assert not how.power_known
    assert how.boil_low_s < how.boil_s < how.boil_high_s
    assert how.boil_s / 60 == pytest.approx(35, abs=1)
    assert "20 to 74 min on a home ring" in " ".join(stock.notes)


def test_notes_are_in_the_cooks_units():
    metric = scale("bone-stock", parse_target("1 batch"), SHIPPED, system="metric", region="metric")
    assert "710 ml to 177 ml" in " ".join(metric.notes)
    assert "Spoons and cup are metric: 5, 15 and 250 ml." in metric.notes


def test_a_mix_inside_a_mix_is_listed_with_what_is_needed_of_it():
    glaze = scale("stock-glaze", parse_target("8 pieces"), SHIPPED)
    (stock,) = glaze.parts
    assert stock.key == "bone-stock"
    assert stock.total_g == pytest.approx(glaze.lines[0].grams)
    assert glaze.lines[0].spoons == "1 cup"
    assert "bones_meaty" in glaze.leaves_g
    assert leaves([glaze, glaze])["honey"] == pytest.approx(2 * glaze.leaves_g["honey"])


def test_rubs_go_on_in_their_order():
    blend, plain = (
        scale(key, parse_target("1 kg"), SHIPPED) for key in ("low-salt-rub", "plain-rub")
    )
    assert [mix.key for mix in in_order([blend, plain])] == ["plain-rub", "low-salt-rub"]


def test_allergens_are_gathered_and_never_cleared():
    butter = scale("wrap-butter", parse_target("2 pieces"), SHIPPED)
    assert butter.allergens_us == "milk: check the label"
    assert scale("plain-rub", parse_target("1 kg"), SHIPPED).allergens_eu == "check the label"


def test_curing_salt_is_by_weight_and_stated_strength_and_never_as_salt():
    lines = [line("curing_salt_1", "2.5 g", strength="6.25 %"), line("salt_fine_table", "20 g")]
    cure = scale("m_c", parse_target("2 kg"), book(m_c={"per": "1 kg meat", "lines": lines}))
    assert cure.lines[0].spoons == ""
    words = " ".join(cure.notes)
    assert "5.0 g at 6.25 % nitrite by its label" in words
    assert "156 mg of sodium nitrite for each kg" in words
    assert "200 mg/kg" in words
    assert "not a recipe" in words
    with pytest.raises(InputError, match="without its strength"):
        scale("m_c", parse_target("1 batch"), book(m_c=[line("curing_salt_1", "2.5 g")]))
    by_spoon = book(m_c=[line("curing_salt_1", "1 tsp", strength="6.25 %")])
    with pytest.raises(InputError, match="grams only"):
        scale("m_c", parse_target("1 batch"), by_spoon)


@pytest.mark.parametrize(
    ("key", "kind"), [("plain-rub", "meat"), ("stock-glaze", "piece"), ("bone-stock", "batch")]
)
def test_a_cook_gives_each_mix_its_own_target(key, kind):
    assert target_for(SHIPPED.mix(key), meat_kg=4.0, pieces=3).kind == kind


# --- what must hold for any mixes -------------------------------------------------------------


@given(nested(), st.floats(0.05, 40.0))
def test_salt_is_the_sum_over_the_leaves_however_nested_scaled_or_reduced(made, meat_kg):
    mixes, key = book(**made[0]), made[1]
    scaled = scale(key, parse_target(f"{meat_kg:.6f} kg"), mixes)
    times = float(f"{meat_kg:.6f}")
    by_lines = sodium_of(mixes, key) * times / SODIUM_MG_PER_G_SALT
    by_leaves = sum(
        grams * mixes.ingredient(leaf).sodium_mg_per_100g / 100.0 / SODIUM_MG_PER_G_SALT
        for leaf, grams in scaled.leaves_g.items()
    )
    assert scaled.salt_g == pytest.approx(by_lines, rel=1e-9, abs=1e-9)
    assert scaled.salt_g == pytest.approx(by_leaves, rel=1e-9, abs=1e-9)
    assert scaled.salt_g == pytest.approx(
        sum(one.salt_g for one in scaled.lines), rel=1e-9, abs=1e-9
    )


@given(nested(), st.floats(0.05, 40.0))
def test_there_and_back_gives_the_same_grams(made, meat_kg):
    mixes, key = book(**made[0]), made[1]
    one = scale(key, parse_target("1 kg"), mixes)
    there = scale(key, parse_target(f"{meat_kg!r} kg"), mixes)
    back = [entry.grams / meat_kg for entry in there.lines]
    assert back == pytest.approx([entry.grams for entry in one.lines], rel=1e-9)
    assert there.total_g / meat_kg == pytest.approx(one.total_g, rel=1e-9)


@given(nested(), st.sampled_from(["metric", "metric-20"]))
def test_spoons_and_units_shown_never_change_a_gram(made, region):
    mixes, key = book(**made[0]), made[1]
    plain = scale(key, parse_target("3 kg"), mixes)
    other = scale(key, parse_target("3 kg"), mixes, region=region, system="metric")
    assert [one.grams for one in other.lines] == [one.grams for one in plain.lines]
    assert (other.total_g, other.salt_g, other.leaves_g) == (
        plain.total_g,
        plain.salt_g,
        plain.leaves_g,
    )


@given(nested())
def test_mass_is_kept_but_for_the_steam(made):
    mixes, key = book(**made[0]), made[1]
    scaled = scale(key, parse_target("1 batch"), mixes)
    steam = 0.0
    if scaled.reduction:
        steam = (scaled.reduction.from_m3 - scaled.reduction.to_m3) * 998.2e3
    assert scaled.total_g == pytest.approx(sum(one.grams for one in scaled.lines) - steam, rel=1e-9)
