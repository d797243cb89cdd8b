"""Tolerances as a person gives them: ``time=5 min``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stallwise.ground import units
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.tables.rerunning import Tolerances, tolerances

__all__ = ["read_tolerances"]

#: What a person calls it: field, kind of quantity.
_KEYS: Mapping[str, tuple[str, str]] = {
    "time": ("time_s", "duration"),
    "temperature": ("temperature_k", "temperature_difference"),
    "mass": ("mass_kg", "mass"),
    "share": ("share", "fraction"),
}


def read_tolerances(given: Sequence[str], *, exact: bool = False) -> Tolerances:
    """Read tolerances laid over those of the table.

    Parameters
    ----------
    given : sequence of str
        ``time=5 min``, ``temperature=1 F`` (a difference), ``mass=2 g``, ``share=1 %``.
    exact : bool
        Begin with none, in place of the table's.

    Raises
    ------
    InputError
        A key that there is not, or an amount that cannot be read or is negative.
    """
    found = Tolerances() if exact else tolerances()
    for text in given:
        key, sign, amount = (part.strip() for part in text.partition("="))
        if not sign:
            raise InputError(f"--tolerance {text!r} has no '='", 'for example time="5 min"')
        if key not in _KEYS:
            raise NotFoundError("tolerance", key, _KEYS)
        name, kind = _KEYS[key]
        value = units.parse(kind, amount, key=f"--tolerance {key}")
        if value < 0.0:
            raise InputError(f"--tolerance {text}", "nothing less than zero")
        found = replace(found, **{name: value})
    return found
