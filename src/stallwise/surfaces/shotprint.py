"""The shot list, on paper and as plain text: what to show, when, and who has clean hands for it."""

from __future__ import annotations

from stallwise.ground.errors import InputError
from stallwise.joins.film.shots import Shot, shots
from stallwise.joins.result import Result
from stallwise.joins.sheet.steptable import caution
from stallwise.surfaces.paper import long_day, paper_named, template
from stallwise.surfaces.sheettext import wrapped

__all__ = ["shots_html", "shots_text"]

ALONE = "Alone: stand the camera up before each shot, and touch it with clean hands only."


def shots_html(result: Result, *, paper: str = "a4") -> str:
    """Make the shot list of a cook to print.

    Parameters
    ----------
    result : Result
        The cook as answered.
    paper : {"a4", "letter"}
        Size of the paper.

    Returns
    -------
    str
        HTML that fetches nothing.

    Raises
    ------
    InputError
        The cook has no steps that anything could be shown of.
    """
    rows = _rows(result)
    return template("shots.html").render(
        title=result.title,
        day=long_day(result.date),
        rows=rows,
        alone="" if _shared(rows) else ALONE,
        caution=caution("raw_meat").full,
        paper=paper_named(paper),
    )


def shots_text(result: Result) -> str:
    """Write the same as plain text; errors as for `shots_html`."""
    rows = _rows(result)
    lines = [f"{result.title} · {long_day(result.date)} · what to show", ""]
    for shot in rows:
        when = f"{shot.day} {shot.clock}".strip()
        who = f" {shot.who}" if shot.who else ""
        lines.append(f"{when:>9}  {shot.step}{who}, {shot.view}: {shot.show}")
        more = "; ".join(filter(None, [shot.hands and f"hands: {shot.hands}", shot.note]))
        lines += [f"{'':11}{more}"] if more else []
    return wrapped([*lines, "", *([] if _shared(rows) else [ALONE]), caution("raw_meat").full])


def _shared(rows: tuple[Shot, ...]) -> bool:
    return any(row.hands for row in rows)


def _rows(result: Result) -> tuple[Shot, ...]:
    found = shots(result)
    if not found:
        raise InputError(
            "this cook has no steps to show",
            "a cook with a time to eat",
            'Set one: serve = "16:00" in cook.toml, or --set serve=16:00',
        )
    return found
