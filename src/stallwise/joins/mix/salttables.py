"""Salt and nutrients of a Result as tables and sentences, one set for terminal, notebook and page."""

from __future__ import annotations

from stallwise.ground import units
from stallwise.joins.mix.mixresult import LandingResult, NutritionResult, SaltResult
from stallwise.joins.result import Result
from stallwise.joins.tables import Table, grams
from stallwise.joins.words import joined
from stallwise.tables.label import serving_words

__all__ = ["landing_words", "nutrition_tables", "salt_parts", "salt_table"]

#: Less salt than this is a trace, and not worth a word [g].
_NOTHING_G = 0.05
_NAMES = {
    "energy": "energy",
    "protein": "protein",
    "fat": "fat",
    "saturated_fat": "of it saturated",
    "carbohydrate": "carbohydrate",
    "sugars": "of it sugars",
    "cholesterol": "cholesterol",
    "sodium": "sodium",
}


def salt_table(result: Result) -> Table:
    """Lay out salt counted once over everything that touches a piece, and how to land on a wish."""
    sizes = {salt.serving_kg for salt in result.salt if salt.serving_kg}
    serving = f"; a serving is {units.format_mass(max(sizes), result.units)}" if sizes else ""
    rows = []
    for salt in result.salt:
        rows.append(_row(salt))
        if salt.landing is not None:
            rows.append((salt.piece, "", "", "", landing_words(salt.landing)))
    return Table(
        f"Salt, counted once{serving}",
        ("piece", "grams", "of what is eaten", "sodium a serving", "from"),
        tuple(rows),
        "salt",
    )


def _row(salt: SaltResult) -> tuple[str, ...]:
    parts = "; ".join(salt_parts(salt))
    serving = f"{salt.sodium_mg_per_serving:.0f} mg" if salt.serving_kg else ""
    return salt.piece, grams(salt.salt_g), f"{salt.per_kg_edible_g / 10:.1f} %", serving, parts


def salt_parts(salt: SaltResult) -> list[str]:
    """Say what the salt of a piece comes from, traces left out: ``Salt and pepper rub 29 g``."""
    return [
        f"{name} {grams(value)} g" for name, value in salt.parts_g.items() if value >= _NOTHING_G
    ]


def landing_words(found: LandingResult) -> str:
    """Turn a landing into a sentence a cook can act on."""
    wish = f"{found.target * 100:.3g} %"
    if not found.possible:
        return (
            f"Even with no salt in {found.mix} it comes to {found.lands * 100:.1f} %, over {wish}: "
            "take salt out of the rest."
        )
    now, then = grams(found.batch_from_g), grams(found.batch_to_g)
    if now == then:
        return f"{found.mix} lands at {wish} as it is."
    verb = "Reduce" if found.batch_to_g < found.batch_from_g else "Raise"
    return (
        f"{verb} the salt in {found.mix} from {now} g to {then} g (pure salt, in all of it that is made) "
        f"to land at {wish}."
    )


def nutrition_tables(result: Result) -> tuple[Table, ...]:
    """Lay out what a serving of each piece holds, rounded for display as labels are; it is none.

    What nobody measured stands below: among the figures it would pull their columns apart.
    """
    alike: dict[tuple[str, ...], list[NutritionResult]] = {}
    for one in result.nutrition:
        alike.setdefault(_shown(one), []).append(one)
    if not alike:
        return ()
    sizes = dict.fromkeys(serving_words(one.serving_kg) for one in result.nutrition)
    rows = zip(_NAMES.values(), *alike, strict=True)
    names = [", ".join(one.piece for one in ones) for ones in alike.values()]
    whole = Table(
        f"A serving of {' or '.join(sizes)}, at most, and no label",
        ("what", *(names if len(names) > 1 else ["about"])),
        tuple(rows),
        "nutrition",
    )
    unknown: dict[str, list[str]] = {}
    for one in result.nutrition:
        if one.unknown:
            unknown.setdefault("; ".join(one.unknown), []).append(one.piece)
    notes = tuple((f"Not counted in {joined(some)}: {said}.",) for said, some in unknown.items())
    return (whole, Table("", ("",), notes, "nutrition")) if notes else (whole,)


def _shown(found: NutritionResult) -> tuple[str, ...]:
    """Amounts in words."""
    values = (found.shown[name] for name in _NAMES)
    units_of = (found.units[name] for name in _NAMES)
    return tuple(
        value if isinstance(value, str) else f"{value:g} {unit}"
        for value, unit in zip(values, units_of, strict=True)
    )
