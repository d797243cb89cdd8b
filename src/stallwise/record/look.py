"""What a look over a cookbook finds: one finding each, and the report of all."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from stallwise.ground.errors import InputError
from stallwise.record import migrate, toml
from stallwise.record.folder import Cookbook
from stallwise.record.problems import RecordError

__all__ = ["MENDED", "NOTE", "WRONG", "Finding", "Look", "Report"]

WRONG, NOTE, MENDED = "wrong", "note", "mended"


@dataclass(frozen=True)
class Finding:
    """One thing found.

    Attributes
    ----------
    level : {"wrong", "note", "mended"}
    file : str
        From the cookbook on.
    line : int or None
    text : str
        The whole message, with file and line.
    """

    level: str
    file: str
    line: int | None
    text: str


@dataclass(frozen=True)
class Report:
    """What was found.

    Attributes
    ----------
    findings : tuple of Finding
    files : int
        How many files were read.
    """

    findings: tuple[Finding, ...]
    files: int

    @property
    def wrong(self) -> bool:
        """Whether anything is wrong; notes are not."""
        return any(finding.level == WRONG for finding in self.findings)

    @property
    def summary(self) -> str:
        """One line for a cook."""
        counts = {
            level: sum(1 for one in self.findings if one.level == level)
            for level in (WRONG, NOTE, MENDED)
        }
        if not self.findings:
            return f"{self.files} files read, nothing wrong."
        said = f"{counts[WRONG]} wrong, {counts[NOTE]} to know"
        mended = f", {counts[MENDED]} mended" if counts[MENDED] else ""
        return f"{self.files} files read: {said}{mended}."

    def plain(self) -> dict[str, Any]:
        """Answer for JSON."""
        findings = [
            {"level": one.level, "file": one.file, "line": one.line, "text": one.text}
            for one in self.findings
        ]
        return {"files": self.files, "wrong": self.wrong, "findings": findings}


@dataclass
class Look:
    """One look over a cookbook; collects as it goes."""

    book: Cookbook
    repair: bool
    known: Mapping[str, Collection[str]]
    findings: list[Finding] = field(default_factory=list)
    files: int = 0

    def say(self, level: str, path: Path | str, text: str, line: int | None = None) -> None:
        """Put one finding down."""
        file = path if isinstance(path, str) else self.book.store.name(path)
        where = f"{file}, line {line}" if line else file
        self.findings.append(Finding(level, file, line, f"{where}: {text}"))

    def reading(self, read: Callable[[], Any]) -> Any:
        """Read, and tell what is wrong; then there is no result."""
        self.files += 1
        try:
            return read()
        except RecordError as error:
            self.findings += [
                Finding(WRONG, one.file, one.line, str(one)) for one in error.problems
            ]
        except InputError as error:
            self.findings.append(Finding(WRONG, error.where, None, str(error)))
        return None

    def toml(self, path: Path, model: type[BaseModel]) -> Any:
        """Read a TOML file, and tell keys that are not ours and an older schema."""
        store = self.book.store
        made = self.reading(lambda: toml.parse(store.read(path), model, file=store.name(path)))
        if made is not None:
            text = store.read(path)
            for line, key in toml.unknown_keys(text, made):
                self.say(NOTE, path, f"{key} is not a key of ours; it is kept and not used", line)
            data = toml.load(text, file="")
            if "schema" not in data:
                self.say(
                    NOTE, path, "no schema is named; it is taken for the first. Add schema = 1"
                )
            elif migrate.version_of(data, file="") < made.schema_:
                self.say(
                    NOTE,
                    path,
                    f"of schema {data['schema']}; it is read as {made.schema_} and left as it is",
                )
        return made
