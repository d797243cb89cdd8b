"""How damp a pit is for what burns and boils in it, against that kind of pit on a usual day."""

from __future__ import annotations

from stallwise.models.combustion import as_fired_heat_j_kg, combustion_water_kg_kg
from stallwise.models.fire import FIRE_KINDS
from stallwise.models.fuel import fuel_rate_kg_s, pit_heat_w, pit_humidity_ratio
from stallwise.tables.parameters import parameter

__all__ = ["humidity_factor"]

_HOUR_S = 3600.0


def humidity_factor(
    pit_kind: str,
    pit_c: float,
    *,
    moisture: float | None = None,
    water_pan: bool | None = None,
    meat_kg: float | None = None,
) -> float:
    """Water in the pit's air over what that kind of pit has on a usual day.

    The balance of a stirred pit [derived]_ gives both; only their ratio is used, for the level itself
    was fitted to cooks.

    Parameters
    ----------
    pit_kind : str
        Kind of pit; one that burns nothing a cook carries gives 1.
    pit_c : float
        Pit [°C].
    moisture : float, optional
        Water over wood as it is [-]; usual wood when not given.
    water_pan : bool, optional
        A pan of water stands in it; as usual for its kind when not given.
    meat_kg : float, optional
        All the meat on it [kg]; ``pit.air.meat`` when not given.

    Returns
    -------
    float
        Factor [-] on ``pit.humidity.<kind>``.

    References
    ----------
    [derived]_
    """
    outside = parameter("pit.opening.ambient").value
    if pit_kind not in FIRE_KINDS or pit_c <= outside:
        return 1.0
    usual_pan = pit_kind == "water pan"
    boiled = parameter("pit.water.water-pan").value / _HOUR_S
    has_pan = usual_pan if water_pan is None else water_pan
    usual_meat = parameter("pit.air.meat").value
    wet = parameter("fuel.hardwood.moisture").value
    usual = _ratio(pit_kind, pit_c, outside, wet, boiled * usual_pan, usual_meat)
    now = _ratio(
        pit_kind,
        pit_c,
        outside,
        wet if moisture is None else moisture,
        boiled * has_pan,
        usual_meat if meat_kg is None else meat_kg,
    )
    return now / usual


def _ratio(
    kind: str, pit_c: float, outside_c: float, moisture: float, boiled: float, meat_kg: float
) -> float:
    name = kind.replace(" ", "-")
    loss, share = parameter(f"pit.loss.{name}").value, parameter(f"pit.wall_share.{name}").value
    air = (1.0 - share) * loss / parameter("fuel.air_heat").value
    heat = pit_heat_w(
        share * loss,
        air,
        pit_c,
        outside_c,
        meat_w=meat_kg * parameter("fuel.meat_heat").value,
        water_kg_s=boiled,
    )
    fuel = fuel_rate_kg_s(heat, as_fired_heat_j_kg(moisture), parameter("fuel.burnt").value)
    hydrogen = parameter("fuel.hardwood.hydrogen").value
    return float(
        pit_humidity_ratio(
            fuel,
            combustion_water_kg_kg(hydrogen, moisture),
            air,
            parameter("pit.air.outside").value,
            water_kg_s=boiled + meat_kg * parameter("fuel.meat_water").value / _HOUR_S,
        )
    )
