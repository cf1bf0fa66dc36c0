"""Findings of a plain reader as a draft, so that whoever scores drafts can score it."""

from collections.abc import Iterator, Sequence

from reading.findings import Finding, Span
from vouchbook.models.draft import Draft, ReadBy
from vouchbook.models.evidence import Evidence, quote
from vouchbook.models.items import CueItem, Item, LocationItem, StepItem, ToolItem, WarningItem
from vouchbook.models.phases import Phase
from vouchbook.models.quantities import Quantity
from vouchbook.models.transcript import Transcript

LONGEST = 40
"""Words of a quote; a sentence without punctuation may run on for a minute."""
_RECORDS: dict[str, type[StepItem | ToolItem | LocationItem | WarningItem | CueItem]] = {
    "step": StepItem, "tool": ToolItem, "location": LocationItem, "warning": WarningItem, "cue": CueItem,
}  # fmt: skip


def draft_of(transcript: Transcript, findings: Sequence[Finding], reader: str) -> Draft:
    """The draft of what ``reader`` found in ``transcript``.

    A plain reader knows neither topics nor questions: every item stands under "other", in the order of the talk, and
    nothing is asked. Findings that the same words say twice are kept once, and a step needs a thing that it is done to.
    """
    once = {(f.kind, f.span[0], tuple(f.fields.items()), f.size): f for f in findings if _is_item(f)}
    return Draft(
        read_by=ReadBy(vouchbook=reader, language_model="", packs=()),
        items=tuple(_items(transcript, sorted(once.values(), key=lambda f: f.span))),
        transcript=transcript,
    )


def _is_item(finding: Finding) -> bool:
    return finding.kind in _RECORDS and (finding.kind != "step" or bool(finding.fields["object"]))


def _items(transcript: Transcript, findings: Sequence[Finding]) -> Iterator[Item]:
    for number, finding in enumerate(findings, start=1):
        evidence: tuple[Evidence, ...] = (quote(transcript, *_short(finding.span)),)
        more: dict[str, object] = {}
        if finding.size and finding.size_at:
            evidence = (*evidence, quote(transcript, *finding.size_at))
            more["size_said"] = Quantity(
                normal=finding.size, dimension="number", said=transcript.text(*finding.size_at)
            )
        if finding.kind == "warning":
            more["signal_reason"] = "by a list of words"
        record = _RECORDS[finding.kind]
        item = record.model_validate(
            {
                "id": f"i{number}",
                "phase": Phase.OTHER,
                "evidence": evidence,
                "confidence": 0.5,
                "reasons": ("found by a plain reader",),
                **finding.fields,
                **more,
            },
            context={"transcript": transcript},
        )
        yield item


def _short(span: Span) -> Span:
    return span[0], min(span[1], span[0] + LONGEST - 1)
