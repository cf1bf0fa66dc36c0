"""One side of a comparison: an item's words, and where they come from."""

from vouchbook.models.decisions import Fields
from vouchbook.models.draft import Draft
from vouchbook.models.editions import Edition, ItemKind, Quoted, fields_of, quotes_of
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject


class Side(Record):
    """An item's fields and quotes; ``edition``, ``subject`` and ``visit`` are None for the draft at hand.

    ``position`` is its place in the list that it comes from, from 0.
    """

    kind: ItemKind
    item: str
    fields: Fields
    quotes: tuple[Quoted, ...] = ()
    position: int
    edition: int | None = None
    subject: Subject | None = None
    visit: str | None = None

    @property
    def name(self) -> str:
        """The item in a few words."""
        said = {
            "step": ("action", "object"),
            "tool": ("name", "fastener"),
            "location": ("part",),
            "warning": ("text",),
            "cue": ("text",),
        }[self.kind]
        return " ".join(str(self.fields[name]) for name in said if self.fields.get(name))

    @property
    def where(self) -> str:
        """Where it comes from, in words: "edition 3 of Norvik Hauler"."""
        if self.subject is None:
            return "this talk"
        return f"edition {self.edition} of {self.subject.maker} {self.subject.model}"


def draft_sides(draft: Draft) -> tuple[Side, ...]:
    """The items of ``draft`` in its order."""
    return tuple(
        Side(kind=i.kind, item=i.id, fields=fields_of(i), quotes=quotes_of(i.evidence), position=n)
        for n, i in enumerate(draft.items)
    )


def known_sides(edition: Edition) -> tuple[Side, ...]:
    """The items of ``edition`` as vouched, in its order."""
    return tuple(
        Side(
            kind=item.kind,
            item=item.key,
            fields=item.as_vouched,
            quotes=item.quotes,
            position=n,
            edition=edition.number,
            subject=edition.subject,
            visit=edition.visit.key,
        )
        for n, item in enumerate(edition.items)
    )
