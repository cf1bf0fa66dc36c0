"""The same talk in other words: other sizes, other parts, clauses the other way round, slips of a recogniser.

Only words change, or where a clause stands; each word keeps what the rules know of it and its answers. So the tagger
learns the form of what is said, not that a cover has four screws.
"""

import random
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from vouchbook.extract.packs.schema import Kind
from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_NUMBERS: tuple[tuple[str, ...], ...] = (
    ("two", "three", "four", "five", "six", "seven", "eight"),
    ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
    ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"),
    ("2", "3", "4", "5", "6", "7", "8"),
    ("10", "11", "12", "13", "14", "15", "16", "17", "18", "19", "21", "22", "24"),
    ("100", "120", "150", "200", "250", "300", "350", "400", "600", "700", "800"),
    ("left", "right"),
    ("front", "rear"),
)
"""Words that may stand for each other: a talk stays a talk with any other of its group."""
_OTHER_THINGS, _SLIPS, _TURNED = 0.6, 0.3, 0.3
"""Share of the things of a talk that get another name, of the names that are heard as something else, and of the
sentences with a condition in front that get it behind."""
_NAMED: tuple[Kind, ...] = ("part", "tool", "fastener")
_PLURALS = frozenset({"NNS", "NNPS"})
_PLAIN = re.compile(r"^[a-z]+$")


@dataclass(frozen=True, slots=True)
class Variant:
    """``words`` of a talk in ``order``: word n stands for the talk's own word ``order[n]``."""

    order: tuple[int, ...]
    words: tuple[str, ...]


def variants(talk: Talk, vocabulary: Vocabulary, count: int, seed: str) -> list[Variant]:
    """``count`` variants of ``talk``; the same ``seed`` gives the same ones."""
    chance = random.Random(seed)
    return [_variant(talk, vocabulary, chance) for _ in range(count)]


def _variant(talk: Talk, vocabulary: Vocabulary, chance: random.Random) -> Variant:
    other = _other_numbers(chance) | _other_things(talk, vocabulary, chance)
    heard_as = _slips(talk, chance)
    words = [heard_as.get(t.i) or _like(t.text, other.get(t.lower_, t.text)) for t in talk.doc]
    order = _order(talk, chance)
    return Variant(order, tuple(words[n] for n in order))


def _like(text: str, other: str) -> str:
    """``other`` with a capital where ``text`` has one."""
    return other.capitalize() if text[:1].isupper() else other


def _other_numbers(chance: random.Random) -> dict[str, str]:
    """Each number for another one of its group, so that what was the same stays the same and what differed differs."""
    return {
        word: other for group in _NUMBERS for word, other in zip(group, chance.sample(group, len(group)), strict=True)
    }


def _other_things(talk: Talk, vocabulary: Vocabulary, chance: random.Random) -> dict[str, str]:
    """Things of one word for others of their kind in the packs, singular for singular."""
    names = {
        kind: sorted({form for entry in vocabulary.of_kind(kind) for form in entry.forms if _PLAIN.match(form)})
        for kind in _NAMED
    }
    found: dict[str, str] = {}
    for mention in talk.mentions:
        token = talk.doc[mention.start]
        is_one_word = mention.end - mention.start == 1 and _PLAIN.match(token.lower_)
        if mention.entry.kind in names and is_one_word and chance.random() < _OTHER_THINGS:
            name = chance.choice(names[mention.entry.kind])
            found.setdefault(token.lower_, f"{name}s" if token.tag_ in _PLURALS else name)
    return found


def _slips(talk: Talk, chance: random.Random) -> Mapping[int, str]:
    """For some named things, the token of one word as recognisers print it."""
    found: dict[int, str] = {}
    for mention in talk.mentions:
        sounds = [sound for sound in mention.entry.sounds_like if len(sound.split()) == mention.end - mention.start]
        if sounds and chance.random() < _SLIPS:
            found |= dict(zip(range(mention.start, mention.end), chance.choice(sounds).split(), strict=True))
    return found


def _order(talk: Talk, chance: random.Random) -> tuple[int, ...]:
    """The tokens with the condition of some sentences behind what it is a condition of, each inside its line."""
    order: list[int] = []
    for sentence in talk.sentences:
        tokens = list(range(sentence.start, sentence.end))
        front = _condition_in_front(talk, sentence.clauses)
        if front and chance.random() < _TURNED:
            end = sentence.end
            while end > front.end and talk.doc[end - 1].is_punct:
                end -= 1
            tokens = [*range(front.end, end), *range(front.start, front.end), *range(end, sentence.end)]
            tokens = [*range(sentence.start, front.start), *tokens]
        order += tokens
    return tuple(order) if _is_whole(order, len(talk.doc)) else tuple(range(len(talk.doc)))


def _condition_in_front(talk: Talk, clauses: Sequence[Clause]) -> Clause | None:
    """The first clause, where it is a condition ("if it won't move, …") and its sentence stands in one line."""
    if len(clauses) < 2 or not clauses[0].marker:
        return None
    first, last = clauses[0], clauses[-1]
    return first if talk.line_at(first.start) == talk.line_at(last.end - 1) else None


def _is_whole(order: Iterable[int], total: int) -> bool:
    return sorted(order) == list(range(total))
