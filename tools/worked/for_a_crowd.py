"""``4-for-a-crowd.ipynb``: from guests to meat, rub, sauce, salt and a list for the shops."""

from __future__ import annotations

from worked.opening import SAMPLE

__all__ = ["CELLS"]

CELLS = (
    (
        "title",
        """# Scaling for a crowd

Twenty-eight have said yes to a harvest supper. How much to buy, what a plate costs, how much rub and sauce, and does the
salt add up? The cook is the sample's and made up; the arithmetic is what you would get for yours.""",
    ),
    ("start", SAMPLE),
    (
        "buy-text",
        """## How much to buy

Backwards: plates, meat on the plates, what a shoulder loses on the fire and as bone, whole pieces as they are sold. Until
you have weighed what was eaten of three cooks of a cut it goes by the food table, and by the leanest
of what pits leave; then by your own scales.""",
    ),
    (
        "buy",
        """run('stallwise crowd --guests 28 --children 6 --hungry 4 --cut pork-shoulder-bone-in --price "3.29 per lb"')""",
    ),
    (
        "rub-text",
        """## Rub goes by the meat, and salt by the gram

Twice the meat is twice the rub, to the gram. Spoons are said beside, with how far off they are: they hold for one
crystal of salt only.""",
    ),
    (
        "rub",
        """run('stallwise mix plain-rub --for "8 lb"')
run('stallwise mix plain-rub --for "16 lb"')""",
    ),
    (
        "check-text",
        """A recipe that is doubled by hand goes wrong in the third line. Here it is checked:""",
    ),
    (
        "check",
        """import io
import json
from contextlib import redirect_stdout


def asked(line):
    said = io.StringIO()
    with redirect_stdout(said):
        run(line + " --json")
    return json.loads(said.getvalue())


one, two = (asked(f'stallwise mix plain-rub --for "{much}"') for much in ("8 lb", "16 lb"))
for small, large in zip(one["lines"], two["lines"], strict=True):
    assert abs(large["grams"] - 2 * small["grams"]) < 1e-9
print(f"salt: {one['salt_g']:.1f} g, and {two['salt_g']:.1f} g")""",
    ),
    (
        "salt-text",
        """## Salt, counted once

A brine, a rub, a salted sauce and butter each look like little. What counts is all of it, over what is eaten. The harvest supper had a
light hand with its rub because the sauce is salted too.""",
    ),
    (
        "salt",
        """run("stallwise mixes harvest-supper")

from stallwise.surfaces import notebook

for piece in notebook.open("cooks/2026-09-26-harvest-supper").desk.result.salt:
    share = piece.salt_g / (piece.edible_kg * 1000)
    assert abs(share - sum(piece.parts_g.values()) / (piece.edible_kg * 1000)) < 1e-9
    assert 0.01 < share < 0.018, share""",
    ),
    (
        "fire-text",
        """## Room, hands and fire

More meat is not only more time on the list. Twice the pieces may not fit the grate, two shoulders have to be pulled by somebody, and
the fire eats more. The forecast is for each piece by itself: a second shoulder beside the first takes no longer, but it may be slower,
and both must be done.""",
    ),
    (
        "fire",
        """supper = notebook.open("cooks/2026-09-26-harvest-supper").desk.result
for piece in supper.pieces:
    print(f"{piece.piece}: in time {100 * piece.odds_in_time:.0f} days in a hundred")
print(f"both: {100 * supper.odds:.0f}")

assert supper.odds < min(piece.odds_in_time for piece in supper.pieces)""",
    ),
    (
        "shop-text",
        """## The list

Meat, jars and spices over the whole day, by the section of the shop where they stand. `--have` takes off what is in the
cupboard; several cooks go on one list.""",
    ),
    ("shop", """run('stallwise shop harvest-supper --have "salt_fine_table=1 kg"')"""),
    (
        "end-text",
        """For ninety, a class or a contest day, `stallwise init events --sample events` brings three more made-up days. Next:
`5-two-glazes.ipynb`, which settles an argument, or says why it cannot.""",
    ),
)  # fmt: skip
