"""The button that makes a cook's page."""

from __future__ import annotations

from pathlib import Path

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
        self.widget.add_class("sw-publishing")

    def _publish(self, _button: object) -> None:
        from stallwise.surfaces.journal import publish

        if self.desk.unkept:
            self.guard.say("Some changes are not kept; the page shows what is kept.", kind="asked")
        book = Cookbook.open(find_cookbook(self.desk.folder.path))
        report = publish(book, [self.desk.folder], book.path / "journal", made_at=self.desk.now)
        if report.failed:
            self.guard.say("\n".join(["The page was not made.", *report.troubles]), kind="wrong")
        elif len(report.written) == 1:  # the index alone
            self.guard.say(
                'No page was made: private = ["all"] keeps this cook back.', kind="asked"
            )
        else:
            page = Path(report.written[0]).relative_to(book.path).as_posix()
            self.guard.say("\n".join([f"Made {page}; open it in a browser.", *report.troubles]))
