"""Nitrite from a curing salt: its weighed mass and stated strength over the meat, beside the law's limits.

There is no default dose and no volume anywhere. A limit is quoted, never a clearance.
"""

from __future__ import annotations

from stallwise.ground.errors import InputError
from stallwise.ground.units import format_mass
from stallwise.tables.rows import rows

__all__ = ["CAUTION", "cure_words", "most_after_corning_kg", "nitrite_mg_kg"]

CAUTION = (
    "Curing salt is poisonous in more than traces and looks like salt: keep it apart and marked, weigh it to "
    "0.1 g, follow its label and your local rules. This is arithmetic, not a recipe."
)
#: Limits on nitrite that are quoted.
_QUOTED = ("home_nitrite", "pumped_bacon", "dry_cured")


def nitrite_mg_kg(cure_mass_g: float, strength: float, meat_kg: float) -> float:
    """Sodium nitrite that goes in [mg for each kg of meat].

    Parameters
    ----------
    cure_mass_g : float
        Curing salt as weighed [g].
    strength : float
        Nitrite in it as its label states, 0.0625 for 6.25 %.
    meat_kg : float
        Meat [kg].

    Raises
    ------
    InputError
        No meat, a negative mass, or a strength that no label states.
    """
    _check(strength, meat_kg)
    if not cure_mass_g >= 0.0:
        raise InputError(f"{cure_mass_g:g} g of curing salt", "0 g or more")
    return cure_mass_g * strength / meat_kg * 1e3


def most_after_corning_kg(meat_kg: float, *, brisket: bool = True) -> float:
    """Most that corned beef which is sold may weigh after its cure [kg], 9 CFR 319.100 and 319.101."""
    row = rows("curing.csv")["corned_brisket" if brisket else "corned_other"]
    return meat_kg * (1.0 + float(row["value"]))


def cure_words(
    name: str,
    grams: float,
    strength: float,
    meat_kg: float | None,
    *,
    wet: bool = False,
    system: str = "us",
) -> tuple[str, ...]:
    """Say what a weighed curing salt comes to, quote the limits, and give the caution.

    Parameters
    ----------
    name : str
        Of the curing salt.
    grams, strength : float
        Its mass [g], and the nitrite in it by its label.
    meat_kg : float or None
        Meat that it is for [kg], where that is known.
    wet : bool, default False
        It goes in with water, as a brine or an injection: the meat gains weight.
    system : {"us", "metric"}
        Units of the words.
    """
    said = [f"{name}: {grams:.1f} g at {strength * 100:g} % nitrite by its label."]
    if meat_kg:
        share = nitrite_mg_kg(grams, strength, meat_kg)
        limits = "; ".join(
            f"{float(row['value']):.0f} mg/kg, {row['note'].split(';')[0]} ({row['source'].partition(':')[0]})"
            for key, row in rows("curing.csv").items()
            if key in _QUOTED
        )
        said.append(
            f"That is {share:.0f} mg of sodium nitrite for each kg of meat going in. US limits, quoted: "
            f"{limits}."
        )
        if wet:
            most = (most_after_corning_kg(meat_kg, brisket=cut) for cut in (True, False))
            brisket, other = (format_mass(each, system) for each in most)
            said.append(
                f"Corned beef that is sold weighs {brisket} at most after its cure if it is brisket, else "
                f"{other} (9 CFR 319.101, 319.100), of {format_mass(meat_kg, system)} fresh."
            )
    return (*said, CAUTION)


def _check(strength: float, meat_kg: float) -> None:
    if not 0.0 < strength <= 0.2:
        raise InputError(
            f"a curing salt of {strength * 100:g} % nitrite",
            "what its label states, over 0 % to 20 %",
        )
    if not meat_kg > 0.0:
        raise InputError(f"{meat_kg:g} kg of meat", "more than 0 kg")
