"""Lines of a mix that are a share of the meat, of meat and water, of everything, or of the mix."""

from __future__ import annotations

from stallwise.ground.errors import InputError
from stallwise.tables.mix import Line, Mix

__all__ = ["share_grams"]


def share_grams(mix: Mix, others_g: float, meat_g: float | None) -> dict[int, float]:
    """Mass of each line that is a share, by its place in the mix [g].

    Parameters
    ----------
    mix : Mix
    others_g : float
        All the lines that are not shares [g].
    meat_g : float or None
        Meat that the amounts are for [g]; None where they are for something else.

    Returns
    -------
    dict of int to float
        A share of "meat and water" is of the meat and the lines that are no shares (the usual home
        form of an equilibrium brine); of "everything" it is of meat and mix with all that is in it, its
        own line too; of the "mix" it is of the mix alone. A line "to 10 %" fills the mix up to a tenth
        of the meat.

    Raises
    ------
    InputError
        Shares of the meat where nobody says how much meat, shares that leave nothing for the rest, or a
        mix that is more than it is to be filled up to.
    """
    places = [place for place, line in enumerate(mix.lines) if _is_share(line)]
    fills = [place for place in places if mix.lines[place].amount.kind == "fill"]
    for place in places:
        line = mix.lines[place]
        if meat_g is None and (line.amount.of != "mix" or place in fills):
            raise InputError(
                f"{line.amount.text!r} of {line.ingredient or line.mix} in {mix.name}: of what?",
                'a share of the meat, with per = "1 kg meat"',
            )
    if len(fills) > 1:
        raise InputError(f"{mix.name} is filled up by two lines", "one line with 'to … %'")
    meat = meat_g or 0.0
    total = mix.lines[fills[0]].amount.value * meat if fills else None
    grams = {
        place: mix.lines[place].amount.value * (meat if of == "meat" else meat + others_g)
        for place in places
        if place not in fills and (of := mix.lines[place].amount.of) in {"meat", "meat and water"}
    }
    for of, around in (("mix", 0.0), ("everything", meat)):
        same = [p for p in places if p not in fills and mix.lines[p].amount.of == of]
        together = sum(mix.lines[place].amount.value for place in same)
        if together >= 1.0:
            raise InputError(
                f"the shares in {mix.name} come to {together * 100:g} %", "less than all of it"
            )
        known = around + (others_g + sum(grams.values()) if total is None else total)
        whole = known / (1.0 - together) if total is None else known
        grams |= {place: mix.lines[place].amount.value * whole for place in same}
    if fills and total is not None:
        rest = total - others_g - sum(grams.values())
        if rest < 0.0:
            raise InputError(
                f"{mix.name} holds {total - rest:.0f} g and is to be {total:.0f} g",
                "a larger share to fill up to",
            )
        grams[fills[0]] = rest
    return grams


def _is_share(line: Line) -> bool:
    return line.amount.kind in {"share", "fill"}
