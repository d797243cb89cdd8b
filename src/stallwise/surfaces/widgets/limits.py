"""Limits in a notebook: what runs, was missed or asks; the rest in one line; sheets to print."""

from __future__ import annotations

import ipywidgets as ui

from stallwise.joins.limit import limitwords
from stallwise.joins.result import Result
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.paper import usual_paper
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard
from stallwise.surfaces.widgets.lookup import LookUpFolds

__all__ = ["LimitsPanel", "limits_markup"]

#: Classes of the states; colour is never alone, the word stands beside it.
_DRESS = {"missed": "sw-wrong", "running": "sw-said", "unknown": "sw-asked", "met": "sw-said"}


class LimitsPanel:
    """Limits of a cook, and the temperature sheet and allergen card to print.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self.shown = html.show(html.text(""))
        self.temperatures = self.guard.button(
            "Make the temperature sheet", "sw-temperatures", self._temperatures
        )
        self.allergens = self.guard.button(
            "Make the allergen card", "sw-allergens", self._allergens
        )
        buttons = ui.HBox([self.temperatures, self.allergens])
        buttons.add_class("sw-buttons")
        self.folds = LookUpFolds(desk.result.units, self.guard)
        self.widget = ui.VBox(
            [html.dress(), self.shown, buttons, self.guard.box, self.folds.widget]
        )
        self.widget.add_class("sw")
        self.widget.add_class("sw-limits")
        self._show(desk.result)
        desk.listen(self._show)

    def _show(self, result: Result) -> None:
        html.put(self.shown, limits_markup(result))

    def _temperatures(self, _button: object) -> None:
        from stallwise.surfaces.limitprint import temperature_html

        one = self.desk.result
        rows, paper = one.cards.temperatures, usual_paper(one.units)
        self._make("temperatures.html", temperature_html(one.title, one.date, rows, paper=paper))

    def _allergens(self, _button: object) -> None:
        from stallwise.surfaces.limitprint import allergen_html

        one = self.desk.result
        self._make("allergens.html", allergen_html(one, paper=usual_paper(one.units)))

    def _make(self, name: str, page: str) -> None:
        self.desk.put(name, page)
        self.guard.say(f"Made {name} in the cook's folder: open it in a browser and print it.")


def limits_markup(result: Result) -> html.Safe:
    """Lay limits out for a panel."""
    shown = limitwords.open_limits(result)
    parts = [html.element("p", limitwords.headline(result), class_="sw-headline")]
    parts += [_card(one) for one in limitwords.told(result, shown)]
    if asked := limitwords.questions(shown):
        items = (html.element("li", question) for question in asked)
        parts += [html.element("h3", "To be answered"), html.element("ul", *items)]
    if met := limitwords.folded(result):
        kept = [one for one in result.limits if one.state == "met"]
        inside = [html.element("summary", met)]
        inside += [_card(one) for one in limitwords.told(result, kept)]
        parts.append(html.element("details", *inside))
    if lines := limitwords.estimate_lines(result):
        inside = [html.element("summary", limitwords.APART)]
        inside += [html.element("p", line) for line in lines]
        parts.append(html.element("details", *inside, class_="sw-soft"))
    parts.append(html.element("p", limitwords.DEFERS, class_="sw-soft"))
    return html.joined(parts)


def _card(one: limitwords.Told) -> html.Safe:
    rule = html.element("p", html.unbroken(f"{one.limit.says} {one.rule}"), class_="sw-soft")
    return html.element(
        "div",
        html.element("p", html.element("strong", one.head)),
        *(html.element("p", html.unbroken(said)) for said in one.said),
        rule,
        class_=_DRESS[one.limit.state],
    )
