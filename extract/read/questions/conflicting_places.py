"""One thing in two places: "the isolator is behind the left door", later "on the right-hand side by the motor"."""

from collections.abc import Iterator
from itertools import combinations

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.locations import locations
from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_OPPOSITE = (
    ("left", "right"), ("front", "rear"), ("front", "back"), ("nearside", "offside"), ("top", "bottom"),
    ("above", "below"), ("inside", "outside"), ("upper", "lower"),
)  # fmt: skip
_SEVERAL = words_pattern(
    # "one on each side", "the other isolator", "there's a second one", "a left one and a right one"
    r"one|ones|two|three|four|both|each|either|every|other|another|second|spare|pair|also|too|as well|all|same"
)
_ELSEWHERE = words_pattern(
    # of another machine, or not always so
    r"(?:old|older|new|newer|previous|earlier|later|other|last|some|most) (?:\w+ )?(?:ones?|models?|versions?|"
    r"machines?|types?|marks?)|used to|was|were|if|unless|sometimes|usually|mark \w+|series"
)


def conflicting_places(talk: Talk) -> Iterator[Raised]:
    """One question for each thing, of which there is one, that two lines put at opposite sides."""
    told = [found for found in locations(talk) if _is_plain(talk, found)]
    several = _named_as_several(talk)
    asked: set[str] = set()
    for one, other in combinations(told, 2):
        part = _name(one)
        if part != _name(other) or part in asked or part in several or one.line == other.line:
            continue
        if sides := _opposed(one, other):
            asked.add(part)
            spans = tuple(words_of(talk, *_sentence(talk, found)) for found in (one, other))
            first, second = (str(found.fields["place"]) for found in (one, other))
            yield Raised(
                "conflict",
                f"place of {part}: {sides[0]} or {sides[1]}",
                f"Where is the {part}, \u201c{first}\u201d or \u201c{second}\u201d?",
                spans,
            )


def _is_plain(talk: Talk, found: Found) -> bool:
    """Whether it is told of this machine, of one thing, and not asked."""
    sentence = next((s for s in talk.sentences if s.start <= found.start < s.end), None)
    if sentence is None or sentence.asks or sentence.line in talk.chatter:
        return False
    text = talk.tape(sentence.start, sentence.end).text
    return not _SEVERAL.search(text) and not _ELSEWHERE.search(text)


def _named_as_several(talk: Talk) -> frozenset[str]:
    """Names that are said in the plural anywhere, or with "another" or "the other": there are several of them."""
    marked = frozenset({"other", "another", "second", "each", "both"})
    return frozenset(
        token.lemma_.lower()
        for token in talk.doc
        if token.pos_ in {"NOUN", "PROPN"}
        and (token.tag_ in {"NNS", "NNPS"} or (token.i and talk.doc[token.i - 1].lower_ in marked))
    )


def _name(found: Found) -> str:
    part: str = found.fields["part"].lower()
    return part.removeprefix("the ").removeprefix("a ")


def _opposed(one: Found, other: Found) -> tuple[str, str] | None:
    """The sides, one in each place and neither in both, that cannot be of one thing."""
    first, second = (str(found.fields["place"]).lower().replace("-", " ").split() for found in (one, other))
    for pair in _OPPOSITE:
        for here, there in (pair, pair[::-1]):
            if here in first and there in second and here not in second and there not in first:
                return here, there
    return None


def _sentence(talk: Talk, found: Found) -> tuple[int, int]:
    sentence: Sentence = next(s for s in talk.sentences if s.start <= found.start < s.end)
    return sentence.start, sentence.end
