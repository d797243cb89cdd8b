"""The button that makes a cook's page."""

from __future__ import annotations

import ipywidgets as ui

from stallwise.record.folder import Cookbook, find_cookbook
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets import html
from stallwise.surfaces.widgets.guard import Guard

__all__ = ["PublishPanel"]


class PublishPanel:
    """Make the page of one cook and say where it is.

    Parameters
    ----------
    desk : Desk
        The cook.
    """

    def __init__(self, desk: Desk, *, raises: bool = False) -> None:
        self.desk = desk
        self.guard = Guard(raises=raises)
        self.button = self.guard.button(
            "Make the page", "sw-publish", self._publish, button_style="primary"
        )
        self.widget = ui.VBox([html.dress(), self.button, self.guard.box])
        self.widget.add_class("sw")

    def _publish(self, _button: object) -> None:
        from stallwise.surfaces.journal import publish

        if self.desk.unkept:
            self.guard.say("Some changes are not kept; the page shows what is kept.", kind="asked")
        book = Cookbook.open(find_cookbook(self.desk.folder.path))
        report = publish(book, [self.desk.folder], book.path / "journal", made_at=self.desk.now)
        troubles = [str(trouble) for trouble in report.troubles]
        if report.failed:
            self.guard.say("\n".join(["The page was not made.", *troubles]), kind="wrong")
        else:
            page = f"journal/cooks/{self.desk.folder.name}.html"
            self.guard.say("\n".join([f"Made {page}; open it in a browser.", *troubles]))
