"""The sample's two days as the simulator cooks them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from sample_simulator import Body, Cooked, Fire, Pit, Probe, body_of, cook, fire, read_probe

Array = np.ndarray

__all__ = ["Day", "harvest_supper", "spring_ribs"]


@dataclass(frozen=True)
class Day:
    """One day at the pit: the fire, the pieces by letter, and what the probes showed [°F]."""

    burnt: Fire
    pieces: dict[str, Cooked]
    shown_f: dict[str, Array]


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
    spritz = (3.6, 4.6, 5.6)
    pieces = {
        "A": cook(body_of(shoulder, 3.912), burnt, wrap_h=9.85, spritz_h=spritz),
        "B": cook(
            body_of(replace(shoulder, place_k=-4.0), 3.402), burnt, wrap_h=9.85, spritz_h=spritz
        ),
    }
    shown = {
        "P": read_probe(burnt.grate_c, burnt.hours, Probe(2.0, 2.5, 0.9), rng),
        "A": read_probe(pieces["A"].near_core_c, burnt.hours, Probe(0.5, 0.5, 0.12, 0.3), rng),
    }
    return Day(burnt, pieces, {name: values * 1.8 + 32 for name, values in shown.items()})


def spring_ribs() -> Day:
    """Cook two racks of spare ribs through a morning, without a probe."""
    rng = np.random.default_rng(16)
    pit = Pit(
        ((0, 107.2), (1, 107.2), (2, 135.0), (9, 135.0)),
        split_min=(24.0, 38.0),
        lids=(2.25, 2.75, 3.08, 3.92, 4.27, 4.45, 4.62),
    )
    burnt = fire(pit, 5.0, rng)
    rack = Body(
        0.013, 0.126, corner=6.0, cells=(16, 14), air_film=8.5, press_c=73.0, press_k=6.0,
        press_share=0.18, seep_bound=0.2e-9, seep_free=10e-9, toughness_h=2.2,
    )  # fmt: skip
    pieces = {
        "A": cook(body_of(rack, 1.304, flat=True), burnt, wrap_h=3.08, unwrap_h=4.47, spritz_h=(2.25, 2.75)),
        "B": cook(
            body_of(replace(rack, place_k=5.0, half_height_m=0.0138), 1.417, flat=True),
            burnt, wrap_h=3.08, unwrap_h=4.28, spritz_h=(2.25, 2.75),
        ),
    }  # fmt: skip
    return Day(burnt, pieces, {})
