"""The cook's own scales: what they said of a cut is what the next cook of it is forecast to leave."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json

import pytest

from stallwise.joins.answer import answer
from stallwise.joins.mix.yields import cut_yield, own_yields, yields_before
from stallwise.record.schema import Cook
from stallwise.record.weighins import WeighIn, weigh_in, weigh_ins, weighed_before
from stallwise.tables.catalogue import cut
from tests.joins.cooks import NOW, record, ribs

KEY = "pork-spare-ribs-trimmed"
TEXT = """schema = 1
title = "x"
date = {date}
{more}
[[pieces]]
letter = "A"
cut = "{cut}"
mass = "3 lb"
mass_bought = "3 lb"
mass_edible = "{eaten} lb"
"""


def past(*eaten_lb, **cook):
    days = [dt.date(2026, 1, day + 1) for day in range(len(eaten_lb))]
    return tuple(
        weigh_in(
            Cook(
                title="x",
                date=day,
                pieces=[ribs(mass_bought="3 lb", mass_edible=f"{lb} lb")],
                **cook,
            )
        )
        for day, lb in zip(days, eaten_lb, strict=True)
    )


def to_eat(weighed=(), **piece):
    made = dataclasses.replace(record(ribs(**piece)), weighed=weighed)
    return answer(made, made_at=NOW, changes={"members": 60}, seed=1).pieces[0].edible_kg


def test_three_weigh_ins_move_what_is_forecast_to_eat():
    scales = past(1.2, 1.3, 1.4)
    own = own_yields(scales)[KEY]
    found = to_eat(scales)
    assert found.p50 == pytest.approx(1.3 * 0.45359237, rel=1e-3)
    assert found.p10 == pytest.approx(own.eaten_of_on.low * 3 * 0.45359237, rel=1e-3)
    assert found.p90 == pytest.approx(own.eaten_of_on.high * 3 * 0.45359237, rel=1e-3)
    assert cut_yield(cut(KEY), own).eaten.middle == pytest.approx(1.3 / 3)  # as `crowd` has it
    assert found.p50 != pytest.approx(to_eat().p50, rel=0.02)


def test_two_are_not_enough_and_a_scale_of_its_own_wins():
    assert to_eat(past(1.2, 1.3)).p50 == pytest.approx(to_eat().p50)
    weighed = to_eat(past(1.2, 1.3, 1.4), mass_edible="2 lb")
    assert (weighed.p10, weighed.p90) == (pytest.approx(0.907, abs=1e-3),) * 2


@pytest.mark.parametrize("kept_out", [{"teaches": False}, {"sample": True}])
def test_who_does_not_teach_says_nothing(kept_out):
    made = dataclasses.replace(record(), weighed=past(1.2, 1.3, 1.4, **kept_out))
    assert yields_before(made) == {}
    both = [*past(1.2, 1.3, 1.4, **kept_out), *past(2.0, 2.1, 2.2)]
    assert own_yields(both)[KEY].eaten.middle == pytest.approx(2.1 / 3)


def test_only_readable_cooks_of_the_cut_before_the_day_are_taken():
    cook = Cook(title="now", date=dt.date(2026, 5, 1), pieces=[ribs()])
    texts = [
        ("b", TEXT.format(date="2026-04-01", cut=KEY, eaten=1, more="")),
        ("a", TEXT.format(date="2026-03-01", cut=KEY, eaten=2, more="")),
        ("later", TEXT.format(date="2026-05-02", cut=KEY, eaten=1, more="")),
        ("other", TEXT.format(date="2026-03-01", cut="pork-back-ribs", eaten=1, more="")),
        ("broken", TEXT.format(date="2026-03-01", cut=KEY, eaten=1, more="odds = 3")),
        ("me", TEXT.format(date="2026-04-30", cut=KEY, eaten=1, more="")),
    ]
    found = weighed_before(weigh_ins(texts), "me", cook)
    assert [one.name for one in found] == ["a", "b"]
    assert found[0].by_cut[KEY].edible == pytest.approx(2 * 0.45359237)
    assert [WeighIn.from_plain(json.loads(json.dumps(one.plain()))) for one in found] == [*found]
