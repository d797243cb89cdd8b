"""Which salt in the rub makes what is eaten as salty as wanted."""

from __future__ import annotations

from dataclasses import dataclass

from stallwise.ground.errors import InputError

__all__ = ["Landing", "landing"]


@dataclass(frozen=True)
class Landing:
    """Salt to weigh into a rub so that the total lands on a wish.

    Attributes
    ----------
    target : float
        Wanted salt, as a share of what is eaten.
    from_g, to_g : float
        Salt that the rub has now, and is to have [g].
    others_g : float
        Salt from everything else [g].
    lands : float
        Share that it comes to with `to_g`; over the target where even a rub without salt is too much.
    """

    target: float
    from_g: float
    to_g: float
    others_g: float
    lands: float

    @property
    def possible(self) -> bool:
        """Whether the target can be met by the rub's salt alone."""
        return self.lands <= self.target + 1e-9


def landing(
    rub_salt_g: float, others_g: float, edible_kg: float, target: float, stays: float = 1.0
) -> Landing:
    """Solve for the salt in the rub.

    Parameters
    ----------
    rub_salt_g : float
        Salt that is weighed into the rub now [g].
    others_g : float
        Salt that ends in the meat from everything else [g].
    edible_kg : float
        What is eaten [kg].
    target : float
        Wanted salt as a share of it, 0.012 for 1.2 %.
    stays : float, default 1
        Share of the rub that stays on.

    Raises
    ------
    InputError
        A target that is no share of salt in food, nothing to eat, or a rub of which nothing stays.

    Examples
    --------
    >>> found = landing(28.0, 4.0, 2.0, 0.012)
    >>> round(found.to_g, 6), found.possible
    (20.0, True)
    """
    if not 0.0 < target < 0.1:
        raise InputError(f"{target * 100:g} % of salt wanted", "more than 0 %, less than 10 %")
    if not edible_kg > 0.0:
        raise InputError(f"{edible_kg:g} kg of edible meat", "more than 0 kg")
    if not 0.0 < stays <= 1.0:
        raise InputError(f"a share of {stays:g} of the rub that stays on", "over 0, up to 1")
    wanted_g = target * edible_kg * 1e3
    to_g = max(wanted_g - others_g, 0.0) / stays
    lands = (others_g + to_g * stays) / (edible_kg * 1e3)
    return Landing(target, rub_salt_g, to_g, others_g, lands)
