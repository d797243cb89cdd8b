"""What other cooks of its home lent a cook that was given away: bare figures, in ``lent.json``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.record.weighins import WeighIn

__all__ = ["LENT", "Lent"]

LENT = "lent.json"
#: No freezer holds more [kg].
_MOST_KG = 10_000.0


@dataclass(frozen=True)
class Lent:
    """Weights of the same cuts from earlier days, and trimmings by where they came from [kg]."""

    weighed: tuple[WeighIn, ...] = ()
    freezer: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def from_plain(cls, held: Mapping[str, Any]) -> Lent:
        """Read what `plain` gave.

        Raises
        ------
        InputError
            It is not as it was written.
        """
        try:
            return cls(
                tuple(WeighIn.from_plain(one) for one in held.get("weighed", ())),
                {key: _mass_kg(kg) for key, kg in held.get("freezer", {}).items()},
            )
        except (AttributeError, KeyError, TypeError, ValueError) as error:
            raise InputError(
                f"{LENT} is not as it was written",
                "what `stallwise share` writes",
                "Have the cook sent again",
            ) from error

    def plain(self) -> dict[str, Any]:
        """Turn into what JSON holds; empty where nothing is lent."""
        found: dict[str, Any] = {}
        if self.weighed:
            found["weighed"] = [one.plain() for one in self.weighed]
        if self.freezer:
            found["freezer"] = dict(self.freezer)
        return found


def _mass_kg(value: Any) -> float:
    kg = float(value)
    if not 0.0 <= kg < _MOST_KG:
        raise ValueError(value)
    return kg
