"""Wood and charcoal: two ways to state moisture, heat by moisture, air and water of burning."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import OutOfRangeError, OutOfRangeWarning
from stallwise.models.combustion import (
    as_fired_heat_j_kg,
    combustion_water_kg_kg,
    dry_basis,
    stoichiometric_air_kg_kg,
    stoichiometric_oxygen_kg_kg,
    wet_basis,
)
from stallwise.tables.parameters import parameter

#: Net heat [kWh/kg] of fourteen woods at 15 and at 30 % of water, wet basis, from the manual of a
#: boiler maker, table of heating values of fuels (second hand): fir, spruce, Douglas fir, pine,
#: larch, poplar, willow, alder, maple, birch, ash, oak, beech, robinia.
BOILER_MANUAL = [
    (4.40, 3.51), (4.49, 3.58), (4.43, 3.53), (4.32, 3.44), (4.27, 3.39), (3.99, 3.16),
    (3.76, 2.97), (4.06, 3.23), (4.04, 3.21), (4.01, 3.18), (4.10, 3.25), (4.10, 3.25),
    (4.13, 3.28), (4.11, 3.27),
]  # fmt: skip


@given(st.floats(0.0, 10.0))
def test_a_meter_reading_goes_there_and_back(reading):
    assert dry_basis(wet_basis(reading)) == pytest.approx(reading, abs=1e-9)


@given(st.floats(0.0, 0.5), st.floats(1e-6, 0.1))
def test_wetter_wood_gives_less_and_smokes_wetter(moisture, more):
    assert as_fired_heat_j_kg(moisture + more) < as_fired_heat_j_kg(moisture)
    assert combustion_water_kg_kg(0.06, moisture + more) > combustion_water_kg_kg(0.06, moisture)


@pytest.mark.parametrize(("at_15", "at_30"), BOILER_MANUAL)
def test_one_wood_at_two_moistures(at_15, at_30):
    dry = (at_15 * 3.6e6 + parameter("fuel.evaporation").value * 0.15) / (1.0 - 0.15)
    # Two printed digits after the point on either side.
    assert as_fired_heat_j_kg(0.30, dry) / 3.6e6 == pytest.approx(at_30, abs=0.011)


@given(st.floats(0.4, 0.9), st.floats(0.0, 0.1))
def test_what_goes_in_comes_out(carbon, hydrogen):
    """Fuel and oxygen against carbon dioxide and water, by mass."""
    oxygen = stoichiometric_oxygen_kg_kg(carbon, hydrogen, 0.0)
    dioxide = carbon * (12.011 + 2 * 15.999) / 12.011
    assert carbon + hydrogen + oxygen == pytest.approx(
        dioxide + combustion_water_kg_kg(hydrogen), rel=1e-9
    )


def test_the_net_heat_of_the_table_is_the_gross_heat_of_extension_services():
    """8,600 Btu/lb gross for oven-dry wood of any kind, common in state extension leaflets."""
    gross = 8600 * 2326.0
    # The water made from hydrogen leaves as vapour and takes its heat along.
    water = combustion_water_kg_kg(parameter("fuel.hardwood.hydrogen").value)
    net = gross - parameter("fuel.evaporation").value * water
    assert net == pytest.approx(parameter("fuel.hardwood.heat").value, rel=0.02)


def test_oxygen_in_the_fuel_is_oxygen_saved():
    without = stoichiometric_air_kg_kg(0.5, 0.06, 0.0)
    assert stoichiometric_air_kg_kg(0.5, 0.06, 0.43) == pytest.approx(without - 0.43 / 0.2314)


def test_what_cannot_be_is_refused():
    with pytest.raises(OutOfRangeError, match="Divide per cent by 100"):
        wet_basis(25.0)
    with pytest.raises(OutOfRangeError, match="sum of the shares"):
        stoichiometric_air_kg_kg(0.7, 0.2, 0.2)
    with pytest.raises(OutOfRangeError, match="something that burns"):
        stoichiometric_air_kg_kg(0.0, 0.0, 0.5)
    with pytest.warns(OutOfRangeWarning), pytest.raises(OutOfRangeError, match="Dry it first"):
        as_fired_heat_j_kg(0.93)
    with pytest.warns(OutOfRangeWarning, match="still burns"):
        as_fired_heat_j_kg(0.65)
