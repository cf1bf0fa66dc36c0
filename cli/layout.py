"""A draft laid out for people: steps in procedure order, each with its warnings in front of it and its tools behind.

Every item stands in exactly one place. Steps of the usual way are never moved against the order of the draft; where
that order comes back to a topic, the topic has a second section. Another way stands under the step that it replaces.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from string import ascii_lowercase
from typing import get_args

from vouchbook.cli.phrases import sureness
from vouchbook.models.draft import Draft
from vouchbook.models.items import CueItem, Item, ItemBase, LocationItem, Signal, StepItem, ToolItem, WarningItem
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion, QuestionKind

SIGNALS: tuple[Signal, ...] = get_args(Signal)
"""From the gravest on (ANSI Z535)."""

QUESTION_HEADINGS: dict[QuestionKind, str] = {
    "conflict": "Two answers: which one is right?",
    "doubtful": "Not sure, or heard badly: ask again",
    "implausible": "Unlikely as heard: check the value",
    "order": "Order to settle",
    "pointer": "Shown, not said: name the place or film it",
    "borrowed": "Told elsewhere: ask for it here",
    "unheard": "Not understood: listen to it yourself",
    "uncovered": "Never spoken about",
    "untold": "Expected, and not told",
}
"""Kinds of open questions in the order in which they can hurt."""


@dataclass(frozen=True)
class WarningBlock:
    """A warning in front of the first step that it guards; ``also_before`` are the numbers of the others."""

    warning: WarningItem
    also_before: tuple[str, ...] = ()


@dataclass(frozen=True)
class StepBlock:
    """One numbered step, with the warnings to read before it, the tools for it, and the other ways to do it.

    Steps are numbered "1", "2" and so on; those of another way "2a", or "2a.1" and "2a.2" where it has several.
    """

    number: str
    step: StepItem
    warnings: tuple[WarningBlock, ...]
    tools: tuple[ToolItem, ...]
    ways: tuple["Way", ...] = ()

    @property
    def all_steps(self) -> list["StepBlock"]:
        """Itself and the steps of its other ways, in the order in which they are shown."""
        return [self, *(block for way in self.ways for block in way.steps)]


@dataclass(frozen=True)
class Way:
    """Another way: its label in the talk's words, the numbers of the steps that it replaces, and its own steps."""

    label: str
    instead_of: tuple[str, ...]
    steps: tuple[StepBlock, ...]


@dataclass
class Section:
    """One topic: what to know about it, then its steps."""

    phase: Phase
    is_repeated: bool = False
    cues: list[CueItem] = field(default_factory=list)
    locations: list[LocationItem] = field(default_factory=list)
    warnings: list[WarningItem] = field(default_factory=list)
    steps: list[StepBlock] = field(default_factory=list)
    tools: list[ToolItem] = field(default_factory=list)

    @property
    def title(self) -> str:
        """The topic in plain words."""
        return f"{self.phase.label}, again" if self.is_repeated else self.phase.label


def sections(draft: Draft) -> list[Section]:
    """The draft's items by topic, steps in procedure order and numbered through."""
    steps = [item for item in draft.items if isinstance(item, StepItem)]
    ways = _ways(steps)
    numbers = _numbers(steps, ways)
    warnings_of = _warnings(draft, numbers)
    tools_of = _tools((item for item in draft.items if isinstance(item, ToolItem)), steps)

    def block(step: StepItem, *other: Way) -> StepBlock:
        return StepBlock(
            numbers[step.id], step, tuple(warnings_of.get(step.id, ())), tuple(tools_of.get(step.id, ())), other
        )

    result: list[Section] = []
    for step in steps:
        if step.branch is not None:
            continue
        if not result or result[-1].phase is not step.phase:
            result.append(Section(step.phase, is_repeated=any(section.phase is step.phase for section in result)))
        other = [
            Way(way[0].branch or "", tuple(numbers[each] for each in way[0].instead_of), tuple(block(s) for s in way))
            for way in ways.get(step.id, ())
        ]
        result[-1].steps.append(block(step, *other))
    with_steps = {tool.id for tools in tools_of.values() for tool in tools}
    for item in draft.items:
        match item:
            case CueItem():
                _section(result, item.phase).cues.append(item)
            case LocationItem():
                _section(result, item.phase).locations.append(item)
            case WarningItem() if not item.guards:
                _section(result, item.phase).warnings.append(item)
            case ToolItem() if item.id not in with_steps:
                _section(result, item.phase).tools.append(item)
    return result


def step_numbers(draft: Draft) -> dict[str, str]:
    """The number under which each step is shown, by its id, in the order in which they are shown."""
    steps = [item for item in draft.items if isinstance(item, StepItem)]
    return _numbers(steps, _ways(steps))


def least_sure_first(items: Iterable[Item]) -> list[Item]:
    """``items`` in the order in which a reviewer should look at them.

    The least sure first, by the words in which sureness is told; of the same word warnings of danger, then other
    warnings, then the rest; then by confidence, and as they stand in the draft.
    """
    return sorted(items, key=lambda item: (sureness(item.confidence), _urgency(item), item.confidence))


def _urgency(item: Item) -> int:
    if not isinstance(item, WarningItem):
        return len(SIGNALS)
    return SIGNALS.index(item.signal)


def question_groups(questions: Iterable[OpenQuestion]) -> list[tuple[str, list[OpenQuestion]]]:
    """Headings with their questions, the most dangerous kind first, each in the order of the talk."""
    by_kind: dict[QuestionKind, list[OpenQuestion]] = {kind: [] for kind in QUESTION_HEADINGS}
    for question in questions:
        by_kind[question.kind].append(question)
    return [
        (QUESTION_HEADINGS[kind], sorted(group, key=lambda question: question.start))
        for kind, group in by_kind.items()
        if group
    ]


def _ways(steps: Sequence[StepItem]) -> dict[str, list[list[StepItem]]]:
    """The other ways under the id of the step of the usual way that they stand under, each as its steps.

    That is the last step that a way replaces; where that one is of another way itself, the step it stands under.
    """
    usual: dict[str, str] = {}
    place_of = {step.id: place for place, step in enumerate(steps)}
    for step in steps:
        usual[step.id] = usual[max(step.instead_of, key=place_of.__getitem__)] if step.instead_of else step.id
    found: dict[str, list[list[StepItem]]] = {}
    others = [step for step in steps if step.branch is not None]
    for (under, _, _), way in groupby(others, key=lambda step: (usual[step.id], step.branch, step.instead_of)):
        found.setdefault(under, []).append(list(way))
    return found


def _numbers(steps: Sequence[StepItem], ways: Mapping[str, Sequence[Sequence[StepItem]]]) -> dict[str, str]:
    numbers: dict[str, str] = {}
    for number, step in enumerate((step for step in steps if step.branch is None), 1):
        numbers[step.id] = str(number)
        for nth, way in enumerate(ways.get(step.id, ())):
            letter = ascii_lowercase[nth % 26] * (nth // 26 + 1)
            for place, other in enumerate(way, 1):
                numbers[other.id] = f"{number}{letter}" if len(way) == 1 else f"{number}{letter}.{place}"
    return numbers


def _warnings(draft: Draft, numbers: Mapping[str, str]) -> dict[str, list[WarningBlock]]:
    """The warnings under the id of the first step, as shown, that each guards."""
    shown = {step: place for place, step in enumerate(numbers)}
    found: dict[str, list[WarningBlock]] = {}
    for item in draft.items:
        if isinstance(item, WarningItem) and item.guards:
            first, *more = sorted(item.guards, key=shown.__getitem__)
            block = WarningBlock(item, tuple(numbers[step] for step in more))
            found.setdefault(first, []).append(block)
    return found


def _tools(tools: Iterable[ToolItem], steps: Sequence[StepItem]) -> dict[str, list[ToolItem]]:
    """Each tool under the id of the step that it was said with; tools that belong to no step are left out.

    The step of the same topic that is said at the same time, or else a step said in the same words.
    """
    found: dict[str, list[ToolItem]] = {}
    for tool in tools:
        near = [step for step in steps if step.phase is tool.phase and _gap_s(step, tool) <= 0]
        near = near or [step for step in steps if _shares_words(step, tool)]
        if near:
            found.setdefault(min(near, key=lambda step: _gap_s(step, tool)).id, []).append(tool)
    return found


def _gap_s(one: ItemBase, other: ItemBase) -> float:
    """Seconds between the nearest evidence of both; negative by how far they overlap."""
    return min(max(a.start_s, b.start_s) - min(a.end_s, b.end_s) for a in one.evidence for b in other.evidence)


def _shares_words(one: ItemBase, other: ItemBase) -> bool:
    return any(
        a.first_word <= b.last_word and b.first_word <= a.last_word for a in one.evidence for b in other.evidence
    )


def _section(existing: list[Section], phase: Phase) -> Section:
    """The first section of that topic; a new one stands in front of the first later topic."""
    for section in existing:
        if section.phase is phase:
            return section
    order = list(Phase)
    later = (n for n, section in enumerate(existing) if order.index(section.phase) > order.index(phase))
    section = Section(phase)
    existing.insert(next(later, len(existing)), section)
    return section
