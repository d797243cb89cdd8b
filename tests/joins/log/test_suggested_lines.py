"""Whatever a question, a hint or an example tells a cook to log is understood by the log."""

from __future__ import annotations

import ast
import csv
import re
from dataclasses import replace
from pathlib import Path

import pytest
from paper_contexts import CONTEXTS, DAY

from stallwise.ground import assets
from stallwise.joins.limit.limitsaid import question
from stallwise.joins.log.meaning import understand
from stallwise.joins.log.paper import as_words, read_block
from stallwise.joins.log.shortline import take_apart
from stallwise.joins.log.wordlist import word_list
from stallwise.joins.sheet.donesteps import done_at
from stallwise.joins.sheet.stepdraft import make_step
from stallwise.joins.sheet.steptable import step_row
from stallwise.record.log import LogLine

ROOT = Path(__file__).parents[3]
NOW = DAY.on["A"]
ALONE = replace(CONTEXTS["alone"], on={}, served=None)
#: "log 'sliced', 'pulled apart' or 'served'", and the same in double quotes or after a cook's name.
TO_LOG = re.compile(
    r"""\b[Ll]og (?:COOK |[a-z]+(?:-[a-z]+)+ |it |them |and |first, |readings )?[^'";.]{0,50}?"""
    r"""(?:'[^']+'|"[^"]+")(?:(?:, (?:or )?| or |; )(?:'[^']+'|"[^"]+"))*"""
)
QUOTED = re.compile(r"""'([^']+)'|"([^"]+)\"""")


def _to_log(text: str) -> list[str]:
    """Log lines that a sentence asks for."""
    plain = re.sub(r"(?<=\w)'s\b", "", text)
    found = [one or two for part in TO_LOG.findall(plain) for one, two in QUOTED.findall(part)]
    return [line for line in found if "stallwise" not in line]


def _asks(system: str) -> list[str]:
    rows = csv.DictReader(assets.read_text("data", "limits_asks.csv").splitlines())
    return [line for row in rows for line in _to_log(question(row["key"], system))]


def _everywhere() -> set[str]:
    """Lines that any text of the tool, a table, a template or the README tells to log."""
    texts = [(ROOT / "README.md").read_text(encoding="utf-8")]
    texts += [p.read_text(encoding="utf-8") for p in sorted((ROOT / "templates").rglob("*.html"))]
    texts += [
        cell for path in sorted((ROOT / "data").glob("*.csv"))
        for row in csv.reader(path.read_text(encoding="utf-8").splitlines()) for cell in row
    ]  # fmt: skip
    for path in sorted((ROOT / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.JoinedStr):
                parts = (
                    each.value if isinstance(each, ast.Constant) else "" for each in node.values
                )
                texts.append("".join(map(str, parts)))
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                texts.append(node.value)
    return {line for text in texts for line in _to_log(text)}


def _understood(line: str, units: str) -> None:
    context = replace(ALONE, units=units)
    parts = take_apart(line, context, None)
    assert understand(parts, parts.who, context).events


@pytest.mark.parametrize("units", ["us", "metric"])
def test_what_limits_ask_for_is_understood(units):
    lines = _asks(units)
    assert {"all gone", "in fridge", "pulled apart", "meat on"} <= set(lines)
    for line in lines:
        _understood(line, units)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_example_of_the_list_of_words_is_understood(units):
    for _, _, ways in word_list():
        for way in ways:
            _understood(way, units)


def test_what_any_text_tells_to_log_is_understood():
    lines = _everywhere()
    assert {"wrapped foil", "meat on", "all gone"} <= lines
    for line in sorted(lines):
        _understood(line, "us")


#: Steps of the sheet that the log knows, as their rows say them or, where those are filled in, as one reads.
_STEPS = {
    **{
        kind: step_row(kind).what.partition(",")[0]
        for kind in (
            "trim", "rub", "fire_lit", "switch_on", "pit_steady", "refuel", "meat_on", "look",
            "spritz", "turn", "wrap", "unwrap", "glaze", "tender", "rest", "carve", "serve", "cool",
            "chill", "reheat",
        )
    },
    "climb": "Bring the pit up to 275 °F", "move": "Move to the oven",
}  # fmt: skip


@pytest.mark.parametrize("kind", _STEPS)
def test_a_step_logged_as_the_sheet_calls_it_is_done(kind):
    parts = take_apart(_STEPS[kind], CONTEXTS["night"], None)
    (event,) = understand(parts, parts.who, CONTEXTS["night"]).events
    line = LogLine("one", NOW, event.what, made=NOW, data=event.data)
    assert done_at(make_step(kind, "", NOW), None, [line]) == NOW


def test_all_gone_is_not_gone_of_all_pieces():
    block = read_block("1930 all gone\n1935 all eaten\n1310 all spritz", context=DAY)
    assert [line.entries[0].what for line in block.lines if line.entries][:2] == ["all_gone"] * 2
    on = read_block("0900 all on", context=replace(DAY, on={}))
    assert on.lines[0].entries[0].what == "meat_on"


with Path(__file__).with_name("paper_lines.csv").open(encoding="utf-8", newline="") as file:
    ASKED = [row for row in csv.DictReader(file) if row["state"] == "asked"]

_DATED = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d(?: [A-Z]+)?|\d\d?:\d\d [A-Z]+")
_TIMED = re.compile(r"\d{4} |\+\d|about \d|\d\d?:\d\d ")
_HEAD = re.compile(r"(?:\d{4}-\d\d-\d\d )?\d\d?[:.]?\d\d(?: ?[ap]m)?\s+")


@pytest.mark.parametrize("row", ASKED, ids=[f"{r['context']}: {r['line']}" for r in ASKED])
def test_what_a_question_of_the_log_offers_is_understood(row):
    context = CONTEXTS[row["context"]]
    rows = [*filter(None, row["above"].split(" / ")), row["line"]]
    asked = read_block("\n".join(rows), context=context).lines[-1]
    # Before "Allowed" stands what came; "for 'fire lit'" names a thing.
    offered = asked.question.rpartition("Allowed:")[2]
    for said in re.findall(r"(?<!\w)(?<!for )'([^']{3,})'", offered):
        said = said.replace("TIME", "14:00 A").replace("…", "tender")  # noqa: PLW2901
        if _DATED.fullmatch(said):
            line = f"{said} {_HEAD.sub('', row['line'])}"
        elif _TIMED.match(said):
            line = said
        else:
            line = f"13:10 {said if re.match('[A-Z] ', said) else f'A {said}'}"
        again = read_block("\n".join([*rows[:-1], line]), context=context).lines[-1]
        assert again.state == "clear", f"{said!r} is offered: {as_words(again)} {again.question}"
