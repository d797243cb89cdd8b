"""People's quantities in, people's quantities out."""

from __future__ import annotations

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground import scales, units
from stallwise.ground.errors import InputError, NotFoundError, OutOfRangeError

#: Kind, text, SI value, and the reading that must never come out.
READ = [
    ("temperature", "225 F", 107.2222, "225 as Celsius"),
    ("temperature", "225°F", 107.2222, "no space"),
    ("temperature", "225 degrees F", 107.2222, "words"),
    ("temperature", "225 ℉", 107.2222, "one character"),
    ("temperature", "107 C", 107.0, "Fahrenheit"),
    ("temperature", "107 °C", 107.0, "Fahrenheit"),
    ("temperature", "380 K", 106.85, "Fahrenheit"),
    ("temperature", "20 degF", -6.6666667, "refused"),
    ("temperature", "-5 C", -5.0, "5"),
    ("temperature", "\u22125 C", -5.0, "a minus sign that is not a hyphen"),
    ("temperature", "115,5 C", 115.5, "1155"),
    ("temperature_difference", "18 F", 10.0, "-7.8, with the offset of the scale"),
    ("temperature_difference", "10 C", 10.0, "283.15"),
    ("temperature_difference", "10 K", 10.0, "-263.15"),
    ("mass", "6 lb 8 oz", 2.948350405, "6.8 lb"),
    ("mass", "6lb8oz", 2.948350405, "68"),
    ("mass", "6 lb, 8 oz", 2.948350405, "6"),
    ("mass", "1.5 kg", 1.5, "15"),
    ("mass", "1,5 kg", 1.5, "15, or 1 and 5"),
    ("mass", "0,250 kg", 0.25, "250"),
    ("mass", "1,234.5 g", 1.2345, "1.234"),
    ("mass", "1.234,5 g", 1.2345, "1.234"),
    ("mass", "a 4-lb piece", 1.81436948, "-4 lb"),
    ("mass", "3/4 lb", 0.3401942775, "3 and 4"),
    ("mass", "1½ lb", 0.680388555, "11/2 = 5.5"),
    ("mass", "2½ lb", 1.133980925, "21/2 = 10.5"),
    ("mass", "1 1/2 lb", 0.680388555, "11/2"),
    ("mass", "1-1/2 lb", 0.680388555, "a range, or 1"),
    ("mass", "2 1/3 oz", 0.0661488873, "21/3 = 7"),
    ("mass", "412 g", 0.412, "412 kg"),
    ("mass", "half a pound", 0.226796185, "refused"),
    ("length", "20 cm", 0.2, "20"),
    ("length", "1 3/4 in", 0.04445, "13/4"),
    ("length", "45 mm", 0.045, "45"),
    ("volume", "2 T", 2.95735295625e-5, "two teaspoons"),
    ("volume", "2 t", 9.8578431875e-6, "two tablespoons"),
    ("volume", "2 Tbsp.", 2.95735295625e-5, "teaspoons"),
    ("volume", "1 fl. oz.", 2.95735295625e-5, "an ounce of weight"),
    ("duration", "2:45", 9900.0, "2 min 45 s"),
    ("duration", "0:45", 2700.0, "45 s"),
    ("duration", "2:45:30", 9930.0, "refused"),
    ("duration", "2 h 45 min", 9900.0, "2 h"),
    ("duration", "2h45", 9900.0, "2 h"),
    ("duration", "90 min", 5400.0, "90 h"),
    ("duration", "1.5 h", 5400.0, "1 h 50"),
    ("duration", "45 s", 45.0, "45 min"),
    ("duration", "half an hour", 1800.0, "refused"),
    ("elevation", "180 m", 180.0, "180 ft"),
    ("elevation", "1,500 ft", 457.2, "1.5 ft"),
    ("elevation", "-20 m", -20.0, "20"),
    ("fraction", "30 %", 0.3, "30"),
    ("fraction", "1/3", 1 / 3, "13"),
    ("fraction", "0.3", 0.3, "0.3 %"),
    ("power", "9,000 Btu/h", 2637.64, "9 Btu/h"),
]

#: Kind, text, and words of the question or refusal.
ASKED = [
    ("temperature", "250", "'250 F' (121 °C) or '250 C' (482 °F)?"),
    ("temperature", 250, "'250 F' (121 °C) or '250 C' (482 °F)?"),
    ("temperature", "250°", "'250 F'"),
    ("temperature", "225-250 F", "'225 F' or '250 F'?"),
    ("temperature", "225 X", "Allowed: F, C or K"),
    ("temperature", "-300 C", "absolute zero"),
    ("temperature", "hot", "no number"),
    ("temperature_difference", "18", "18 F"),
    ("mass", "5", "'5 lb' or '5 oz'?"),
    ("mass", "6 lb 8", "8 in '6 lb 8' for pit_start has no unit"),
    ("mass", "8 fl oz", "volume"),
    ("mass", "-2 lb", "negative"),
    ("mass", "2 lbz", "Nearest: lb"),
    ("mass", "2-3 lb", "'2 lb' or '3 lb'?"),
    ("mass", "2 lb - 3 lb", "range"),
    ("mass", "6 lb 20 oz", "larger unit to the smaller"),
    ("mass", "8 oz 6 lb", "larger unit to the smaller"),
    ("mass", "21/2 lb", "'2 1/2' (2.5) or '10.5'"),
    ("mass", "1,500 g", "'1500' or '1.500'?"),
    ("mass", "1/0 lb", "divides by zero"),
    ("mass", "three lb", "no number"),
    ("volume", "8 oz", "weight"),
    ("volume", "2 TS", "tablespoons or teaspoons"),
    ("duration", "90", "'90 h' or '90 min'?"),
    ("duration", "2:75", "59"),
    ("elevation", "180", "'180 m' or '180 ft'?"),
    ("elevation", "12000 m", "where anyone cooks"),
    ("fraction", "30", "'30 %'"),
    ("fraction", "120 %", "more than the whole"),
    ("fraction", "20-30 %", "range"),
]


@pytest.mark.parametrize(("kind", "text", "value", "never"), READ)
def test_reads(kind, text, value, never):
    assert units.parse(kind, text) == pytest.approx(value, rel=1e-6), f"never {never}"


@pytest.mark.parametrize(("kind", "text", "words"), ASKED)
def test_asks(kind, text, words):
    with pytest.raises(InputError) as caught:
        units.parse(kind, text, key="pit_start")
    assert words in str(caught.value)
    assert caught.value.status == 2


def test_the_question_about_a_bare_temperature_is_whole():
    with pytest.raises(InputError) as caught:
        units.parse_temperature_c("250", key="pit_start")
    assert (
        str(caught.value)
        == "'250' for pit_start has no unit: '250 F' (121 °C) or '250 C' (482 °F)?"
    )


def test_negative_and_impossible_are_told_from_ill_written():
    with pytest.raises(OutOfRangeError):
        units.parse_mass_kg("-2 lb")
    with pytest.raises(NotFoundError):
        units.parse("weight", "2 lb")


def test_a_metric_kitchen_asks_which_pint():
    with pytest.raises(InputError, match="US pint"):
        units.parse_volume_m3("1 pint", region="metric")
    assert units.parse_volume_m3("1 US pint", region="metric") == pytest.approx(473.176473e-6)
    assert units.parse_volume_m3("1 tbsp", region="metric-20") == pytest.approx(20e-6)
    with pytest.raises(NotFoundError):
        units.parse_volume_m3("1 tbsp", region="moon")


def test_every_kind_reads_its_own_example():
    for kind in units.KINDS.values():
        kind.parse(kind.example)


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (units.format_temperature(107.2222), "225 °F"),
        (units.format_temperature(107.2222, "metric"), "107 °C"),
        (units.format_temperature_difference(10.0), "18 °F"),
        (units.format_temperature_difference(10.0, "metric"), "10 °C"),
        (units.format_mass(2.948350405), "6 lb 8 oz"),
        (units.format_mass(0.4530), "1 lb"),
        (units.format_mass(0.0496), "1 3/4 oz"),
        (units.format_mass(0.0096), "9.6 g"),
        (units.format_mass(0.4123, "metric"), "412 g"),
        (units.format_mass(2.948, "metric"), "2.95 kg"),
        (units.format_length(0.04445), "1 3/4 in"),
        (units.format_length(0.003), "1/8 in"),
        (units.format_length(0.0452, "metric"), "45 mm"),
        (units.format_elevation(180.0), "591 ft"),
        (units.format_duration(9900.0), "2 h 45 min"),
        (units.format_duration(3599.9), "1 h"),
        (units.format_duration(7200.0), "2 h"),
        (units.format_duration(45.0), "45 s"),
        (units.format_duration(-2700.0), "-45 min"),
        (units.format_volume(3 * scales.CUP_M3), "3 cups"),
        (units.format_volume(0.00025, "metric"), "250 ml"),
        (units.format_volume(0.0015, "metric"), "1.50 l"),
    ],
)
def test_prints(said, wanted):
    assert said == wanted


@given(st.floats(min_value=0.05, max_value=50.0))
def test_a_printed_mass_reads_back_within_half_its_last_step(mass_kg):
    ounce = scales.OUNCE_KG
    assert units.parse_mass_kg(units.format_mass(mass_kg)) == pytest.approx(mass_kg, abs=ounce / 2)
    metric = units.parse_mass_kg(units.format_mass(mass_kg, "metric"))
    assert metric == pytest.approx(mass_kg, abs=0.0051)


@given(st.integers(min_value=60, max_value=200_000))
def test_a_printed_duration_reads_back_to_the_minute(time_s):
    assert units.parse_duration_s(units.format_duration(time_s)) == pytest.approx(time_s, abs=30.0)


@given(st.floats(min_value=-100.0, max_value=600.0))
def test_a_printed_temperature_reads_back_to_the_degree(temperature_c):
    for system, step in (("us", 1 / 1.8), ("metric", 1.0)):
        back = units.parse_temperature_c(units.format_temperature(temperature_c, system))
        assert back == pytest.approx(temperature_c, abs=step / 2 + 1e-9)


@given(st.text(max_size=12), st.sampled_from(sorted(units.KINDS)))
def test_any_text_is_read_or_asked(text, kind):
    try:
        value = units.parse(kind, text)
    except InputError:
        return
    assert isinstance(value, float)


def test_the_literals_are_those_of_the_table(root):
    with (root / "data" / "units.csv").open(encoding="utf-8", newline="") as file:
        table = {row["key"]: float(row["value"]) for row in csv.DictReader(file)}
    literal = {
        "gallon": scales.GALLON_M3,
        "quart": scales.QUART_M3,
        "pint": scales.PINT_M3,
        "cup": scales.CUP_M3,
        "fluid_ounce": scales.FLUID_OUNCE_M3,
        "tablespoon": scales.TABLESPOON_M3,
        "teaspoon": scales.TEASPOON_M3,
        "imperial_pint": scales.IMPERIAL_PINT_M3,
        "pound": scales.POUND_KG,
        "ounce": scales.OUNCE_KG,
        "inch": scales.INCH_M,
        "foot": scales.FOOT_M,
        "btu": scales.BTU_J,
        "mile_per_hour": scales.SPEED.names["mph"],
        "knot": scales.SPEED.names["knot"],
        "inch_of_mercury": scales.PRESSURE.names["inhg"],
        "teaspoon_metric": scales.REGIONS["metric"]["tsp"],
        "tablespoon_metric": scales.REGIONS["metric"]["tbsp"],
        "cup_metric": scales.REGIONS["metric"]["cup"],
        "tablespoon_metric_20": scales.REGIONS["metric-20"]["tbsp"],
        "imperial_fluid_ounce": scales.VOLUME.names["imperial fl oz"],
        "imperial_cup": scales.REGIONS["imperial"]["cup"],
        "imperial_tablespoon": scales.REGIONS["imperial"]["tbsp"],
        "imperial_teaspoon": scales.REGIONS["imperial"]["tsp"],
    }
    assert literal == pytest.approx(table, rel=1e-9)
    assert literal.keys() == table.keys()


def test_a_number_too_long_for_a_quantity_is_refused():
    with pytest.raises(InputError, match="characters"):
        units.parse_mass_kg("9" * 400 + " g")
