"""How a quantity is taken apart: words, numbers and units in the order that people write them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from stallwise.ground.errors import InputError, OutOfRangeError, nearest
from stallwise.ground.numerals import NUMBER, has_range, plain, read_number
from stallwise.ground.scales import Scale

__all__ = [
    "Part",
    "for_key",
    "is_negative",
    "measure",
    "range_error",
    "said_by",
    "split",
    "unit_size",
]

#: Longest text that can be a quantity; a longer one is a slip, or overflows a float.
LONGEST = 100

_LEAD = frozenset(
    {"a", "an", "the", "about", "roughly", "around", "approx", "circa", "ca", "some", "one"}
    | {"~", "≈"}
)
_TAIL = frozenset(
    {"a", "of", "piece", "joint", "rack", "bird", "roast", "each", "in", "all", "and", "total"}
    | {"meat", "time"}
)
_HALF = re.compile(r"\bhalf(?:\s+an?)?\s+(?=[^\W\d])", re.IGNORECASE)
_ONE = re.compile(r"^(?:an?|one)\s+(?=[^\W\d])", re.IGNORECASE)

_ENDS = re.compile(
    r"(?P<low>[\d.,/ ]*\d)[^\d]*?(?:-|\bto\b|\bor\b)\s*(?P<high>[\d.,/ ]*\d)(?P<rest>.*)$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Part:
    """One number of a quantity and the words after it."""

    value: float
    unit: str


def said_by(text: object) -> str:
    """Return what the person wrote, trimmed; a number becomes its digits."""
    if isinstance(text, str):
        if len(text) > LONGEST:
            raise InputError(f"a quantity of {len(text)} characters", f"up to {LONGEST}")
        return text.strip()
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        return f"{text:g}"
    raise InputError(
        f"{text!r} is not a quantity",
        "text with a number and a unit, such as '225 F' or '6 lb 8 oz'",
    )


def for_key(key: str) -> str:
    """`` for key``, or nothing."""
    return f" for {key}" if key else ""


def range_error(said: str, key: str) -> InputError:
    """Ask which end of a range is meant."""
    match = _ENDS.search(plain(said))
    ends = match and (match["low"], match["high"], match["rest"].strip())
    ask = f"'{ends[0]} {ends[2]}' or '{ends[1]} {ends[2]}'?" if ends else "Write the one you mean"
    return InputError(f"{said!r}{for_key(key)} is a range", "one value", ask)


def split(said: str, body: str, key: str, *, thousands: bool) -> tuple[str, list[Part]]:
    """Text before the first number, and every number with the text after it."""
    if has_range(body):
        raise range_error(said, key)
    matches = list(NUMBER.finditer(body))
    if not matches:
        raise InputError(
            f"{said!r}{for_key(key)} holds no number",
            "a number and a unit, such as '225 F' or '6 lb 8 oz'",
        )
    ends = [match.start() for match in matches[1:]] + [len(body)]
    parts = [
        Part(read_number(match, said, thousands=thousands), body[match.end() : end].strip())
        for match, end in zip(matches, ends, strict=True)
    ]
    if any(re.search(r"(?:^|\s|\w)(?:-|\bto|\bor)$", part.unit) for part in parts[:-1]):
        raise range_error(said, key)
    return body[: matches[0].start()].strip(), parts


def is_negative(lead: str, said: str, key: str) -> bool:
    """Whether the words before the number make it negative; refuses words that are not filler."""
    negative = lead.endswith("-") or lead.casefold().endswith("minus")
    rest = re.sub(r"(?:-|\+|minus)$", "", lead, flags=re.IGNORECASE).casefold()
    extra = [word for word in rest.replace(".", "").split() if word not in _LEAD]
    if extra:
        raise InputError(
            f"{said!r}{for_key(key)} begins with {' '.join(extra)!r}",
            "a number first, then its unit",
            "Write the quantity alone",
        )
    return negative


def unit_size(scale: Scale, part: Part, said: str, key: str) -> float:
    """Size in SI of the unit of one part; refuses what is not a unit of the scale."""
    words = part.unit.lstrip("-").rstrip(",;+&").strip()
    words = re.sub(r"\s+", " ", words.replace(".", " ")).strip()
    tail: list[str] = []
    name = words
    while name:
        size = scale.size(name)
        if size is not None:
            return size
        said_of = scale.foreign.get(name) or scale.foreign.get(name.casefold())
        if said_of:
            msg = f"{name!r} in {said!r}{for_key(key)} {said_of}"
            raise InputError(msg, f"{', '.join(scale.offers)}")
        name, _, last = name.rpartition(" ")
        if last.casefold() not in _TAIL:
            break
        tail.append(last)
    if not words or words.casefold() in _TAIL:
        offered = " or ".join(f"'{part.value:g} {unit}'" for unit in scale.offers[:2])
        alone = repr(said) if NUMBER.fullmatch(said) else f"{part.value:g} in {said!r}"
        raise InputError(f"{alone}{for_key(key)} has no unit:", "", f"{offered}?")
    near = nearest(words, [*scale.names, *scale.exact])
    raise InputError(
        f"{words!r} in {said!r}{for_key(key)} is not a unit of {scale.kind}",
        ", ".join(scale.offers),
        f"Nearest: {', '.join(near)}" if near else "",
    )


def measure(
    scale: Scale,
    text: str | float,
    key: str,
    *,
    signed: bool = False,
    thousands: bool = False,
    said: str = "",
) -> float:
    """Sum of the parts of a quantity, each smaller than the one before it."""
    said = said or said_by(text)
    body = _ONE.sub("1 ", _HALF.sub("1/2 ", plain(said_by(text))))
    lead, parts = split(said, body, key, thousands=thousands)
    negative = is_negative(lead, said, key)
    total, above = 0.0, float("inf")
    for part in parts:
        size = unit_size(scale, part, said, key)
        if size >= above or part.value * size >= above:
            raise InputError(
                f"{said!r}{for_key(key)} does not run from the larger unit to the smaller",
                "a whole amount, then what is left of it, such as '6 lb 8 oz' or '2 h 45 min'",
                "Write it in one unit if that is what you mean",
            )
        total += part.value * size
        above = size
    if negative and not signed and total > 0.0:
        raise OutOfRangeError(
            f"{said!r}{for_key(key)} is negative", f"a {scale.kind} of zero or more"
        )
    return -total if negative else total
