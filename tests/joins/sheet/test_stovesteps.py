"""Stock and glaze on the day sheet: done before the wrap or the coat that needs them."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from stallwise.joins.answer import answer
from stallwise.record.schema import MixUse
from tests.joins.cooks import NOW, record


def steps(*uses, **cook):
    made = record(**cook)
    made = dataclasses.replace(made, cook=made.cook.model_copy(update={"mixes": list(uses)}))
    result = answer(made, made_at=NOW)
    return {step.id: step for step in result.steps}, result


def test_a_stock_is_reduced_before_the_wrap_and_the_glaze_that_take_it():
    uses = [MixUse(mix=mix) for mix in ("wrap-liquid", "stock-glaze")]
    day, result = steps(MixUse(mix="bone-stock", pan="16 cm"), *uses)
    simmer, reduce = day["simmer-bone-stock"], day["reduce-bone-stock"]
    wrap, glaze = day["wrap-A"], day["glaze-A"]
    assert simmer.at + dt.timedelta(hours=2.5) == reduce.at
    assert reduce.at < day["reduce-stock-glaze"].at < glaze.at
    stock = next(mix for mix in result.mixes if mix.mix == "bone-stock")
    slow = dt.timedelta(seconds=stock.making.heat_up_s + stock.making.reduce_high_s * 1.1)
    assert reduce.at + slow <= wrap.earliest - dt.timedelta(minutes=9)
    assert reduce.what == "Reduce to 3/8 in deep: Bone stock, reduced"
    assert "from 1 3/8 in" in reduce.detail
    assert "season after" in reduce.detail


def test_without_a_pan_the_sheet_says_what_is_left():
    day, _ = steps(MixUse(mix="bone-stock"), MixUse(mix="wrap-liquid"))
    assert day["reduce-bone-stock"].what == "Reduce to 3/4 cup: Bone stock, reduced"


def test_a_rub_is_not_on_the_stove():
    day, _ = steps(MixUse(mix="plain-rub"))
    assert not [key for key in day if key.startswith(("simmer", "reduce"))]


def test_high_up_water_boils_sooner():
    _, sea = steps(MixUse(mix="bone-stock"))
    _, up = steps(MixUse(mix="bone-stock"), elevation="2400 m")
    assert up.mixes[0].making.heat_up_s == pytest.approx(
        sea.mixes[0].making.heat_up_s * (92.0 - 20.0) / 80.0, rel=5e-3
    )
    assert any("boils at 198 °F up there" in note for note in up.mixes[0].notes)


def test_salt_goes_on_so_many_hours_before_the_board():
    day, _ = steps(MixUse(mix="dry-brine"), MixUse(mix="plain-rub"))
    salt = day["soak-dry-brine-A"]
    assert day["rub-A"].at - salt.at == dt.timedelta(hours=12)
    assert salt.detail == "12 h, in the cold"
    assert salt.what == "Dry brine on"
    brine, _ = steps(MixUse(mix="strong-brine"))
    assert brine["soak-strong-brine-A"].what.startswith("Into: Strong brine")
