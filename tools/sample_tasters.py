"""The sample's tasters: made-up mouths with a seed, who lean to one glaze a little and no more."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from stallwise.record.trial import KeyRow

__all__ = ["bare_bones", "slips"]

#: The day's own number; nobody tried others until a result was liked.
SEED = 718
#: How far a taster leans to the sharp glaze [spread of the tasters]: of a village full of them 65 in
#: 100 would choose it, far less than the 97 in 100 that a table of eight could find.
LEAN = 0.385
#: How sweet each glaze is above just right, and from where on somebody says so [spread of bites].
SWEET = {"the stock glaze": 0.5, "the sharp glaze": -0.3}
SAYS_SO = 0.8
#: Chance that a glaze leaves a bare patch on a bone: the sharp one is thinner, and runs.
BARE = {"the stock glaze": 0.15, "the sharp glaze": 0.4}


def slips(key: Iterable[KeyRow]) -> list[str]:
    """Write the slips of a trial as they are typed: which was liked, then how sweet each was."""
    rng = np.random.default_rng(SEED)
    rows = list(key)
    tasters = dict.fromkeys(row.taster for row in rows)
    written = []
    for taster in sorted(tasters):
        likes = "the sharp glaze" if rng.normal(LEAN) > 0 else "the stock glaze"
        # One draw an arm, in the arms' order: the key may be drawn anew and nobody changes their mind.
        found = {arm: level + rng.normal() for arm, level in SWEET.items()}
        plates = {row.arm: row.code for row in rows if row.taster == taster}
        written.append(f"{taster} {plates[likes]}")
        written += [f"{taster} {plates[arm]} sweetness {_said(found[arm])}" for arm in SWEET]
    return written


def _said(level: float) -> str:
    if abs(level) < SAYS_SO:
        return "just right"
    return "too much" if level > 0 else "too little"


def bare_bones(bones: int) -> dict[str, int]:
    """Count the bones of each glaze that have a bare patch, of so many."""
    rng = np.random.default_rng([SEED, bones])
    return {arm: int(rng.binomial(bones, share)) for arm, share in BARE.items()}
