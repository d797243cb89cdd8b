"""What a panel tells those who wait for it: a number that grows, and what state it is in."""

from __future__ import annotations

from stallwise.surfaces.widgets import html

__all__ = ["Published"]


class Published:
    """A hidden mark in a panel: ``data-asked``, ``data-shown`` and ``data-state``.

    `asked` counts what was asked of the panel, `shown` is the last that it shows; where the two are
    the same it rests. The state is ``working``, ``shown`` or ``refused``.
    """

    def __init__(self) -> None:
        self.widget = html.show(html.text(""), "sw-published")
        self.say(0, 0, "working")

    def say(self, asked: int, shown: int, state: str) -> None:
        """Tell how far the panel is."""
        html.put(
            self.widget,
            html.element("span", data_asked=str(asked), data_shown=str(shown), data_state=state),
        )
