"""What is printed: paper and its sizes, templates, and the name of the file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import jinja2

from stallwise.ground import assets
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.surfaces.letters import together

__all__ = [
    "PAPERS",
    "Paper",
    "long_day",
    "paper_named",
    "sheet_file",
    "template",
    "usual_paper",
]


@dataclass(frozen=True)
class Paper:
    """A sheet of paper and what can be printed on it.

    Attributes
    ----------
    css : str
        Name in a style sheet.
    sheet_mm : tuple of two floats
        Width and height.
    margin_mm : float
        What a desk printer leaves white, and a little more.
    """

    css: str
    sheet_mm: tuple[float, float]
    margin_mm: float = 7.0

    @property
    def width_mm(self) -> float:
        """Width that is printed on."""
        return round(self.sheet_mm[0] - 2 * self.margin_mm, 2)

    @property
    def height_mm(self) -> float:
        """Height that is printed on; a hair less, so that no second page begins."""
        return round(self.sheet_mm[1] - 2 * self.margin_mm - 0.5, 2)


PAPERS: Mapping[str, Paper] = {
    "a4": Paper("A4 portrait", (210.0, 297.0)),
    "letter": Paper("letter portrait", (215.9, 279.4)),
}


def usual_paper(units: str) -> str:
    """Name of the paper that goes with a cookbook's units."""
    return "letter" if units == "us" else "a4"


def paper_named(name: str) -> Paper:
    """Look a paper up.

    Raises
    ------
    NotFoundError
        No such paper.
    """
    if name not in PAPERS:
        raise NotFoundError("paper", name, PAPERS)
    return PAPERS[name]


def sheet_file(name: str) -> Path:
    """Path of a sheet to write.

    Raises
    ------
    InputError
        The name is a PDF's: a browser makes that, of the page that is written here.
    """
    path = Path(name)
    if path.suffix.lower() == ".pdf":
        raise InputError(
            f"{path.name!r}: the sheet is written as a page, not as a PDF",
            "a name that ends in .html",
            f"Write {path.stem}.html, open it in a browser and print it, on paper or as PDF",
        )
    return path


def long_day(date: dt.date) -> str:
    """``Saturday 26 September 2026``."""
    return f"{date:%A} {date.day} {date:%B %Y}"


def template(name: str) -> jinja2.Template:
    """Find a template for paper: from the package only, never from a cook's folder."""
    shelf = jinja2.FunctionLoader(lambda one: assets.read_text("templates", "print", one))
    shop = jinja2.Environment(
        loader=shelf,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    shop.filters["together"] = together
    return shop.get_template(name)
