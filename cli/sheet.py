"""A draft as Markdown: the same order and words as in the terminal, for editors, printing and mail."""

import re
from collections.abc import Iterator, Mapping, Sequence

from vouchbook.cli.layout import Section, Way, question_groups, sections
from vouchbook.cli.phrases import (
    branch_heading,
    certainty,
    place_in,
    signal_reason,
    statement,
    statement_in_branch,
    steps_told,
)
from vouchbook.cli.plain_records import plain_record
from vouchbook.models.clock import clock
from vouchbook.models.draft import Draft
from vouchbook.models.items import Item, WarningItem
from vouchbook.models.questions import WITHOUT_WORDS
from vouchbook.models.transcript import Transcript


def markdown(draft: Draft) -> str:
    """The sheet, with the draft's pictures at the steps and questions that they show."""
    draft = plain_record(draft)
    text = "\n".join(_lines(draft, {picture.shows: picture.file for picture in draft.pictures}))
    return re.sub(r"\n{3,}", "\n\n", text).rstrip("\n") + "\n"


def _lines(draft: Draft, stills: Mapping[str, str]) -> Iterator[str]:
    transcript = draft.transcript
    yield f"# Draft: {_plain(draft.subject or ', '.join(source.name for source in transcript.sources))}\n"
    yield f"> **{_plain(draft.caution)}**\n"
    for number, source in enumerate(transcript.sources, 1):
        length = f", {clock(source.duration_s)}" if source.duration_s is not None else ""
        yield f"- {number}: {_plain(source.name)}{length}, SHA-256 `{source.sha256}`"
    yield f"- Read by Vouchbook {draft.read_by.vouchbook} with {', '.join(draft.read_by.packs)}"
    if transcript.made_by:
        yield f"- Words from {_plain(transcript.made_by)}"
    for note in transcript.notes:
        yield f"- Note: {_plain(note)}"
    for section in sections(draft):
        yield from _section(section, transcript, stills)
    groups = question_groups(draft.open_questions)
    if groups:
        yield "\n## Open questions for the next visit"
    for heading, questions in groups:
        yield f"\n### {heading}\n"
        for question in questions:
            when = "" if question.kind in WITHOUT_WORDS else f"{place_in(transcript, question.start)} "
            said = "".join(f" *“{_plain(evidence.quote)}”*" for evidence in question.evidence)
            yield f"- [ ] {when}{_plain(question.ask)}{said}{_still(stills, question.id)}"


def _section(section: Section, transcript: Transcript, stills: Mapping[str, str]) -> Iterator[str]:
    yield f"\n## {section.title}\n"
    for warning in section.warnings:
        yield f"- {_warning(warning, transcript)}"
    for cue in section.cues:
        yield f"- Sign: {_item(cue, transcript)}"
    for location in section.locations:
        yield f"- Where: {_item(location, transcript)}"
    for block in section.steps:
        yield ""
        for front in block.warnings:
            yield f"> {_warning(front.warning, transcript, front.also_before)}\n"
        yield f"{block.number}. {_item(block.step, transcript)}{_still(stills, block.step.id)}"
        for tool in block.tools:
            yield f"    - Tool: {_item(tool, transcript)}"
        for way in block.ways:
            yield from _way(way, transcript, stills)
    if section.tools:
        yield ""
    for tool in section.tools:
        yield f"- Tool: {_item(tool, transcript)}"


def _way(way: Way, transcript: Transcript, stills: Mapping[str, str]) -> Iterator[str]:
    """Another way as a list of its own under the step that it replaces."""
    yield f"    - **{_plain(branch_heading(way.label, way.instead_of))}**"
    for block in way.steps:
        for front in block.warnings:
            yield f"        - {_warning(front.warning, transcript, front.also_before)}"
        told = f"**{_plain(statement_in_branch(block.step))}** {_support(block.step, transcript)}"
        yield f"        - **{block.number}** {told}{_still(stills, block.step.id, indent=10)}"
        for tool in block.tools:
            yield f"            - Tool: {_item(tool, transcript)}"


def _warning(warning: WarningItem, transcript: Transcript, also_before: Sequence[str] = ()) -> str:
    hazard = f" ({warning.hazard})" if warning.hazard != "other" else ""
    also = f" Also before {steps_told(also_before)}." if also_before else ""
    reason = f" {_plain(signal_reason(warning))}."
    return f"**{warning.signal.upper()}** {_item(warning, transcript)}{hazard}.{reason}{also}"


def _item(item: Item, transcript: Transcript) -> str:
    return f"**{_plain(statement(item))}** {_support(item, transcript)}"


def _support(item: Item, transcript: Transcript) -> str:
    voice = f"{_plain(item.evidence[0].voice)}, " if item.evidence[0].voice else ""
    return f"*“{_plain(item.quote)}”* {voice}{place_in(transcript, item.start)}, {certainty(item.confidence)}"


def _still(stills: Mapping[str, str], entry_id: str, indent: int = 4) -> str:
    return f"\n\n{' ' * indent}![picture](<{stills[entry_id]}>)\n" if entry_id in stills else ""


def _plain(text: str) -> str:
    """Words of a talk are no markup: what Markdown or HTML would take for a sign of theirs is escaped."""
    return "".join(f"\\{character}" if character in r"\`*_[]<>#|" else character for character in text)
