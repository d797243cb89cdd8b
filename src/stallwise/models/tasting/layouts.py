"""Which bone gets which arm, and how far place is mixed up with it.

Bones are counted from the thick end. Arms are numbers from 0; a rack is a row of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError, NotFoundError

__all__ = ["LAYOUTS", "Mixed", "Rack", "lay", "mixed_up"]

Floats = NDArray[np.float64]
Rack = tuple[int, ...]

_DRAWS = 2000


@dataclass(frozen=True)
class Mixed:
    """How far the arm of a bone could be told from where it lay.

    Attributes
    ----------
    linear, curved : float
        R² of arm on the place along the rack, straight and with a bend [-]: 0 apart, 1 the same.
    rack : float
        R² of arm on the rack [-]; 1 where each rack has one arm only.
    bones_apart : float
        How far the middle of the second arm's bones lies from the first's [bone]: so many times the
        change from bone to bone is taken for the arm.
    """

    linear: float
    curved: float
    rack: float
    bones_apart: float


def lay(
    kind: str, bones: Sequence[int], arms: int, *, seed: int = 1, bound: float = 0.1
) -> tuple[Rack, ...]:
    """Lay arms on the bones of racks.

    Parameters
    ----------
    kind : str
        A key of `LAYOUTS`.
    bones : sequence of int
        How many bones each rack has.
    arms : int
        Two or more.
    seed : int, default 1
        Which of many layouts, where chance decides.
    bound : float, default 0.1
        Largest straight R² that a layout by chance may have [-].

    Returns
    -------
    tuple of tuples
        Arm of each bone, a rack each. A rack that comes later changes nothing of those before it.

    Raises
    ------
    NotFoundError
        No such layout.
    InputError
        Too few bones or racks.
    """
    if kind not in LAYOUTS:
        raise NotFoundError("layout", kind, LAYOUTS)
    if arms < 2 or min(bones, default=0) < 1:
        raise InputError(f"{arms} arms on {list(bones)} bones", "two arms or more, on bones")
    return LAYOUTS[kind](tuple(bones), arms, seed, bound)


def mixed_up(racks: Sequence[Rack]) -> Mixed:
    """Tell how far place and rack are mixed up with the arm.

    Parameters
    ----------
    racks : sequence of tuples
        As from `lay`.
    """
    arm = np.array([one for rack in racks for one in rack])
    place = np.array([n for rack in racks for n in range(1, len(rack) + 1)], dtype=float)
    which = np.array([n for n, rack in enumerate(racks) for _ in rack])
    arms = sorted(set(arm.tolist()))
    if len(arms) < 2:
        raise InputError(f"arms {arms}", "two arms or more", "One arm compares with nothing")
    marks = [(arm == one).astype(float) for one in (arms[:1] if len(arms) == 2 else arms)]
    linear = max(_r2(mark, [place]) for mark in marks)
    curved = max(_r2(mark, [place, place**2]) for mark in marks)
    rack = max(
        _r2(mark, [(which == n).astype(float) for n in set(which.tolist())]) for mark in marks
    )
    apart = float(place[arm == arms[1]].mean() - place[arm == arms[0]].mean())
    return Mixed(linear, curved, rack, apart)


def _r2(mark: Floats, causes: Sequence[Floats]) -> float:
    columns = np.column_stack([np.ones(len(mark)), *causes])
    fitted = columns @ np.linalg.lstsq(columns, mark, rcond=None)[0]
    whole = float(np.sum((mark - mark.mean()) ** 2))
    return max(0.0, 1.0 - float(np.sum((mark - fitted) ** 2)) / whole)


def _there_and_back(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    del seed, bound
    cycle = [*range(arms), *reversed(range(arms))]
    return tuple(
        tuple(cycle[(n + rack * arms) % len(cycle)] for n in range(count))
        for rack, count in enumerate(bones)
    )


def _blocks(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    blocks = _there_and_back(tuple(-(-count // 3) for count in bones), arms, seed, bound)
    return tuple(
        tuple(row[n // 3] for n in range(count)) for row, count in zip(blocks, bones, strict=True)
    )


def _alternating(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    del seed, bound
    return tuple(tuple((n + rack) % arms for n in range(count)) for rack, count in enumerate(bones))


def _halves(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    del seed, bound
    return tuple(tuple(n * arms // count for n in range(count)) for count in bones)


def _crossover(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    if len(bones) < 2:
        raise InputError("one rack", "two racks", "Crossing over takes a second rack")
    parts = _halves(bones, arms, seed, bound)
    return tuple(tuple((one + rack) % arms for one in part) for rack, part in enumerate(parts))


def _by_rack(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    del bound
    if len(bones) < arms:
        raise InputError(f"{len(bones)} racks for {arms} arms", f"{arms} racks or more")
    found = []
    for rack, count in enumerate(bones):
        # The next racks after all arms had one go the other way round.
        turn, place = divmod(rack, arms)
        order = stream(seed, "arms by rack", str(turn // 2)).permutation(arms).tolist()
        found.append((int(order[-1 - place if turn % 2 else place]),) * count)
    return tuple(found)


def _drawn(bones: tuple[int, ...], arms: int, seed: int, bound: float) -> tuple[Rack, ...]:
    return tuple(_one_drawn(count, arms, seed, bound, rack) for rack, count in enumerate(bones))


def _one_drawn(bones: int, arms: int, seed: int, bound: float, rack: int) -> Rack:
    if bones < 2 * arms:
        raise _too_few(bones, bound)
    draw = stream(seed, "arms by chance", str(rack))
    place = np.arange(bones)
    for _ in range(_DRAWS):
        mixed = draw.permutation(place % arms)
        if all(np.corrcoef(mixed == arm, place)[0, 1] ** 2 < bound for arm in range(arms)):
            return tuple(map(int, mixed))
    raise _too_few(bones, bound)


def _too_few(bones: int, bound: float) -> InputError:
    return InputError(
        f"{bones} bones by chance",
        f"enough bones for arm and place to be mixed up by less than {bound:g}",
        "Lay them there and back",
    )


#: Ways of laying arms on bones.
LAYOUTS: Mapping[str, Callable[[tuple[int, ...], int, int, float], tuple[Rack, ...]]] = {
    "there and back": _there_and_back,
    "every other": _alternating,
    "blocks of three": _blocks,
    "crossed over": _crossover,
    "by chance": _drawn,
    "half and half": _halves,
    "rack by rack": _by_rack,
}
