"""From a plan to the members of its ensemble: every uncertain number drawn once for each possible day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise.models.body import EquivalentBody, equivalent_body
from stallwise.models.kernel import PIT, members_like
from stallwise.models.plan import Knowledge, Learned, PiecePlan, PitChange
from stallwise.models.transfer import lewis_conductance_kg_m2_s_pa
from stallwise.tables.humid_air import vapour_pressure_pa
from stallwise.tables.parameters import Parameter, parameter
from stallwise.tables.properties import conductivity_w_m_k, density_kg_m3, specific_heat_j_kg_k

__all__ = ["Draws", "draw"]

_REFERENCE_C = 40.0
_NEVER = np.inf
#: A probe's tip is not further out than this share of the way to the surface.
_OUTERMOST = 0.85


@dataclass(frozen=True)
class Draws:
    """One piece's ensemble, ready to be marched.

    Attributes
    ----------
    members : array (members,) of `kernel.MEMBER`
        Everything but the pits.
    pits : array (members, pits, 6)
        Columns `kernel.PIT`, one row for each pit that the piece visits, in order.
    spritz_stays : array (members,)
        Share of each spritz that stays; its mean is used, for a spritz is shared by all members.
    drawn : mapping of parameter key to array (members,)
        The values drawn, in the table's units.
    scores : mapping of the same keys to array (members,)
        The probabilities they were drawn with: what an update with readings works on.
    """

    members: NDArray[Any]
    pits: NDArray[np.float64]
    spritz_stays: float
    probe_share: NDArray[np.float64]
    drawn: Mapping[str, NDArray[np.float64]]
    scores: Mapping[str, NDArray[np.float64]]


def draw(
    piece: PiecePlan,
    *,
    seed: int,
    members: int,
    knowledge: Knowledge | None = None,
    scores: Mapping[str, NDArray[np.float64]] | None = None,
) -> Draws:
    """Draw the ensemble of one piece.

    Parameters
    ----------
    piece : PiecePlan
        The plan.
    seed : int
        Seed of the cook.
    members : int
        Possible days.
    knowledge : Knowledge, optional
        What was learned of pits and cuts; the table alone when not given.
    scores : mapping of draw to array (members,), optional
        Probabilities to draw with in place of the streams', as `Draws.scores` names them.

    Returns
    -------
    Draws

    Notes
    -----
    A pit's draws hang on the seed and the pit's name, so all pieces on it share them; a piece's
    draws hang on the seed and the piece's letter. A changed or added piece moves no other.
    Middles and spreads come from ``data/parameters.csv``.
    """
    source = _Source(piece, seed, members, knowledge or Knowledge(), scores or {})
    values = {
        **_body(piece, source),
        **_meat(piece, source),
        **_wrap(piece, source),
        **_finish(piece, source),
        **_rest(piece, source),
    }
    pits = np.stack([_pit(piece, stay, source) for stay in piece.stays], axis=1)
    stays = float(np.mean(source.draw("surface.spritz_stays"))) if piece.spritz else 1.0
    table = members_like(members, **values)
    probe = np.minimum(source.draw("probe.off") / table["radius_m"], _OUTERMOST)
    return Draws(table, pits, stays, probe, source.drawn, source.scores)


class _Source:
    """Draws by key for one piece, each remembered under its key."""

    def __init__(
        self,
        piece: PiecePlan,
        seed: int,
        members: int,
        knowledge: Knowledge,
        given: Mapping[str, NDArray[np.float64]],
    ) -> None:
        self.piece = piece
        self.seed = seed
        self.members = members
        self.knowledge = knowledge
        self.given = given
        self.drawn: dict[str, NDArray[np.float64]] = {}
        self.scores: dict[str, NDArray[np.float64]] = {}

    def known(self, key: str, pit_name: str | None = None) -> Parameter:
        """Row of the table, with what was learned laid over."""
        one = parameter(key)
        if pit_name is not None:
            learned = self.knowledge.pits.get(pit_name, {}).get(key)
        else:
            learned = self.knowledge.cuts.get(self.piece.cut, {}).get(key)
        return _taught(one, learned)

    def draw(self, key: str, pit_name: str | None = None) -> NDArray[np.float64]:
        owner = ("piece", self.piece.key) if pit_name is None else ("pit", pit_name)
        name = key if pit_name is None else f"{pit_name}: {key}"
        one = self.known(key, pit_name)
        even = self.given.get(name)
        if even is None:
            even = one.scores(self.seed, self.members, *owner)
        self.scores[name] = even
        self.drawn[name] = one.quantile(even)
        return self.drawn[name]

    def uniform(self, name: str) -> NDArray[np.float64]:
        """Evenly spread numbers between 0 and 1 for something that is no parameter."""
        even = Parameter(name, 0.5, "-", "uniform", 0.0, 0.0, 1.0, "piece", "", "", "")
        return even.draw(self.seed, self.members, "piece", self.piece.key)


def _taught(one: Parameter, learned: Learned | None) -> Parameter:
    if learned is None:
        return one
    return replace(one, value=learned.value, spread=learned.spread)


def _body(piece: PiecePlan, source: _Source) -> dict[str, Any]:
    meat = piece.body
    factor = source.draw("meat.thickness_measured" if meat.measured else "meat.thickness")
    wide = 1.0 / np.sqrt(factor)  # the volume stays
    sides = (
        meat.half_thickness_m * factor,
        meat.half_width_m * wide,
        meat.half_length_m * wide,
    )
    conductivity = float(conductivity_w_m_k(meat.composition, _REFERENCE_C))
    density = float(density_kg_m3(meat.composition, _REFERENCE_C))
    body = _stand_in(
        tuple(side.tobytes() for side in sides),
        parameter("meat.nominal_exchange").value,
        conductivity,
    )
    return {
        "shape_n": body.shape_n,
        "radius_m": body.radius_m,
        "conductivity": conductivity * body.conductivity_factor * source.draw("meat.conductivity"),
        "conductivity_slope": parameter("meat.conductivity_slope").value,
        "heat_capacity": density * float(specific_heat_j_kg_k(meat.composition, _REFERENCE_C)),
        "density": density,
        "water_fraction": meat.composition.water,
        "water_low": parameter("meat.water_low").value,
        "fat_fraction": meat.composition.fat,
        "start_c": np.maximum(piece.start_core_c + source.draw("meat.start_core"), -1.0),
    }


@lru_cache(maxsize=64)
def _stand_in(sides: tuple[bytes, ...], exchange: float, conductivity: float) -> EquivalentBody:
    """Body of the same draws: another pit or wrap does not change it."""
    return equivalent_body([np.frombuffer(side) for side in sides], exchange, conductivity)


def _meat(piece: PiecePlan, source: _Source) -> dict[str, Any]:
    surface = f"surface.{piece.body.surface}"
    pace = source.draw("forecast.pace")
    return {
        "shrink": parameter("meat.shrink").value,
        "emissivity": parameter("meat.emissivity").value,
        "lift_power": parameter("pit.lift_power").value,
        "lift_from_k": parameter("pit.lift_from").value,
        "wetness": source.draw(f"{surface}.wetness"),
        "dry_budget": source.draw(f"{surface}.dry_budget"),
        "juice_feed": source.draw(f"{surface}.juice_feed"),
        "dry_power": source.draw("surface.dry_power"),
        "film_full": parameter("surface.film").value,
        "bark_budget": source.draw(f"{surface}.bark_share")
        * parameter(f"{surface}.dry_budget").value,
        "juice_kept": source.draw("meat.juice_kept"),
        "juice_limit": source.draw("meat.juice_limit"),
        "juice_mid_c": source.draw("meat.juice_mid"),
        "juice_spread_k": parameter("meat.juice_spread").value,
        "juice_tau_s": source.draw("meat.juice_time"),
        "fat_limit": parameter("meat.fat_limit").value,
        "fat_mid_c": parameter("meat.fat_mid").value,
        "fat_spread_k": parameter("meat.fat_spread").value,
        "fat_tau_s": parameter("meat.fat_time").value,
        "pace": pace,
        "pace_after": pace,
    }


def _wrap(piece: PiecePlan, source: _Source) -> dict[str, Any]:
    plan, facts = piece.wrap, piece.facts
    kind = plan.kind
    if facts is not None and facts.wrapped_s is not None:
        kind = facts.wrap_kind or (kind if kind != "none" else "foil")
        earliest = latest = facts.wrapped_s
        core: Any = _NEVER
    elif kind == "none":
        return {}
    else:
        not_before = facts.as_of_s if facts is not None else 0.0
        earliest, latest, core = _moment(piece, source)
        earliest, latest = np.maximum(earliest, not_before), np.maximum(latest, not_before)
    unwrap = plan.unwrap_s
    if facts is not None:
        if facts.unwrapped_s is not None:
            unwrap = facts.unwrapped_s
        elif unwrap is not None:
            unwrap = max(unwrap, facts.as_of_s)
    name = f"wrap.{kind}"
    return {
        "wrap_earliest_s": earliest,
        "wrap_latest_s": latest,
        "wrap_core_c": core,
        "unwrap_s": _NEVER if unwrap is None else unwrap,
        "wrap_share": parameter(f"{name}.share").value,
        "wrap_emissivity": parameter(f"{name}.emissivity").value,
        "wrap_gap": parameter(f"{name}.gap").value,
        "wrap_wet": source.draw(f"{name}.wet"),
        "wrap_leak": source.draw(f"{name}.leak"),
        "wrap_vent": parameter(f"{name}.vent").value,
    }


def _moment(piece: PiecePlan, source: _Source) -> tuple[Any, Any, Any]:
    plan = piece.wrap
    if plan.at_s is not None:
        return plan.at_s, plan.at_s, _NEVER
    if plan.core_c is not None:
        earliest = 0.0 if plan.earliest_s is None else plan.earliest_s
        latest = _NEVER if plan.latest_s is None else plan.latest_s
        return earliest, latest, plan.core_c
    earliest, latest = plan.earliest_s or 0.0, plan.latest_s or 0.0
    even = source.uniform("wrap moment")
    # triangular, the middle of the window most likely
    up = np.sqrt(even / 2.0)
    down = 1.0 - np.sqrt((1.0 - even) / 2.0)
    moment = earliest + (latest - earliest) * np.where(even < 0.5, up, down)
    return moment, moment, _NEVER


def _finish(piece: PiecePlan, source: _Source) -> dict[str, Any]:
    facts = piece.facts
    forced = facts.tender_s if facts is not None and facts.tender_s is not None else _NEVER
    by_core = piece.target.kind == "core"
    rate = parameter(f"tissue.{piece.body.tissue}.rate").value
    t95 = source.draw("tender.t95")
    middle = parameter("tender.t95").value
    return {
        # the spread of t95 sits in the threshold, so that a feel check can narrow it exactly
        "dose_rate": rate / middle,
        "finish_dose": _NEVER if by_core else piece.target.value * t95 / middle,
        "activation": source.draw("tender.activation"),
        "dose_reference_c": parameter("tender.reference").value,
        "dose_floor_c": parameter("tender.floor").value,
        "by_core": by_core,
        "finish_core_c": piece.target.value if by_core else _NEVER,
        "finish_forced_s": forced,
    }


def _rest(piece: PiecePlan, source: _Source) -> dict[str, Any]:
    """Where it rests and is held: on the counter as it came off, wrapped in an oven, in a box."""
    room = float(vapour_pressure_pa(parameter("rest.humidity").value, piece.pressure_pa))
    place: dict[str, Any] = {
        "rest_s": piece.rest_s,
        "rest_c": piece.hold.temperature_c,
        "rest_vapour_pa": room,
    }
    if piece.hold.place == "counter":
        still = _small(piece) * parameter("rest.counter.heating").value
        return place | {"rest_h": still * source.draw("rest.exchange")}
    place |= {"rest_share": 1.0, "rest_leak": parameter("rest.leak").value}
    learned = source.knowledge.pits.get(piece.hold.name, {}).get(f"pit.keeps.{piece.hold.place}")
    keeps = 1.0 if learned is None else learned.value
    if piece.hold.place == "oven":
        heating = keeps * parameter("rest.oven.heating").value
        return place | {
            "rest_h": heating * source.draw("rest.exchange"),
            "rest_emissivity": parameter("rest.oven.emissivity").value,
            "rest_gap": parameter("rest.oven.gap").value,
        }
    meat = piece.body
    sides_m = (meat.half_thickness_m, meat.half_width_m, meat.half_length_m)
    density = float(density_kg_m3(meat.composition, _REFERENCE_C))
    surface_m2 = meat.mass_kg / density * sum(1.0 / side for side in sides_m)
    return place | {
        "rest_h": keeps * source.draw("rest.box.link"),
        "rest_box_heat": source.draw("rest.box.heat") / surface_m2,
        "rest_box_loss": keeps * source.draw("rest.box.loss") / surface_m2,
    }


def _small(piece: PiecePlan) -> float:
    """Growth of convection on a small piece: the air's boundary layer goes with length^(1/4)."""
    path_m = 2.0 * (piece.body.half_thickness_m + piece.body.half_width_m)
    share: float = parameter("pit.path_from").value / path_m
    return float(share ** parameter("pit.path_power").value)


def _pit(piece: PiecePlan, pit: PitChange, source: _Source) -> NDArray[np.float64]:
    kind = pit.pit_kind.replace(" ", "-")
    name = pit.pit_name
    humidity = piece.humidity_ratio
    if humidity is None:
        own = piece.humidity_factor if name == piece.pit_name else 1.0
        water = own * source.draw(f"pit.humidity.{kind}", name)
    else:
        water = np.full(source.members, humidity)
    columns: dict[str, Any] = {
        "offset_k": _offset_k(pit, source),
        "heating": _small(piece) * source.draw(f"pit.heating.{kind}", name),
        "power": parameter(f"pit.draught.{kind}").value,
        "power_from_c": parameter("pit.draught_from").value,
        "vapour_pa": vapour_pressure_pa(water, piece.pressure_pa),
        "lewis": float(lewis_conductance_kg_m2_s_pa(1.0, piece.pressure_pa)),
    }
    table = np.empty((source.members, len(PIT)))
    for column, title in enumerate(PIT):
        table[:, column] = columns[title]
    return table


def _offset_k(pit: PitChange, source: _Source) -> NDArray[np.float64]:
    """Air where the meat lies less the pit's number: the number's own error, and the place's."""
    place = pit.place
    if place is None:
        return _number_k(pit, source)
    there = place.offset_k + source.draw(f"pit.place.{place.known}", pit.place_owner)
    return there if place.of_number else there + _number_k(pit, source)


def _number_k(pit: PitChange, source: _Source) -> NDArray[np.float64]:
    """Air at the number's place less the number; over the grate where it was read beside that."""
    gap = f"pit.gap.{pit.number_place}"
    if gap in source.knowledge.pits.get(pit.pit_name, {}):
        beside = source.draw("pit.offset.grate", pit.pit_name)
        return beside + source.draw(gap, pit.pit_name)
    return source.draw(f"pit.offset.{pit.number_place}", pit.pit_name)
