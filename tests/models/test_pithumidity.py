"""Damp air in a pit: more of whatever gives water is damper, and the usual day is the usual day."""

import pytest

from stallwise.models.pithumidity import humidity_factor
from stallwise.models.transfer import plateau_temperature_c

KINDS = ("offset", "closed", "water pan", "fan")


@pytest.mark.parametrize("kind", KINDS)
def test_a_usual_day_changes_nothing(kind):
    assert humidity_factor(kind, 110.0) == pytest.approx(1.0)
    pan = kind == "water pan"
    assert humidity_factor(kind, 110.0, water_pan=pan, meat_kg=5.0) == pytest.approx(1.0)


@pytest.mark.parametrize("kind", KINDS)
def test_water_wet_wood_and_more_meat_are_each_damper(kind):
    woods = [humidity_factor(kind, 110.0, moisture=m) for m in (0.09, 0.18, 0.28, 0.42)]
    loads = [humidity_factor(kind, 110.0, meat_kg=kg) for kg in (0.0, 5.0, 20.0, 60.0)]
    assert woods == sorted(woods)
    assert loads == sorted(loads)
    assert len(set(woods)) == len(set(loads)) == 4
    dry, pan = (humidity_factor(kind, 110.0, water_pan=there) for there in (False, True))
    assert pan > 1.2 * dry


def test_half_a_kilogram_an_hour_in_the_air_of_a_backyard_offset():
    # derived: 47 W/K, 44 % of it air at 1.03 kJ/(kg K) is 72 kg/h; 0.5 kg/h more water is 0.007 kg/kg,
    # and the fire that boils it gives some water of its own
    more = humidity_factor("offset", 110.0, water_pan=True) - 1.0
    assert 0.30 < more < 0.55


def test_an_oven_has_no_fire_to_be_damp_from():
    assert humidity_factor("oven", 110.0, water_pan=True) == 1.0
    assert humidity_factor("box", 60.0, meat_kg=20.0) == 1.0


def test_damper_air_never_lowers_the_stall():
    def level(factor):
        return plateau_temperature_c(
            110.0, 0.022 * factor, convection_w_m2_k=5.5, wetness=0.3, emissivity=0.9
        )

    steps = [level(humidity_factor("offset", 110.0, meat_kg=kg)) for kg in (0.0, 5.0, 40.0)]
    assert steps == sorted(steps)
