"""A cook's notebook: what its cells call, in the order of the day.

In JupyterLab the cells show panels; where nobody looks (a re-run, a test) the same cells
print plain tables and draw the picture. Every figure comes from the cook's folder by
`stallwise.joins`; nothing is kept in the notebook itself.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stallwise import __version__
from stallwise.ground import assets
from stallwise.ground.errors import InputError, nearest
from stallwise.joins import tables, words
from stallwise.joins.learn.inferredwords import inferred_table
from stallwise.joins.limit import limitwords
from stallwise.joins.log.readingsaid import there_table
from stallwise.joins.mix.salttables import nutrition_tables, salt_table
from stallwise.joins.mix.shoptables import cost_table, spending_table
from stallwise.joins.result import to_plain
from stallwise.joins.tables import Table
from stallwise.record.folder import Cookbook, find_cookbook
from stallwise.surfaces.desk import Desk, changes_from, log_table
from stallwise.surfaces.rerun.execute import HEADLESS, MOMENT, RESULT
from stallwise.surfaces.rerun.figures import write_figures
from stallwise.surfaces.strangers import left_out

if TYPE_CHECKING:
    from stallwise.surfaces.trialcells import TrialCells

__all__ = ["Cells", "CookNotebook", "open", "somebody_looks", "tally"]

#: Set in a kernel that was started for a person: by a notebook server, or by an editor.
_FRONT_ENDS = ("JPY_SESSION_NAME", "VSCODE_PID", "VSCODE_CWD")


def open(folder: str | None = None, names: Mapping[str, Any] | None = None) -> CookNotebook:  # noqa: A001 - notebook.open reads well
    """Open the cook of a notebook.

    Parameters
    ----------
    folder : str, optional
        The cook's folder; the default is where the notebook lies.
    names : mapping, optional
        Names of the notebook (``globals()``); plan parameters among them that have a value
        are laid over the cook, as with ``--set``. ``as_of`` is the moment to answer for.

    Returns
    -------
    CookNotebook
        The cook, ready for its cells.

    Raises
    ------
    InputError
        There is no cook in the folder.
    """
    names = names or {}
    # A re-run works in the cook's folder, whatever a received notebook says.
    place = Path.cwd() if folder is None or RESULT in os.environ else Path(folder).expanduser()
    if not (place / "cook.toml").is_file():
        raise InputError(
            f"there is no cook.toml in {place.name or str(place)!r}",
            "a cook's folder",
            "Start one with: stallwise new --cut CUT; its notebook lies in the new folder",
        )
    cook = Cookbook.open(find_cookbook(place)).cook(str(place.resolve()))
    for said in left_out(place, names):
        _say(said)
    moment = os.environ.get(MOMENT)
    clock = {"now": lambda: dt.datetime.fromisoformat(moment)} if moment else {}
    return CookNotebook(Desk(cook, changes_from(names), as_of=names.get("as_of"), **clock))


def tally(folder: str | None = None, *, unfold: bool = False) -> None:
    """Say how often past forecasts were right, over all cooks of a cookbook.

    Parameters
    ----------
    folder : str, optional
        The cookbook, or a folder in it; the default is where the notebook lies.
    unfold : bool, default False
        Also all figures: by elapsed time, cut and wrap, against hours per pound, piece by piece.

    Raises
    ------
    InputError
        The folder is in no cookbook.
    """
    from stallwise.joins.learn import tallywords
    from stallwise.joins.learn.tally import tally_book

    place = Path.cwd() if folder is None else Path(folder).expanduser()
    result = tally_book(Cookbook.open(find_cookbook(place)))
    for said in (tallywords.headline(result), *tallywords.cannot_say(result)):
        _say(said)
    if unfold:
        _print(*tallywords.tables(result))
        _say(tallywords.widening_text(result))


class Cells:
    """Cells that a notebook calls by the name that it gives them."""

    #: What notebooks call it.
    called = "cook"

    def __getattr__(self, name: str) -> Any:
        """Name the nearest cell to one that this release does not have."""
        if name.startswith("_"):
            raise AttributeError(name)
        cells = [cell for cell in vars(type(self)) if not cell.startswith("_")]
        near = " or ".join(f"{self.called}.{cell}()" for cell in nearest(name, cells))
        raise AttributeError(
            f"This notebook calls {self.called}.{name}(), which stallwise {__version__} does not "
            f"have. Nothing is lost: try {near or 'the other cells'}, or leave this cell out."
        )


class CookNotebook(Cells):
    """The cells of a whole cook.

    Parameters
    ----------
    desk : Desk
        The cook being worked on.
    panels : bool, optional
        Show panels instead of plain tables; the default finds out whether anybody looks.
    """

    def __init__(self, desk: Desk, *, panels: bool | None = None) -> None:
        self.desk = desk
        self.panels = somebody_looks() if panels is None else panels

    def plan(self) -> None:
        """Plan: what to cook, when it is ready, what moves it."""
        if self.panels:
            from stallwise.surfaces.widgets.plan import PlanPanel

            self._show(PlanPanel(self.desk).widget, script=_script())
            return
        from stallwise.pictures.charts import day_picture
        from stallwise.surfaces.widgets.display import show_picture

        result, cook = self.desk.result, self.desk.record.cook
        if cook.carried and not cook.carried_done:
            _say(f"Next time, said last time: {cook.carried}\n")
        for letter in {piece.cut: piece.piece for piece in reversed(result.pieces)}.values():
            if before := self.desk.before(letter):
                _say(f"From {before[0]}")
                _print(before[1], empty="Nothing is different since.")
        _say(f"{result.title}, {words.as_of_text(result)}")
        _say(words.headline(result))
        if said := words.widening_words(result):
            _say(said)
        for warning in result.warnings:
            _say(f"note: {warning.piece + ': ' if warning.piece else ''}{warning.text}")
        show_picture(day_picture(result))
        _print(
            tables.stage_table(result),
            tables.trouble_table(result),
            tables.remedy_table(result),
            inferred_table(result),
            tables.serving_table(result),
            tables.chance_table(result),
            tables.lever_table(self.desk.what_if(), result),
        )

    def mixes(self, *, unfold: bool = False) -> None:
        """Rubs, sauces, stock: scaled, with salt counted once.

        Parameters
        ----------
        unfold : bool, default False
            Where nobody looks, also what a serving holds; in a panel that stands behind its fold.
        """
        self._live(
            lambda result: [
                *tables.mix_tables(result),
                tables.ledger_table(result),
                salt_table(result),
                cost_table(result),
                spending_table(result),
            ],
            empty="No rub, sauce or stock is put on a piece yet; add [[mixes]] to cook.toml.",
            folded=nutrition_tables,
            summary="What a serving holds",
            unfold=unfold,
        )

    def sheet(self) -> None:
        """Day sheet, backwards from serving."""
        if self.panels:
            from stallwise.surfaces.widgets.sheet import SheetPanel

            self._show(SheetPanel(self.desk).widget)
            return
        from stallwise.pictures.charts import plan_picture
        from stallwise.surfaces.widgets.display import show_picture

        result = self.desk.result
        show_picture(plan_picture(result))
        _print(tables.sheet_table(result))
        for step in result.steps:
            if step.caution:
                _say(f"care at “{step.what}”: {step.caution}")

    def type_in(self) -> None:
        """Type in the sheet that night."""
        if self.panels:
            from stallwise.surfaces.widgets.typein import TypeIn

            self._show(TypeIn(self.desk).widget, script=_script())
            return
        _print(log_table(self.desk.record), empty="Nothing is logged yet.")
        if self.desk.record.log:
            from stallwise.pictures.charts import day_picture
            from stallwise.surfaces.widgets.display import show_picture

            show_picture(day_picture(self.desk.tried(())))

    def readings(self) -> None:
        """Bring in what probes wrote, or follow a file that grows."""
        if self.panels:
            from stallwise.surfaces.widgets.readings import ReadingsPanel

            self._show(ReadingsPanel(self.desk).widget, script=_script())
            return
        record = self.desk.record
        _print(there_table(record.readings, record.zone), empty="There are no readings yet.")

    def limits(self) -> None:
        """Rules of time and temperature: what runs, was missed or asks."""
        if self.panels:
            from stallwise.surfaces.widgets.limits import LimitsPanel

            self._show(LimitsPanel(self.desk).widget)
            return
        result = self.desk.result
        _say(limitwords.headline(result))
        _print(limitwords.limit_table(result))
        for said in (limitwords.folded(result), *limitwords.estimate_lines(result)):
            if said:
                _say(said)
        _say(limitwords.DEFERS)

    def taste(self) -> None:
        """How it tasted, one number, photos, next time."""
        if self.panels:
            from stallwise.surfaces.widgets.tasting import Tasting

            self._show(Tasting(self.desk).widget)
            return
        cook = self.desk.record.cook
        rows = [("how it tasted", cook.tasting or ""), ("next time", cook.next_time or "")]
        if cook.number:
            of = f" out of {cook.number.out_of:g}" if cook.number.out_of else ""
            rows.append((cook.number.name, f"{cook.number.value:g}{of}"))
        rows += [(photo.file, photo.caption) for photo in cook.photos]
        said = tuple(row for row in rows if row[1])
        _print(Table("Afterwards", ("what", "said"), said), empty="No notes yet.")
        self._side_by_sides()

    def _side_by_sides(self) -> None:
        from stallwise.surfaces.trialcells import show_trial

        for one in self.desk.result.trials:
            show_trial(one, self.desk.result.units)

    def trial(self, name: str | None = None) -> TrialCells:
        """Open a side-by-side of this cook, for cells of its own.

        Parameters
        ----------
        name : str, optional
            Of the trial; the default is the only one of the cook.
        """
        from stallwise.surfaces.trialcells import trial_of

        return trial_of(self.desk.folder, name, panels=self.panels)

    def publish(self) -> None:
        """Make the page of this cook; a re-run makes none."""
        if self.panels:
            from stallwise.surfaces.widgets.publish import PublishPanel

            self._show(PublishPanel(self.desk).widget)
            return
        _say(f"Make the page with: stallwise publish {self.desk.folder.name}")

    def finish(self) -> None:
        """Write the figures to ``results/result.json``; a re-run's go to a file of their own."""
        plain = to_plain(self.desk.result)
        elsewhere = os.environ.get(RESULT)
        if elsewhere:
            write_figures(self.desk.folder, Path(elsewhere), plain)
        elif self.desk.unkept:
            _say("Not written: there are changes that are not kept. Keep them first, or undo them.")
            return
        else:
            self.desk.folder.write_result(plain)
        _say(f"Figures written. {words.headline(self.desk.result)}")

    def _show(self, widget: Any, *, script: str = "") -> None:
        from stallwise.surfaces.widgets.display import show_panel

        show_panel(widget, "Run this cell to get its panel.", script=script)

    def _live(
        self, parts: Any, *, empty: str, folded: Any, summary: str, unfold: bool = False
    ) -> None:
        """Tables that follow every change of the plan, and more behind a fold."""
        if not self.panels:
            more = folded(self.desk.result) if unfold else []
            _print(*parts(self.desk.result), *more, empty=empty)
            return
        from stallwise.surfaces.widgets.sheet import LiveTables

        live = LiveTables(self.desk, parts, empty=empty, folded=folded, summary=summary)
        self._show(live.widget)


def _script() -> str:
    return assets.read_text("templates", "notebooks", "panels.js")


def somebody_looks() -> bool:
    """Tell whether a person has this kernel before them, and not a re-run or a test."""
    return HEADLESS not in os.environ and any(name in os.environ for name in _FRONT_ENDS)


def _say(words: str) -> None:
    print(words)  # noqa: T201 - that is what a cell is for


def _print(*parts: Table, empty: str = "") -> None:
    said = [text for text in map(tables.as_text, parts) if text]
    _say("\n\n".join(said) if said else empty)
