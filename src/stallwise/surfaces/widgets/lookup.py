"""Rules to look up and ways to cool, behind folds of the limits panel."""

from __future__ import annotations

import ipywidgets as ui

from stallwise.ground import units
from stallwise.joins.limit.limitlookup import Looked, look_up, rule_names
from stallwise.joins.limit.limitways import (
    FOODS,
    cooling_ways,
    ice_words,
    pot_of,
    pot_words,
    way_table,
)
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard

__all__ = ["LookUpFolds"]


class LookUpFolds:
    """Two folds: any rule with its rows, and what would cool a pot in time.

    Parameters
    ----------
    system : {"us", "metric"}
        The cook's units.
    guard : Guard
        Where words about a failure go.
    """

    def __init__(self, system: str, guard: Guard) -> None:
        self.system = system
        self.rule = ui.Dropdown(options=rule_names(), description="Rule", value="consumer")
        self.at = ui.Text(description="At", placeholder="a temperature, if you like")
        self.rows = html.show(html.text(""), "sw-rows")
        for field in (self.rule, self.at):
            field.observe(guard(self._look_up), "value")
        self.food = ui.Dropdown(options=list(FOODS), description="Food")
        self.depth = ui.Text(description="Depth", placeholder="a usual pot's")
        self.width = ui.Text(description="Width", placeholder="a usual pot's")
        self.ways = html.show(html.text(""), "sw-ways")
        self.cool = guard.button("Try ways to cool it", "sw-cool", self._cool)
        looked = ui.VBox([_row(self.rule, self.at), self.rows])
        cooled = ui.VBox([_row(self.food, self.depth, self.width, self.cool), self.ways])
        self.widget = ui.Accordion([looked, cooled], selected_index=None)
        self.widget.set_title(0, "Look a rule up")
        self.widget.set_title(1, "Ways to cool a pot")
        self.widget.add_class("sw-fold")
        self._look_up()

    def _look_up(self, _change: object = None) -> None:
        said = self.at.value.strip()
        at_c = units.parse("temperature", said, key="at") if said else None
        found = look_up(self.rule.value, self.system, at_c=at_c)
        html.put(self.rows, html.joined(_shown(one) for one in found))

    def _cool(self, _button: object) -> None:
        pot = pot_of(self.depth.value.strip(), self.width.value.strip())
        food = str(self.food.value)
        table = way_table(cooling_ways(food, *pot[:2], start_c=pot[2]), food, self.system)
        said = f"{pot_words(*pot, self.system)}. {ice_words(food, self.system)}"
        words = html.element("p", said, class_="sw-soft")
        html.put(self.ways, html.joined([html.table(table), words]))


def _row(*fields: ui.Widget) -> ui.HBox:
    row = ui.HBox(fields)
    row.add_class("sw-row")
    return row


def _shown(one: Looked) -> html.Safe:
    head = f"{one.rule}; for {one.applies}; {one.grade}."
    rows = (html.element("li", html.unbroken(row)) for row in one.rows)
    counts = (html.element("p", html.element("strong", said)) for said in one.counts)
    return html.element(
        "div",
        html.element("p", html.unbroken(one.says)),
        *counts,
        html.element("ul", *rows),
        html.element("p", head, class_="sw-soft"),
    )
