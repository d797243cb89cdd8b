"""`film`: what to show of a cook, which shots are missing, chapters, captions, the still of its page."""

from __future__ import annotations

import argparse
import datetime as dt
from typing import TYPE_CHECKING, Any

from stallwise.cli.common import add_json, now, open_cook, print_json
from stallwise.ground.errors import InputError, NotFoundError

if TYPE_CHECKING:
    from stallwise.joins.film.shots import Picture
    from stallwise.record.cookfolder import CookFolder


def add_film(parser: argparse.ArgumentParser) -> None:
    """Options of `film`."""
    parser.add_argument("cook", metavar="COOK", help="folder or name of the cook")
    parser.add_argument(
        "--start", metavar="TIME", help="when the film begins: its chapters from the log, as text"
    )
    parser.add_argument(
        "--captions", action="store_true", help="captions from the log for pictures that have none"
    )
    parser.add_argument("--accept", action="store_true", help="write these captions")
    parser.add_argument("--still", metavar="FILE", help="the picture that stands first on the page")
    add_json(parser)


def film(args: argparse.Namespace) -> int:
    """Say what to show of a cook, and what of it is missing."""
    if args.accept and not args.captions:
        raise InputError("--accept without --captions", "both", "See: stallwise film --help")
    _, folder = open_cook(args)
    if args.still is not None:
        return _still(folder, args.still, as_json=args.json)
    if args.start is not None:
        return _chapters(folder, args.start, as_json=args.json)
    if args.captions:
        return _captions(folder, accept=args.accept, as_json=args.json)
    return _shots(folder, as_json=args.json)


def _pictures(folder: CookFolder) -> list[Picture]:
    """Pictures of a cook with the time of each, by its camera's clock put right."""
    from stallwise.joins.film.shots import Picture
    from stallwise.record.camera import shift_of
    from stallwise.record.photos import taken_of
    from stallwise.record.store import PHOTO_BYTES

    cook = folder.read()
    shift_s, zone = shift_of(cook.camera or ""), folder.home.zone_of(cook)
    listed = {p.name: p for p in folder.home.listing(folder.path / "photos", copies=True)}
    found = []
    for photo in cook.photos:
        path = listed.get(photo.file)
        taken = taken_of(folder.store.read_bytes(path, PHOTO_BYTES)) if path else None
        found.append(Picture(photo.file, photo.caption, taken.at(zone, shift_s) if taken else None))
    return found


def _shots(folder: CookFolder, *, as_json: bool) -> int:
    from stallwise.joins.ask import ask
    from stallwise.joins.film.shots import missing, shots
    from stallwise.joins.result import to_plain
    from stallwise.surfaces.shotprint import shots_text

    record = folder.load()
    # What is done counts up to the last line, also of a cook that is over.
    last = max((line.at for line in record.log), default=None)
    as_of = last and f"{last.astimezone(record.zone) + dt.timedelta(minutes=1):%Y-%m-%d %H:%M}"
    result = ask(record, as_of=as_of, made_at=now())
    pictures = _pictures(folder)
    found = shots(result, pictures)
    gone = missing(found)
    if as_json:
        rows = [{**to_plain(shot), "missing": shot in gone} for shot in found]
        print_json({"shots": rows, "without_time": [p.file for p in pictures if p.at is None]})
        return 0
    print(shots_text(result), end="")
    for file in (p.file for p in pictures if p.at is None):
        print(f"{file} does not say when it was taken.")
    if gone:
        print("\nLogged, and no picture of it:")
    for shot in gone:
        who = f" {shot.who}" if shot.who else ""
        print(f"  {shot.step}{who}: {shot.show}")
    if not gone and any(shot.done for shot in found):
        print("\nThere is a picture of every step that was logged.")
    return 0


def _chapters(folder: CookFolder, start: str, *, as_json: bool) -> int:
    from stallwise.joins.film.chapters import chapter_text, chapters
    from stallwise.joins.log.papercontext import paper_context
    from stallwise.record.clocks import moment

    record = folder.load(readings=False)
    begins = moment(start, record.cook.date, record.zone)
    found = chapters(record.log, begins, paper_context(record))
    if as_json:
        print_json({"chapters": [{"at_s": one.at_s, "words": one.words} for one in found]})
        return 0
    print(chapter_text(found), end="")
    return 0


def _captions(folder: CookFolder, *, accept: bool, as_json: bool) -> int:
    from stallwise.joins.log.papercontext import paper_context
    from stallwise.joins.log.snapshots import snapshot
    from stallwise.record.camera import Taken

    record = folder.load(readings=False)
    context = paper_context(record)
    rows: list[dict[str, Any]] = []
    for picture in _pictures(folder):
        if picture.caption:
            continue
        at = picture.at and picture.at.astimezone(context.zone)
        taken = at and Taken(at.replace(tzinfo=None), at.utcoffset())
        found = snapshot(taken or None, record.log, context, 0.0)
        rows.append({"file": picture.file, "caption": found.caption, "why": found.words})
    ready = {row["file"]: row["caption"] for row in rows if row["caption"]}
    if accept and ready:
        folder.save({f"photos.{file}.caption": words for file, words in ready.items()})
    if as_json:
        print_json({"captions": rows, "written": len(ready) if accept else 0})
        return 0
    for row in rows:
        print(f"{row['file']}: {row['caption'] or 'none'} ({row['why']})")
    if not rows:
        print("Every picture has a caption.")
    elif accept:
        print(f"{len(ready)} written.")
    elif ready:
        print("Write them with --accept; mend them in cook.toml.")
    return 0


def _still(folder: CookFolder, name: str, *, as_json: bool) -> int:
    photos = folder.read().photos
    if name not in {photo.file for photo in photos}:
        raise NotFoundError("picture of this cook", name, [photo.file for photo in photos])
    folder.save(
        {f"photos.{photo.file}.lead": (True if photo.file == name else None) for photo in photos}
    )
    if as_json:
        print_json({"still": name})
        return 0
    print(f"{name} stands first on the page.")
    return 0
