"""A draft laid out for people: steps in procedure order, each with its warnings in front of it and its tools behind.

Every item stands in exactly one place. Steps are never moved against the order of the draft; where that order comes
back to a topic, the topic has a second section.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from vouchbook.cli.phrases import sureness
from vouchbook.models.draft import Draft
from vouchbook.models.items import CueItem, Item, ItemBase, LocationItem, Signal, StepItem, ToolItem, WarningItem
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion, QuestionKind

NEAR_S = 20.0
"""A warning said within these seconds of a step of its topic stands in front of that step, else on top of the topic."""

SIGNALS: tuple[Signal, ...] = ("danger", "warning", "caution", "notice")
"""From the gravest on (ANSI Z535)."""

QUESTION_HEADINGS: dict[QuestionKind, str] = {
    "conflict": "Two answers: which one is right?",
    "doubtful": "Heard badly: ask again",
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
class StepBlock:
    """One numbered step, with the warnings to read before it and the tools for it."""

    number: int
    step: StepItem
    warnings: tuple[WarningItem, ...]
    tools: tuple[ToolItem, ...]


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
    warnings_of = _assigned((item for item in draft.items if isinstance(item, WarningItem)), steps, NEAR_S)
    tools_of = _assigned((item for item in draft.items if isinstance(item, ToolItem)), steps, 0.0)
    result: list[Section] = []
    for number, step in enumerate(steps, 1):
        if not result or result[-1].phase is not step.phase:
            result.append(Section(step.phase, is_repeated=any(section.phase is step.phase for section in result)))
        warnings = tuple(item for item in warnings_of.get(step.id, ()) if isinstance(item, WarningItem))
        tools = tuple(item for item in tools_of.get(step.id, ()) if isinstance(item, ToolItem))
        result[-1].steps.append(StepBlock(number, step, warnings, tools))
    placed = {item.id for items in (*warnings_of.values(), *tools_of.values()) for item in items}
    for item in draft.items:
        match item:
            case CueItem():
                _section(result, item.phase).cues.append(item)
            case LocationItem():
                _section(result, item.phase).locations.append(item)
            case WarningItem() if item.id not in placed:
                _section(result, item.phase).warnings.append(item)
            case ToolItem() if item.id not in placed:
                _section(result, item.phase).tools.append(item)
    return result


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


def _assigned(items: Iterable[ItemBase], steps: Sequence[StepItem], reach_s: float) -> dict[str, list[ItemBase]]:
    """Each item under the id of the step that it was said with; items that belong to no step are left out.

    The nearest step of the same topic within ``reach_s``, or else a step said in the same words.
    """
    found: dict[str, list[ItemBase]] = {}
    for item in items:
        near = [step for step in steps if step.phase is item.phase and _gap_s(step, item) <= reach_s]
        near = near or [step for step in steps if _shares_words(step, item)]
        if near:
            found.setdefault(min(near, key=lambda step: _gap_s(step, item)).id, []).append(item)
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
