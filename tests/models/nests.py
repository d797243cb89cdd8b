"""Random mixes inside mixes, some of them reduced, for what must hold for any of them."""

from __future__ import annotations

from hypothesis import strategies as st

from stallwise.models.mixes import scale
from stallwise.tables.ingredients import ingredients
from stallwise.tables.serves import parse_target


def line(what, amount, **more):
    return {"mix" if what.startswith("m_") else "ingredient": what, "amount": amount, **more}


ITEMS = [
    key
    for key, item in ingredients().items()
    if item.water_g_per_100g is not None and item.sodium_mg_per_100g is not None and item.density
]


@st.composite
def nested(draw):
    """Mixes, each made of ingredients and earlier mixes, some of them boiled down; and the last."""
    mixes = {}
    for number in range(draw(st.integers(1, 5))):
        lines = [
            line(draw(st.sampled_from(ITEMS)), f"{draw(st.floats(0.1, 100)):.4f} g", when=when)
            for when in draw(
                st.lists(st.sampled_from(["", "after reducing"]), min_size=1, max_size=4)
            )
        ]
        inside = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else ()
        lines += [line(f"m_{inner}", f"{draw(st.floats(0.1, 300)):.4f} g") for inner in inside]
        lines.append(line("water_tap", "2 kg"))
        mix = {"lines": lines, "per": "1 kg meat"}
        if draw(st.booleans()):
            mix["reduce"] = {"by": draw(st.floats(1.0, 1.2))}
        mixes[f"m_{number}"] = mix
    return mixes, f"m_{len(mixes) - 1}"


def sodium_of(mixes, key):
    """Sodium [mg] of one batch, summed line by line, and its mass from the scaled batch."""
    total = 0.0
    for one in mixes.mix(key).lines:
        grams = one.amount.si * 1e3
        if one.mix:
            inner_g = scale(one.mix, parse_target("1 batch"), mixes).total_g
            total += sodium_of(mixes, one.mix) * grams / inner_g
        else:
            total += grams * mixes.ingredient(one.ingredient).sodium_mg_per_100g / 100.0
    return total
