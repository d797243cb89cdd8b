"""The side-by-side of the sample: planned, locked, answered and closed through the doors of `taste`."""

from __future__ import annotations

from dataclasses import dataclass

from sample_stories import Story
from sample_tasters import bare_bones, slips

from stallwise.joins.taste.tastebefore import draft_trial
from stallwise.joins.taste.tasteentry import read_slips
from stallwise.joins.taste.tasteserve import serve
from stallwise.record.folder import Cookbook
from stallwise.record.trials import (
    add_answers,
    close_trial,
    lock_trial,
    new_trial,
    read_trial,
    save_trial,
)

__all__ = ["TRIALS", "SideBySide"]


@dataclass(frozen=True)
class SideBySide:
    """One trial: its name, the clock times of its lock and of its close, and how many bones a glaze."""

    name: str
    locked: str
    closed: str
    bones: int

    def before(self, book: Cookbook, cook: str, story: Story) -> None:
        """Plan it, and lock it while nobody has tasted anything."""
        arms = ("the stock glaze", "the sharp glaze")
        plan = draft_trial(
            cook, asks="like", factor="glaze", arms=arms, tasters=8,
            bones=dict.fromkeys(("A", "B"), self.bones), layout="every other", also=["sweetness"],
            plated_by="someone else", look_alike=False, cleanser="plain crackers and water",
            note="Made up for the sample cookbook: nobody tasted this.",
        )  # fmt: skip
        record = new_trial(book, self.name, plan)
        plates = serve(record.trial, cook).key
        lock_trial(book, self.name, plates, at=story.at(self.locked))

    def after(self, book: Cookbook, cook: str, story: Story) -> None:
        """Type the slips, write down what the eye counted, and open the key."""
        record = read_trial(book, self.name)
        typed = read_slips(slips(record.key), record, cook)
        if typed.questions:
            raise SystemExit(f"{self.name}: the slips are asked about: {typed.questions}")
        add_answers(book, cook, typed.answers)
        for arm, count in bare_bones(self.bones).items():
            row = {"what": "bones with a bare patch", "arm": arm, "count": count}
            save_trial(book, self.name, {"counts+": row | {"out_of": self.bones}})
        close_trial(book, self.name, at=story.at(self.closed))


#: By the name of the story.
TRIALS = {"glaze-trial": SideBySide("which-glaze", "07:20", "21:40", 12)}
