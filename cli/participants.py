"""``vouchbook participants``: who is heard or seen in a visit, named later or put right."""

from typing import TYPE_CHECKING, Annotated

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say
from vouchbook.cli.taking_part import Persons, participant_of, person_of
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from vouchbook.library.open import Library
    from vouchbook.models.people import Actor
    from vouchbook.models.visits import Participant

NAME = "participants"
SUMMARY = "Who is heard or seen in a visit."
HELP = """List who is written down as taking part in VISIT, and the voices of its talk that are nobody's yet.

--person writes down whoever was forgotten, --correct puts right how somebody is written down. What they agree to is
written down with `vouchbook consent`: a person who is not named can neither give consent nor withdraw it.

\b
Examples:
  vouchbook participants 1
  vouchbook participants 1 --person "Dov Almar=technician=Dov" --person "Ruta Venn=officer" --as olin
  vouchbook participants 1 --correct 2 --person "Ruta Venn=officer=Ruta" --as olin
"""


def run(
    visit: Annotated[int, typer.Argument(metavar="VISIT", help="The number of the visit.")],
    person: Persons = None,
    correct: Annotated[
        str | None,
        typer.Option("--correct", metavar="WHO", help="A number or name that is there; --person says what is right."),
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """What was written down, then everybody of the visit, line by line."""
    people = [person_of(one) for one in person or ()]
    if correct is not None and len(people) != 1:
        raise SettingError("participants --correct: say once with --person how they are to be written down.")
    with opened(library, media) as kept:
        if correct is not None:
            _correct(kept, acting(kept, login), visit, correct, people[0])
        elif people:
            _add(kept, acting(kept, login), visit, people)
        _list(kept, visit)


def _add(library: "Library", actor: "Actor", visit: int, people: "list[Participant]") -> None:
    """All of them, or none where one cannot be."""
    from vouchbook.library.visits.participants import add_participant

    with library.work(actor) as work:
        for one in people:
            add_participant(work, visit, one)


def _correct(library: "Library", actor: "Actor", visit: int, who: str, right: "Participant") -> None:
    from vouchbook.library.visits.participants import correct_participant

    with library.reading() as session:
        number = participant_of(session, visit, who).participant_id
    with library.work(actor) as work:
        correct_participant(work, number, right)


def _list(library: "Library", visit: int) -> None:
    from vouchbook.library.keeping.consent import consents_of
    from vouchbook.library.visits.participants import voices_of_nobody

    with library.reading() as session:
        voices = voices_of_nobody(session, visit)
        standings = consents_of(session, visit)
    for one in standings:
        voice = f", voice {one.participant.voice}" if one.participant.voice else ""
        asked = "" if one.history else "; nothing written down of what they agree to"
        say(f"{one.participant_id:4}  {one.participant.name} ({one.participant.part}{voice}){asked}")
    for voice in voices:
        say(f"   ?  voice {voice}: nobody is written down for it")
    if not standings and not voices:
        say("Nobody is written down as taking part.")
