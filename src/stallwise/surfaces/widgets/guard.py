"""Errors in callbacks where the cook can see them: a widget's own vanish."""

from __future__ import annotations

import functools
import logging
import logging.handlers
import traceback
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from ipywidgets import HTML, Button

from stallwise.ground import usercache
from stallwise.ground.errors import StallwiseError
from stallwise.surfaces.widgets import html

__all__ = ["Guard", "log_file"]

_LOG = logging.getLogger("stallwise.panels")
#: Errors of many evenings; older ones make room [bytes].
_LOG_BYTES = 200_000

F = TypeVar("F", bound=Callable[..., Any])


class Guard:
    """A box for words, and a decorator that puts errors into it.

    Attributes
    ----------
    box : HTML
        To be placed in the panel; no words as long as all is well. ``data-shown`` in it counts the
        callbacks that are done and ``data-state`` says how the last one ended: for those who wait.
    raises : bool
        Raise again after showing, for tests.
    tells : bool
        Say in the box how many callbacks are done; a panel that tells more itself does without.
    """

    def __init__(self, *, raises: bool = False, tells: bool = True) -> None:
        self.box: HTML = html.show(html.text(""), "sw-message")
        self.raises = raises
        self._tells = tells
        self._done = 0
        self._told("rest", html.text(""))

    def say(self, words: str, *, kind: str = "said") -> None:
        """Show words; `kind` is ``said``, ``asked`` or ``wrong``."""
        content = [html.element("p", line) for line in words.splitlines() if line.strip()]
        role = "alert" if kind == "wrong" else "status"
        self._told(kind, html.element("div", *content, class_=f"sw-{kind}", role=role))

    def refuse(self, error: StallwiseError, about: str = "") -> None:
        """Show why something was not taken, and of which field it was."""
        self.say(f"{about}: {error}" if about else str(error), kind="wrong")
        if self.raises:
            raise error

    def button(self, words: str, name: str, do: Callable[[object], None], **options: Any) -> Button:
        """Make a button of the class `name`; what it does is guarded."""
        made = Button(description=words, **options)
        made.add_class(name)
        made.on_click(self(do))
        return made

    def clear(self) -> None:
        """Empty the box."""
        self._told("rest", html.text(""))

    def _told(self, state: str, words: html.Safe) -> None:
        self._state, self._words = state, words
        mark = html.element("span", data_shown=str(self._done), data_state=state)
        html.put(self.box, html.joined((mark, words)) if self._tells else words)

    def __call__(self, function: F) -> F:
        """Show what `function` raises, instead of losing it."""

        @functools.wraps(function)
        def guarded(*args: Any, **kwargs: Any) -> Any:
            try:
                return function(*args, **kwargs)
            except StallwiseError as error:
                self.refuse(error)
            except Exception as error:
                self._unforeseen(error)
                if self.raises:
                    raise
            finally:
                self._done += 1
                self._told(self._state, self._words)
            return None

        return guarded  # type: ignore[return-value]

    def _unforeseen(self, error: Exception) -> None:
        _written_down().error("in a panel's callback", exc_info=error)
        lines = html.element("pre", "".join(traceback.format_exception(error))[-4000:])
        summary = f"for whoever mends it (also in {log_file()})"
        more = html.element("details", html.element("summary", summary), lines)
        words = f"This did not work, and it is our mistake: {type(error).__name__}: {error}"
        said = html.element("div", html.element("p", words), more, class_="sw-wrong", role="alert")
        self._told("wrong", said)


def log_file() -> Path:
    """Where errors of panels are written down, on the notebook's own computer."""
    return usercache.log_file("panels")


@cache
def _written_down() -> logging.Logger:
    """Log of the panels: in a file, and on standard error, which JupyterLab's log console shows."""
    path = log_file()
    _LOG.addHandler(logging.StreamHandler())
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        held = logging.handlers.RotatingFileHandler(
            path, maxBytes=_LOG_BYTES, backupCount=1, encoding="utf-8", delay=True
        )
    except OSError:
        return _LOG  # where nothing can be written, it is still said and shown
    held.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    _LOG.addHandler(held)
    return _LOG
