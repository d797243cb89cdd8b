"""The sample's days as the simulator cooks them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from sample_simulator import Body, Cooked, Fire, Pit, Probe, body_of, cook, fire, read_probe

Array = np.ndarray

__all__ = [
    "Day",
    "glaze_trial",
    "harvest_supper",
    "lamb_shoulder",
    "late_brisket",
    "spring_ribs",
    "turkey_halves",
]

_GRATE = Probe(2.0, 2.5, 0.9)
_RACK = Body(
    0.013, 0.126, corner=6.0, cells=(16, 14), air_film=8.5, press_c=73.0, press_k=6.0,
    press_share=0.18, seep_bound=0.2e-9, seep_free=10e-9, toughness_h=2.2,
)  # fmt: skip


@dataclass(frozen=True)
class Day:
    """One day at the pit: the fire, the pieces by letter, and what the probes showed [°F]."""

    burnt: Fire
    pieces: dict[str, Cooked]
    shown_f: dict[str, Array]


def turkey_halves() -> Day:
    """Cook two halves of a bird over a hot fire; they change places on the way."""
    rng = np.random.default_rng(22)
    pit = Pit(
        ((0, 158), (0.4, 165), (3, 165)),
        wander_k=5,
        split_min=(17, 27),
        lids=(0.95, 1.42, 1.75, 1.97, 2.15, 2.27),
    )
    burnt = fire(pit, 2.6, rng)
    half = Body(
        0.042, 0.115, corner=2.2, seep_free=5e-9, press_share=0.15, press_c=72, press_k=5,
        bone_radius_m=0.05,
    )  # fmt: skip
    pieces = {
        "A": cook(body_of(half, 2.778), burnt),
        "B": cook(body_of(replace(half, place_k=-4.0), 2.637), burnt),
    }
    return _shown(burnt, pieces, Probe(-0.3, 0.4, 0.15, 0.2), rng)


def late_brisket() -> Day:
    """Cook a whole brisket in the wind on wet wood: the fire is let down again and again."""
    rng = np.random.default_rng(31)
    pit = Pit(
        ((0, 104), (1, 110), (8.9, 110), (9.3, 120), (18, 121)),
        wander_k=6,
        split_min=(24, 40),
        sags=((2.3, 20, 25), (5.6, 18, 30), (7.4, 14, 18)),
        lids=(3.5, 4.5, 5.5, 6.6, 9.2, 13.6, 14.2, 14.6, 15.1),
    )
    burnt = fire(pit, 16.0, rng)
    brisket = Body(0.050, 0.17, corner=3.0)
    wet = (3.5, 4.5, 5.5, 6.6)
    pieces = {"A": cook(body_of(brisket, 5.897), burnt, wrap_h=9.2, leak=0.10, spritz_h=wet)}
    return _shown(burnt, pieces, Probe(-0.5, 0.8, 0.15, 0.4), rng)


def lamb_shoulder() -> Day:
    """Cook a shoulder of lamb, bare all the way; the probe slides out for a while."""
    rng = np.random.default_rng(18)
    pit = Pit(((0, 116), (1, 121), (12, 123)), lids=(3, 4.1, 5.2, 6.5, 7.0))
    burnt = fire(pit, 8.0, rng)
    shoulder = Body(0.048, 0.1, bone_radius_m=0.045, toughness_h=1.8, press_share=0.11)
    pieces = {"A": cook(body_of(shoulder, 2.381), burnt, spritz_h=(3, 4.1, 5.2))}
    day = _shown(burnt, pieces, Probe(0.4, 0.5, 0.15, -0.2), rng)
    out = (burnt.hours > 4.09) & (burnt.hours < 4.21)
    in_air = np.where(out, day.shown_f["P"] - 12.0, day.shown_f["A"])
    return replace(day, shown_f={**day.shown_f, "A": in_air})


def spring_ribs() -> Day:
    """Cook two racks of spare ribs through a morning, without a probe."""
    rng = np.random.default_rng(16)
    pit = Pit(
        ((0, 107.2), (1, 107.2), (2, 135.0), (9, 135.0)),
        split_min=(24.0, 38.0),
        lids=(2.25, 2.75, 3.08, 3.92, 4.27, 4.45, 4.62),
    )
    burnt = fire(pit, 5.0, rng)
    thick = replace(_RACK, place_k=5.0, half_height_m=0.0138)
    wet = (2.25, 2.75)
    pieces = {
        "A": cook(body_of(_RACK, 1.304, flat=True), burnt, wrap_h=3.08, unwrap_h=4.47, spritz_h=wet),
        "B": cook(body_of(thick, 1.417, flat=True), burnt, wrap_h=3.08, unwrap_h=4.28, spritz_h=wet),
    }  # fmt: skip
    return Day(burnt, pieces, {})


def glaze_trial() -> Day:
    """Cook two racks that are as alike as two racks are, a probe at the grate only."""
    rng = np.random.default_rng(718)
    pit = Pit(
        ((0, 119), (0.5, 125), (6, 127)),
        split_min=(28, 42),
        lids=(2.0, 2.6, 3.0, 3.97, 4.28, 4.37, 4.43, 4.57),
    )
    burnt = fire(pit, 5.0, rng)
    warmer = replace(_RACK, place_k=3.0, half_height_m=0.0132)
    wet = (2.0, 2.6)
    pieces = {
        "A": cook(
            body_of(replace(_RACK, place_k=-1.0), 1.361, flat=True),
            burnt, wrap_h=3.0, unwrap_h=4.3, spritz_h=wet,
        ),
        "B": cook(body_of(warmer, 1.389, flat=True), burnt, wrap_h=3.0, unwrap_h=4.3, spritz_h=wet),
    }  # fmt: skip
    return _shown(burnt, pieces, None, rng)


def harvest_supper() -> Day:
    """Cook two pork shoulders from half past one at night; the cook dozes off before dawn."""
    rng = np.random.default_rng(26)
    pit = Pit(
        ((0, 107.2), (5.25, 107.2), (6.2, 121.1), (20, 121.1)),
        sags=((3.25, 17.0, 20.0),),
        lids=(3.6, 4.6, 5.6, 9.85, 12.5, 13.0, 13.47, 13.63),
    )
    burnt = fire(pit, 13.75, rng)
    shoulder = Body(0.064, 0.108, bone_radius_m=0.045)
    smaller = replace(shoulder, place_k=-4.0)
    wet = (3.6, 4.6, 5.6)
    pieces = {
        "A": cook(body_of(shoulder, 3.912), burnt, wrap_h=9.85, spritz_h=wet),
        "B": cook(body_of(smaller, 3.402), burnt, wrap_h=9.85, spritz_h=wet),
    }
    return _shown(burnt, pieces, Probe(0.5, 0.5, 0.12, 0.3), rng)


def _shown(
    burnt: Fire, pieces: dict[str, Cooked], core: Probe | None, rng: np.random.Generator
) -> Day:
    """Lay a probe at the grate, and one into piece A where there is one for it."""
    shown = {"P": read_probe(burnt.grate_c, burnt.hours, _GRATE, rng)}
    if core:
        shown["A"] = read_probe(pieces["A"].near_core_c, burnt.hours, core, rng)
    return Day(burnt, pieces, {name: values * 1.8 + 32 for name, values in shown.items()})
