"""Cells of a side-by-side: what it could show, lock, cards, slips, what it shows.

Nothing is written unless a cell says so (``keep=True``), so that running all cells changes nothing.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.joins import tables
from stallwise.joins.taste.tastebefore import before_words, draft_trial, serving_words
from stallwise.joins.taste.tasteentry import read_slips
from stallwise.joins.taste.tasteplan import refuse_impossible
from stallwise.joins.taste.tasteresult import trial_result
from stallwise.joins.taste.tasteserve import serve
from stallwise.joins.taste.tastewords import also_words, behind, count_words, headline, paragraph
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.record.cookfolder import CookFolder
from stallwise.record.store import write_new
from stallwise.record.trial import Trial, TrialRecord
from stallwise.record.trials import (
    add_answers,
    close_trial,
    lock_trial,
    new_trial,
    read_trial,
    save_trial,
    trial_names,
)
from stallwise.surfaces.paper import sheet_file, usual_paper

__all__ = ["TrialCells", "show_trial", "trial_of"]


class TrialCells:
    """The cells of one trial of a cook.

    Parameters
    ----------
    folder : CookFolder
        The cook.
    name : str
        Of the trial; it need not be there yet.
    panels : bool, default False
        Show what was found as a panel and not as plain text.
    """

    def __init__(self, folder: CookFolder, name: str, *, panels: bool = False) -> None:
        self.folder = folder
        self.name = name
        self.panels = panels

    @property
    def book(self) -> Any:
        """The cookbook."""
        return self.folder.home

    @property
    def record(self) -> TrialRecord:
        """The trial as it is on the disk."""
        return read_trial(self.book, self.name)

    def _is_there(self) -> bool:
        return self.name in trial_names(self.book)

    def plan(self, *, keep: bool = False, **wanted: Any) -> None:
        """Say what a trial could show; write it down with `keep`.

        Parameters
        ----------
        keep : bool, default False
            Write ``trials/<name>.toml``.
        **wanted
            `asks`, `factor`, `arms`, `tasters`, `bones` …, as `draft_trial` takes them; left out
            where the trial is written already.
        """
        if self._is_there() or not wanted:
            if not self._is_there():
                _say("Not planned yet: fill in the question, the arms and how many taste.")
                return
            trial = self.record.trial
        else:
            values = draft_trial(self.folder.name, **wanted)
            trial = Trial.model_validate(values)
            if keep:
                new_trial(self.book, self.name, values)
        _say(trial.question)
        for said in before_words(trial):
            _say(said)
        if not self._is_there():
            _say("Not written down yet: run this again with keep=True.")

    def lock(self, *, keep: bool = False) -> None:
        """Lock the plan before the first bite, and draw who gets what."""
        if not self._is_there():
            _say("Not planned yet.")
            return
        record = self.record
        if record.state == "planned" and keep:
            refuse_impossible(record.trial)
            plates = serve(record.trial, self.folder.name).key
            record = lock_trial(self.book, self.name, plates, at=_now())
        if record.trial.locked is None:
            _say("Not locked yet: run this again with keep=True, before anybody tastes.")
            return
        _say(f"Locked {record.trial.locked.at:%Y-%m-%d %H:%M}; {len(record.key)} plates.")
        for said in serving_words(record.trial, serve(record.trial, self.folder.name)):
            _say(f"- {said}")

    def cards(self, file: str = "plates.html", *, keep: bool = False) -> None:
        """Write plating card, bone map and slips to print; who tastes does not look."""
        if not keep:
            _say("The cards tell which is which: keep=True writes them, for whoever plates.")
            return
        from stallwise.surfaces.tasteprint import cards_html

        title, paper = self.folder.read().title, usual_paper(self.book.book.units)
        text = cards_html(self.record, self.folder.name, title=title, paper=paper)
        write_new(sheet_file(str(self.folder.path / Path(file).name)), text)
        _say(f"Written: {Path(file).name}, in the cook's folder.")

    def type_in(self, slips: str = "", *, keep: bool = False) -> None:
        """Show slips as understood; write what is clear with `keep`."""
        if not self._is_there() or self.record.state == "planned":
            _say("Lock it first.")
            return
        typed = read_slips(slips.splitlines(), self.record, self.folder.name)
        written = add_answers(self.book, self.folder.name, typed.answers) if keep else []
        for question in typed.questions:
            _say(f"? {question}")
        _say(f"{len(typed.answers)} understood, {len(written)} written.")

    def count(
        self, what: str, counts: Mapping[str, tuple[int, int]], *, keep: bool = False
    ) -> None:
        """Keep what the eye counted of each arm: count and out of how many."""
        if not keep:
            _say(f"{what}: {len(counts)} counts, not written.")
            return
        for arm, (count, out_of) in counts.items():
            row = {"what": what, "arm": arm, "count": count, "out_of": out_of}
            save_trial(self.book, self.name, {"counts+": row})
        _say(f"{what}: kept.")

    def close(self, *, keep: bool = False) -> None:
        """Say that all answers are in; only then the key may be opened."""
        if keep and self.record.state == "locked":
            close_trial(self.book, self.name, at=_now())
        if not self._is_there() or self.record.state != "closed":
            _say("Open: nobody looks at the key yet. keep=True closes it.")
            return
        _say("Closed: the key may be opened.")

    def read(self, *, numbers: bool = False) -> None:
        """Tell what it shows: the paragraph and the picture.

        Parameters
        ----------
        numbers : bool, default False
            Every number too.
        """
        if not self._is_there():
            _say("Not planned yet.")
            return
        found, units = trial_result(self.record), self.book.book.units
        if self.panels:
            from stallwise.surfaces.widgets.display import show_panel
            from stallwise.surfaces.widgets.tasted import trials_panel

            show_panel(trials_panel([found], units, numbers=numbers), headline(found))
            return
        show_trial(found, units, numbers=numbers)


def show_trial(result: TrialResult, units: str, *, numbers: bool = False) -> None:
    """Show a trial: paragraph, dots, what the eye counted."""
    _say(result.question)
    for said in paragraph(result, units):
        _say(said)
    if result.dots is not None:
        from stallwise.pictures.charts import tasted_picture
        from stallwise.surfaces.widgets.display import show_picture

        show_picture(tasted_picture(result, prefix=f"tasted-{result.name}"))
    for one in result.counts:
        _say(f"Seen by eye: {count_words(one)}")
    for thing in result.also:
        _say(f"Also asked, and only told: {also_words(thing)}")
    for doubt in result.doubts:
        _say(f"? {doubt}")
    if numbers:
        _say(tables.as_text(behind(result)))


def trial_of(folder: CookFolder, name: str | None, *, panels: bool = False) -> TrialCells:
    """Find the trial that is meant: the one named, or the cook's only one."""
    if name is not None:
        return TrialCells(folder, name, panels=panels)
    there = [one for one in trial_names(folder.home) if _takes_part(folder, one)]
    if len(there) > 1:
        raise InputError("which trial", f"one of: {', '.join(there)}", "Name it: trial = ...")
    return TrialCells(folder, there[0] if there else "trial", panels=panels)


def _takes_part(folder: CookFolder, name: str) -> bool:
    return folder.name in read_trial(folder.home, name).trial.all_cooks


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(microsecond=0)


def _say(words: str) -> None:
    print(words)  # noqa: T201 - that is what a cell is for
