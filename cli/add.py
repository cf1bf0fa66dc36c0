"""``vouchbook add``: a visit with its draft and its files into the library."""

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, day_of, opened
from vouchbook.cli.plain import say
from vouchbook.cli.taking_part import Persons, person_of
from vouchbook.models.errors import InputError, SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library
    from vouchbook.library.visits.bring import File
    from vouchbook.models.draft import Draft
    from vouchbook.models.people import Actor
    from vouchbook.models.visits import Visit

NAME = "add"
SUMMARY = "A visit with its draft and its files into the library."
HELP = """Add DRAFT, as `vouchbook draft` stored it, with the recordings or captions it was made of, as one visit.

The pictures of the draft come along. The same again changes nothing. Reviewers then decide on it.

\b
Examples:
  vouchbook add visit.draft.json visit.mp4 --kind loader --maker Halden --model L4 --energy battery --as olin
  vouchbook add talk.draft.json talk.vtt --kind lift --held 2031-03-01 --place "Northfield yard" \\
      --person "Dov Almar=technician" --as olin
"""


@dataclass(frozen=True)
class About:
    """What the options say about the visit."""

    kind: str
    maker: str = ""
    model: str = ""
    years: str = ""
    energy: str | None = None
    place: str = ""
    held: str | None = None
    people: list[str] = field(default_factory=list)


def run(
    draft: Annotated[Path, typer.Argument(metavar="DRAFT", help="NAME.draft.json.")],
    files: Annotated[list[Path] | None, typer.Argument(metavar="FILE", help="What it was made of, in order.")] = None,
    kind: Annotated[str, typer.Option("--kind", metavar="KIND", help="What kind of machine: loader, lift.")] = "",
    maker: Annotated[str, typer.Option("--maker", help="Who makes it.")] = "",
    model: Annotated[str, typer.Option("--model", help="Its model.")] = "",
    years: Annotated[str, typer.Option("--years", metavar="2029-2031", help="Its model years.")] = "",
    energy: Annotated[str | None, typer.Option("--energy", help="What drives it: battery, diesel, mains.")] = None,
    place: Annotated[str, typer.Option("--place", help="Where the visit was.")] = "",
    held: Annotated[
        str | None, typer.Option("--held", metavar="DAY", callback=day_of("day"), help="When; today without it.")
    ] = None,
    person: Persons = None,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The visit in the library, and the number of its draft."""
    from vouchbook.library.visits.bring import bring

    if not kind.strip():
        raise SettingError("add: nobody said what kind of machine it is. Give --kind, such as --kind loader.")
    read = _read(draft)
    with opened(library, media) as kept:
        actor = acting(kept, login)
        about = About(kind, maker, model, years, energy, place, held, person or [])
        added = bring(kept, actor, _visit(kept, actor, about), read, _files(draft, read, files or []))
    if added.is_new:
        say(f"Draft {added.draft_id} of visit {added.visit_id}: `vouchbook review {added.draft_id}`")
    else:
        say(f"Draft {added.draft_id} of visit {added.visit_id} was there already.")
        if person:
            say(f"Nobody was written down: `vouchbook participants {added.visit_id} --person NAME=PART`")


def _read(path: Path) -> "Draft":
    from vouchbook.models.draft import draft_from_json
    from vouchbook.models.errors import DocumentError

    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise DocumentError(path.name, "it is not text", "Give NAME.draft.json") from error
    except OSError as error:
        raise InputError(path.name, f"cannot be read ({error.strerror})", "Check the file") from error
    return draft_from_json(text, path.name)


def _files(path: Path, draft: "Draft", given: list[Path]) -> "list[File]":
    """The files that were given, and the stills of the draft that are there."""
    from vouchbook.extract.run import is_captions
    from vouchbook.library.visits.bring import File

    stills = dict.fromkeys(path.parent / picture.file for picture in draft.pictures)
    files = [File(path=one, role="captions" if is_captions(one) else "recording") for one in given]
    return files + [File(path=still, role="still") for still in stills if still.is_file()]


def _visit(library: "Library", actor: "Actor", about: About) -> "Visit":
    from pydantic import ValidationError

    from vouchbook.library.visits.visits import new_key
    from vouchbook.models.subjects import Subject
    from vouchbook.models.visits import Visit

    first, _, last = about.years.replace("\u2013", "-").partition("-")
    years = [int(year) if year.strip().isdigit() else None for year in (first, last or first)]
    if about.years and None in years:
        raise SettingError(f"add: {about.years!r} are no years. Give them as 2029-2031, or one year.")
    fields = {"kind": about.kind, "maker": about.maker, "model": about.model, "energy": about.energy}
    try:
        return Visit(
            key=new_key(),
            subject=Subject.model_validate({**fields, "years_from": years[0], "years_to": years[1]}),
            place=about.place,
            held_on=date.fromisoformat(about.held) if about.held else library.clock().date(),
            recorded_by=actor.person,
            participants=tuple(person_of(one) for one in about.people),
        )
    except ValidationError as error:
        first_error = error.errors(include_url=False)[0]
        raise SettingError(
            f"add: the {first_error['loc'][0] if first_error['loc'] else 'visit'} cannot be ({first_error['msg']}). "
            "Give another."
        ) from None
