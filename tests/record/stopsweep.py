"""Stop every writer at every call, and look at the book it leaves; run as a program of its own.

``python stopsweep.py FOLDER WAYS NAME …`` prints what is wrong, as JSON. It forks, so it must not share a
process with anything that has threads.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import sys
import traceback
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from faultydisk import GONE, FaultyDisk
from writers import WRITERS, Writer

from stallwise.ground.errors import InputError, StallwiseError
from stallwise.record import disk
from stallwise.record.check import check
from stallwise.record.folder import Cookbook

#: Exit statuses of a child beside `GONE`: it finished, or it said what is wrong.
FINISHED, REFUSED, CRASHED = 0, 3, 4
LINES = (".jsonl", ".torn")


@dataclass
class Ended:
    """How a child ended, what it had said by then, and the calls it made."""

    status: int
    said: list[str]
    calls: list[str]


def acted(writer: Writer, root: Path, **faults: Any) -> Ended:
    """Let a child write on a faulty disk."""
    ears, mouth = os.pipe()
    child = os.fork()
    if not child:
        tell = os.write
        layer = FaultyDisk(root, **faults)
        status = CRASHED
        try:
            with layer.laid():
                writer.act(root, lambda thing: tell(mouth, f"{thing}\n".encode()) and None)
            status = FINISHED
        except StallwiseError as error:
            tell(mouth, f"!{error}".replace("\n", " ").encode() + b"\n")
            status = REFUSED
        except BaseException:  # noqa: BLE001 - whatever it is, it is told
            tell(mouth, f"!{traceback.format_exc()}".replace("\n", " | ").encode() + b"\n")
        finally:
            tell(mouth, "".join(f"={call}\n" for call in layer.calls).encode())
            os._exit(status)
    os.close(mouth)
    with os.fdopen(ears) as heard:
        lines = heard.read().splitlines()
    _, status = os.waitpid(child, 0)
    said = [line for line in lines if not line.startswith("=")]
    return Ended(
        os.waitstatus_to_exitcode(status), said, [line[1:] for line in lines if line[0] == "="]
    )


def contents(root: Path) -> dict[str, bytes]:
    """All that a cook would call hers: what was set aside and the lock are not."""
    return {
        str(path.relative_to(root)): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file()
        and path.name != disk.LOCK_NAME
        and path.suffix != ".torn"
        and not {"aside", "unfinished"} & set(path.relative_to(root).parts)
    }


def findings(root: Path, *, repair: bool = False) -> Counter[str]:
    try:
        return Counter(f"{one.level} {one.text}" for one in check(root, repair=repair).findings)
    except InputError as error:
        return Counter([f"note {error}"])  # there is no book yet


class Sweep:
    """One writer, its book before and after, and what is wrong of what its stops leave."""

    def __init__(self, name: str, place: Path) -> None:
        self.name, self.writer, self.place = name, WRITERS[name], place
        self.before, self.work = place / "before" / "book", place / "work" / "book"
        self.before.parent.mkdir(parents=True)
        self.writer.before(self.before)
        self.old = contents(self.before)
        self._fresh()
        self.whole = acted(self.writer, self.work)
        self.new = contents(self.work)
        findings(self.work, repair=True)
        self.quiet, self.mended = findings(self.work), contents(self.work)
        self.faults: list[str] = []
        self.points = 0
        if self.whole.status != FINISHED:
            self.faults.append(f"{name}, undisturbed: {self.whole.said}")

    def _fresh(self) -> None:
        shutil.rmtree(self.work.parent, ignore_errors=True)
        shutil.copytree(self.before.parent, self.work.parent)

    def stops(self, powers: list[str]) -> None:
        """Gone before and within each call; after it is before the next."""
        for power in powers:
            for number, call in enumerate([*self.whole.calls, "end"], 1):
                halves = (False, True) if call.startswith("write") else (False,)
                for half in halves:
                    self._fresh()
                    if call == "end":
                        ended = acted(self.writer, self.work)
                    else:
                        ended = acted(self.writer, self.work, stop=number, half=half, power=power)
                    wanted = FINISHED if call == "end" else GONE
                    where = f"{'within' if half else 'before'} {call} ({number}) {power}"
                    if ended.status != wanted:
                        self._wrong(where, f"ended with {ended.status}: {ended.said[-1:]}")
                    self._look(where, ended.said)

    def full(self, most: int) -> None:
        """A disk that takes so many bytes and no more: every number of them, of long files `most`."""
        size = sum(len(data) for name, data in self.new.items() if data != self.old.get(name))
        size += sum(len(text.encode()) for text in self.writer.between)
        for room in range(0, 2 * size, -(-size // most)):
            self._fresh()
            ended = acted(self.writer, self.work, room=room)
            if ended.status == FINISHED:
                break
            where = f"full after {room} bytes"
            self._refused(where, ended, "disk is full")
            self._look(where, ended.said[:-1], tidy=True)

    def refusals(self) -> None:
        """Each call refused once, and all of them: a full, a failing and a read-only disk."""
        for number in range(len(self.whole.calls) + 1):
            for code in (errno.ENOSPC, errno.EIO) if number else (errno.EROFS, errno.EACCES):
                self._fresh()
                ended = acted(self.writer, self.work, fails=(number, code))
                call = self.whole.calls[number - 1] if number else "any"
                where = f"{errno.errorcode[code]} at {call} ({number})"
                if ended.status != FINISHED:
                    self._refused(where, ended, "")
                if not number and contents(self.work) != self.old:
                    self._wrong(where, "a disk that may not be written was written")
                self._look(where, [one for one in ended.said if one[0] != "!"])

    def _refused(self, where: str, ended: Ended, words: str) -> None:
        self.points += 1
        told = ended.said[-1] if ended.said else ""
        if ended.status != REFUSED or words not in told:
            self._wrong(where, f"ended with {ended.status}: {told}")

    def _look(self, where: str, said: list[str], *, tidy: bool = False) -> None:
        self.points += 1
        try:
            for fault in self._faults(said, tidy=tidy):
                self._wrong(where, fault)
        except Exception:  # noqa: BLE001 - whatever it is, it is told
            self._wrong(where, traceback.format_exc())

    def _faults(self, said: list[str], *, tidy: bool) -> Iterator[str]:
        if tidy and (left := list(self.work.rglob(f"{disk.TEMPORARY}*"))):
            yield f"left {[path.name for path in left]}"
        for name, data in contents(self.work).items():
            if (
                tidy
                and name.endswith(".jsonl")
                and data != self.old.get(name)
                and data[-1:] != b"\n"
            ):
                yield f"{name} was left torn: {data[-40:]!r}"
        yield from self._files()
        if (self.work / "cookbook.toml").exists():
            self._opens()
        there = self.writer.there(self.work)
        yield from (
            f"{thing!r} is there {there[thing]} times" for thing in said if there[thing] != 1
        )
        if self.writer.repaired:
            findings(self.work, repair=True)
        self.writer.act(self.work, str)
        after = findings(self.work, repair=True)
        if any(one.startswith("mended") for one in after):
            after = findings(self.work)
        if (now := contents(self.work)) != self.mended:
            other = [n for n in {*now, *self.mended} if now.get(n) != self.mended.get(n)]
            yield f"done again, it comes out otherwise: {other}"
        if more := after - self.quiet:
            yield f"after repair: {list(more)}"
        there = self.writer.there(self.work)
        yield from (f"{thing!r} is there {n} times, again" for thing, n in there.items() if n > 1)

    def _files(self) -> Iterator[str]:
        for name, data in contents(self.work).items():
            if disk.TEMPORARY in name or name.endswith(LINES):
                continue
            if data not in (self.old.get(name), self.new.get(name), *self._between(name)):
                yield f"{name} is neither old nor new: {data[-60:]!r}"
        for name, data in self.old.items():
            path = self.work / name
            if name in self.new and disk.TEMPORARY not in name and not path.exists():
                yield f"{name} is gone"
            log = name.endswith(".jsonl") and name in self.new and self.name != "repair"
            if log and not path.read_bytes().startswith(data):
                yield f"{name} lost what it held"

    def _between(self, name: str) -> list[bytes]:
        """A file that is written twice has a whole state between; it has to be readable."""
        path = self.work / name
        plan = [path.read_bytes()] if name.endswith(".toml") and name in self.old else []
        return [*plan, *(text.encode() for text in self.writer.between)]

    def _opens(self) -> None:
        book = Cookbook.open(self.work)
        for cook in book.cooks():
            cook.load()
            cook.readings()

    def _wrong(self, where: str, fault: str) -> None:
        self.faults.append(f"{self.name}, {where}: {fault}")


def main(place: Path, ways: str, names: list[str]) -> None:
    told = {}
    for at, name in enumerate(names):
        sweep = Sweep(name, place / str(at))
        if "stops" in ways:
            sweep.stops(["", "lost", "zeros"] if "every" in ways else ["", "lost"])
        if "full" in ways:
            sweep.full(700 if "every" in ways else 50)
        if "refusals" in ways:
            sweep.refusals()
        told[name] = {"points": sweep.points, "calls": sweep.whole.calls, "faults": sweep.faults}
        shutil.rmtree(sweep.place, ignore_errors=True)
    print(json.dumps(told))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3:])
