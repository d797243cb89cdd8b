"""One scaled mix as a Result carries it: lines, notes, time on the stove, allergens."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stallwise.ground import units
from stallwise.joins.mix.mixresult import MakingResult, MixLine, MixResult
from stallwise.joins.words import area
from stallwise.models.mixes import ScaledMix
from stallwise.tables.ingredient import allergen_list, with_check_label

__all__ = ["allergen_words", "enough_for", "mix_result"]


def mix_result(mix: ScaledMix, on: tuple[str, ...], more: Sequence[str] = ()) -> MixResult:
    """Turn a scaled mix into what a Result holds; `more` are further remarks.

    Parameters
    ----------
    mix : ScaledMix
    on : tuple of str
        Letters of the pieces that it goes on.
    more : sequence of str, optional
    """
    return MixResult(
        mix=mix.key,
        name=mix.name,
        kind=mix.kind,
        on=on,
        for_text=mix.for_text,
        lines=tuple(
            MixLine(
                line.ingredient,
                line.name,
                line.grams,
                line.spoons,
                line.spoon_error_fraction,
                line.source,
            )
            for line in mix.lines
        ),
        total_g=mix.total_g,
        salt_g=mix.salt_g,
        notes=(
            *mix.notes,
            *more,
            f"Allergens: {allergen_words(mix.allergens_us, mix.allergens_eu)}.",
        ),
        own=mix.own,
        parts=tuple(dict.fromkeys(_inside(mix))),
        making=_making(mix),
        volume_m3=mix.volume_m3,
        soak_s=mix.soak_s,
        allergens_us=mix.allergens_us,
        allergens_eu=mix.allergens_eu,
    )


def enough_for(kind: str, count: float, system: str) -> str:
    """Say what an amount of a mix is for.

    Parameters
    ----------
    kind : str
        Of `Serves`: ``meat``, ``edible``, ``area``, ``piece``, ``guest``; others have no words.
    count : float
        Meat [kg], surface [m2], or how many.
    system : {"us", "metric"}
        The cook's units.
    """
    if kind in {"meat", "edible"}:
        bone = " without bone" * (kind == "edible")
        return f"{units.format_mass(count, system)} of meat{bone}"
    if kind == "area":
        return f"{area(count, system)} of surface"
    if kind in {"piece", "guest"}:
        many = f"{count:.3g}" if count < 100.0 else f"{count:.0f}"
        return f"{many} {kind}" + "s" * (count != 1)
    return ""


def allergen_words(allergens_us: str, allergens_eu: str) -> str:
    """Join the words of both lists, those of the European one alone marked; the label's reminder closes."""
    us, eu = (allergen_list(text) for text in (allergens_us, allergens_eu))
    named = [*us, *(f"{word} (EU list)" for word in eu if not _same(word, us))]
    return with_check_label("; ".join(named))


def _same(word: str, others: Sequence[str]) -> bool:
    """Whether a list names the same under another form: eggs and egg, nuts and tree nuts."""
    stem = word.casefold().rstrip("s").split()[-1]
    return any(stem in other.casefold() for other in others)


def _inside(mix: ScaledMix) -> Iterator[str]:
    for part in mix.parts:
        yield part.key
        yield from _inside(part)


def _making(mix: ScaledMix) -> MakingResult | None:
    """Time on the stove and depths in the pan; None for what is only stirred together."""
    down = mix.reduction
    if down is None:
        if not mix.simmer_s:
            return None
        return MakingResult(mix.simmer_s, 0, 0, 0, 0, None, None, None, None, None, 1.0)
    return MakingResult(
        simmer_s=mix.simmer_s or 0.0,
        heat_up_s=down.heat_up_s,
        reduce_low_s=down.boil_low_s,
        reduce_s=down.boil_s,
        reduce_high_s=down.boil_high_s,
        from_m3=down.from_m3,
        to_m3=down.to_m3,
        depth_from_m=down.depth_from_m,
        depth_to_m=down.depth_to_m,
        pan_m=down.pan_m,
        ratio=down.ratio,
    )
