"""The items of a talk, chosen among what the rules found and what the tagger marks."""

from collections.abc import Iterable, Mapping

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.steps import forbidden_clauses
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.candidates import candidates
from vouchbook.extract.read.marked.outcomes import tells_what_comes
from vouchbook.extract.read.marked.weighing import Scales, Weighed, says_same, weighed
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.weights import Weighing
from vouchbook.models.phases import Phase

Range = tuple[int, int]
_WARNS = {"rules": (0.35, 0.5), "tagger": (0.6, 0.4)}
"""A clause marked as a warning by the first gives no step whose verb is marked as a deed by less than the second."""
_CONDITIONS = frozenset({"before", "unless"})
_NEEDED = {
    "step": ("action",),
    "tool": ("name",),
    "location": ("part", "place"),
    "warning": ("text",),
    "cue": ("text",),
}


def weighed_candidates(
    talk: Talk, marks: Marks, by_rules: Mapping[str, Iterable[Found]], weighing: Weighing
) -> dict[str, Weighed]:
    """The candidates of each kind with what speaks for and against them, and those of them that are items."""
    forbidden = forbidden_clauses(talk)
    scales = Scales(talk, marks, forbidden)
    every = safe_candidates(talk, marks, by_rules, forbidden)
    return {kind: weighed(scales, of_kind, weighing.kinds[kind]) for kind, of_kind in every.items()}


def chosen_items(marks: Marks, of_kind: Weighed) -> list[Found]:
    """The items of one kind, in the order in which they are said, each as sure as the evidence makes it."""
    return [_sure(marks, _completed(of_kind, place), place, share) for place, share in of_kind.kept]


def _completed(of_kind: Weighed, place: int) -> Found:
    """The item of the candidate at ``place``, with what only another one tells that says the same over its words."""
    kept = of_kind.candidates[place]
    found = kept.found
    for other in of_kind.candidates:
        if other is kept or not says_same(kept, other) or found.kind not in {"step", "tool"}:
            continue
        if found.kind == "step":
            found = found.with_(fields={**found.fields, "object": _with_owner(found, other.found)})
        told = {name: value for name, value in other.found.fields.items() if found.fields.get(name) is None}
        found = found.with_(
            fields={**found.fields, **told}, count=found.count or other.found.count, size=found.size or other.found.size
        )
    return found


def _with_owner(found: Found, other: Found) -> str:
    """The object of ``found``, as ``other`` names it where that tells what it is of: "bolts" as "bolts of the seat"."""
    own, fuller = str(found.fields["object"]), str(other.fields["object"])
    if found.fields["action"] != other.fields["action"] or " of " in own or not own:
        return own
    name, _, owner = fuller.partition(" of ")
    return f"{own} of {owner}" if owner and own.split()[-1] == name.split()[-1] else own


def _sure(marks: Marks, found: Found, place: int, probability: float) -> Found:
    """The item of the candidate at ``place``, as probable as it is, under the topic that its words are marked with."""
    topic, _ = marks.best("phase", found.start, found.end)
    return found.with_(act=probability, topic=Phase(topic), weighed=(place,))


def safe_candidates(
    talk: Talk, marks: Marks, by_rules: Mapping[str, Iterable[Found]], forbidden: Iterable[Range]
) -> dict[str, list[Candidate]]:
    """The candidates of each kind, without a step whose verb stands in a clause that forbids: whatever was marked."""
    ruled_out = {token for start, end in forbidden for token in range(start, end)}
    every = candidates(talk, marks, by_rules, ruled_out)
    every["step"] = [
        c
        for c in every["step"]
        if c.head not in ruled_out and not _is_of_a_warning(talk, marks, c) and not _is_condition(talk, c)
    ]
    return {kind: [c for c in of_kind if _says_something(c.found)] for kind, of_kind in every.items()}


def _is_of_a_warning(talk: Talk, marks: Marks, candidate: Candidate) -> bool:
    """Whether the deed only tells what goes wrong: "slam a valve in oxygen and it burns", "you open that, it vents"."""
    clause = talk.clause_at(candidate.head)
    if clause is None:
        return False
    if tells_what_comes(talk, marks, candidate.head):
        return True
    warns = float(marks.any("warning")[clause.start : clause.end].mean())
    least_warning, least_deed = _WARNS[candidate.source]
    return warns >= least_warning and float(marks.column("step", "B-deed", "I-deed")[candidate.head]) < least_deed


def _is_condition(talk: Talk, candidate: Candidate) -> bool:
    """Whether the deed stands in a clause that tells what comes later: "before you lift the panel"."""
    clause = talk.clause_at(candidate.head)
    return clause is not None and clause.marker in _CONDITIONS and clause.body <= candidate.head


def _says_something(found: Found) -> bool:
    """Whether every field without which there is no item has words."""
    return all(found.fields[name] for name in _NEEDED[found.kind])
