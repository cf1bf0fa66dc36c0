"""What the rules know of each token, as the tagger is told it."""

from collections.abc import Iterable, Mapping, Sequence

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.topics import line_topics
from vouchbook.extract.tagger.labels import FEATURES
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.tagger import Tagger

_NONE = "-"


def marks_of(talk: Talk, tagger: Tagger, by_rules: Mapping[str, Iterable[Found]]) -> Marks:
    """What ``tagger`` sees in ``talk``; ``by_rules`` are the items that the rules found, by their kind."""
    lines = lines_of(talk)
    asks = [line in talk.askers for line in lines]
    columns = feature_columns(talk, lines, by_rules)
    rows = list(zip(*(columns[name] for name in FEATURES), strict=True))
    return tagger.mark([token.text for token in talk.doc], lines, asks, rows)


def lines_of(talk: Talk) -> list[int]:
    """The transcript's line of each token."""
    return [talk.line_at(token) for token in range(len(talk.doc))]


def feature_columns(
    talk: Talk, lines: Sequence[int], by_rules: Mapping[str, Iterable[Found]]
) -> dict[str, Sequence[str]]:
    """A column of values for each of ``FEATURES``."""
    named, speaks_for = _mentions(talk)
    topics = line_topics(talk)
    return {
        "tag": [token.tag_ for token in talk.doc],
        "dependency": [token.dep_ for token in talk.doc],
        "asks": ["yes" if line in talk.askers else "no" for line in lines],
        "chatter": ["yes" if line in talk.chatter else "no" for line in lines],
        "named": named,
        "speaks_for": speaks_for,
        "value": _values(talk),
        "forbids": _forbidding(talk),
        "topic": [topics[line].value for line in lines],
        "turn": _turns(talk, lines),
        **{kind: _stretches(talk, found) for kind, found in by_rules.items()},
    }


def _mentions(talk: Talk) -> tuple[list[str], list[str]]:
    """For each token, the kind of what it names and the topic that the word speaks for."""
    named, speaks_for = [_NONE] * len(talk.doc), [_NONE] * len(talk.doc)
    for mention in talk.mentions:
        phase = mention.entry.phase.value if mention.entry.phase else _NONE
        for token in range(mention.start, mention.end):
            named[token], speaks_for[token] = mention.entry.kind, phase
    return named, speaks_for


def _values(talk: Talk) -> list[str]:
    column = [_NONE] * len(talk.doc)
    for value in talk.values:
        first, last = talk.token_of(value.first), talk.token_of(value.last)
        if first is not None and last is not None:
            column[first : last + 1] = ["size" if value.is_size else value.quantity.dimension] * (last + 1 - first)
    return column


def _forbidding(talk: Talk) -> list[str]:
    column = ["no"] * len(talk.doc)
    for sentence in talk.sentences:
        for clause in sentence.clauses:
            if prohibition(talk.doc, clause.body, clause.end):
                column[clause.start : clause.end] = ["yes"] * (clause.end - clause.start)
    return column


def _turns(talk: Talk, lines: Sequence[int]) -> list[str]:
    """Where a line begins, and whether another person speaks in it."""
    column = ["inside"] * len(lines)
    for token in range(1, len(lines)):
        if lines[token] != lines[token - 1]:
            is_same = talk.voice(lines[token]) == talk.voice(lines[token - 1])
            column[token] = "same voice" if is_same else "other voice"
    return column


def _stretches(talk: Talk, found: Iterable[Found]) -> list[str]:
    """Where an item of the rules begins and where it goes on."""
    column = [_NONE] * len(talk.doc)
    for item in found:
        column[item.start : item.end] = ["inside"] * (item.end - item.start)
        column[item.start] = "begins"
    return column
