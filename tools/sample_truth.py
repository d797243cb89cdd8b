"""What a sheet of the sample says, held against the day that was simulated."""

from __future__ import annotations

import numpy as np
from sample_days import Day
from sample_stories import ZONE, Story

from stallwise.record.log import LogLine

__all__ = ["differences"]

#: A typed number may be off what the simulated probe showed by so much [K]: hands, glare, minutes.
GRATE_K, LID_K, CORE_K = 5.0, 15.0, 1.5
#: The same of a weight on a kitchen scale [kg].
SCALE_KG = 0.03
#: Share of the tenderness called tender at which a feel check finds what.
VERDICTS = {"not yet": (0.0, 0.92), "nearly": (0.86, 1.0), "tender": (1.0, 1.12)}


def differences(story: Story, day: Day, lines: tuple[LogLine, ...]) -> list[str]:
    """List what the sheet says that the simulated day does not."""
    found = []
    for line in lines:
        hour = (line.at - story.at(story.on)).total_seconds() / 3600
        if not 0 <= hour <= day.burnt.hours[-1]:
            continue
        said = f"{line.at.astimezone(ZONE):%H:%M} {line.text or line.what}"
        letters = [line.piece] if line.piece else list(day.pieces)
        if line.what == "feel_check":
            low, high = VERDICTS[line.data["verdict"]]
            shares = [day.pieces[one].at(day.pieces[one].tender, hour) for one in letters]
            found += [f"{said}: tenderness is {x:.2f}" for x in shares if not low <= x <= high]
        if line.what == "core_reading":
            is_c = day.pieces[line.piece].at(day.pieces[line.piece].near_core_c, hour)
            if abs(is_c - line.data["temperature_c"]) > CORE_K:
                found.append(f"{said}: the core is at {is_c * 1.8 + 32:.0f} F")
        if line.what == "pit_reading":
            is_c = float(np.interp(hour, day.burnt.hours, day.burnt.grate_c))
            allowed = LID_K if line.data.get("place") == "lid" else GRATE_K
            if abs(is_c - line.data["temperature_c"]) > allowed:
                found.append(f"{said}: the grate is at {is_c * 1.8 + 32:.0f} F")
    return found + _weights(day, lines) + _splits(day, lines)


def _weights(day: Day, lines: tuple[LogLine, ...]) -> list[str]:
    found = []
    off = {line.piece: line.at for line in lines if line.what == "off"}
    on = min(line.at for line in lines if line.what == "meat_on")
    for line in lines:
        if line.what != "weighed" or line.data["of"] not in {"on", "cooked"}:
            continue
        piece = day.pieces[line.piece]
        hour = (off[line.piece] - on).total_seconds() / 3600 if line.data["of"] == "cooked" else 0
        is_kg = piece.at(piece.mass_kg, hour)
        if abs(is_kg - line.data["mass_kg"]) > SCALE_KG:
            found.append(f"{line.text} ({line.piece}): it weighs {is_kg:.3f} kg")
    return found


def _splits(day: Day, lines: tuple[LogLine, ...]) -> list[str]:
    """Count the wood; what was laid on after the last piece came off is left out."""
    off = max(line.at for line in lines if line.what == "off")
    on = min(line.at for line in lines if line.what == "meat_on")
    counted = sum(int(line.data.get("count", 0)) for line in lines if line.what == "wood")
    burnt = sum(hour <= (off - on).total_seconds() / 3600 for hour in day.burnt.splits_h)
    return [f"{counted} splits are written down, {burnt} were burnt"] if counted != burnt else []
