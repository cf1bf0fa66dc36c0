"""From what was found to records: ids, topics, evidence, confidence."""

from collections.abc import Iterable
from typing import Any

from vouchbook.extract.read.confidence import confidence
from vouchbook.extract.read.found import Found, Placed, Tie
from vouchbook.extract.read.hedges import hedge_in
from vouchbook.extract.read.items.registry import KINDS
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.talk import Talk
from vouchbook.models.evidence import Evidence, quote
from vouchbook.models.items import Item, SizedItem
from vouchbook.models.questions import OpenQuestion


def item(talk: Talk, number: int, placed: Placed) -> Item:
    """The record of an item, with its evidence cut from the transcript.

    ``number`` counts the items from 1 in the order of the list, so that ties to places on it become ids.
    """
    found, record = placed.found, KINDS[placed.found.kind].record
    evidence = _evidence(talk, found)
    repaired, unsure = is_repaired(talk, found), doubted_in(talk, found)
    score, reasons = confidence(found, evidence, talk.transcript, is_repaired=repaired, unsure=unsure)
    fields: dict[str, Any] = dict(found.fields)
    if issubclass(record, SizedItem):
        fields["size_said"] = found.size.quantity if found.size else None
        fields["count_said"] = found.count.quantity if found.count else None
    if found.kind == "warning":
        fields["guards"] = _ids(placed.guards)
    if placed.branch:
        fields |= {"branch": placed.branch.label, "instead_of": _ids(placed.branch.instead_of)}
    return record(id=f"i{number}", phase=placed.phase, evidence=evidence, confidence=score, reasons=reasons, **fields)


def _ids(ties: Iterable[Tie]) -> tuple[str, ...]:
    return tuple(f"i{tie.step + 1}" for tie in ties)


def question(talk: Talk, number: int, raised: Raised) -> OpenQuestion:
    """The record of ``raised``; it stands at the words that raised it, at its seconds, or over the whole talk."""
    evidence = tuple(quote(talk.transcript, first, last) for first, last in raised.spans)
    if evidence:
        start, end = evidence[0].start_s, max(e.end_s for e in evidence)
    else:
        start, end = raised.seconds or (0.0, talk.transcript.duration_s)
    return OpenQuestion(
        id=f"q{number}", kind=raised.kind, start=start, end=end, about=raised.about, ask=raised.ask,
        evidence=evidence, phase=raised.phase,
        ranges=tuple((e.start_s, e.end_s) for e in evidence) if raised.kind == "conflict" else (),
    )  # fmt: skip


def _evidence(talk: Talk, found: Found) -> tuple[Evidence, ...]:
    """The words that say it, those that support it, and those of its size and count where they stand elsewhere."""
    tokens = ((found.start, found.end), *found.also)
    ranges = [(talk.word(start), talk.word(end - 1)) for start, end in tokens]
    for said in (found.size, found.count):
        if said and not any(first <= said.first and said.last <= last for first, last in ranges):
            ranges.append((said.first, said.last))
    return tuple(quote(talk.transcript, first, last) for first, last in dict.fromkeys(ranges))


def is_repaired(talk: Talk, found: Found) -> bool:
    """Whether a thing in it is known by its sound or a slip of spelling only."""
    named = talk.mentions_in(found.start, found.end, "part", "tool", "fastener")
    return any(mention.is_repaired for mention in named)


def doubted_in(talk: Talk, found: Found) -> str:
    """The words in which its speaker doubts it: "I'd have to check"; "" where he does not."""
    hedge = hedge_in(talk, found.start, found.end)
    return text_of(talk.doc, *hedge.by) if hedge else ""
