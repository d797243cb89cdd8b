"""Lists of cooks: all of them, by cut, mix, tag and year, fifty to a page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from stallwise.surfaces.journal.addresses import plain_name
from stallwise.surfaces.journal.entries import Entry
from stallwise.surfaces.journal.mademix import MadeMix
from stallwise.surfaces.journal.piecelines import PieceLine

__all__ = ["A_PAGE", "Link", "Listing", "Shelf", "leaves", "links_of", "listings", "shelves"]

#: Cooks on one page of a list.
A_PAGE = 50
#: Keeps what is listed apart from names of cooks; no name of a page has it.
_NEXT = "~"


@dataclass(frozen=True)
class Link:
    """A way to a list: its file from the journal's folder, its name, how many cooks it has."""

    file: str
    name: str
    count: int


@dataclass(frozen=True)
class Shelf:
    """All lists of one kind."""

    name: str
    links: tuple[Link, ...]


@dataclass(frozen=True)
class Listing:
    """One list.

    Attributes
    ----------
    stem : str
        Its file without the ending.
    kind : str
        ``cut``, ``mix``, ``tag``, ``year``; empty for all cooks.
    word, title : str
        What it goes by, and its name.
    entries : tuple of Entry
        Newest first.
    next_times : tuple of Entry
        Of a cut: what was to be done next time, newest first.
    made : MadeMix or None
        Of a mix: as it was last made.
    made_in : Entry or None
        Where that was.
    lines : tuple of (Entry, PieceLine)
        Of a cut: each piece of it that was cooked, the newest first.
    times : tuple of (Entry, MadeMix)
        Of a mix: each time it was made, the newest first.
    links : tuple of Link
        Of a year: what was cooked in it.
    """

    stem: str
    kind: str
    word: str
    title: str
    entries: tuple[Entry, ...]
    next_times: tuple[Entry, ...] = ()
    made: MadeMix | None = None
    made_in: Entry | None = None
    lines: tuple[tuple[Entry, PieceLine], ...] = ()
    times: tuple[tuple[Entry, MadeMix], ...] = ()
    links: tuple[Link, ...] = ()

    @property
    def link(self) -> Link:
        """The way to it."""
        return Link(f"{self.stem}.html", self.title, len(self.entries))


@dataclass(frozen=True)
class Leaf:
    """One page of a list: its entries, and the files before and after it."""

    file: str
    number: int
    of: int
    entries: tuple[Entry, ...]
    before: str
    after: str


@dataclass
class _Gathered:
    names: dict[str, str] = field(default_factory=dict)
    entries: dict[str, list[Entry]] = field(default_factory=dict)

    def put(self, key: str, name: str, entry: Entry) -> None:
        self.names.setdefault(key, name)  # the newest cook's word for it
        held = self.entries.setdefault(key, [])
        if entry not in held[-1:]:
            held.append(entry)

    def items(self) -> Iterator[tuple[str, str, tuple[Entry, ...]]]:
        for key in sorted(self.names, key=lambda key: (self.names[key].casefold(), key)):
            yield key, self.names[key], tuple(self.entries[key])


def listings(entries: Sequence[Entry], title: str) -> tuple[Listing, ...]:
    """Make every list of a journal.

    Parameters
    ----------
    entries : sequence of Entry
        Newest first.
    title : str
        Of the cookbook.
    """
    years, cuts, mixes, tags = (_Gathered() for _ in range(4))
    for entry in entries:
        years.put(entry.date[:4], entry.date[:4], entry)
        for key, name in entry.cuts:
            cuts.put(key, name, entry)
        for mix in entry.mixes:
            mixes.put(mix.key, mix.name, entry)
        for tag in entry.tags:
            tags.put(tag.casefold(), tag, entry)
    found = [Listing("index", "", "", title, tuple(entries))]
    found += [
        Listing(f"years/{key}", "year", "Year", name, held, links=_cuts_of(held))
        for key, name, held in reversed([*years.items()])
    ]
    found += [
        Listing(
            _stem("cuts", key),
            "cut",
            "Cut",
            name,
            held,
            tuple(e for e in held if e.next_time),
            lines=tuple(
                (e, line) for e in held if not e.planned for line in e.pieces if line.cut == key
            ),
        )
        for key, name, held in cuts.items()
    ]
    found += [_mix(key, name, held) for key, name, held in mixes.items()]
    found += [
        Listing(_stem("tags", key), "tag", "Tag", name, held) for key, name, held in tags.items()
    ]
    return tuple(found)


def _mix(key: str, name: str, held: tuple[Entry, ...]) -> Listing:
    times = tuple((entry, mix) for entry in held for mix in entry.mixes if mix.key == key)
    made_in, made = times[0]
    return Listing(
        _stem("mixes", key),
        "mix",
        made.kind.capitalize(),
        name,
        held,
        (),
        made,
        made_in,
        times=times,
    )


def _cuts_of(held: Sequence[Entry]) -> tuple[Link, ...]:
    counts = Counter(cut for entry in held for cut in dict.fromkeys(entry.cuts))
    return tuple(Link(f"{_stem('cuts', key)}.html", name, n) for (key, name), n in counts.items())


def _stem(folder: str, key: str) -> str:
    return f"{folder}/{plain_name(key, told_apart=True)}"


def shelves(lists: Iterable[Listing], entries: Iterable[Entry]) -> tuple[Shelf, ...]:
    """Ways to the lists, by kind, and to what was tried side by side."""
    names = {"year": "Years", "cut": "Cuts", "mix": "Rubs, sauces, stock", "tag": "Tags"}
    held: dict[str, list[Link]] = {kind: [] for kind in names}
    for one in lists:
        if one.kind:
            held[one.kind].append(one.link)
    found = [Shelf(name, tuple(held[kind])) for kind, name in names.items() if held[kind]]
    if tried := _trials(entries):
        found.append(Shelf("Tried side by side", tried))
    return tuple(found)


def _trials(entries: Iterable[Entry]) -> tuple[Link, ...]:
    """Ways to the pages of trials, the newest first."""
    questions: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for entry in entries:
        for trial in entry.trials:
            questions.setdefault(trial.file, trial.question)
            counts[trial.file] += 1
    return tuple(Link(file, question, counts[file]) for file, question in questions.items())


def links_of(entry: Entry) -> tuple[tuple[str, str, str], ...]:
    """Name the lists that a cook stands in: kind, file and name of each."""
    found = [("cut", _stem("cuts", key), name) for key, name in entry.cuts]
    found += [("mix", _stem("mixes", mix.key), mix.name) for mix in entry.mixes]
    found += [("tag", _stem("tags", tag.casefold()), tag) for tag in entry.tags]
    return tuple((kind, f"{stem}.html", name) for kind, stem, name in found)


def leaves(one: Listing) -> Iterator[Leaf]:
    """Cut a list into pages of fifty."""
    many = max(1, -(-len(one.entries) // A_PAGE))

    def file(number: int) -> str:
        if not 1 <= number <= many:
            return ""
        return f"{one.stem}{f'{_NEXT}{number}' if number > 1 else ''}.html"

    for number in range(1, many + 1):
        held = one.entries[(number - 1) * A_PAGE : number * A_PAGE]
        yield Leaf(file(number), number, many, held, file(number - 1), file(number + 1))
