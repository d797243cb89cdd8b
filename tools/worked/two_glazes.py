"""``5-two-glazes.ipynb``: a side-by-side from the question to what it shows."""

from __future__ import annotations

__all__ = ["CELLS"]

_STORY = """# Two glazes, tasted

A worked example, all of it made up: which of two glazes do eight people like? It goes through the
side-by-side of the sample cookbook (`stallwise taste two-glazes` reads it) once more in a scratch folder,
in the order of a real one: ask, see what eight tasters could see, lock, plate, type in, open the key,
read. No statistics are needed to follow it."""

CELLS: tuple[tuple[str, str], ...] = (
    ("title", _STORY),
    (
        "start",
        """import tempfile
from pathlib import Path

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces import notebook

book = Cookbook.start(Path(tempfile.mkdtemp()) / "sample", title="Sample")
bring_sample(book)
cook = notebook.open(str(book.cook("two-glazes").path))
side = cook.trial("step-by-step")""",
    ),
    (
        "plan-text",
        """## Before: what could eight tasters see?

A glaze goes on bone by bone, so one rack holds both; with two racks the second is laid the other way
round. Left alone the notebook proposes a layout of its own; here every other bone was wanted. Read the first sentence twice: eight people can only find a liking that nearly everybody shares.""",
    ),
    (
        "plan",
        """side.plan(keep=True, asks="like", factor="glaze", arms=["the stock glaze", "the sharp glaze"],
          tasters=8, bones={"A": 12, "B": 12}, layout="every other", also=["sweetness"],
          plated_by="someone else", look_alike=False, cleanser="plain crackers and water")""",
    ),
    (
        "small-text",
        """## Too small is said before, not after

Four tasters cannot show which of two is liked better, whatever they answer. It says what could.""",
    ),
    (
        "small",
        """from stallwise.ground.errors import InputError

try:
    cook.trial("too-small").plan(asks="like", factor="glaze", arms=["stock", "sharp"], tasters=4)
except InputError as error:
    print(error)""",
    ),
    ("lock-text", "## Lock, and plate\n\nThe cards are for whoever plates; the tasters get slips with codes."),
    ("lock", "side.lock(keep=True)\nside.cards(keep=True)"),
    (
        "type-text",
        """## Eight slips

As they were typed that night: the plate that was liked better, then how sweet each was. Codes are drawn from
the plan, so the same plan has the sample's own codes and its slips fit. Nobody needs to know what 397 was,
and until the key is opened nothing tells.""",
    ),
    (
        "type",
        '''side.type_in("""
T1 397
T1 372 sweetness too much
T1 397 sweetness just right
T2 175
T2 390 sweetness too much
T2 175 sweetness too much
T3 891
T3 891 sweetness just right
T3 196 sweetness just right
T4 827
T4 894 sweetness just right
T4 827 sweetness too little
T5 249
T5 249 sweetness too much
T5 402 sweetness just right
T6 280
T6 208 sweetness just right
T6 280 sweetness just right
T7 387
T7 428 sweetness too much
T7 387 sweetness just right
T8 702
T8 254 sweetness too much
T8 702 sweetness too little
""", keep=True)
side.read()''',
    ),
    ("close-text", "## All answers are in: open the key"),
    (
        "close",
        """side.close(keep=True)
side.count("bones with a bare patch", {"the stock glaze": (1, 12), "the sharp glaze": (7, 12)}, keep=True)
side.read()""",
    ),
    (
        "reading-text",
        """## How to read it

Six to two sounds like a result. A coin is as uneven three times in ten, and anything from a third to nearly
all may really like the sharp glaze better. (The sample's tasters were made so that 65 in 100 would.) That
is no failure of the glaze: eight people could not have seen a smaller liking than one that nearly all share.
One line says what one more rack would buy. The bare patches are another matter: nobody has to taste to count
them, and with twelve bones each the eye shows what eight tongues cannot.

Below, the same table if all eight had agreed. Now it is worth a repeat, with the arms swapped.""",
    ),
    (
        "agreed",
        """other = cook.trial("all-agree")
other.plan(keep=True, asks="like", factor="glaze", arms=["the stock glaze", "the sharp glaze"],
           tasters=8, bones={"A": 12, "B": 12}, question="The same again: which do we like?",
           plated_by="the cook")
other.lock(keep=True)
other.type_in("\\n".join(f"{row.taster} {row.code}" for row in other.record.key if "sharp" in row.arm), keep=True)
other.close(keep=True)
other.read()""",
    ),
    (
        "blind-text",
        """It leans clearly, and it says in the same breath that the cook plated and tasted: what was hoped for
may be what was tasted. Let somebody else plate, and the same eight answers count.""",
    ),
)  # fmt: skip
