"""Side-by-sides of a cook: planned, locked, answered and closed; nothing of their arms before that."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import ipywidgets as ui

from stallwise.ground.errors import InputError
from stallwise.joins.taste.tastebefore import before_words, draft_trial, serving_words
from stallwise.joins.taste.tasteplan import refuse_impossible
from stallwise.joins.taste.tasteserve import serve
from stallwise.record import names
from stallwise.record.trial import Trial, TrialRecord
from stallwise.record.trials import close_trial, lock_trial, new_trial, read_trial, trial_names
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.paper import usual_paper
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.slips import Slips
from stallwise.surfaces.widgets.tasted import trials_markup
from stallwise.tables import tastings
from stallwise.tables.rows import rows

__all__ = ["SideBySides"]

_ASKS = (
    ("which do you like", "like"),
    ("which has more of something", "more"),
    ("can you tell at all", "tell"),
)
_PLATERS = (
    ("someone else", "someone else"),
    ("the cook, tasting last", "the cook, tasting last"),
    ("the cook", "the cook"),
)


class SideBySides:
    """All trials of a cook, and a fold to plan one more.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, raises: bool = False) -> None:
        self.desk = desk
        self._raises = raises
        self.each: dict[str, TrialPanel] = {}
        self.list = ui.VBox([])
        self.plan = PlanFold(desk, self.show, raises=raises)
        self.widget = ui.VBox([self.list, self.plan.widget])
        self.widget.add_class("sw-side-by-sides")
        self.show()

    def show(self) -> None:
        """Show what there is now."""
        for one in self.desk.record.trials:
            if one.name not in self.each:
                self.each[one.name] = TrialPanel(self.desk, one.name, raises=self._raises)
        self.list.children = tuple(one.widget for one in self.each.values())


class TrialPanel:
    """One trial, as far as it is."""

    def __init__(self, desk: Desk, name: str, *, raises: bool = False) -> None:
        self.desk, self.name = desk, name
        self.guard = Guard(raises=raises)
        self.head = html.show(html.text(""), "sw-trial-head")
        button = self.guard.button
        self.lock = button(
            "Lock it and draw who gets what", "sw-lock", self._lock, button_style="primary"
        )
        self.cards = button("Make cards and slips to print", "sw-cards-of", self._cards)
        self.all_in = ui.Checkbox(
            description="All answers are in; none comes after this", indent=False
        )
        self.close = button("Close it and open the key", "sw-close", self._close)
        self.slips: Slips | None = None
        self.inside = ui.VBox([])
        self.widget = ui.VBox([self.head, self.guard.box, self.inside])
        self.widget.add_class("sw-trial")
        self.show()

    @property
    def record(self) -> TrialRecord:
        """The trial as it is on the disk."""
        return read_trial(self.desk.folder.home, self.name)

    def show(self) -> None:
        """Show what can be done now; of arms only once the key is open."""
        record = self.record
        {"planned": self._planned, "locked": self._locked}.get(record.state, self._read)(record)

    def _planned(self, record: TrialRecord) -> None:
        said = [html.element("p", html.unbroken(words)) for words in before_words(record.trial)]
        html.put(self.head, html.joined([html.element("h3", record.trial.question), *said]))
        self.inside.children = (self.lock,)

    def _locked(self, record: TrialRecord) -> None:
        at, plates = (
            record.trial.locked,
            [row for row in record.key if row.cook == self.desk.folder.name],
        )
        when = f", locked {at.at.astimezone(self.desk.record.zone):%d %B %H:%M}" if at else ""
        # Not even the question: it may name what is put side by side.
        words = f"{len(plates)} plates here. What is tried, and which is which, is said once it is closed."
        title = html.element("h3", f"A side-by-side{when}")
        html.put(self.head, html.joined([title, html.element("p", words, class_="sw-soft")]))
        if self.slips is None:
            self.slips = Slips(self.desk, self.name, self.guard)
        end = ui.VBox([self.all_in, self.close])
        end.add_class("sw-end")
        self.inside.children = (self.slips.widget, self.cards, end)

    def _read(self, record: TrialRecord) -> None:
        found = [one for one in self.desk.result.trials if one.name == record.name]
        html.put(self.head, trials_markup(found, self.desk.result.units))
        self.inside.children = ()

    def _lock(self, _button: object) -> None:
        self.desk.present()
        record = self.record
        refuse_impossible(record.trial)
        serving = serve(record.trial, self.desk.folder.name)
        lock_trial(self.desk.folder.home, self.name, serving.key, at=self.desk.now)
        self.desk.reload()
        self.show()
        said = "\n".join(serving_words(record.trial, serving))
        self.guard.say(f"Locked: {len(serving.key)} plates.\n{said}")
        self.desk.tell()

    def _cards(self, _button: object) -> None:
        from stallwise.surfaces.tasteprint import cards_html

        name = f"plates-{self.name}.html"
        paper = usual_paper(self.desk.record.book.units)
        page = cards_html(
            self.record, self.desk.folder.name, title=self.desk.cook.title, paper=paper
        )
        self.desk.put(name, page)
        self.guard.say(
            f"Made {name} in the cook's folder. Its first page tells which is which: it is for whoever plates."
        )

    def _close(self, _button: object) -> None:
        if not self.all_in.value:
            raise InputError(
                "the box above is not ticked",
                "all answers in",
                "Tick it: after closing no answer is taken",
            )
        self.desk.present()
        close_trial(self.desk.folder.home, self.name, at=self.desk.now)
        self.desk.reload()
        self.show()
        self.guard.say("Closed. What it shows stands above.")
        self.desk.tell()


class PlanFold:
    """One more side-by-side, planned from three questions."""

    def __init__(self, desk: Desk, planned: Callable[[], None], *, raises: bool = False) -> None:
        self.desk = desk
        self._planned = planned
        self.guard = Guard(raises=raises)
        factors = [(row["name"], row["name"]) for row in rows("tasting_factors.csv").values()]
        things = [
            (one.name, one.key) for one in tastings.attributes().values() if one.key != "liking"
        ]
        self.asks = ui.Dropdown(description="What you want to know", options=_ASKS)
        self.more = ui.Dropdown(description="More of what", options=[("", ""), *things])
        self.factor = ui.Dropdown(description="What is different", options=factors)
        self.arms = ui.Text(
            description="What is put side by side, with commas",
            placeholder="such as: stock glaze, sharp glaze",
        )
        self.tasters = ui.Text(description="How many taste", placeholder="such as 6")
        self.bones = ui.Text(
            description="Bones, slices or portions of each piece", placeholder="such as A=12"
        )
        self.plated = ui.Dropdown(description="Who plates", options=_PLATERS)
        self.try_it = self.guard.button("What could it show?", "sw-could", self._try)
        self.keep = self.guard.button(
            "Write the plan down", "sw-plan-it", self._keep, button_style="primary"
        )
        self.said = html.show(html.text(""), "sw-before")
        self.more.layout.display = "none"
        self.asks.observe(self._asks_more, "value")
        fields = ui.Box(
            [self.asks, self.more, self.factor, self.arms, self.tasters, self.bones, self.plated]
        )
        fields.add_class("sw-rest")
        buttons = ui.HBox([self.try_it, self.keep])
        buttons.add_class("sw-buttons")
        self.widget = ui.Accordion(
            [ui.VBox([fields, buttons, self.guard.box, self.said])], selected_index=None
        )
        self.widget.set_title(0, "Plan a side-by-side")
        self.widget.add_class("sw-fold")

    def _asks_more(self, change: Mapping[str, str]) -> None:
        self.more.layout.display = "" if change["new"] == "more" else "none"

    def _values(self) -> dict[str, object]:
        arms = [arm.strip() for arm in self.arms.value.split(",") if arm.strip()]
        if len(arms) < 2:
            raise InputError(f"{len(arms)} things side by side", "two or more, with commas between")
        if not self.tasters.value.strip().isdecimal():
            raise InputError(f"{self.tasters.value!r} tasters", "a whole number, such as 6")
        wanted = (
            {"attribute": self.more.value} if self.asks.value == "more" and self.more.value else {}
        )
        return draft_trial(
            self.desk.folder.name, asks=self.asks.value, factor=self.factor.value, arms=arms,
            tasters=int(self.tasters.value), bones=self._bones(), plated_by=self.plated.value, **wanted,
        )  # fmt: skip

    def _bones(self) -> dict[str, int]:
        letters = [piece.letter for piece in self.desk.record.cook.pieces]
        found = dict(re.findall(r"(\w+)\s*=\s*(\d+)", self.bones.value))
        left = re.sub(r"\w+\s*=\s*\d+", "", self.bones.value).strip(" ,;")
        if left or not set(found) <= set(letters):
            raise InputError(
                f"bones {self.bones.value!r}", f"a piece and its bones, {letters[0]}=12"
            )
        return {letter: int(count) for letter, count in found.items()}

    def _try(self, _button: object) -> None:
        self.guard.clear()
        words = before_words(Trial.model_validate(self._values()))
        html.put(self.said, html.joined(html.element("p", html.unbroken(said)) for said in words))

    def _keep(self, _button: object) -> None:
        self.desk.present()
        values, home = self._values(), self.desk.folder.home
        name = names.free(names.slug(f"{self.factor.value}", "trial"), "", trial_names(home))
        new_trial(home, name, values)
        self.desk.reload()
        self.arms.value = self.bones.value = ""
        self._planned()
        self.widget.selected_index = None
        self.guard.say(f"Written to trials/{name}.toml. Lock it above, before the first bite.")
        self.desk.tell()
