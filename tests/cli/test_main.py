"""The command line as a shell sees it."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from stallwise.cli.main import COMMANDS, main
from stallwise.record.sample import SAMPLES

README = Path(__file__).parents[2] / "README.md"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_a_worked_example(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([name, "--help"]) == 0
    out = capsys.readouterr().out
    assert f"usage: stallwise {name}" in out
    assert re.search(rf"Example:\s+stallwise {name}\b", out)


@pytest.mark.parametrize("name", COMMANDS)
def test_an_example_names_a_cook_that_the_sample_brings(
    name: str, root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = root / "data"
    sample = [
        path.name for which in SAMPLES.values() for path in (data / which / "cooks").iterdir()
    ]
    assert main([name, "--help"]) == 0
    usage, _, example = capsys.readouterr().out.partition("Example:")
    for line in re.findall(rf"stallwise {name} .*", example):
        word = shlex.split(line, comments=True)[2]
        if re.search(r"\bCOOK\b(?!\|)", usage.partition("\n\n")[0]) and not word.startswith("-"):
            assert any(word in cook for cook in sample), line


def test_no_message_names_a_command_that_is_not_there(root: Path) -> None:
    told = "\n".join(path.read_text() for path in (root / "src").rglob("*.py"))
    named = set(re.findall(r"(?:: |`)stallwise ([a-z]+)", told))
    assert len(named) >= 10
    assert named <= set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_in_the_readme(name: str) -> None:
    assert re.search(rf"stallwise {name}\b|`{name}`", README.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["forcast"], "forecast"),
        (["cooks", "--jsn"], "--help"),
        (["cooks", "--cookbook", "/nonexistent"], "cookbook"),
        (["mix", "plain-rub"], "--for"),
    ],
)
def test_a_wrong_request_is_status_2_and_one_clear_line(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 2
    captured = capsys.readouterr()
    assert not captured.out
    assert captured.err.startswith("stallwise: ")
    assert said in captured.err
    assert "Traceback" not in captured.err


def test_one_cut_alone_says_its_finishes_and_what_the_pit_must_reach(capsys):
    assert main(["cuts", "chicken-half"]) == 0
    said = capsys.readouterr().out
    assert "skin crisp (usual): " in said
    assert "has to reach 325 °F" in said
    assert "under 285 °F" in said
    assert main(["cuts", "beef-brisket-whole"]) == 0
    assert "beef-brisket-flat with about half" in capsys.readouterr().out
    assert main(["cuts", "brisket"]) == 0
    assert "Pit: " not in capsys.readouterr().out
