"""Which candidates are items: each is weighed by what speaks for it, and of two that say the same the better stays."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp

import numpy as np
from rapidfuzz import fuzz

from vouchbook.extract.read.items.control_limits import REASON
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Column, Marks
from vouchbook.extract.tagger.weights import Weights

_NO_THING = frozenset({"", "it", "them", "that", "those", "you"})
_LONG = 20
"""Tokens; how long a candidate is, is told in this unit."""
_SAME = {"step": 55, "location": 55, "tool": 60, "warning": 70, "cue": 70}
"""Percent of likeness from which two candidates with words in common say the same."""
_NEAR_HEADS = 3
"""Tokens between the words of one tool: its size and its name."""
_SHARED = 0.5
"""Share of the shorter one's tokens from which two warnings or two signs are one."""

_COLUMNS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("deed", "step", ("B-deed", "I-deed")),
    ("thing", "step", ("B-thing", "I-thing")),
    ("alone", "step", ("B-alone", "I-alone")),
    ("part", "location", ("B-part", "I-part")),
    ("place", "location", ("B-place", "I-place")),
    ("warning", "warning", ("B-", "I-")),
    ("cue", "cue", ("B-", "I-")),
    ("tool", "tool", ("B-name", "I-name", "B-size", "I-size")),
    ("chatter", "chatter", ("yes",)),
    ("pointer", "pointer", ("yes",)),
)
"""The marks that are weighed, each by its highest and its mean probability over a candidate's tokens."""

EVIDENCE = (
    "by rules", "agrees", "other there", "sure by rules", "sure by tagger", "at head",
    *(f"{name} {how}" for name, _, _ in _COLUMNS for how in ("highest", "mean")),
    "length", "forbids", "thing told", "size told", "implied", "named before", "asked", "condition",
)  # fmt: skip
"""What is weighed of a candidate, in the order of the numbers that :meth:`Scales.evidence` gives."""


class Scales:
    """Weighs the candidates of one talk."""

    def __init__(self, talk: Talk, marks: Marks, forbidden: Iterable[tuple[int, int]]) -> None:
        self._talk = talk
        self._columns = {name: marks.column(head, *labels) for name, head, labels in _COLUMNS}
        self._forbids = np.zeros(len(talk.doc), np.float32)
        for start, end in forbidden:
            self._forbids[start:end] = 1

    def evidence(self, candidate: Candidate, same_kind: Sequence[Candidate]) -> tuple[float, ...]:
        """What speaks for ``candidate`` or against it, in the order of :data:`EVIDENCE`."""
        found, is_by_rules = candidate.found, candidate.source == "rules"
        others = [c for c in same_kind if c.source != candidate.source and _overlaps(c, candidate)]
        agrees = max((likeness(c, candidate) for c in others), default=0.0) / 100
        over = [self._over(column, found.start, found.end) for column in self._columns.values()]
        return (
            float(is_by_rules), agrees, float(bool(others)),
            candidate.sure if is_by_rules else 0.0, 0.0 if is_by_rules else candidate.sure,
            float(self._columns[_AT_HEAD[found.kind]][candidate.head]),
            *(number for pair in over for number in pair),
            min(found.end - found.start, 2 * _LONG) / _LONG,
            float(self._forbids[found.start : found.end].max(initial=0)),
            float(found.kind == "step" and found.fields["object"] not in _NO_THING),
            float(found.size is not None),
            float(candidate.is_implied),
            float(bool(found.also)),
            float(found.line in self._talk.askers),
            float(bool(found.fields.get("condition"))),
        )  # fmt: skip

    @staticmethod
    def _over(column: Column, start: int, end: int) -> tuple[float, float]:
        return float(column[start:end].max()), float(column[start:end].mean())


_AT_HEAD = {"step": "deed", "tool": "tool", "location": "part", "warning": "warning", "cue": "cue"}


@dataclass(frozen=True, slots=True)
class Weighed:
    """The candidates of one kind on the scales: a row of ``evidence`` for each, and what it weighs.

    ``kept`` holds the places of those that are items, with the probability of each, in the order in which they are
    said.
    """

    candidates: tuple[Candidate, ...]
    evidence: tuple[tuple[float, ...], ...]
    weights: Weights
    kept: tuple[tuple[int, float], ...]


def weighed(scales: Scales, candidates: Sequence[Candidate], weights: Weights) -> Weighed:
    """The candidates of one kind with their evidence, and those of them that are items."""
    evidence = tuple(scales.evidence(c, candidates) for c in candidates)
    kept = sorted(
        chosen_of(candidates, evidence, weights),
        key=lambda pair: (candidates[pair[0]].found.start, candidates[pair[0]].found.end),
    )
    return Weighed(tuple(candidates), evidence, weights, tuple(kept))


def chosen_of(
    candidates: Sequence[Candidate], evidence: Sequence[Sequence[float]], weights: Weights
) -> list[tuple[int, float]]:
    """The places of the candidates that are items, with the probability of each, the most probable first."""
    weighed = [(n, probability(each, weights)) for n, each in enumerate(evidence)]
    kept: list[tuple[int, float]] = []
    for n, share in sorted(weighed, key=lambda pair: -pair[1]):
        same = [candidates[m] for m, _ in kept if says_same(candidates[n], candidates[m])]
        if _stays(candidates[n], same):
            if len(same) == 1:  # of several it would make one
                kept = [(m, each) for m, each in kept if not _holds(candidates[n], candidates[m])]
            kept.append((n, share))
        elif share >= weights.least and not same:
            kept.append((n, share))
    return kept


def _stays(candidate: Candidate, same: Sequence[Candidate]) -> bool:
    """Whether it stays whatever it weighs: a prohibition that the rules found, unless one that is kept forbids it too.

    So does what a control does not do, unless a warning of the same words is kept. No such warning is dropped because a
    network does not see it.
    """
    found = candidate.found
    if found.kind != "warning" or candidate.source != "rules":
        return False
    if not found.fields["prohibits"]:
        return REASON in found.reasons and not same
    return not any(_forbids_as_well(other.found.fields["prohibits"], found.fields["prohibits"]) for other in same)


def _holds(candidate: Candidate, other: Candidate) -> bool:
    """Whether ``candidate`` says all words of ``other`` and forbids all that it forbids: then it stands for both."""
    one, held = candidate.found, other.found
    is_inside = one.start <= held.start and held.end <= one.end
    acts = held.fields["prohibits"]
    return is_inside and (acts is None or _forbids_as_well(one.fields["prohibits"], acts))


def _forbids_as_well(one: str | None, other: str) -> bool:
    return one is not None and all(act in one.split("; ") for act in other.split("; "))


def probability(evidence: Sequence[float], weights: Weights) -> float:
    """How probable an item is by ``evidence``: a logistic model of the weighted sum."""
    total = weights.offset + sum(w * e for w, e in zip(weights.factors, evidence, strict=True))
    return 1 / (1 + exp(-total))


def likeness(one: Candidate, other: Candidate) -> float:
    """How alike two candidates of one kind are in words, 0 to 100."""
    return float(
        fuzz.token_set_ratio(_words(one.found.kind, one.found.fields), _words(one.found.kind, other.found.fields))
    )


def says_same(one: Candidate, other: Candidate) -> bool:
    """Whether two candidates of one kind are one item told twice over the same words."""
    if not _overlaps(one, other):
        return False
    kind = one.found.kind
    if kind == "step" and one.head == other.head:
        return True
    if kind == "step" and one.source == other.source:
        return False
    if kind == "tool" and abs(one.head - other.head) <= _NEAR_HEADS:
        return True
    if kind in {"warning", "cue"}:
        shared = min(one.found.end, other.found.end) - max(one.found.start, other.found.start)
        if shared >= _SHARED * min(c.found.end - c.found.start for c in (one, other)):
            return True
    return likeness(one, other) >= _SAME[kind]


def _overlaps(one: Candidate, other: Candidate) -> bool:
    return one.found.start < other.found.end and other.found.start < one.found.end


def _words(kind: str, fields: Mapping[str, str | None]) -> str:
    names = {"step": ("action", "object"), "tool": ("name",), "location": ("part", "place")}.get(kind, ("text",))
    return " ".join(fields[name] or "" for name in names).lower()
