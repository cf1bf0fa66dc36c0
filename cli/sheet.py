"""A draft as Markdown: the same order and words as in the terminal, for editors, printing and mail."""

import re
from collections.abc import Iterator, Mapping

from vouchbook.cli.layout import Section, question_groups, sections
from vouchbook.cli.phrases import certainty, place_in, statement
from vouchbook.models.clock import clock
from vouchbook.models.draft import Draft
from vouchbook.models.items import Item, WarningItem
from vouchbook.models.questions import WITHOUT_WORDS
from vouchbook.models.transcript import Transcript


def markdown(draft: Draft) -> str:
    """The sheet, with the draft's pictures at the steps and questions that they show."""
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
        for warning in block.warnings:
            yield f"> {_warning(warning, transcript)}\n"
        yield f"{block.number}. {_item(block.step, transcript)}{_still(stills, block.step.id)}"
        for tool in block.tools:
            yield f"    - Tool: {_item(tool, transcript)}"
    if section.tools:
        yield ""
    for tool in section.tools:
        yield f"- Tool: {_item(tool, transcript)}"


def _warning(warning: WarningItem, transcript: Transcript) -> str:
    hazard = f" ({warning.hazard})" if warning.hazard != "other" else ""
    return f"**{warning.signal.upper()}** {_item(warning, transcript)}{hazard}"


def _item(item: Item, transcript: Transcript) -> str:
    voice = f"{_plain(item.evidence[0].voice)}, " if item.evidence[0].voice else ""
    support = f"*“{_plain(item.quote)}”* {voice}{place_in(transcript, item.start)}, {certainty(item.confidence)}"
    return f"**{_plain(statement(item))}** {support}"


def _still(stills: Mapping[str, str], entry_id: str) -> str:
    return f"\n\n    ![picture](<{stills[entry_id]}>)\n" if entry_id in stills else ""


def _plain(text: str) -> str:
    """Words of a talk are no markup: what Markdown or HTML would take for a sign of theirs is escaped."""
    return "".join(f"\\{character}" if character in r"\`*_[]<>#|" else character for character in text)
