"""Those who take part in a visit, as commands name them. Light to import: ``vouchbook --help`` reads it."""

from typing import TYPE_CHECKING, Annotated, get_args

import typer

from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from vouchbook.library.keeping.consent import Standing
    from vouchbook.models.visits import Participant

Persons = Annotated[
    list[str] | None,
    typer.Option(
        "--person",
        metavar="NAME=PART",
        help="Who is heard: officer, technician or other; a voice of the talk may follow: NAME=PART=VOICE.",
    ),
]


def person_of(given: str) -> "Participant":
    """Somebody as ``--person`` names them. A part that was left out is asked for: by it is told who asks and who knows.

    Raises:
        SettingError: nobody is named, or the part is none.
    """
    from vouchbook.models.visits import Part, Participant

    name, part, voice = (one.strip() for one in (*given.split("=", 2), "", "")[:3])
    problem = ""
    if not name:
        problem = "nobody is named"
    elif part not in get_args(Part):
        problem = f"{part!r} is no part" if part else "no part is said"
    elif "=" in voice:
        problem = "it has too many parts"
    if problem:
        wanted = f"NAME=PART or NAME=PART=VOICE, where PART is one of {', '.join(get_args(Part))}"
        raise SettingError(f"--person {given[:80]!r}: {problem}. Give {wanted}.")
    return Participant.model_validate({"name": name, "part": part, "voice": voice or None})


def participant_of(session: "Session", visit: int, who: str) -> "Standing":
    """The participant of that number or name.

    Raises:
        NotFoundError: no such visit.
        SettingError: nobody of it, or more than one.
    """
    from vouchbook.library.actor import found
    from vouchbook.library.keeping.consent import consents_of
    from vouchbook.library.store.tables import VisitRow

    found(session, VisitRow, visit, "visit")
    there = consents_of(session, visit)
    wanted = " ".join(who.split())
    known = [one for one in there if str(one.participant_id) == wanted] or [
        one for one in there if " ".join(one.participant.name.split()).casefold() == wanted.casefold()
    ]
    if len(known) != 1:
        problem = f"{len(known)} people have that name" if known else "it has nobody of that number or name"
        raise SettingError(
            f"visit {visit}, {wanted[:80]!r}: {problem}. Take the number of `vouchbook consent list {visit}`."
        )
    return known[0]
