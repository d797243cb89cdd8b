"""What tests of pages share: the same picture is drawn once for all of them."""

from __future__ import annotations

import json

import pytest

_DRAWN: dict[str, str] = {}


@pytest.fixture
def drawn_anew() -> None:
    """Ask for it where it is the drawing that is tried."""


@pytest.fixture(autouse=True)
def _drawn_once(monkeypatch, request):
    """Half of what a page costs is its pictures, and many tests make the same page."""
    if "drawn_anew" in request.fixturenames:
        return
    import vl_convert

    draw = vl_convert.vega_to_svg

    def once(vega, *given, **more):
        said = json.dumps([vega, given, more], sort_keys=True, default=repr)
        if said not in _DRAWN:
            _DRAWN[said] = draw(vega, *given, **more)
        return _DRAWN[said]

    monkeypatch.setattr(vl_convert, "vega_to_svg", once)
