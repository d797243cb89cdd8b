"""Amounts as cooks write them in a mix: spoons, cups, weights, jars before and after.

``T`` is a tablespoon and ``t`` a teaspoon; case is never folded first. A range is asked, not
halved; a fraction that can be read in two ways is asked.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from stallwise.ground.errors import InputError, nearest
from stallwise.ground.numberwords import as_digits
from stallwise.ground.numerals import NUMBER, plain
from stallwise.ground.quantities import Part, for_key, is_negative, said_by, split
from stallwise.ground.scales import MASS, REGIONS, Scale
from stallwise.ground.units import parse_fraction, volume_scale

__all__ = ["Amount", "parse_amount", "split_amount"]

_ARROW = re.compile(r"\s*(?:->|=>|>|\u2192|\u21d2)\s*")
_JAR = re.compile(
    r"^(?:the\s+)?(?:jar|tub|bag|bottle|bowl|pan|tin|box|weighed)\b[\s:]*", re.IGNORECASE
)
_BATCH = re.compile(r"^(?P<count>.*?)\s*\b(?:batch|batches|of it)$", re.IGNORECASE)
_JOIN = frozenset({"and", "plus", "+", "&", ",", "of", "a", "an"})
_NAMES = 3  # words in the longest unit name
_SHARE = re.compile(
    r"(?P<to>(?:fill(?:ed)?\s+)?(?:up\s+)?to\s+)?(?P<share>[\d.,/ ]+\s*(?:%|percent|per cent))"
    r"(?:\s+of\s+(?P<of>.+))?",
    re.IGNORECASE,
)
#: What a share may be of, and other words for it.
_OF = {
    "meat": ("meat", "raw meat", "edible meat"),
    "meat and water": ("meat and water", "meat and brine", "water and meat"),
    "everything": ("everything", "all", "total", "pumped meat", "finished meat"),
    "mix": ("mix", "brine", "rub", "itself", "injection", "liquid", "sauce"),
}
_LEVEL = re.compile(r"(?<![^\W\d])level(?:led)?\s+", re.IGNORECASE)
_TWICE = re.compile(r"(?P<one>[^()]+?)\s*\(\s*(?P<other>[\d.,/]+[^()]*)\)")
#: Two ways of saying one amount may differ by what a label rounds: 1 cup (240 ml).
_SAME = 0.03
#: Words that cooks use for an amount, and why they are asked.
_NO_MEASURE = {
    **dict.fromkeys(
        ("heaped", "heaping", "rounded", "scant", "generous", "packed"),
        "is not the same twice",
    ),
    **dict.fromkeys(
        ("pinch", "pinches", "dash", "dashes", "knob", "knobs", "handful", "handfuls", "glug"),
        "is every cook's own",
    ),
    **dict.fromkeys(
        ("stick", "sticks", "clove", "cloves", "can", "cans", "bottle", "bottles", "packet"),
        "comes in several sizes",
    ),
    **dict.fromkeys(("dessertspoon", "dessertspoons"), "differs between countries"),
}


@dataclass(frozen=True)
class Amount:
    """One amount of an ingredient or of a mix.

    Attributes
    ----------
    value : float
        Number in `unit`.
    unit : str
        ``tsp``, ``tbsp``, ``cup``, or the SI unit ``kg`` or ``m3``; ``share`` of the meat's mass;
        ``batch``.
    kind : {"mass", "volume", "share", "fill", "batch"}
        Kind of quantity; ``fill`` is what is missing to a share of the meat.
    text : str
        As it was written.
    parts : tuple of (float, str)
        Every part of a sum such as ``1 cup + 2 tbsp``, each with its unit.
    si : float
        Value in kg or m3; for shares and batches the number itself.
    of : {"meat", "meat and water", "everything", "mix"}
        What a share is a share of.
    """

    value: float
    unit: str
    kind: str
    text: str
    parts: tuple[tuple[float, str], ...] = ()
    si: float = 0.0
    of: str = "meat"


@dataclass(frozen=True)
class _Kitchen:
    """What a unit means in this kitchen."""

    volume: Scale
    region: str
    measures: Mapping[str, str]


def parse_amount(
    text: str | float,
    *,
    key: str = "",
    region: str = "us",
    measures: Mapping[str, str] | None = None,
) -> Amount:
    """Amount from text such as ``2 T``, ``1 1/2 cups``, ``35 g`` or ``jar 412 -> 377``.

    Parameters
    ----------
    text : str or float
        What the cook wrote; a bare number is refused.
    key : str, optional
        Name of the value, for messages.
    region : {"us", "metric", "metric-20", "imperial"}, default "us"
        Which spoon and cup.
    measures : mapping of str to str, optional
        The cook's own measures, each weighed or filled once: ``{"ladle": "118 g"}``.

    Raises
    ------
    InputError
        No unit, an unknown unit, a range, a negative amount, words after the unit, or a fraction
        that can be read in two ways.

    Examples
    --------
    >>> parse_amount("2 T").unit, parse_amount("2 t").unit
    ('tbsp', 'tsp')
    >>> parse_amount("2½ tbsp").value
    2.5
    >>> round(parse_amount("jar 412 -> 377").si, 6)
    0.035
    """
    amount, rest = split_amount(text, key=key, region=region, measures=measures)
    if rest:
        raise InputError(
            f"{said_by(text)!r}{for_key(key)} goes on with {rest!r} after the amount",
            "a number and a unit, such as '2 tbsp' or '35 g'",
            "Name the ingredient in its own place",
        )
    return amount


def split_amount(
    text: str | float,
    *,
    key: str = "",
    region: str = "us",
    measures: Mapping[str, str] | None = None,
) -> tuple[Amount, str]:
    """Amount at the head of a line, and the words after it (``2 Tbsp. salt`` gives ``salt``)."""
    said = said_by(text)
    body = plain(said)
    halves = _ARROW.split(body)
    if len(halves) > 1:
        return _by_difference(halves, said, key, region, measures or {}), ""
    batch = _BATCH.match(body)
    if batch and (count := _count(batch["count"])) is not None:
        return Amount(count, "batch", "batch", said, ((count, "batch"),), count), ""
    share = _SHARE.fullmatch(body)
    if share:
        return _share(share, said, key), ""
    return _spooned(said, body, key, region, measures or {})


def _share(match: re.Match[str], said: str, key: str) -> Amount:
    """Share of the meat, of meat and water, of everything together or of the mix itself."""
    basis = (match["of"] or "meat").strip().casefold().removeprefix("the ")
    of = next((name for name, said_so in _OF.items() if basis in said_so), "")
    if not of:
        raise InputError(
            f"{said!r}{for_key(key)}: a share of {match['of'].strip()!r}",
            "% of meat, % of meat and water, % of everything (meat and mix), % of the mix",
        )
    value = parse_fraction(match["share"], key=key)
    kind = "fill" if match["to"] else "share"
    return Amount(value, kind, kind, said, ((value, kind),), value, of)


def _count(text: str) -> float | None:
    if text.casefold() in {"", "a", "the", "one", "all", "whole", "the whole", "all of the"}:
        return 1.0
    if text.casefold() in {"half", "half a", "half the"}:
        return 0.5
    match = NUMBER.fullmatch(text)
    if not match:
        return None
    return split(text, text, "", thousands=False)[1][0].value


def _by_difference(
    halves: list[str], said: str, key: str, region: str, measures: Mapping[str, str]
) -> Amount:
    """Amount taken from a jar that was weighed before and after."""
    if len(halves) != 2:
        raise InputError(f"{said!r}{for_key(key)} has more than one arrow", "'jar 412 -> 377'")
    before, after = _JAR.sub("", halves[0]).strip(), halves[1].strip()
    if NUMBER.fullmatch(after):
        after += " g" if NUMBER.fullmatch(before) else NUMBER.sub("", before)
    if NUMBER.fullmatch(before):
        before += NUMBER.sub("", after, count=1)
    ends = [parse_amount(end, key=key, region=region, measures=measures) for end in (before, after)]
    used = ends[0].si - ends[1].si
    if ends[0].kind != ends[1].kind or ends[0].kind not in {"mass", "volume"}:
        raise InputError(
            f"{said!r}{for_key(key)} has two different kinds of unit",
            "'jar 412 -> 377' or '412 g -> 377 g'",
        )
    if used < 0:
        raise InputError(
            f"{said!r}{for_key(key)} goes up",
            "before, then after: 'jar 412 -> 377' is 35 g used",
            "Turn it round, or check the two weights",
        )
    unit = "kg" if ends[0].kind == "mass" else "m3"
    return Amount(used, unit, ends[0].kind, said, ((used, unit),), used)


def _spooned(
    said: str, body: str, key: str, region: str, measures: Mapping[str, str]
) -> tuple[Amount, str]:
    kitchen = _Kitchen(volume_scale(region), region, measures)
    body = as_digits(_LEVEL.sub("", body))
    twice = _TWICE.fullmatch(body)
    if twice:
        body = _said_twice(twice["one"], twice["other"], said, key, kitchen)
    if not NUMBER.search(body):
        raise InputError(
            f"{said!r}{for_key(key)} holds no number", "an amount such as '2 tbsp' or '35 g'"
        )
    lead, parts = split(said, body, key, thousands=False)
    if is_negative(lead, said, key):
        raise InputError(f"{said!r}{for_key(key)} is negative", "an amount of zero or more")
    found: list[tuple[float, str, str, float]] = []  # value, unit, kind, si
    rest = ""
    for place, part in enumerate(parts):
        unit, kind, size, rest = _unit_of(part, said, key, kitchen)
        found.append((part.value, unit, kind, part.value * size))
        if rest and place < len(parts) - 1:
            raise InputError(
                f"{rest!r} stands between two numbers of {said!r}{for_key(key)}",
                "one amount, or a sum such as '1 cup + 2 tbsp'",
            )
    kinds = {kind for _, _, kind, _ in found}
    if len(kinds) > 1:
        raise InputError(f"{said!r}{for_key(key)} mixes weight and volume", "one or the other")
    si = sum(item[3] for item in found)
    value, unit = found[0][:2]
    if len(found) > 1:
        value = value * si / found[0][3] if found[0][3] else si
    spooned = tuple((item[0], item[1]) for item in found)
    if unit in {"kg", "m3"}:
        value, spooned = si, ((si, unit),)
    return Amount(value, unit, kinds.pop(), said, spooned, si), rest


def _said_twice(one: str, other: str, said: str, key: str, kitchen: _Kitchen) -> str:
    """Keep the first of two ways of saying an amount, if they say the same: 1 cup (240 ml)."""
    args = {"key": key, "region": kitchen.region, "measures": kitchen.measures}
    ends = [split_amount(end, **args)[0] for end in (one, other)]  # type: ignore[arg-type]
    if ends[0].kind != ends[1].kind or abs(ends[0].si - ends[1].si) > _SAME * ends[0].si:
        raise InputError(
            f"{said!r}{for_key(key)} says two amounts",
            "one of them",
            f"'{one.strip()}' or '{other.strip()}'?",
        )
    return one


def _unit_of(part: Part, said: str, key: str, kitchen: _Kitchen) -> tuple[str, str, float, str]:
    """Find the unit, its kind, its size in SI and the words left over, for one number."""
    volume, region, measures = kitchen.volume, kitchen.region, kitchen.measures
    words = part.unit.lstrip("-").replace(".", ". ").replace(",", " , ").split()
    while words and words[-1] in _JOIN:
        words.pop()
    for count in range(min(_NAMES, len(words)), 0, -1):
        name = " ".join(words[:count]).replace(".", "").strip()
        rest = " ".join(word for word in words[count:])
        rest = re.sub(r"^(?:of\s+|,\s*)+", "", rest).replace(" ,", ",").replace(". ", ".").strip()
        own = _own(name, measures)
        if own is not None:
            one = parse_amount(own, key=f"the measure {name}", region=region)
            return ("kg" if one.kind == "mass" else "m3"), one.kind, one.si, rest
        for scale in (volume, MASS):
            size = scale.size(name)
            if size is not None:
                return _canonical(size, scale.kind, region), scale.kind, size, rest
        if name in volume.foreign and MASS.size(name) is None:
            raise InputError(
                f"{name!r} in {said!r}{for_key(key)} {volume.foreign[name]}",
                "tsp, tbsp, cup, ml, g",
            )
        if name.casefold() in MASS.foreign and name.casefold() not in volume.names:
            reason = volume.foreign.get(name.casefold()) or MASS.foreign[name.casefold()]
            raise InputError(
                f"{name!r} in {said!r}{for_key(key)} {reason}", "tsp, tbsp, cup, ml, g"
            )
    if not words:
        alone = repr(said) if NUMBER.fullmatch(plain(said)) else f"{part.value:g} in {said!r}"
        value = f"{part.value:g}"
        raise InputError(
            f"{alone}{for_key(key)} has no unit:",
            "",
            f"'{value} g', '{value} tsp' or '{value} tbsp'?",
        )
    why = _NO_MEASURE.get(words[0].casefold().rstrip("."))
    if why:
        raise InputError(
            f"{words[0]!r} in {said!r}{for_key(key)} {why}",
            "a weight or a level spoon",
            f"Weigh it; or weigh one once and write it under [measures] in cookbook.toml: "
            f'{words[0]} = "2 g"',
        )
    raise InputError(
        f"{words[0]!r} in {said!r}{for_key(key)} is not a unit of amount",
        "tsp (t), tbsp (T), cup, fl oz, ml, g, kg, oz, lb",
        _near_unit(words[0], region, measures),
    )


def _own(name: str, measures: Mapping[str, str]) -> str | None:
    """Find what one of the cook's own measures holds; two ladles are two of a ladle."""
    wanted = name.casefold()
    for known, what in measures.items():
        held = known.casefold()
        if {wanted, f"{wanted}s", f"{wanted}es"} & {held, f"{held}s", f"{held}es"}:
            return what
    return None


def _canonical(size: float, kind: str, region: str) -> str:
    if kind == "mass":
        return "kg"
    for name, held in REGIONS[region].items():
        if held == size:
            return name
    return "m3"


def _near_unit(word: str, region: str, measures: Mapping[str, str] | None) -> str:
    scale = volume_scale(region)
    near = nearest(
        word.split(maxsplit=1)[0], [*scale.names, *scale.exact, *MASS.names, *(measures or {})]
    )
    return f"Nearest: {', '.join(near)}" if near else ""
