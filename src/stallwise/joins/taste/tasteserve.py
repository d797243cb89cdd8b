"""Who gets what: the plates of each taster, from neighbouring bones, under codes that say nothing."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stallwise.ground.ensemble import stream
from stallwise.ground.errors import InputError
from stallwise.joins.taste.tasteplan import enough_arms, laid
from stallwise.models.tasting.serving import Plate, orders, served, spread_of_followers
from stallwise.record.trial import KeyRow, Trial
from stallwise.tables import tastings
from stallwise.tables.tastings import rule

__all__ = ["Serving", "serve", "served_sets"]

Sets = list[tuple[int, ...]]


@dataclass(frozen=True)
class Serving:
    """Plates of one cook.

    Attributes
    ----------
    key : tuple of KeyRow
    left_over : tuple of (str, int)
        Piece and bone that nobody scores: for the bite before.
    uneven : int
        How unevenly plates follow each other; 0 where no arm is favoured.
    """

    key: tuple[KeyRow, ...]
    left_over: tuple[tuple[str, int], ...]
    uneven: int


def serve(trial: Trial, cook: str) -> Serving:
    """Lay out the plates of one cook of a trial.

    Parameters
    ----------
    trial : Trial
    cook : str
        Name of its folder; bones come from the racks of this cook.

    Raises
    ------
    InputError
        More bites than bones, or more plates than a taster bears.
    """
    enough_arms(trial)
    arms = len(trial.arms)
    # Of the cook and the question: a second weekend, or a second trial that day, has other codes and
    # other orders of eating.
    seed = int(stream(trial.seed, "sitting", cook, trial.question).integers(2**31))
    by_taster = served_sets(trial.model_copy(update={"seed": seed}))
    most = max(sum(map(len, of)) for of in by_taster)
    if most > rule("plates.most"):
        raise InputError(
            f"{most} plates for each taster", f"{rule('plates.most'):.0f} at most in one sitting",
            "Fewer sets, or another sitting another day",
        )  # fmt: skip
    plates = served(trial.tasters, by_taster, seed)
    bones = _bones(trial, cook, plates)
    key = tuple(
        KeyRow(
            cook, f"T{plate.taster}", plate.set, plate.place, plate.code, trial.arms[plate.arm],
            *bones.get(n, ("", 0)),
        )
        for n, plate in enumerate(plates)
    )  # fmt: skip
    there = {
        (rack.piece, n)
        for rack in trial.racks
        if rack.cook == cook
        for n in range(1, rack.bones + 1)
    }
    left = sorted(there - set(bones.values())) if bones else []
    rows = [row for of in by_taster for row in of]
    whole = all(sorted(row) == list(range(arms)) for row in rows)
    uneven = spread_of_followers(rows) if whole else 0
    return Serving(key, tuple(left), uneven)


def served_sets(trial: Trial) -> list[Sets]:
    """Arms of each set in the order of eating, by taster; `serve` lays them on plates and bones."""
    return _SETS.get(trial.method, _each_arm)(trial, len(trial.arms))


# --- sets by way of asking ------------------------------------------------------------


def _each_arm(trial: Trial, arms: int) -> list[Sets]:
    """All arms, or balanced blocks of many, in orders that favour none."""
    if trial.each and trial.each < arms:
        turned = [
            block[n:] + block[:n] for block in tastings.blocks(arms, trial.each) for n in (0, 1)
        ]
        return _turns(turned, trial)
    rows = orders(trial.tasters * trial.sets, arms, trial.seed)
    return [list(rows[n :: trial.tasters]) for n in range(trial.tasters)]


def _turns(patterns: Sequence[tuple[int, ...]], trial: Trial) -> list[Sets]:
    """Patterns in turn, each as often as the others as far as it goes, in an order by chance."""
    draw = stream(trial.seed, "patterns")
    rows: Sets = []
    while len(rows) < trial.tasters * trial.sets:
        rows += [patterns[n] for n in draw.permutation(len(patterns))]
    return [rows[n * trial.sets : (n + 1) * trial.sets] for n in range(trial.tasters)]


def _odd_one_out(trial: Trial, arms: int) -> list[Sets]:
    del arms
    return _turns(
        sorted(set(itertools.permutations((0, 0, 1))) | set(itertools.permutations((0, 1, 1)))),
        trial,
    )


def _two_pairs(trial: Trial, arms: int) -> list[Sets]:
    del arms
    return _turns(sorted(set(itertools.permutations((0, 0, 1, 1)))), trial)


def _match_the_first(trial: Trial, arms: int) -> list[Sets]:
    del arms
    return _turns([(0, 0, 1), (0, 1, 0), (1, 0, 1), (1, 1, 0)], trial)


def _most_of_three(trial: Trial, arms: int) -> list[Sets]:
    del arms
    most = trial.arms.index(trial.expect) if trial.expect else 1
    return _turns(sorted(set(itertools.permutations((most, 1 - most, 1 - most)))), trial)


def _same_or_different(trial: Trial, arms: int) -> list[Sets]:
    del arms
    return _turns([(0, 0), (0, 1), (1, 1), (1, 0)], trial)


def _this_one(trial: Trial, arms: int) -> list[Sets]:
    del arms
    return _turns([(0,), (1,)], trial)


def _pairs_of_many(trial: Trial, arms: int) -> list[Sets]:
    both = list(itertools.permutations(range(arms), 2))
    return _turns(both, trial)


_SETS: Mapping[str, Callable[[Trial, int], list[Sets]]] = {
    "odd-one-out": _odd_one_out,
    "two-pairs": _two_pairs,
    "match-the-first": _match_the_first,
    "most-of-three": _most_of_three,
    "same-or-different": _same_or_different,
    "this-one": _this_one,
    "pairs-of-many": _pairs_of_many,
}


# --- bones ----------------------------------------------------------------------------


def _bones(trial: Trial, cook: str, plates: Sequence[Plate]) -> dict[int, tuple[str, int]]:
    """Give each plate a bone: those of a set lie near each other, from the middle of the rack out."""
    racks = laid(trial)
    free: dict[tuple[str, int], int] = {
        (rack.piece, n): arm
        for rack, arms in zip(trial.racks, racks, strict=False)
        if rack.cook == cook
        for n, arm in enumerate(arms, 1)
    }
    if not free:
        return {}
    if len(plates) > len(free):
        raise InputError(
            f"{len(plates)} bites and {len(free)} bones of this cook",
            "one bone for each bite",
            "Fewer tasters or sets, or another rack",
        )
    middle = {rack.piece: (rack.bones + 1) / 2.0 for rack in trial.racks}
    found: dict[int, tuple[str, int]] = {}
    sets = itertools.groupby(enumerate(plates), key=lambda one: (one[1].taster, one[1].set))
    # One set of each taster after another, so that nobody gets all the ends.
    rows = sorted(
        ([(n, plate) for n, plate in group] for _, group in sets), key=lambda g: g[0][1].set
    )
    for row in rows:
        for (n, _), bone in zip(row, _nearest(row, free, middle, trial), strict=True):
            found[n] = bone
            del free[bone]
    return found


def _nearest(
    row: Sequence[tuple[int, Plate]],
    free: Mapping[tuple[str, int], int],
    middle: Mapping[str, float],
    trial: Trial,
) -> list[tuple[str, int]]:
    best: tuple[float, list[tuple[str, int]]] | None = None
    for start in [bone for bone, arm in free.items() if arm == row[0][1].arm]:
        chosen = [start]
        apart = 0.0
        for _, plate in row[1:]:
            near = [
                (abs(bone[1] - start[1]) + rule("plate.other-rack") * (bone[0] != start[0]), bone)
                for bone, arm in free.items()
                if arm == plate.arm and bone not in chosen
            ]
            if not near:
                break
            gap, bone = min(near)
            apart += gap
            chosen.append(bone)
        out = apart + rule("plate.middle") * abs(start[1] - middle[start[0]])
        if len(chosen) == len(row) and (best is None or out < best[0]):
            best = (out, chosen)
    if best is None:
        wanted = trial.arms[row[0][1].arm]
        raise InputError(
            f"too few bones of {wanted!r} and the others for all plates",
            "as many bones of each arm as are served of it",
            "Fewer tasters or sets, or another rack",
        )
    return best[1]
