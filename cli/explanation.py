"""An explanation as a person reads it in a terminal: the words first, then what was made of them and why."""

from collections.abc import Collection, Iterable, Iterator, Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from vouchbook.cli.explanation_phrases import (
    FOUND_BY,
    OVER_ALL,
    PIECES,
    how_much,
    likely,
    name_told,
    said_by,
    shares,
    topic_told,
    value_told,
)
from vouchbook.cli.layout import QUESTION_HEADINGS, least_sure_first
from vouchbook.cli.phrases import certainty, place_in, statement
from vouchbook.cli.plain_records import plain_record
from vouchbook.extract.read.explained.records import (
    Explained,
    ItemExplained,
    QuestionExplained,
    Telling,
    TiedTo,
    Words,
)
from vouchbook.models.draft import Draft
from vouchbook.models.evidence import Evidence
from vouchbook.models.items import Item, SizedItem, StepItem, WarningItem
from vouchbook.models.questions import WITHOUT_WORDS
from vouchbook.models.transcript import Transcript

_KINDS = {"location": "place", "cue": "sign"}
"""What people call a kind that has another name inside."""
_SMALL = 0.05
"""Contributions (of log-odds) below this are told together."""
Row = tuple[str, ...]


def show(explained: Explained, draft: Draft, console: Console) -> None:
    """Print what made an entry of ``draft`` on ``console``."""
    explained, draft = plain_record(explained), plain_record(draft)
    with console.capture() as held:
        for part in _item(explained, draft) if isinstance(explained, ItemExplained) else _question(explained, draft):
            console.print(part)
    console.file.write("\n".join(line.rstrip() for line in held.get().split("\n")))


def show_entries(
    draft: Draft, console: Console, *, least_sure: bool = False, only: Collection[str] | None = None
) -> None:
    """Print the id, the time and the statement of all that can be explained, or ``only`` of these ids.

    With ``least_sure`` the items that need a look most stand first, each with how sure it is.
    """
    draft = plain_record(draft)

    def row(item: Item) -> Row:
        sure = (certainty(item.confidence),) if least_sure else ()
        return (item.id, place_in(draft.transcript, item.start), *sure, _signalled(item) if sure else statement(item))

    items = [row(item) for item in (least_sure_first(draft.items) if least_sure else draft.items)]
    questions = [(q.id, place_in(draft.transcript, q.start), *([""] * least_sure), q.ask) for q in draft.open_questions]
    console.print(_rows(row for row in (*items, *questions) if only is None or row[0] in only))


def _signalled(item: Item) -> str:
    """The statement, of a warning with its signal word."""
    return f"{item.signal.upper()}: {statement(item)}" if isinstance(item, WarningItem) else statement(item)


def _item(explained: ItemExplained, draft: Draft) -> Iterator[RenderableType]:
    stored, now = explained.stored, explained.today
    kind = _KINDS.get(stored.kind, stored.kind)
    yield Text(f"{stored.id}, {kind}: {statement(stored)}", style="bold")
    yield _quotes(stored.evidence, draft.transcript)
    yield _compared(explained, draft, f"confidence {stored.confidence}")
    if now is not None and explained.tellings:
        best = max(explained.tellings, key=lambda telling: telling.probability)
        yield from _part("Found by", [_found(telling, draft.transcript) for telling in explained.tellings])
        where = f", {place_in(draft.transcript, best.quote.start_s)}" if len(explained.tellings) > 1 else ""
        yield from _part(f"What was weighed{where}", [_weighed(best, kind)])
    elif now is not None:
        yield from _part("Found by", [Text(f"a rule of reading, {explained.sure:.2f} sure: {'; '.join(now.reasons)}")])
    if explained.adjusted and explained.sure is not None:
        scores = [("by what was weighed" if explained.tellings else "by its rule", explained.sure)]
        scores += [(change.why, change.score) for change in explained.adjusted]
        yield from _part("From there to its confidence", [_rows((f"{score:.2f}", why) for why, score in scores)])
    yield from _words(explained.words, explained.over_all, is_sized=isinstance(stored, SizedItem))
    if explained.topic:
        lines = [Text(line) for line in topic_told(explained.topic)]
        yield from _part(f"Topic: {explained.topic.topic.label}", lines)
    yield from _tied(explained)
    heading = "Not chosen, because this says the same" if now else "What came nearest, and was not chosen"
    yield from _part(heading, [_rows(_left_aside(telling) for telling in explained.not_chosen)])


def _tied(explained: ItemExplained) -> Iterator[RenderableType]:
    """Why its signal word, which steps it must be read before, and which it replaces."""
    stored = explained.stored
    if isinstance(stored, WarningItem):
        yield from _part(f"Why its signal word is {stored.signal}", [Text(f"{stored.signal_reason}.")])
        guards = [_tie(tied) for tied in explained.guards]
        none = Text("No step: nothing in the talk ties it to one, so it stands with its topic.")
        yield from _part("Stands before the steps that it guards", [_rows(guards)] if guards else [none])
    elif isinstance(stored, StepItem) and (explained.instead_of or stored.branch):
        yield from _part(f"Another way: {stored.branch}, instead of", [_rows(_tie(t) for t in explained.instead_of)])


def _tie(tied: TiedTo) -> Row:
    return tied.step.id, statement(tied.step), tied.why


def _question(explained: QuestionExplained, draft: Draft) -> Iterator[RenderableType]:
    stored = explained.stored
    yield Text(f"{stored.id}, question: {stored.ask}", style="bold")
    if stored.evidence:
        yield _quotes(stored.evidence, draft.transcript)
    elif stored.kind not in WITHOUT_WORDS:
        where = f"{place_in(draft.transcript, stored.start)}  ({stored.start:.1f} to {stored.end:.1f} s)"
        yield Padding(Text(where), (0, 0, 0, 2))
    yield _compared(explained, draft, f"“{QUESTION_HEADINGS[stored.kind]}”")
    yield from _part("The rule", [Text(f"{explained.rule}.")])
    if explained.by:
        yield from _part("The words that raised it", [_quotes(explained.by, draft.transcript, indent=0)])
    yield from _part("What it went by", [Text(fact) for fact in explained.facts])
    yield from _words(explained.words, {}, is_sized=False)


def _compared(explained: Explained, draft: Draft, stored_as: str) -> RenderableType:
    """What read the draft, and in one line whether this version reads the words as it did."""
    by = f"Read by Vouchbook {draft.read_by.vouchbook} with {', '.join(draft.read_by.packs)}: {stored_as}."
    differs = f"it differs: {'; '.join(explained.differs)}" if explained.differs else "it is the same"
    now = explained.today
    as_other = f" (as {now.id})" if now and now.id != explained.stored.id else ""
    return Padding(Text(f"{by}\nRead again now{as_other}, {differs}."), (0, 0, 0, 2))


def _quotes(evidence: Iterable[Evidence], transcript: Transcript, indent: int = 2) -> RenderableType:
    rows = (
        (place_in(transcript, e.start_s), f"({e.start_s:.1f} to {e.end_s:.1f} s)", f"“{e.quote}”{_voice(e)}")
        for e in evidence
    )
    return Padding(_rows(rows), (0, 0, 0, indent))


def _voice(evidence: Evidence) -> str:
    return f" {evidence.voice}" if evidence.voice else ""


def _found(telling: Telling, transcript: Transcript) -> RenderableType:
    where = place_in(transcript, telling.quote.start_s)
    by = f"{FOUND_BY[telling.source]}, {telling.sure:.2f} sure: {'; '.join(telling.reasons)}"
    return Text(f"{by} ({where}, {telling.probability:.2f} likely)")


def _weighed(telling: Telling, kind: str) -> RenderableType:
    """What speaks for it and against it, in words, the most first; and how likely it is, from 0 to 1."""
    rows: list[RenderableType] = []
    for heading, sign in (("Speaks for it", 1), ("Speaks against it", -1)):
        pieces = [piece for piece in telling.pieces if piece.contribution * sign >= _SMALL]
        if pieces:
            told = ((how_much(piece.contribution), PIECES[piece.name]) for piece in pieces)
            rows += [Text(heading, style="bold"), Padding(_rows(told), (0, 0, 0, 2))]
    small = sum(0 < abs(piece.contribution) < _SMALL for piece in telling.pieces)
    if small:
        rows.append(Text(f"{small} more hardly count."))
    stays = "; it stays all the same, no prohibition that a rule finds is dropped" if telling.stays else ""
    together = (
        f"Before any of this every {kind} is {likely(telling.offset):.2f} likely to be right. All of it together makes "
        f"this one {telling.probability:.2f} likely; {telling.least:.2f} is enough{stays}."
    )
    hint = "They overlap, and one high mark counts in several: go by all together rather than by one of them."
    return Group(*rows, Text(together), Text(hint, style="italic"))


def _words(words: Words, over_all: dict[str, dict[str, float]], *, is_sized: bool) -> Iterator[RenderableType]:
    marks = [(mark.text, shares(mark.shares)) for mark in words.marks]
    whole = [Text(f"{OVER_ALL[head]}: {shares(of)}") for head, of in over_all.items()]
    yield from _part("What the tagger takes the words as (shares of 1)", [_rows(marks), *whole])
    named = [(f"“{named.heard}”", name_told(named)) for named in words.named]
    yield from _part("Names of the packs in the words", [_rows(dict.fromkeys(named))])
    values = [(f"“{value.quantity.said}”", value_told(value, is_sized=is_sized)) for value in words.values]
    yield from _part("Values in the words", [_rows(values)])


def _left_aside(telling: Telling) -> Row:
    enough = "" if telling.probability >= telling.least else ", too little by itself"
    return f"{telling.probability:.2f}", f"{said_by(telling)} (by {FOUND_BY[telling.source]}{enough})"


def _part(heading: str, parts: Sequence[RenderableType]) -> Iterator[RenderableType]:
    """A heading with what stands under it; nothing where that is empty."""
    parts = [part for part in parts if not (isinstance(part, Table) and part.row_count == 0)]
    if parts:
        yield Text(f"\n{heading.upper()}", style="bold")
        yield Padding(Group(*parts), (0, 0, 0, 2))


def _rows(rows: Iterable[Row]) -> Table:
    table = Table.grid(padding=(0, 2))
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table
