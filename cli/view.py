"""A draft as a person wants to read it in a terminal: cautions first, steps with warnings, then open questions."""

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from vouchbook.cli.layout import Section, StepBlock, WarningBlock, question_groups, sections
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
from vouchbook.models.items import Item, Signal, StepItem
from vouchbook.models.questions import WITHOUT_WORDS, OpenQuestion
from vouchbook.models.transcript import Transcript

SIGNAL_STYLES: dict[Signal, str] = {
    "danger": "bold white on #c8102e",
    "warning": "bold black on #ff8200",
    "caution": "bold black on #ffd100",
    "notice": "bold italic white on #003da5",
}
"""ANSI Z535.4: white on safety red, black on safety orange, black on safety yellow, white italics on safety blue. The
signal word itself always stands there, so nothing is told by colour alone."""

_NUMBER_WIDTH, _TIME_WIDTH, _NARROWEST = 6, 8, 40
_WAY_INDENT = 4
"""Columns by which another way stands further in than the usual one."""


def show(draft: Draft, console: Console) -> None:
    """Print ``draft`` on ``console``."""
    draft = plain_record(draft)
    with console.capture() as held:
        console.print(_head(draft))
        for section in sections(draft):
            console.print(_section(section, draft.transcript))
        if not draft.items:
            console.print("\n  Nothing in this talk could be made into an item.\n")
        groups = question_groups(draft.open_questions)
        if groups:
            console.print(Text(f"\nOPEN QUESTIONS FOR THE NEXT VISIT ({len(draft.open_questions)})", style="bold"))
        for heading, questions in groups:
            console.print(Padding(Text(heading, style="bold"), (1, 0, 0, 2)))
            console.print(_questions(questions, draft.transcript))
    # tables are filled up with spaces to their width, which is noise in a file
    console.file.write("\n".join(line.rstrip() for line in held.get().split("\n")))


def summary(draft: Draft) -> str:
    """How much is in the draft, in one line."""
    kinds = [item.kind for item in draft.items]
    counts = ((kinds.count("step"), "step"), (kinds.count("tool"), "tool"), (kinds.count("location"), "place"))
    more = ((kinds.count("warning"), "warning"), (kinds.count("cue"), "sign"))
    told = [f"{number} {word}{'' if number == 1 else 's'}" for number, word in (*counts, *more)]
    questions = len(draft.open_questions)
    return f"{', '.join(told)}, {questions} open question{'' if questions == 1 else 's'}"


def _head(draft: Draft) -> RenderableType:
    transcript = draft.transcript
    heard = [
        f"{n}  {source.name}" if len(transcript.sources) > 1 else source.name
        for n, source in enumerate(transcript.sources, 1)
    ]
    lines = [Text(draft.caution, style="bold")]
    lines += [Text(f"Note: {note}") for note in transcript.notes]
    title = draft.subject or ", ".join(source.name for source in transcript.sources) or "Draft"
    facts = f"{', '.join(heard)} · {clock(transcript.duration_s)} · {summary(draft)}"
    return Group(Text(f"DRAFT: {title}", style="bold"), Text(facts), Panel(Group(*lines), title="Read this first"))


def _section(section: Section, transcript: Transcript) -> RenderableType:
    parts: list[RenderableType] = [Text(f"\n{section.title.upper()}", style="bold underline")]
    table = Table.grid(padding=(0, 1), expand=False)
    table.add_column(width=_TIME_WIDTH, justify="right", no_wrap=True)
    table.add_column(width=_NUMBER_WIDTH, justify="right", no_wrap=True)
    table.add_column(min_width=_NARROWEST)
    for warning in section.warnings:
        _add_warning(table, WarningBlock(warning), transcript)
    for cue in section.cues:
        _add(table, cue, transcript, "sign")
    for location in section.locations:
        _add(table, location, transcript, "at")
    for block in section.steps:
        _add_block(table, block, transcript)
    for tool in section.tools:
        _add(table, tool, transcript, "tool")
    parts.append(table)
    return Group(*parts)


def _add_block(table: Table, block: StepBlock, transcript: Transcript, indent: int = 0) -> None:
    for warning in block.warnings:
        _add_warning(table, warning, transcript, indent)
    _add(table, block.step, transcript, block.number, style="bold", indent=indent)
    for tool in block.tools:
        _add(table, tool, transcript, "tool", quote_known=tool.quote == block.step.quote, indent=indent)
    for way in block.ways:
        heading = Text(branch_heading(way.label, way.instead_of), style="bold italic")
        table.add_row("", "or", _further_in(heading, indent + _WAY_INDENT // 2))
        for step in way.steps:
            _add_block(table, step, transcript, indent + _WAY_INDENT)


def _add_warning(table: Table, block: WarningBlock, transcript: Transcript, indent: int = 0) -> None:
    warning = block.warning
    line = Text.assemble(
        (f" {warning.signal.upper()} ", SIGNAL_STYLES[warning.signal]), " ", (statement(warning), "bold")
    )
    if warning.hazard != "other":
        line.append(f" ({warning.hazard})")
    told = [line, Text(signal_reason(warning))]
    if block.also_before:
        told.append(Text(f"Also before {steps_told(block.also_before)}."))
    body = Group(*told, _support(warning))
    table.add_row(place_in(transcript, warning.start), "!", _further_in(body, indent))


def _add(
    table: Table,
    item: Item,
    transcript: Transcript,
    label: str,
    style: str = "",
    *,
    quote_known: bool = False,
    indent: int = 0,
) -> None:
    text = statement_in_branch(item) if isinstance(item, StepItem) and indent else statement(item)
    line = Text(text, style=style)
    body = line if quote_known else Group(line, _support(item))
    table.add_row(place_in(transcript, item.start), label, _further_in(body, indent))


def _further_in(body: RenderableType, indent: int) -> RenderableType:
    return Padding(body, (0, 0, 0, indent)) if indent else body


def _support(item: Item) -> Text:
    """The words that say it, who said them, and how sure that is; reasons where it is not."""
    voice = item.evidence[0].voice
    text = Text(f"“{item.quote}”", style="italic")
    text.append(f"{f' {voice},' if voice else ''} {certainty(item.confidence)}", style="not italic")
    if item.confidence < 0.6:
        text.append(f": {'; '.join(item.reasons)}", style="not italic")
    return text


def _questions(questions: list[OpenQuestion], transcript: Transcript) -> RenderableType:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=_TIME_WIDTH, justify="right", no_wrap=True)
    table.add_column(min_width=_NARROWEST)
    for question in questions:
        body: list[RenderableType] = [Text(question.ask)]
        body += [Text(f"“{evidence.quote}”", style="italic") for evidence in question.evidence]
        when = "" if question.kind in WITHOUT_WORDS else place_in(transcript, question.start)
        table.add_row(when, Group(*body))
    return table
