"""Bad input about mixes, through every door: what came, what is allowed, where; nothing written."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from stallwise.cli.main import main

COOK = "cooks/2026-05-16-ribs/cook.toml"

#: What is wrong, the line of a mix that says it, and words of the answer. Several for each kind.
LINES = [
    ("unknown unit", "paprika", "2 tbps", "Nearest: tb"),
    ("unknown unit", "paprika", "2 kgg", "Nearest: kg"),
    ("unknown unit", "paprika", "3 bulbs", "not a unit"),
    ("unknown ingredient", "paprka", "2 tbsp", "Did you mean paprika?"),
    ("unknown ingredient", "brown sugar", "2 tbsp", "sugar_brown_packed"),
    ("unknown ingredient", "salt", "2 tbsp", "Which crystal?"),
    ("no density", "pepper_black_cracked", "2 tbsp", "Weigh one spoon"),
    ("no density", "bones_meaty", "2 cups", "grams"),
    ("zero", "paprika", "0 g", "weighs nothing"),
    ("zero", "paprika", "0/4 tsp", "weighs nothing"),
    ("negative", "paprika", "-2 g", "negative"),
    ("negative", "paprika", "− 2 tbsp", "negative"),
    ("contradictory", "paprika", "2 tbsp (30 g)", "'2 tbsp' or '30 g'?"),
    ("contradictory", "paprika", "1 cup 30 g", "mixes weight and volume"),
    ("contradictory", "paprika", "jar 377 -> 412", "goes up"),
    ("over the whole", "salt_fine_table", "120 % of meat", "more than the whole"),
    ("over the whole", "salt_fine_table", "100 % of everything", "less than all"),
    ("no unit", "paprika", "2", "'2 g', '2 tsp' or '2 tbsp'?"),
]

#: The cook's own ingredient, as its file says it.
OWN = [
    ("more than salt", 'label = "sodium 600 mg per 1.2 g"', "pure salt"),
    ("zero", 'like = "paprika"\nweighed = "0 tbsp = 3 g"', "'1 tbsp = 8.2 g'"),
    ("zero", 'like = "paprika"\nweighed = "1 tbsp = 0 g"', "'1 tbsp = 8.2 g'"),
    ("negative", 'like = "paprika"\nweighed = "1 tbsp = -3 g"', "negative"),
    ("negative", "density = -1.2", "over 0"),
    ("unknown", 'like = "paprka"', "Did you mean paprika?"),
    ("unknown unit", 'weighed = "1 tbps = 3 g"', "Nearest: tb"),
    ("contradictory", 'label = "sodium 190 mg per 1/4 tsp"', "no weight of the serving"),
    ("no TOML", "like = paprika", "cannot be read"),
]

#: A use of a mix in the plan of a cook.
USES = [
    ("unknown", 'mix = "plain-rubb"', "Nearest: plain-rub"),
    ("unknown", 'mix = "plain-rub"\non = ["Z"]', "pieces of this cook"),
    ("unknown", 'mix = "bone-stock"\nfrom = "Z"', "There are: A"),
    ("unknown unit", 'mix = "plain-rub"\namount = "2 tbps"', "Nearest: tb"),
    ("zero", 'mix = "plain-rub"\namount = "0 g"', "more than nothing"),
    ("negative", 'mix = "plain-rub"\namount = "-2 tbsp"', "negative"),
    ("negative", 'mix = "plain-rub"\nsticks = -0.2', "0 or more"),
    ("over the whole", 'mix = "plain-rub"\nsticks = 1.4', "1 or less"),
    ("over the whole", 'mix = "plain-rub"\namount = "140 %"', "more than the whole"),
    ("contradictory", 'mix = "plain-rub"\npan = "16 cm"', "not reduced"),
    ("a loop", 'mix = "loop-a"', "loop-a → loop-b → loop-a"),
]

#: What a piece's label says.
LABELS = [
    ("of nothing", 'label_sodium = "9 mg per 0 g"', "more than nothing"),
    ("more than salt", 'label_sodium = "900 mg per 2 g"', "pure salt"),
    ("no amount", 'label_sodium = "900"', "320 mg per 112 g"),
    ("over the whole", 'label_solution = "120 %"', "more than the whole"),
]

TARGETS = [
    ("unknown unit", "4 kgg", "Nearest: kg"),
    ("no unit", "4", "'4 kg', '4 pieces'"),
    ("zero", "0 kg", "nothing"),
    ("absurd", "9000000000 kg", "10000 kg of one mix"),
    ("zero", "0 pieces", "nothing"),
    ("negative", "-4 kg", "negative"),
    ("negative", "-3 pieces", "'-3 pieces' is negative"),
    ("contradictory", "4 kg 3 cups", "mixes weight and volume"),
    ("over the whole", "120 %", "more than the whole"),
    ("no density", "3 cups", "meat is weighed"),
    ("unknown", "250 g of paprka", "There are"),
    ("no number", "nan kg", "no number"),
    ("by zero", "1/0 kg", "divides by zero"),
]


def mix(line: str) -> str:
    return f'schema = 1\nname = "Mine"\nkind = "rub"\nper = "1 kg meat"\n\n[[lines]]\n{line}\n'


def written(book: Path) -> dict[str, str]:
    files = sorted(path for path in book.rglob("*") if path.is_file())
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


@pytest.fixture
def refused(book: Path, capsys: pytest.CaptureFixture[str]):
    def ask(*words: str) -> str:
        before = written(book)
        capsys.readouterr()
        assert main(list(words)) == 2
        out, told = capsys.readouterr()
        assert out == ""
        assert told.startswith("stallwise: ")
        assert "Traceback" not in told
        assert written(book) == before
        return told

    return ask


@pytest.mark.parametrize(("kind", "item", "amount", "words"), LINES)
def test_a_wrong_line_of_a_mix_says_file_and_line(book, refused, kind, item, amount, words):
    (book / "mixes" / "mine.toml").write_text(
        mix(f'ingredient = "{item}"\namount = "{amount}"'), encoding="utf-8"
    )
    told = refused("mix", "mine", "--for", "2 kg")
    assert words in told, kind
    assert told.startswith("stallwise: mixes/mine.toml")
    if kind not in {"zero", "over the whole"}:  # those are of the whole mix
        assert f"line 1 ({item})" in told


@pytest.mark.parametrize(("kind", "text", "words"), OWN)
def test_a_wrong_ingredient_says_its_own_file(book, refused, kind, text, words):
    (book / "ingredients").mkdir(exist_ok=True)
    (book / "ingredients" / "my-spice.toml").write_text(f"schema = 1\n{text}\n")
    (book / "mixes" / "mine.toml").write_text(mix('ingredient = "my-spice"\namount = "1 T"'))
    told = refused("mix", "mine", "--for", "2 kg")
    assert words in told, kind
    assert "ingredients/my-spice.toml" in told


@pytest.mark.parametrize(("kind", "text", "words"), USES)
def test_a_wrong_use_in_a_cook_says_its_file_and_mix(book, refused, kind, text, words):
    for one, other in ("ab", "ba"):
        (book / "mixes" / f"loop-{one}.toml").write_text(
            mix(f'mix = "loop-{other}"\namount = "2 g"')
        )
    cook = book / COOK
    cook.write_text(f"{cook.read_text()}\n[[mixes]]\n{text}\n")
    told = refused("mixes", "ribs")
    assert words in told, kind
    assert "cook.toml, " in told or "mixes/loop-a.toml" in told


@pytest.mark.parametrize(("kind", "text", "words"), LABELS)
def test_a_wrong_label_of_a_piece_says_its_key(book, refused, kind, text, words):
    cook = book / COOK
    cook.write_text(cook.read_text().replace("[[pieces]]\n", f"[[pieces]]\n{text}\n"))
    told = refused("mixes", "ribs")
    assert words in told, kind
    assert f"pieces.A.{text.split()[0]}" in told


@pytest.mark.parametrize(("kind", "target", "words"), TARGETS)
def test_a_wrong_amount_to_scale_to_is_asked(refused, kind, target, words):
    assert words in refused("mix", "plain-rub", "--for", target), kind


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("guests=-3", "0 or more"),
        ("guests=ten", "whole number"),
        ("mass=0 lb", "more than zero"),
        ("mass=-2 lb", "negative"),
        ("mass=2 cups", "a volume, not a weight"),
        ("mass=2 lbx", "Nearest: lb"),
        ("guets=3", "Nearest: guests"),
    ],
)
def test_a_wrong_change_is_refused(refused, change, words):
    assert words in refused("forecast", "ribs", "--set", change)


def test_one_file_that_is_no_toml_spoils_no_other(book, refused, capsys):
    (book / "mixes" / "torn.toml").write_text('name = "Torn\n')
    capsys.readouterr()
    assert main(["mix", "plain-rub", "--for", "4 kg"]) == 0
    assert main(["mixes"]) == 0
    assert "mixes/torn.toml, line 1" in capsys.readouterr().err
    assert "mixes/torn.toml, line 1" in refused("mix", "torn", "--for", "4 kg")
