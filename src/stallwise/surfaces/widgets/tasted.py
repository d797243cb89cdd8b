"""Side-by-sides in a panel: the paragraph, the dots as wide as there is room, what the eye counted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import ipywidgets as ui

from stallwise.joins.taste.tastewords import also_words, behind, count_words, headline, paragraph
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.pictures.charts import NARROW, WIDE, tasted_picture
from stallwise.surfaces.widgets import html

__all__ = ["trials_markup", "trials_panel"]


def trials_panel(trials: Iterable[TrialResult], units: str, *, numbers: bool = False) -> ui.VBox:
    """Show trials in a panel of their own; `numbers` adds every number behind them."""
    panel = ui.VBox([html.dress(), html.show(trials_markup(trials, units, numbers=numbers))])
    panel.add_class("sw")
    return panel


def trials_markup(trials: Iterable[TrialResult], units: str, *, numbers: bool = False) -> html.Safe:
    """Lay trials out; nothing where there are none."""
    return html.joined(part for one in trials for part in _parts(one, units, numbers=numbers))


def _parts(one: TrialResult, units: str, *, numbers: bool) -> Iterator[html.Safe]:
    yield html.element("h3", one.question)
    yield html.element("p", headline(one), class_="sw-headline")
    # The headline stands first in the paragraph.
    yield from (html.element("p", html.unbroken(said)) for said in paragraph(one, units)[1:])
    if one.dots is not None:
        for width, seen in ((WIDE, "wide"), (NARROW, "narrow")):
            drawn = tasted_picture(one, dark=None, width=width, prefix=f"{one.name}-{seen}")
            yield html.picture(drawn, class_=f"sw-if-{seen}")
    seen_by_eye = (f"Seen by eye: {count_words(each)}" for each in one.counts)
    asked_too = (f"Also asked, and only told: {also_words(each)}" for each in one.also)
    yield from (html.element("p", html.unbroken(said)) for said in (*seen_by_eye, *asked_too))
    if one.doubts:
        doubts = (html.element("p", html.unbroken(said)) for said in one.doubts)
        yield html.element("div", *doubts, class_="sw-asked")
    if numbers:
        yield html.table(behind(one))
