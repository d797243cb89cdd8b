"""No text that a person can read claims more than a rule does.

Every string of the source (and every docstring that a cook may be shown), every cell of the tables,
templates, notebooks, pages of words and the published pages of the sample are scanned, over the ends
of lines too. A source's own title may hold such a word; it is listed here, each with why.
"""

from __future__ import annotations

import ast
import csv
import html
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
    r"kills? (?:all|every|any|the|bacteria|germs)|fit to eat|good to eat|ok to eat|"
    r"nothing to worry|no danger|out of danger|danger[- ]free|not dangerous|"
    r"free (?:of|from) (?:germs|bacteria|risk|pathogens)|(?:properly|thoroughly) cooked|"
    r"(?:cannot|can't|won't|will not) make (?:you|anyone|anybody) (?:ill|sick)|approved|wholesome|"
    r"eat (?:it )?with confidence|all clear)\b",
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


#: Packages whose docstrings a cook may be shown: by --help, or by asking in a notebook.
READ_BY_COOKS = {"cli"}


def docstrings(tree: ast.AST) -> set[int]:
    return {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }


def strings_of_python(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    read = READ_BY_COOKS & set(path.parts) or path.name == "notebook.py"
    docs = set() if read else docstrings(tree)
    for node in ast.walk(tree):
        if id(node) in docs:
            continue
        if isinstance(node, ast.JoinedStr):
            # What is put in is no claim of ours; the words round it are one sentence.
            parts = (each.value if isinstance(each, ast.Constant) else "…" for each in node.values)
            yield "".join(map(str, parts))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
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


def paragraphs(path: Path) -> Iterator[str]:
    """Text of a page or of a page of words, its lines joined; tags part nothing."""
    # A filter of the template language is no word of ours.
    page = re.sub(r"\|\s*safe\b", "", path.read_text(encoding="utf-8"))
    words = html.unescape(re.sub(r"<[^<>]*>", " ", page))
    for part in re.split(r"\n\s*\n", words):
        yield re.sub(r"\s+", " ", part)


READERS = {
    ".py": strings_of_python,
    ".toml": strings_of_toml,
    ".json": strings_of_json,
    ".ipynb": strings_of_json,
    ".csv": strings_of_csv,
    ".html": paragraphs,
    ".svg": paragraphs,
    ".md": paragraphs,
    ".css": lines,
    ".js": lines,
    ".jsonl": lines,
    ".txt": paragraphs,
}


def texts() -> list[Path]:
    folders = [ROOT / name for name in ("src", "data", "templates", "notebooks")]
    found = [path for folder in folders for path in folder.rglob("*") if path.suffix in READERS]
    found = [path for path in found if ".ipynb_checkpoints" not in path.parts]
    return [*sorted(found), *sorted(ROOT.glob("*.md"))]


def overclaims(path: Path) -> list[str]:
    strings = READERS.get(path.suffix, lines)(path)
    return [text for text in strings if text.strip() not in ALLOWED and CLAIMS.search(text)]


def page_overclaims(path: Path) -> list[str]:
    """As `overclaims`, for pages that quote the titles of their sources within a sentence."""
    titles = [text for text, why in ALLOWED.items() if why == "title of the source"]
    found = []
    for text in READERS[path.suffix](path):
        plain = text
        for title in titles:
            plain = plain.replace(title, "")
        found += [text] if CLAIMS.search(plain) else []
    return found


@pytest.mark.parametrize("path", texts(), ids=lambda path: str(path.relative_to(ROOT)))
def test_no_text_claims_more_than_its_rule(path):
    assert not overclaims(path)


def test_no_published_page_or_printed_sheet_does(tmp_path):
    from stallwise.cli.main import main

    book, out = tmp_path / "book", tmp_path / "journal"
    assert main(["init", str(book), "--sample"]) == 0
    assert main(["--cookbook", str(book), "publish", "--out", str(out)]) == 0
    cook = next(iter(sorted((book / "cooks").iterdir())))
    asked = ["--cookbook", str(book), "limits", cook.name]
    for option, name in (("--print", "t.html"), ("--allergens", "a.html")):
        assert main([*asked, option, str(out / name)]) == 0
    pages = [path for path in out.rglob("*") if path.suffix in READERS]
    assert len(pages) > 6
    assert {path.name: found for path in pages if (found := page_overclaims(path))} == {}


def test_every_kind_of_file_that_ships_is_read():
    seen = {
        path.suffix
        for name in ("src", "data", "templates", "notebooks")
        for path in (ROOT / name).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    pictures = {".jpg", ".webp", ".png"}
    assert seen - READERS.keys() - pictures == {".typed"} & seen


@pytest.mark.parametrize(
    "said",
    [
        "This brisket is safe to eat.",
        "The chicken is done",
        "Pasteurised at 131 °F",
        "compliant with the code",
        "kills all bacteria",
        "Held at 130 °F it kills the germs.",
        "It cannot make you ill.",
        "A method approved by the agency.",
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


def test_a_claim_over_two_lines_or_round_a_value_is_seen(tmp_path):
    for name, text in (
        ("a.html", "<p>The meat\n  is <b>safe</b></p>\n"),
        ("b.html", "<p>the bird is\ndone</p>\n"),
        ("a.md", "It is nothing\nto worry about.\n"),
        ("a.py", 'WORDS = f"{cut} is done at {clock}"\n'),
        ("notebook.py", 'def f():\n    """Meat that is safe to eat."""\n'),
    ):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        assert overclaims(path), name
