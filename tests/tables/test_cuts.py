"""Every shipped cut: where its figures come from, what its finishes ask for, that it can be forecast."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from stallwise.ground import assets
from stallwise.ground.ensemble import quantiles
from stallwise.ground.references import GRADES, cited
from stallwise.models.forecast import forecast_pieces
from stallwise.models.plan import Body, PiecePlan, PitCurve, Target, Wrap
from stallwise.tables.catalogue import cut, cuts, dimensions, search

HOUR = 3600.0
EVERY = sorted(cuts())
TABLES = {key: tomllib.loads(assets.read_text("data", "cuts", f"{key}.toml")) for key in EVERY}
BIRDS = sorted(key for key in EVERY if cut(key).species in {"chicken", "turkey", "duck"})
#: Finishes by temperature, as (cut, words).
BY_CORE = [
    (key, finish.words)
    for key in EVERY
    for finish in cut(key).finishes
    if finish.target.kind == "core"
]
#: Consumer minima [°C] of fsis-consumer-chart: 145 °F and 3 min rest for whole cuts, else these.
WHOLE_CUT_C = 62.78
OTHER_C = {"poultry": 73.89, "sausage": 71.11, "sausage-smoked": 73.89}


def plan(key, mass_kg=None, *, finish=None, **changes):
    one = cut(key)
    mass_kg = mass_kg or one.usual_mass_kg
    body = Body(mass_kg, *dimensions(one, mass_kg).half_m, one.composition, one.surface, one.tissue)
    usual = Wrap() if one.wrap.kind == "none" else _window(one.wrap)
    made = PiecePlan(
        "A",
        key,
        body,
        one.finish(finish).target,
        PitCurve.steady(one.pit_c),
        start_core_c=one.start_core_c,
        wrap=usual,
    )
    return replace(made, **changes)


def _window(habit):
    return Wrap(habit.kind, habit.earliest_s, habit.latest_s)


def hours(made, members=20):
    forecast = forecast_pieces([made], seed=1, members=members).pieces["A"]
    return quantiles(forecast.stages["tender"] / HOUR, (0.1, 0.5, 0.9), forecast.weights)


def values(table):
    """Every inline value of a cut's file with its path."""
    for section, part in table.items():
        if isinstance(part, dict):
            for name, one in part.items():
                if isinstance(one, dict):
                    yield f"{section}.{name}", one


# --- where the figures come from -----------------------------------------------------------------


def test_there_are_cuts_of_every_kind():
    assert len(EVERY) >= 32
    assert {cut(key).species for key in EVERY} >= {
        *("pork", "beef", "lamb", "chicken", "turkey", "sausage")
    }


@pytest.mark.parametrize("key", EVERY)
def test_a_value_with_a_source_of_its_own_cites_it(key):
    for path, one in values(TABLES[key]):
        assert ("source" in one) == ("grade" in one), path
        if "source" in one:
            assert cited(one["source"]), path
            assert one["grade"] in GRADES, path


@pytest.mark.parametrize("key", EVERY)
def test_composition_is_that_of_a_numbered_food_and_adds_up(key):
    part = TABLES[key]["composition"]
    assert re.match(r"usda-sr28: NDB \d{5}, ", part["source"])
    shares = [part[name]["value"] for name in ("water", "protein", "fat", "ash")]
    assert sum(shares) == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("key", [key for key in EVERY if cut(key).imps])
def test_an_item_number_is_one_and_says_how_it_was_read(key):
    assert re.fullmatch(r"\d{3}[A-Z]?", cut(key).imps)
    number = TABLES[key]["number"]
    assert number["source"] == f"usda-imps: item {cut(key).imps}"
    assert re.search("read in the text|read at second hand", number["imps"]["note"])


# --- finishes ------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", EVERY)
def test_finishes_rise_and_promise_nothing(key):
    one = cut(key)
    for kind in ("dose", "core"):
        targets = [f.target.value for f in one.finishes if f.target.kind == kind]
        assert targets == sorted(targets)
    assert all(finish.sign for finish in one.finishes)
    # neither the words nor the notes call a food safe or done
    said = assets.read_text("data", "cuts", f"{key}.toml").casefold()
    assert not re.search(r"\bsafe(ly|ty)?\b|\bdone\b", said)


@pytest.mark.parametrize(("key", "words"), BY_CORE)
def test_a_finish_by_temperature_quotes_the_consumer_minimum(key, words):
    one, finish = cut(key), cut(key).finish(words)
    row = next(row for row in TABLES[key]["finish"] if row["words"] == words)
    assert row["source"] == "fsis-consumer-chart"
    least = OTHER_C.get(key, OTHER_C.get(one.tissue, WHOLE_CUT_C))
    assert f"{round(least * 1.8 + 32)} °F" in row["note"]
    # a pink roast is the one thing below it, and its sign says so
    assert (finish.target.value < least - 0.01) == ("below the USDA chart" in finish.sign)


@pytest.mark.parametrize("key", BIRDS)
def test_a_bird_has_soft_and_crisp_skin_and_says_what_the_pit_must_reach(key):
    one = cut(key)
    assert one.finish_words == ("skin soft", "skin crisp")
    assert "under 285 °F" in one.finish("skin soft").sign
    assert "reach 325 °F" in one.finish("skin crisp").sign
    assert one.surface == "skin"
    if one.usual_finish == "skin crisp":
        assert one.pit_c >= (325 - 32) / 1.8 - 0.1


# --- search --------------------------------------------------------------------------------------


def test_a_species_a_nickname_and_a_number_find_their_cuts():
    turkeys = {one.key for one in search("turkey")}
    assert turkeys == {key for key in EVERY if key.startswith("turkey-")}
    assert len(turkeys) >= 4
    assert turkeys < {one.key for one in search("bird")} == set(BIRDS)
    assert [one.key for one in search("120b")] == ["beef-brisket-point"]
    opened = [one.key for one in search("opened flat")]
    assert opened == ["chicken-opened-flat", "turkey-opened-flat"]
    assert {"pork-shoulder-bone-in", "pork-picnic"} < {one.key for one in search("pulled pork")}


# --- forecasts -----------------------------------------------------------------------------------


@pytest.mark.parametrize("key", EVERY)
def test_every_finish_of_every_cut_can_be_forecast(key):
    for finish in cut(key).finish_words:
        low, middle, high = hours(plan(key, finish=finish))
        assert 0.3 < middle < 30.0, finish
        assert np.isfinite([low, high]).all(), finish


def pit_f(degrees):
    return PitCurve.steady((degrees - 32.0) / 1.8)


def foil(hour):
    return Wrap("foil", at_s=hour * HOUR)


@pytest.mark.parametrize(
    ("made", "low", "high"),
    [
        # common practice, no source: accepted spans of a middle
        (plan("beef-brisket-whole", pit=pit_f(225), wrap=Wrap()), 11.0, 20.0),
        (plan("beef-brisket-whole", pit=pit_f(275), wrap=foil(5)), 6.5, 11.0),
        (plan("turkey-opened-flat", pit=pit_f(325)), 70 / 60, 130 / 60),
        (plan("turkey-whole", pit=pit_f(325)), 2.3, 4.0),
    ],
    ids=["brisket, 225 F, bare", "brisket, 275 F, wrapped", "turkey opened, 325 F", "turkey"],
)
def test_the_middle_lies_where_cooks_say(made, low, high):
    assert low < hours(made, members=100)[1] < high


@pytest.mark.parametrize(
    ("key", "mass_kg", "pit_c", "core_c", "low", "high"),
    [
        # foodsafety-gov-roasting: hours in a still oven to 145 °F (beef) or 165 °F (birds)
        ("turkey-whole", 4.5, 163.0, 74.0, 2.75, 3.0),
        ("turkey-whole", 5.9, 163.0, 74.0, 3.0, 3.75),
        ("turkey-whole", 7.3, 163.0, 74.0, 3.75, 4.25),
        ("turkey-whole", 8.65, 163.0, 74.0, 4.25, 4.5),
        ("turkey-whole", 10.0, 163.0, 74.0, 4.5, 5.0),
        ("chicken-whole", 1.6, 177.0, 74.0, 1.25, 1.5),
        ("beef-round-roast", 1.47, 163.0, 63.0, 1.6, 1.9),
        ("beef-rib-roast", 2.27, 163.0, 63.0, 1.9, 2.1),
    ],
)
def test_roasting_charts_are_met_within_fifteen_percent(key, mass_kg, pit_c, core_c, low, high):
    made = plan(
        key,
        mass_kg,
        target=Target("core", core_c),
        pit=PitCurve.steady(pit_c),
        pit_kind="oven",
        number_place="oven",
        wrap=Wrap(),
    )
    at10, middle, at90 = hours(made, members=100)
    chart = (low + high) / 2.0
    assert middle == pytest.approx(chart, rel=0.15)
    assert at10 < chart < at90


@pytest.mark.parametrize("key", ["beef-brisket-flat", "beef-plate-short-ribs", "beef-chuck-roast"])
def test_beef_is_as_hot_as_cooks_read_when_it_is_tender(key):
    # common practice, no source: 195 to 210 °F
    made = plan(key, wrap=Wrap())
    forecast = forecast_pieces([made], seed=1, members=50).pieces["A"]
    tender = forecast.stages["tender"]
    cores = [
        np.interp(second, forecast.time_s, core)
        for second, core in zip(tender, forecast.core_c, strict=True)
        if np.isfinite(second)
    ]
    assert 195.0 < np.median(cores) * 1.8 + 32.0 < 210.0
