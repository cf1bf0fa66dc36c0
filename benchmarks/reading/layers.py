"""Vouchbook: its draft of a talk, and for written texts the layers of its reading, used as they are."""

from collections.abc import Iterator, Sequence

from reading.findings import PARTICLES, Finding, Span
from vouchbook.extract.packs.load import DOMAINS, load_vocabulary
from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.run import Drafting
from vouchbook.models.draft import Draft
from vouchbook.models.items import StepItem, ToolItem
from vouchbook.models.transcript import Transcript

_THINGS = frozenset({"part", "tool", "fastener", "material"})


class Layers:
    """Reads with Vouchbook; written texts with all its packs, since a line of text does not tell its trade."""

    name = "Vouchbook"
    used = (
        "steps and tools of the draft, deeds of clauses that forbid nothing, mentions of things and states from all "
        "packs; none of it is made for written texts"
    )

    def __init__(self) -> None:
        self._talks, self._texts = Drafting(), Drafting(DOMAINS)
        self._reader = Reader(load_vocabulary(), None)  # only to understand, which asks no tagger

    def draft(self, transcript: Transcript) -> Draft:
        """The draft that the command makes."""
        return self._talks.draft(transcript)

    def read(self, transcript: Transcript) -> list[Finding]:
        """What the layers find in a written text."""
        items = self._texts.draft(transcript).items
        steps = [item for item in items if isinstance(item, StepItem)]
        tools = [item for item in items if isinstance(item, ToolItem)]
        talk = self._reader.understand(transcript)
        return [*_steps(talk, steps), *_tools(talk, steps, tools), *_mentions(talk)]


def _steps(talk: Talk, steps: Sequence[StepItem]) -> Iterator[Finding]:
    """The step items, each with its deed, and the deeds of clauses that gave no step."""
    deeds = _deeds(talk)
    for step in steps:
        span = step.evidence[0].first_word, step.evidence[0].last_word
        verb = next((at for at in deeds if span[0] <= at <= span[1]), None)
        clause = deeds.pop(verb)[0] if verb is not None else None
        action = _whole_action(step)
        yield Finding(
            "step",
            span,
            {"action": action, "object": step.object},
            verb=verb,
            particle=_particle(talk, clause, action) if clause else None,
            thing=_thing(talk, step),
            count=step.count,
        )
    for verb, (clause, action) in deeds.items():
        span = talk.word(clause.start), talk.word(clause.end - 1)
        fields = {"action": action, "object": ""}
        yield Finding("step", span, fields, verb=verb, particle=_particle(talk, clause, action))


def _deeds(talk: Talk) -> dict[int, tuple[Clause, str]]:
    """The word of each deed with its clause and its action; conditions and prohibitions tell none."""
    found = {}
    for sentence in talk.sentences:
        for clause in sentence.clauses:
            is_condition = clause.marker is not None and clause.body > clause.start
            if is_condition or prohibition(talk.doc, clause.body, clause.end):
                continue
            if told := deed(talk, clause):
                found[talk.word(told.verb)] = clause, told.action
    return found


def _particle(talk: Talk, clause: Clause, action: str) -> int | None:
    """The word in the clause that completes its deed, as the action names it."""
    verb, _, particle = action.partition(" ")
    words = [(talk.word(i), talk.doc[i].lower_) for i in range(clause.body, clause.end)]
    return next((word for word, said in words if said == particle and verb), None)


def _whole_action(step: StepItem) -> str:
    """The action with the particle that the step tells as a place: "lift", "off the rail" is "lift off"."""
    first = (step.place or "").partition(" ")[0]
    return f"{step.action} {first}" if " " not in step.action and first in PARTICLES - {"in", "on"} else step.action


def _thing(talk: Talk, step: StepItem) -> Span | None:
    """The words of the step's object where its evidence says them; None for one that it only implies.

    Words that reading set aside as fillers may stand among them.
    """
    words, wanted = talk.transcript.words, "".join(step.object.lower().split())
    for evidence in step.evidence:
        kept = [n for n in range(evidence.first_word, evidence.last_word + 1) if talk.token_of(n) is not None]
        for start, first in enumerate(kept):
            said = ""
            for last in kept[start:]:
                said += words[last].text.lower().strip('.,;:!?()"')
                if said == wanted:
                    return first, last
    return None


def _tools(talk: Talk, steps: Sequence[StepItem], tools: Sequence[ToolItem]) -> Iterator[Finding]:
    """The tool items, and the tool that a step's fastener asks for where its words name none."""
    covered: list[Span] = []
    for tool in tools:
        span = tool.evidence[0].first_word, tool.evidence[0].last_word
        covered.append(span)
        yield Finding("tool", span, {"name": tool.name}, size=tool.size, is_implied=tool.implied)
    for step in steps:
        first, last = step.evidence[0].first_word, step.evidence[0].last_word
        if any(start <= last and first <= end for start, end in covered):
            continue
        for mention in talk.mentions:
            span = talk.word(mention.start), talk.word(mention.end - 1)
            if mention.entry.implies_tool and first <= span[0] and span[1] <= last:
                yield Finding("tool", span, {"name": mention.entry.implies_tool}, is_implied=True)


def _mentions(talk: Talk) -> Iterator[Finding]:
    for mention in talk.mentions:
        span = talk.word(mention.start), talk.word(mention.end - 1)
        if mention.entry.kind in _THINGS:
            yield Finding("part", span, {"name": mention.entry.term})
        elif mention.entry.kind == "state":
            yield Finding("state", span, {"name": mention.entry.term})
