"""Words for what a re-run changed: names of figures, and what is told first."""

from __future__ import annotations

import re
from collections.abc import Sequence

__all__ = ["called", "rank", "unit_of"]

_WORDS = {
    "p05": "1 in 20",
    "p10": "early",
    "p25": "1 in 4",
    "p50": "middle",
    "p75": "3 in 4",
    "p90": "late",
    "p95": "19 in 20",
    "clock": "",
    "elapsed_h": "after meat on",
    "odds_in_time": "chance to be in time",
    "odds": "chance to be in time",
    "loss_fraction": "share lost",
    "edible_kg": "to eat",
    "mass_kg": "weight on",
    "serve_at": "served",
    "on_at": "meat on",
    "light_at": "fire lit",
    "hold_p50_h": "usual hold",
    "hold_p90_h": "long hold",
    "hold_h": "hold",
    "rest_h": "rest",
    "serving": "",
    "wait_h": "wait before the knife",
    "peak_c": "highest core",
    "carry_over_k": "rise after coming off",
    "below_line_h": "until it is below the holding line",
    "colder_share": "share of days below the holding line",
    "line_c": "holding line",
    "past_it": "tenderness over wanted",
    "past_words": "tenderness when cut",
    "serve_core_c": "core to cut at",
    "serve_core_h": "until it is down to that core",
    "serve_core_clock": "down to that core",
    "place_c": "held at",
    "carve_h": "carving",
    "core_c": "core",
    "pit_c": "pit",
    "salt_g": "salt",
    "total_g": "all together",
    "grams": "",
    "steps": "step",
    "pieces": "",
    "mixes": "mix",
    "lines": "",
    "stages": "",
    "chances": "if it is",
    "reached": "days that reach it",
    "per_kg_edible_g": "salt per kg eaten",
    "sodium_mg_per_serving": "sodium a serving, mg",
    "sodium_mg": "sodium, mg",
    "serving_kg": "a serving",
    "crowd": "guests",
    "left_kg": "left over",
    "costs": "cost",
    "per_eaten_kg": "of an eaten kg",
    "per_serving": "a guest",
    "hour_zero": "first meat on",
    "bark_set": "bark set",
    "stall_start": "stall begins",
    "stall_end": "stall ends",
    "glazed": "glaze set",
}

#: What a cook asks first; the rest follows in the order of the result.
_FIRST = (
    r"pieces\.[^.]+\.on_at",
    r"pieces\.[^.]+\.stages\.tender\.elapsed_h\.p50",
    r"pieces\.[^.]+\.stages\.tender\.clock\.p(10|50|90)",
    r"pieces\.[^.]+\.odds_in_time",
    r"pieces\.[^.]+\.hold_h\.p(50|90)",
    r"pieces\.[^.]+\.(loss_fraction|edible_kg)\.p50",
    r"pieces\.[^.]+\.(wrap|finish|count|cut|mass_kg|serve_at)",
    r"pieces\.[^.]+\.stages\.[a-z_]+\.clock\.p50",
    r"mixes\..*\.(grams|total_g|salt_g)",
    r"salt\..*",
)

#: Told only where everything is: the other quantiles follow from those above.
_REST = re.compile(
    r".*(p05|p25|p75|p95|reached|\.chances\..*|^odds|^hour_zero)$|^nutrition\..*|^mixes\..*\.making\..*"
)

_UNITS = (
    ("_kg", "kg"),
    ("_c", "c"),
    ("_h", "h"),
    ("_g", "g"),
    ("grams", "g"),
    ("fraction", "share"),
)


def called(path: Sequence[str]) -> str:
    """Name of a figure in words, from the keys that lead to it."""
    words = (_WORDS.get(key, key.replace("_", " ")) for key in path)
    return " ".join(filter(None, words))


def rank(path: Sequence[str]) -> int | None:
    """Place of a figure in the telling, 0 first; None when it is only listed."""
    whole = ".".join(path)
    for place, pattern in enumerate(_FIRST):
        if re.fullmatch(pattern, whole):
            return place
    return None if _REST.fullmatch(whole) else len(_FIRST)


def unit_of(path: Sequence[str]) -> str:
    """Find the unit of a figure by its key: ``h``, ``c``, ``kg``, ``g``, ``share``, or none."""
    if "per_kg_edible_g" in path:
        return "g"
    if "per_eaten_kg" in path:
        return ""  # money, whatever it is called
    for key in reversed(path):
        if "odds" in key or key == "reached":
            return "share"
        for ending, unit in _UNITS:
            if key.endswith(ending):
                return unit
    return ""
