"""Pictures of a Result as SVG: the only door to altair.

A specification is built and compiled once for each number of panels; a redraw swaps its data.
Nothing here computes what a cook sees: scenes place the numbers of a Result.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise.ground import usercache
from stallwise.joins.result import Lever, Result
from stallwise.joins.tables import lever_table, sheet_table
from stallwise.joins.taste.tastewords import headline
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.pictures import ink
from stallwise.pictures.day import day_scene, last_hour
from stallwise.pictures.findings import day_table, finding
from stallwise.pictures.levers import lever_finding, lever_scene
from stallwise.pictures.plan import plan_scene, plan_words
from stallwise.pictures.scene import Scene
from stallwise.pictures.tasted import tasted_scene, tasted_table

if TYPE_CHECKING:
    import altair as alt

__all__ = [
    "NARROW",
    "WIDE",
    "Canvas",
    "Picture",
    "canvas",
    "day_picture",
    "drawn",
    "lever_picture",
    "plan_picture",
    "take_canvas",
    "tasted_picture",
]

#: Widths of a picture on a page and on a phone [px].
WIDE = 720
NARROW = 344

_KIND = "pictures"
_DASHES = {"": [], "_dots": [2, 3], "_dashes": [6, 3]}


@dataclass(frozen=True)
class Picture:
    """A drawn picture with its finding in words and its numbers as a table.

    Attributes
    ----------
    svg : str
        Self-contained SVG, ``role="img"``, named by its title and finding.
    finding : str
        What it shows, one sentence a piece.
    table : (header, rows)
        The same numbers as text.
    """

    svg: str
    finding: str
    table: tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]


class Canvas:
    """A compiled specification whose data can be swapped: the fast path of a redraw.

    Parameters
    ----------
    panels : int
        How many temperature panels it has, one a piece.
    vega : mapping, optional
        The same compiled elsewhere: a canvas's `vega`.

    Examples
    --------
    >>> Canvas(1).names[:3]
    ('shades', 'grid', 'core_0')
    """

    def __init__(self, panels: int, vega: Mapping[str, Any] | None = None) -> None:
        self.panels = panels
        self.vega = _compiled(panels) if vega is None else vega
        self.names = tuple(data["name"] for data in self.vega["data"] if "source" not in data)

    def filled(self, scene: Scene) -> dict[str, Any]:
        """Specification (Vega) with the data, sizes and scales of a scene."""
        values = scene.parameters()
        vega = dict(self.vega)
        vega |= {"width": scene.width, "height": scene.height}
        vega["data"] = [
            data if "source" in data else {**data, "values": scene.data.get(data["name"], [])}
            for data in vega["data"]
        ]
        vega["signals"] = [
            {**signal, "value": values[signal["name"]]} if signal["name"] in values else signal
            for signal in vega["signals"]
        ]
        return vega

    def draw(self, scene: Scene) -> str:
        """SVG in stand-in colours; `ink.ink` finishes it."""
        import vl_convert

        return str(vl_convert.vega_to_svg(self.filled(scene)))


def day_picture(
    result: Result, *, dark: bool | None = False, width: int = WIDE, prefix: str = "day"
) -> Picture:
    """Draw the day: forecast, readings, feel checks, events, serving.

    Parameters
    ----------
    result : Result
        Answer to a cook.
    dark : bool or None, default False
        Colours for a dark ground; None leaves them to the page's custom properties.
    width : int, default 720
        Width [px]; the height follows from what there is to show.
    prefix : str, default "day"
        Put before ids, so that several pictures stand on one page.
    """
    said = finding(result)
    table = day_table(result, last_h=last_hour(result))
    title = f"{result.title}: temperatures and events by hours since meat on"
    svg = drawn(day_scene(result, width), dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, table)


def plan_picture(
    result: Result, *, dark: bool | None = False, width: int = WIDE, prefix: str = "plan"
) -> Picture:
    """Draw the plan of the day: a band a piece with its uncertain end, the pits, whose hands when.

    Parameters
    ----------
    result : Result
        Answer to a cook.
    dark, width, prefix
        As in `day_picture`.
    """
    said, table = plan_words(result), sheet_table(result)
    title = f"{result.title}: the plan by hours since meat on"
    svg = drawn(plan_scene(result, width), dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, (table.header, table.rows))


def lever_picture(
    levers: Sequence[Lever],
    result: Result,
    *,
    dark: bool | None = False,
    width: int = WIDE,
    prefix: str = "levers",
) -> Picture:
    """Draw what would make each piece sooner or later, and by how much.

    Parameters
    ----------
    levers : sequence of Lever
        From `whatif.what_if`.
    result : Result
        The answer that they change.
    dark, width, prefix
        As in `day_picture`.
    """
    said = lever_finding(levers, result)
    table = lever_table(levers, result)
    title = f"{result.title}: what would make it sooner or later"
    scene = lever_scene(levers, result, width)
    svg = drawn(scene, dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, (table.header, table.rows))


def tasted_picture(
    result: TrialResult, *, dark: bool | None = False, width: int = WIDE, prefix: str = "tasted"
) -> Picture:
    """Draw each taster's own answer, and what all say together.

    Parameters
    ----------
    result : TrialResult
        A trial whose key is open.
    dark, width, prefix
        As in `day_picture`.
    """
    said = headline(result)
    scene = tasted_scene(result, width)
    title = f"{result.question} What each taster said"
    svg = drawn(scene, dark=dark, prefix=prefix, title=title, said=said)
    return Picture(svg, said, tasted_table(result))


def drawn(scene: Scene, *, dark: bool | None, prefix: str, title: str, said: str) -> str:
    """Draw a scene and ink it: for pictures that are laid out elsewhere."""
    palette: ink.Palette = "page" if dark is None else "dark" if dark else "light"
    size = (scene.width, round(scene.height))
    raw = canvas(len(scene.panels)).draw(scene)
    return ink.ink(raw, palette=palette, prefix=prefix, title=title, words=said, size=size)


#: Canvases by their panels.
_CANVASES: dict[int, Canvas] = {}


def canvas(panels: int) -> Canvas:
    """Canvas for so many panels, compiled when first asked for."""
    if panels not in _CANVASES:
        _CANVASES[panels] = Canvas(panels)
    return _CANVASES[panels]


def take_canvas(panels: int, vega: Mapping[str, Any]) -> None:
    """Take over what another process compiled: the compiler takes a second to start."""
    _CANVASES[panels] = Canvas(panels, vega)


def _compiled(panels: int) -> dict[str, Any]:
    """Compile the specification, or recall it as it was compiled: loading the compiler takes a second."""
    name = f"{panels}-{_mark()}"
    held = usercache.recall(_KIND, name)
    vega: dict[str, Any] = held if isinstance(held, dict) else _compiled_anew(panels)
    if vega is not held:
        usercache.hold(_KIND, name, vega)
    return vega


def _mark() -> str:
    """Mark of all that a compiled specification is made of."""
    told = [Path(file).read_bytes() for file in (__file__, ink.__file__)]
    told += [version(name).encode() for name in ("altair", "vl-convert-python")]
    return hashlib.blake2b(b"\n".join(told), digest_size=12).hexdigest()


def _compiled_anew(panels: int) -> dict[str, Any]:
    import vl_convert

    vega: dict[str, Any] = vl_convert.vegalite_to_vega(specification(panels))
    vega.pop("background", None)  # the page shows through
    for data in vega["data"]:
        data.pop("values", None)
    return vega


def specification(panels: int) -> dict[str, Any]:
    """Chart specification (Vega-Lite) without data for so many panels."""
    import altair as alt

    layers: list[Any] = [
        _boxes("shades"),
        _rules("grid", []),
        *(_panel(i) for i in range(panels)),
        _boxes("bars"),
        *(_rules(f"rules{name}", dash) for name, dash in _DASHES.items()),
        _marks(),
        _words(),
    ]
    names = ["x_low", "x_high", "x_start", "x_end"]
    names += [f"{edge}_{i}" for i in range(panels) for edge in ("low", "high", "bottom", "top")]
    chart = (
        alt.layer(*layers)
        .resolve_scale(y="independent")
        .add_params(*[alt.param(name, value=0) for name in names])
        .properties(width=WIDE, height=400, padding=0, autosize="none")
        .configure(aria=False)  # a sentence a mark, which `ink` would only take out again
        .configure_view(stroke=None)
    )
    return dict(chart.to_dict())


def _scale(low: str, high: str, start: str, end: str) -> alt.Scale:
    """Scale from parameters, so that a redraw can move it without compiling anew."""
    import altair as alt

    expr = alt.ExprRef
    return alt.Scale(
        domain=[expr(low), expr(high)], range=[expr(start), expr(end)], nice=False, zero=False
    )


def _x(field: str = "h:Q") -> alt.X:
    import altair as alt

    return alt.X(field, scale=_scale("x_low", "x_high", "x_start", "x_end"), axis=None)


def _px(field: str) -> alt.Y:
    """Place from the top that the scene has worked out [px]."""
    import altair as alt

    return alt.Y(field, scale=None, axis=None)


def _own(channel: Callable[..., Any], field: str) -> Any:
    """Colour or shape as the row says it."""
    return channel(f"{field}:N", scale=None, legend=None)


def _panel(i: int) -> Any:
    """Temperature panel: the band and its middle, the pit, what was read and by whom."""
    import altair as alt

    scale = _scale(f"low_{i}", f"high_{i}", f"bottom_{i}", f"top_{i}")

    def y(field: str) -> alt.Y:
        return alt.Y(field, scale=scale, axis=None)

    def line(name: str, colour: str, width: float, dash: str = "") -> Any:
        return (
            alt.Chart(alt.NamedData(f"{name}_{i}"))
            .mark_line(
                color=colour, strokeWidth=width, strokeDash=_DASHES[dash], strokeJoin="round"
            )
            .encode(_x(), y("p50:Q"), detail="part:N")
        )

    band = (
        alt.Chart(alt.NamedData(f"core_{i}"))
        .mark_area(color=ink.BAND)
        .encode(_x(), y("p10:Q"), alt.Y2("p90"))
    )
    hand = (
        alt.Chart(alt.NamedData(f"hand_{i}"))
        .mark_point(shape="diamond", size=80, fill=ink.PAPER, stroke=ink.INK, opacity=1)
        .encode(_x(), y("p50:Q"))
    )
    return alt.layer(
        band,
        line("pit", ink.SOFT, 1.5, "_dots"),
        line("pit_read", ink.SOFT, 1.0),
        line("core", ink.ACCENT, 2.0, "_dashes"),
        line("core_read", ink.INK, 2.0),
        hand,
    )


def _boxes(name: str) -> Any:
    import altair as alt

    return (
        alt.Chart(alt.NamedData(name))
        .mark_rect()
        .encode(_x(), _px("y:Q"), alt.X2("h2"), alt.Y2("y2"), _own(alt.Fill, "colour"))
    )


def _rules(name: str, dash: list[int]) -> Any:
    import altair as alt

    return (
        alt.Chart(alt.NamedData(name))
        .mark_rule(strokeDash=dash, strokeWidth=alt.ExprRef("datum.width"))
        .encode(_x(), _px("y:Q"), alt.X2("h2"), alt.Y2("y2"), _own(alt.Stroke, "colour"))
    )


def _marks() -> Any:
    import altair as alt

    return (
        alt.Chart(alt.NamedData("marks"))
        .mark_point(opacity=1, strokeWidth=1.75, size=alt.ExprRef("datum.size"))
        .encode(
            _x(),
            _px("y:Q"),
            _own(alt.Shape, "shape"),
            _own(alt.Fill, "fill"),
            _own(alt.Stroke, "stroke"),
        )
    )


def _words() -> Any:
    import altair as alt

    row = alt.ExprRef
    return (
        alt.Chart(alt.NamedData("words"))
        .mark_text(
            baseline="middle",
            align=row("datum.align"),
            fontSize=row("datum.size"),
            fontWeight=row("datum.weight"),
        )
        .encode(_x(), _px("y:Q"), text="text:N", color=_own(alt.Color, "colour"))
    )
