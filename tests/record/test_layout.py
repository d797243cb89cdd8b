"""Every key of a TOML text is found where it stands, however it is laid out."""

import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from stallwise.record.layout import scan

HAIRY = '''\
# "quoted" = [not, a key]
"a b".'c.d' = 1 # one
when = 2026-09-25 21:30:00
at = [ # a comment, with ] and }
  "x # no comment", 'y]', """z
"]""",
  { in = { deep = [1, 2 ] }, s = '}' } ,
]
long = """\\
  two \\"lines\\"
  and a half""""
raw = \'\'\'it's
raw''\'\'\'
empty = []
none = {}

[ table . "sub" ]
t = true
[[rows]]
[[rows.inner]]
n = 0x1F
[[rows.inner]]
n = 1e3
[[rows]]
m.k = -inf
[rows.table]
z = 07:32:00
'''


def _leaves(data, path=()):
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _leaves(value, (*path, key))
    elif isinstance(data, list) and data and all(isinstance(row, dict) for row in data):
        for at, row in enumerate(data):
            yield from _leaves(row, (*path, at))
    else:
        yield path, data


def _holds(text):
    layout = scan(text)
    for path, value in _leaves(tomllib.loads(text)):
        entry = layout.entries[path]
        assert tomllib.loads(f"x = {text[entry.value : entry.end]}")["x"] == value
        assert layout.line(path) == text.count("\n", 0, entry.start) + 1


def test_a_hairy_text():
    _holds(HAIRY)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_line_ends_of_both_kinds(end):
    text = f"a = 1{end}{end}[t]{end}b = 'x' # c{end}"
    assert scan(text).line(("t", "b")) == 4


KEYS = st.text("ab .\"'#=[]", min_size=1, max_size=5)
TREE = st.recursive(
    st.one_of(st.integers(), st.booleans(), st.dates(), st.text("ab\n\"'\\#]},= ", max_size=8)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(KEYS, inner, min_size=1, max_size=3)
    ),
    max_leaves=12,
)


@given(data=st.dictionaries(KEYS, TREE, max_size=4))
def test_whatever_another_writer_writes(data):
    text = tomlkit.dumps(data)
    if tomllib.loads(text) == data:  # its own slips are not our matter
        _holds(text)
