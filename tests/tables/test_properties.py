"""Meat from its composition: bounds, mixing rules, what is refused and what is warned of."""

from __future__ import annotations

import csv

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground import assets
from stallwise.ground.errors import InputError, OutOfRangeError, OutOfRangeWarning
from stallwise.tables.properties import (
    Composition,
    conductivity_parallel_w_m_k,
    conductivity_series_w_m_k,
    conductivity_w_m_k,
    density_kg_m3,
    diffusivity_m2_s,
    specific_heat_j_kg_k,
)

BRISKET = Composition(0.58, 0.165, 0.245, 0.01)


@st.composite
def compositions(draw):
    parts = np.array([draw(st.floats(0.01, 1.0)) for _ in range(6)])
    water, protein, fat, ash, carbohydrate, fibre = parts / parts.sum()
    return Composition(water, protein, fat, ash, carbohydrate, fibre)


@given(compositions(), st.floats(0.0, 150.0))
def test_the_mean_lies_between_the_bounds(composition, temperature):
    series = conductivity_series_w_m_k(composition, temperature)
    parallel = conductivity_parallel_w_m_k(composition, temperature)
    mean = conductivity_w_m_k(composition, temperature)
    assert 0.05 < series <= mean <= parallel < 0.75


@given(compositions(), st.floats(0.0, 150.0))
def test_a_mixture_lies_between_its_parts(composition, temperature):
    names = ["water", "protein", "fat", "ash", "carbohydrate", "fibre"]
    parts = [Composition(*(float(name == each) for each in names)) for name in names]
    for quantity in (density_kg_m3, specific_heat_j_kg_k):
        values = [float(quantity(part, temperature)) for part in parts]
        assert min(values) <= quantity(composition, temperature) <= max(values)


def test_diffusivity_is_conductivity_over_heat_capacity():
    k, rho, cp = (
        quantity(BRISKET, 60.0)
        for quantity in (conductivity_w_m_k, density_kg_m3, specific_heat_j_kg_k)
    )
    assert diffusivity_m2_s(BRISKET, 60.0) == pytest.approx(k / rho / cp)


def test_fat_conducts_at_every_temperature():
    # One copy of the table has a slope ten times too large, and fat at 64 °C a perfect insulator.
    temperatures = np.linspace(-1.0, 150.0, 50)
    assert np.all(conductivity_w_m_k(Composition(0, 0, 1, 0), temperatures) > 0.13)


def test_arrays_go_through():
    temperatures = np.array([5.0, 60.0, 95.0])
    many = diffusivity_m2_s(BRISKET, temperatures)
    assert many == pytest.approx([diffusivity_m2_s(BRISKET, t) for t in temperatures])


def test_holes_weigh_nothing():
    assert density_kg_m3(BRISKET, 20.0, 0.1) == pytest.approx(0.9 * density_kg_m3(BRISKET, 20.0))
    with pytest.raises(OutOfRangeError):
        density_kg_m3(BRISKET, 20.0, -0.1)


def test_rounding_in_a_table_is_scaled_away():
    given_ = Composition(0.7263, 0.1955, 0.0714, 0.0102)
    assert sum(given_.shares().values()) == pytest.approx(1.0, abs=1e-15)
    assert given_.water == pytest.approx(0.7263 / 1.0034)


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ((58, 16.5, 24.5, 1), "Divide percentages by 100"),
        ((0.58, 0.165, 0.245, -0.01), "share of ash"),
        ((0.58, 0.165, 0.2, 0.01), "add up to 0.955"),
        ((float("nan"), 0.2, 0.05, 0.01), "share of water"),
    ],
)
def test_a_wrong_composition_is_refused(shares, words):
    with pytest.raises(InputError, match=words):
        Composition(*shares)


@pytest.mark.parametrize(("temperature", "words"), [(160.0, "-40 to 150"), (-5.0, "ice")])
def test_outside_the_table_a_warning(temperature, words):
    with pytest.warns(OutOfRangeWarning, match=words) as caught:
        diffusivity_m2_s(BRISKET, temperature)
    assert len(caught) == 1
    assert caught[0].filename == __file__


def test_the_table_is_whole():
    rows = list(csv.DictReader(assets.read_text("data", "food_properties.csv").splitlines()))
    pairs = {(row["component"], row["property"]) for row in rows}
    assert len(rows) == len(pairs) == 6 * 3
    assert {row["grade"] for row in rows} == {"published"}
