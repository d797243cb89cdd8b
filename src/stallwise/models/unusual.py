"""Warnings in a cook's words about plans that lie outside what the forecast was checked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stallwise.ground.errors import CookWarning
from stallwise.models.plan import PiecePlan
from stallwise.models.schedule import pit_ahead
from stallwise.tables.parameters import parameter

__all__ = ["unusual"]


def unusual(piece: PiecePlan) -> tuple[CookWarning, ...]:
    """Say what is unusual about a plan; nothing is refused here.

    Parameters
    ----------
    piece : PiecePlan
        The plan.

    Returns
    -------
    tuple of CookWarning
    """
    # A lid that opens for a minute is no cold pit.
    shut = replace(piece, openings_s=(), spritz=())
    pit = np.asarray(pit_ahead(shut).temperature_c)
    seen = {
        "pit": (float(np.min(pit)), float(np.max(pit))),
        "mass": (piece.body.mass_kg,) * 2,
        "half-thickness": (piece.body.half_thickness_m,) * 2,
        "pressure": (piece.pressure_pa,) * 2,
        "start-core": (piece.start_core_c,) * 2,
    }
    found = []
    for name, (lowest, highest) in seen.items():
        checked = parameter(f"checked.{name}")
        if lowest < checked.low and (words := _LOW.get(name)):
            found.append(CookWarning(f"unusual-{name}-low", words, piece.key))
        if highest > checked.high and (words := _HIGH.get(name)):
            found.append(CookWarning(f"unusual-{name}-high", words, piece.key))
    facts = piece.facts
    planned = piece.wrap.at_s if piece.wrap.at_s is not None else piece.wrap.latest_s
    if facts is not None and facts.wrapped_s is None and piece.wrap.kind != "none":
        late = planned is not None and planned < facts.as_of_s
        if late and facts.tender_s is None:
            found.append(
                CookWarning(
                    "wrap-not-logged",
                    "The planned wrap is past and none is logged: the forecast takes it that the "
                    "piece is wrapped now. Log the wrap, or set it to none.",
                    piece.key,
                )
            )
    return tuple(found)


_ROUGH = "take the forecast as a rough guide."
_LOW = {
    "pit": f"The pit is planned colder than any cook this forecast was checked on; {_ROUGH}",
    "mass": f"A piece this small heats faster than the forecast knows; {_ROUGH}",
    "half-thickness": f"A piece this thin heats faster than the forecast knows; {_ROUGH}",
    "pressure": (
        f"No cook this high above the sea was checked; water boils early up there, so {_ROUGH}"
    ),
    "start-core": f"The meat starts all but frozen; ice slows the start, so {_ROUGH}",
}
_HIGH = {
    "pit": f"The pit is planned hotter than any cook this forecast was checked on; {_ROUGH}",
    "mass": f"A piece this big was never checked; {_ROUGH}",
    "half-thickness": f"A piece this thick was never checked; {_ROUGH}",
    "start-core": (
        "The meat starts warmer than a cool room: mind the time it has already stood out."
    ),
}
