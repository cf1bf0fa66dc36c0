"""What reading makes of one visit: items in procedure order, and what the talk left open."""

import json
from typing import Any, ClassVar, Self

from pydantic import Field, ValidationError, model_validator

from vouchbook.models.errors import DocumentError
from vouchbook.models.items import Item, StepItem, WarningItem
from vouchbook.models.migrations import DRAFT_STEPS, upgrade
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.record import Record
from vouchbook.models.transcript import Transcript

CAUTION = (
    "For training and pre-planning. The maker's emergency guide and the authority having jurisdiction come first; "
    "nothing here is confirmed until a named person has vouched for it."
)


class ReadBy(Record):
    """What read the transcript; the same again gives the same draft."""

    vouchbook: str
    language_model: str
    packs: tuple[str, ...]


class Picture(Record):
    """A still of the film: ``file``, relative to the stored draft, shows the item or question with the id ``shows``."""

    shows: str = Field(pattern=r"^[iq][0-9]+$")
    file: str = Field(min_length=1)


class Draft(Record):
    """Items and open questions of one visit, with the transcript that they quote."""

    VERSION: ClassVar[int] = 3

    version: int = VERSION
    caution: str = CAUTION
    subject: str = ""
    read_by: ReadBy
    items: tuple[Item, ...] = ()
    open_questions: tuple[OpenQuestion, ...] = ()
    pictures: tuple[Picture, ...] = ()
    transcript: Transcript = Field(default_factory=Transcript)

    @model_validator(mode="after")
    def _ids_are_unique(self) -> Self:
        for records in (self.items, self.open_questions):
            ids = [record.id for record in records]
            if len(set(ids)) != len(ids):
                raise ValueError("two entries share an id")
        return self

    @model_validator(mode="after")
    def _guards_and_branches_name_steps(self) -> Self:
        """A warning stands before all that it guards, and another way behind all that it replaces."""
        place_of = {item.id: place for place, item in enumerate(self.items) if isinstance(item, StepItem)}
        for place, item in enumerate(self.items):
            named = _steps_named(item)
            for step in named:
                if step not in place_of:
                    raise ValueError(f"{item.id} names {step}, which is no step of this draft")
            if len(set(named)) != len(named):
                raise ValueError(f"{item.id} names a step twice")
            if isinstance(item, WarningItem) and any(place_of[step] < place for step in named):
                raise ValueError(f"warning {item.id} stands behind a step that it guards")
            if isinstance(item, StepItem) and any(place_of[step] >= place for step in named):
                raise ValueError(f"step {item.id} replaces itself or a later step")
        return self

    @model_validator(mode="after")
    def _evidence_is_of_this_transcript(self) -> Self:
        for record in (*self.items, *self.open_questions):
            for evidence in record.evidence:
                evidence.check_against(self.transcript)
        return self

    @model_validator(mode="after")
    def _pictures_show_something(self) -> Self:
        known = {record.id for record in (*self.items, *self.open_questions)}
        for picture in self.pictures:
            if picture.shows not in known:
                raise ValueError(f"picture {picture.file!r} shows {picture.shows}, which is no entry of this draft")
        return self

    def to_json(self) -> str:
        """The stored form: UTF-8 text, keys in a fixed order, ends with a line break."""
        return self.model_dump_json(indent=1, exclude_none=False) + "\n"


def _steps_named(item: Item) -> tuple[str, ...]:
    """The ids of the steps that a warning guards, or that a step replaces."""
    if isinstance(item, WarningItem):
        return item.guards
    return item.instead_of if isinstance(item, StepItem) else ()


def draft_from_json(text: str, name: str) -> Draft:
    """The draft stored in ``text``, brought up to the current version, every quote checked against its transcript.

    Raises:
        DocumentError: not a draft, from a newer Vouchbook, or with a quote that the transcript does not hold.
    """
    try:
        data: Any = json.loads(text)
    except ValueError as error:
        raise DocumentError(name, f"not JSON ({error})", "Give a draft that Vouchbook wrote") from error
    data = upgrade(data, name, "draft", Draft.VERSION, DRAFT_STEPS)
    try:
        transcript = Transcript.model_validate(data.get("transcript", {}))
        return Draft.model_validate(data, context={"transcript": transcript})
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = ".".join(str(part) for part in first["loc"])
        raise DocumentError(
            name, f"not a sound draft at {place or 'top'}: {first['msg']}", "Make the draft again"
        ) from error
