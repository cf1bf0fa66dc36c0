"""One walk-through: what, where, when, who was in it, and what they agreed to."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, StringConstraints, model_validator

from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject

Part = Literal["officer", "technician", "other"]
Covers = Literal["voice", "picture", "name"]
MediumRole = Literal["recording", "captions", "still", "other"]

Text = Annotated[str, StringConstraints(strip_whitespace=True, pattern=r"^[^\x00-\x08\x0b-\x1f\x7f]*$")]


class Consent(Record):
    """What a person agreed to (``given``), or no longer agrees to, and who wrote it down. The last one counts."""

    given: bool
    covers: frozenset[Covers] = Field(min_length=1)
    at: AwareDatetime
    recorded_by: int = Field(ge=1)
    note: Text = ""


class Participant(Record):
    """Somebody who is heard or seen. ``voice`` is the name under which the transcript has what they say."""

    name: Annotated[Text, Field(min_length=1, max_length=120)]
    part: Part
    voice: Annotated[Text, Field(min_length=1)] | None = None


class Visit(Record):
    """A walk-through of ``subject``. ``key`` is its name everywhere, also in another library: a UUID in small letters.

    ``recorded_by`` is the number of the person who recorded it, None where that was nobody of the department.
    """

    key: str = Field(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")
    subject: Subject
    place: Annotated[Text, Field(max_length=200)] = ""
    held_on: date
    recorded_by: int | None = Field(default=None, ge=1)
    note: Annotated[Text, Field(max_length=4000)] = ""
    participants: tuple[Participant, ...] = ()

    @model_validator(mode="after")
    def _voices_are_unique(self) -> Self:
        voices = [participant.voice for participant in self.participants if participant.voice is not None]
        if len(set(voices)) != len(voices):
            raise ValueError("two participants have the same voice")
        return self
