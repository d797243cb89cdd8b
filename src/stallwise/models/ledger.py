"""Where what was made goes: stock made = wrap + glaze + left, and never less than nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import InputError
from stallwise.ground.spoons import spoon_measure
from stallwise.models.mixes import ScaledMix

__all__ = ["LedgerLine", "ledger", "ledgers"]

#: Shortfalls under this are the last digit of a float, not stock [g].
NOTHING_G = 1e-6


@dataclass(frozen=True)
class LedgerLine:
    """One thing that was made and where it goes; made + short = used + left.

    Attributes
    ----------
    what, name : str
        Key and name of the mix.
    made_g : float
        What there is [g].
    used : mapping
        What each use takes [g].
    left_g, short_g : float
        What remains, or what is missing [g]; one of them is 0.
    short_text : str
        ``short by 2 tbsp``, or empty.
    """

    what: str
    name: str
    made_g: float
    used: Mapping[str, float]
    left_g: float
    short_g: float
    short_text: str


def ledger(
    what: str,
    made_g: float,
    uses: Mapping[str, float],
    *,
    name: str = "",
    density_kg_m3: float | None = None,
    region: str = "us",
) -> LedgerLine:
    """Balance what was made against its uses.

    Parameters
    ----------
    what : str
        Key of what was made.
    made_g : float
        How much there is [g], as scaled or as weighed.
    uses : mapping of str to float
        Grams that each use takes.
    name : str, optional
        Name on screens.
    density_kg_m3 : float, optional
        For a shortfall in spoons; grams without it.
    region : {"us", "metric", "metric-20", "imperial"}, default "us"
        Spoons to show.

    Raises
    ------
    InputError
        A negative amount.
    """
    for label, grams in {"what was made": made_g, **uses}.items():
        if not grams >= 0.0:
            raise InputError(f"{grams:g} g for {label}", "0 g or more")
    balance_g = made_g - sum(uses.values())
    short_g = -balance_g if balance_g < -NOTHING_G else 0.0
    return LedgerLine(
        what=what,
        name=name or what,
        made_g=made_g,
        used=dict(uses),
        left_g=max(balance_g, 0.0),
        short_g=short_g,
        short_text=_short_text(short_g, density_kg_m3, region),
    )


def ledgers(
    mixes: Sequence[ScaledMix], made: Sequence[ScaledMix], *, region: str = "us"
) -> tuple[LedgerLine, ...]:
    """Balance everything that is made ahead against the mixes that use it; two pots of one are one.

    Parameters
    ----------
    mixes : sequence of ScaledMix
        What goes on the meat.
    made : sequence of ScaledMix
        What is made ahead (stock, a jar of rub), scaled to how much of it is made.
    region : {"us", "metric", "metric-20", "imperial"}, default "us"
        Spoons to show.
    """
    pots: dict[str, list[ScaledMix]] = {}
    for mix in made:
        pots.setdefault(mix.key, []).append(mix)
    return tuple(
        ledger(
            key,
            sum(one.total_g for one in same),
            _uses(key, mixes, made, set(pots)),
            name=same[0].name,
            density_kg_m3=_density_kg_m3(same[0]),
            region=region,
        )
        for key, same in pots.items()
    )


def _density_kg_m3(mix: ScaledMix) -> float | None:
    return mix.total_g * 1e-3 / mix.volume_m3 if mix.volume_m3 else None


def _uses(
    key: str, mixes: Sequence[ScaledMix], made: Sequence[ScaledMix], ahead: set[str]
) -> dict[str, float]:
    used: dict[str, float] = {}
    for mix in mixes:
        takes_g = mix.total_g if mix.key == key else 0.0
        if mix.key not in ahead:
            takes_g = _inside(mix, key, ahead)
        _add(used, "on the meat" if mix.key == key else mix.name, takes_g)
    for mix in made:
        if mix.key != key:
            _add(used, mix.name, _inside(mix, key, ahead))
    return used


def _inside(mix: ScaledMix, key: str, ahead: set[str]) -> float:
    """Grams of `key` that go into a mix, not through something else that is made ahead."""
    total_g = 0.0
    for part in mix.parts:
        if part.key == key:
            total_g += part.total_g
        elif part.key not in ahead:
            total_g += _inside(part, key, ahead)
    return total_g


def _add(used: dict[str, float], name: str, grams: float) -> None:
    if grams > 0.0:
        used[name] = used.get(name, 0.0) + grams


def _short_text(short_g: float, density_kg_m3: float | None, region: str) -> str:
    if short_g <= 0.0:
        return ""
    if density_kg_m3:
        return f"short by {spoon_measure(short_g * 1e-3 / density_kg_m3, region).text}"
    return f"short by {short_g:.0f} g" if short_g >= 10 else f"short by {short_g:.1f} g"
