"""Steps whose order a warning forbids: "never open a door before the valve is shut", and the door stands first."""

from collections.abc import Iterator, Sequence

from rapidfuzz import fuzz

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import noun_phrase, text_of, thing
from vouchbook.extract.read.questions.raised import Findings, Raised, words_of
from vouchbook.extract.read.scope import Prohibition, prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.things import PRONOUNS

_UNTIL = frozenset({"before", "until"})
_CLOSE_ENOUGH = 78
"""Percent of likeness from which two names are one thing."""


def order_hazards(findings: Findings) -> Iterator[Raised]:
    """One question for each step that stands before what, by a warning, must be done first.

    A warning about things that no step names ("never go near it until it's dead") raises none: it stands as a warning.
    """
    talk = findings.talk
    steps = [placed.found for placed in findings.items if placed.found.kind == "step"]
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        for forbidden, clause in _forbidden_until(talk, sentence):
            first = _step_done_to(talk, forbidden, steps)
            condition = _step_about(talk, clause, steps)
            if first is None or condition is None or first >= condition:
                continue
            yield _raised(talk, sentence, steps[first], steps[condition])


def _forbidden_until(talk: Talk, sentence: Sentence) -> Iterator[tuple[Prohibition, Clause]]:
    """What the sentence forbids, each with the "before" or "until" clause that stands in the same sentence."""
    forbidden = [p for c in sentence.clauses if (p := prohibition(talk.doc, c.body, c.end)) is not None]
    for clause in sentence.clauses:
        if clause.marker in _UNTIL:
            yield from ((each, clause) for each in forbidden if each.end <= clause.start or clause.end <= each.start)


def _step_done_to(talk: Talk, forbidden: Prohibition, steps: Sequence[Found]) -> int | None:
    """The first of ``steps`` that does what is forbidden to the same thing: the verb must agree as well."""
    verbs = {token.lemma_.lower() for token in talk.doc[forbidden.start : forbidden.end]}
    names = _names(talk, forbidden.start, forbidden.end)
    return next((n for n, s in enumerate(steps) if s.fields["action"].split()[0] in verbs and _is_of(s, names)), None)


def _step_about(talk: Talk, clause: Clause, steps: Sequence[Found]) -> int | None:
    """The first of ``steps`` done to what the clause names: "before the valve is shut" is about the valve."""
    names = _names(talk, clause.body, clause.end)
    return next((n for n, step in enumerate(steps) if _is_of(step, names)), None)


def _names(talk: Talk, at: int, end: int) -> list[str]:
    names = []
    while at < end:
        stop = noun_phrase(talk.doc, at, end)
        if stop > at and (name := thing(talk.doc, at, stop).lower()) not in PRONOUNS:
            names.append(name)
        at = max(stop, at + 1)
    return names


def _is_of(step: Found, names: Sequence[str]) -> bool:
    return any(fuzz.token_set_ratio(name, step.fields["object"].lower()) >= _CLOSE_ENOUGH for name in names)


def _raised(talk: Talk, sentence: Sentence, first: Found, condition: Found) -> Raised:
    one, other = (f"{step.fields['action']} {step.fields['object']}" for step in (first, condition))
    warning = text_of(talk.doc, sentence.start, sentence.end)
    spans = tuple(words_of(talk, each.start, each.end) for each in (sentence, first, condition))
    return Raised(
        "order",
        f"order: {one}, or first {other}",
        f"Which comes first, \u201c{one}\u201d or \u201c{other}\u201d? It was said: \u201c{warning}\u201d",
        spans,
    )
