"""No text that a person can read claims more than a rule does.

Every string of the source, every cell of the tables, templates, notebooks and pages of words is
scanned. A source's own title may hold such a word; it is listed here, each with why.
"""

from __future__ import annotations

import ast
import csv
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

#: What no rule gives anybody the right to say of food.
CLAIMS = re.compile(
    r"\b(safe(ly|ty|st|r)?|unsafe|pasteuri[sz]\w*|steril\w*|complian\w*|guarante\w*|harmless\w*|"
    r"risk[- ]free|no risk|germ[- ]free|bacteria[- ]free|certif\w*|foolproof|"
    r"(?:is|are|it's|meat|food|chicken|pork|beef|bird) done|cooked through|"
    r"kills? (?:all|every|any)|fit to eat|good to eat|ok to eat|nothing to worry)\b",
    re.IGNORECASE,
)

#: Whole texts that may hold one: titles of others' works, names of file formats and the like.
ALLOWED = {
    "Safe minimum internal temperature chart": "title of the source",
    "Safe Minimum Internal Temperature": "title of the source",
    "Safe Minimum Cooking Temperature": "title of the source",
    "Turkey basics: safe thawing": "title of the source",
    "Safe": "name of a class in its module's list: markup that was escaped",
    """<meta http-equiv="Content-Security-Policy" content="default-src 'none'; """
    """style-src 'unsafe-inline'">""": "a word of the web standard, which no page shows",
}


def strings_of_python(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def strings_of_toml(path: Path) -> Iterator[str]:
    def inside(value: object) -> Iterator[str]:
        if isinstance(value, str):
            yield value
        elif isinstance(value, dict):
            for each in value.values():
                yield from inside(each)
        elif isinstance(value, list):
            for each in value:
                yield from inside(each)

    yield from inside(tomllib.loads(path.read_text(encoding="utf-8")))


def strings_of_json(path: Path) -> Iterator[str]:
    def inside(value: object) -> Iterator[str]:
        if isinstance(value, str):
            yield value
        elif isinstance(value, dict):
            for name, each in value.items():
                # Drawn pictures in a notebook's outputs hold no words of ours.
                if name not in {"image/png", "image/svg+xml"}:
                    yield from inside(each)
        elif isinstance(value, list):
            for each in value:
                yield from inside(each)

    yield from inside(json.loads(path.read_text(encoding="utf-8")))


def strings_of_csv(path: Path) -> Iterator[str]:
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.reader(file):
            yield from row


def lines(path: Path) -> Iterator[str]:
    yield from path.read_text(encoding="utf-8").splitlines()


READERS = {
    ".py": strings_of_python,
    ".toml": strings_of_toml,
    ".json": strings_of_json,
    ".ipynb": strings_of_json,
    ".csv": strings_of_csv,
    ".html": lines,
    ".css": lines,
    ".jsonl": lines,
}


def texts() -> list[Path]:
    folders = [ROOT / name for name in ("src", "data", "templates", "notebooks")]
    found = [path for folder in folders for path in folder.rglob("*") if path.suffix in READERS]
    found = [path for path in found if ".ipynb_checkpoints" not in path.parts]
    return [*sorted(found), ROOT / "README.md", ROOT / "CHANGELOG.md"]


def overclaims(path: Path) -> list[str]:
    strings = READERS.get(path.suffix, lines)(path)
    return [text for text in strings if CLAIMS.search(text) and text.strip() not in ALLOWED]


@pytest.mark.parametrize("path", texts(), ids=lambda path: str(path.relative_to(ROOT)))
def test_no_text_claims_more_than_its_rule(path):
    assert not overclaims(path)


@pytest.mark.parametrize(
    "said",
    [
        "This brisket is safe to eat.",
        "The chicken is done",
        "Pasteurised at 131 °F",
        "compliant with the code",
        "kills all bacteria",
    ],
)
def test_the_scan_would_see_it(said, tmp_path):
    for name, text in (
        ("a.py", f"WORDS = {said!r}\n"),
        ("a.csv", f'key,"{said}"\n'),
        ("a.html", f"<p>{said}</p>\n"),
        ("a.toml", f'says = "{said}"\n'),
    ):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        assert overclaims(path), name
