"""From what was found to records: ids, topics, evidence, confidence."""

from collections.abc import Sequence
from typing import Any

from vouchbook.extract.read.confidence import confidence
from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.talk import Talk
from vouchbook.models.evidence import Evidence, quote
from vouchbook.models.items import CueItem, Item, LocationItem, StepItem, ToolItem, WarningItem
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion

_RECORDS: dict[str, type[StepItem | ToolItem | LocationItem | WarningItem | CueItem]] = {
    "step": StepItem, "tool": ToolItem, "location": LocationItem, "warning": WarningItem, "cue": CueItem,
}  # fmt: skip


def item(talk: Talk, number: int, found: Found, phase: Phase) -> Item:
    """The record of ``found``, with its evidence cut from the transcript."""
    evidence = _evidence(talk, found)
    repaired = any(
        m.is_repaired and m.entry.kind != "verb"
        for m in talk.mentions_in(found.start, found.end, "part", "tool", "fastener")
    )
    score, reasons = confidence(found, evidence, talk.transcript, repaired=repaired)
    fields: dict[str, Any] = dict(found.fields)
    if found.kind in {"step", "tool"}:
        fields["size_said"] = found.size.quantity if found.size else None
        fields["count_said"] = found.count.quantity if found.count else None
    return _RECORDS[found.kind](
        id=f"i{number}", phase=phase, evidence=evidence, confidence=score, reasons=reasons, **fields
    )


def _evidence(talk: Talk, found: Found) -> tuple[Evidence, ...]:
    ranges = [(talk.word(found.start), talk.word(found.end - 1))]
    ranges += [(talk.word(start), talk.word(end - 1)) for start, end in found.also]
    for said in (found.size, found.count):
        if said and not any(first <= said.first and said.last <= last for first, last in ranges):
            ranges.append((said.first, said.last))
    return tuple(quote(talk.transcript, first, last) for first, last in dict.fromkeys(ranges))


def question(talk: Talk, number: int, raised: Raised) -> OpenQuestion:
    """The record of ``raised``; it stands at the words that raised it, at its seconds, or at the end of the talk."""
    evidence = tuple(quote(talk.transcript, first, last) for first, last in raised.spans)
    if evidence:
        start, end = evidence[0].start_s, max(e.end_s for e in evidence)
    else:
        start, end = raised.seconds or (0.0, talk.transcript.duration_s)
    ranges = tuple((e.start_s, e.end_s) for e in evidence) if raised.kind == "conflict" else ()
    return OpenQuestion(
        id=f"q{number}", kind=raised.kind, start=start, end=end, about=raised.about, ask=raised.ask,
        evidence=evidence, phase=raised.phase, ranges=ranges,
    )  # fmt: skip


def said_anywhere(found: Sequence[Found]) -> list[Said]:
    """Every size and count that ``found`` rests on."""
    return [said for f in found for said in (f.size, f.count) if said]
