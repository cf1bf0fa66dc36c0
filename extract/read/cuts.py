"""Where a new thing begins to be said inside a sentence, also where nobody wrote punctuation."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from spacy.tokens import Token

from vouchbook.extract.read.joints import FORBIDS, HOLDS_ON, JOINERS, MARKERS, ORDERS, PAUSE, PERSONS, SUBJECTS
from vouchbook.extract.read.tags import BASE_VERBS, FINITE_VERBS, NOUNS, VERBS

_TAKEN_FOR_NOUNS = frozenset("snaps shears jumps kicks whips swings slips bursts falls".split())
"""What a thing does when a job goes wrong; behind a noun the language model takes it for one: "the spindle snaps"."""
_ALL_BUT = frozenset("anywhere everywhere anything everything anybody everybody all nothing nobody".split())
_LONG_BREATH = 16
"""Tokens between two pauses; written speech breathes sooner, captions without punctuation never do."""


def cuts(tokens: Sequence[Token]) -> Iterator[int]:
    """The index in the Doc of each token of one sentence that begins a clause, but for the first; rising."""
    last = tokens[-1].i
    pauses = [tokens[0].i, *(token.i for token in tokens if token.text in PAUSE), last + 1]
    for before, token in pairwise(tokens):
        following = token.nbor(1) if token.i < last else None
        if (
            _is_pause(before)
            or _joins(token, following, tokens)
            or _ties(before, token, tokens)
            or (_breath(pauses, token.i) > _LONG_BREATH and _begins_unannounced(before, token, following))
        ):
            yield token.i


def _is_pause(token: Token) -> bool:
    """Whether a sign parts what is said; the hyphen of "right-hand" does not."""
    is_hyphen = token.text == "-" and not token.whitespace_ and token.i > 0 and not token.nbor(-1).whitespace_
    return token.text in PAUSE and not is_hyphen


def _breath(pauses: list[int], at: int) -> int:
    """The number of tokens between the pauses around ``at``."""
    after = next(n for n, pause in enumerate(pauses) if pause > at)
    return pauses[after] - pauses[after - 1]


def _joins(token: Token, following: Token | None, tokens: Sequence[Token]) -> bool:
    """ "and", "but", "or", "so", "then" that open a clause with a verb of its own.

    "Lift it and push the rail" has two; "the rail and the hook" has one.
    """
    if following is None or token.lower_ not in JOINERS:
        return False
    if token.lower_ == "and" and _is_between(token, tokens):
        return False
    if token.lower_ == "but" and token.i > tokens[0].i and token.nbor(-1).lower_ in _ALL_BUT:
        return False  # "anywhere but the sills" leaves out, and joins nothing
    if token.i > tokens[0].i and token.nbor(-1).lower_ in JOINERS - {"then"}:
        return False  # "and then": cut once
    rest = [t for t in tokens if t.i > token.i]
    if following.lower_ in SUBJECTS | FORBIDS | {"then", "so", "that's"}:
        return any(t.tag_ in VERBS for t in rest)
    if (
        following.tag_ in BASE_VERBS
        or following.lower_ in ORDERS
        or (token.lower_ in {"and", "then"} and following.tag_ == "MD")
    ):
        return True
    if following.pos_ in {"DET", "PRON", "NOUN", "PROPN", "NUM", "ADJ"}:
        return any(t.tag_ in FINITE_VERBS or _is_taken_for_noun(t) for t in _until_pause(rest))
    return token.lower_ in {"but", "so", "then"}


def _ties(before: Token, token: Token, tokens: Sequence[Token]) -> bool:
    """A marker inside the sentence that has a verb after it: "until it clicks", "because it moves".

    Not "even if", "so when": there the word before belongs to the marker.
    """
    if token.lower_ not in MARKERS - {"as", "where", "since"}:
        return False
    if before.lower_ in {"and", "but", "so", "or", "even", "that"}:
        return False
    rest = _until_pause(t for t in tokens if t.i > token.i)
    return any(t.tag_ in VERBS or t.tag_ in {"VBG", "VBN"} for t in rest)


def _begins_unannounced(before: Token, token: Token, following: Token | None) -> bool:
    """A clause that starts with no word or sign before it: "pull the ring you will feel it give"."""
    if (
        following is None
        or before.lower_ in HOLDS_ON | {"n't", "not"}
        or before.tag_ in {"IN", "TO", "DT", "PRP$", "CC", "WDT", "WRB"}
    ):
        return False
    word = token.lower_
    if word in PERSONS:
        return following.tag_ in VERBS and before.pos_ not in {"AUX", "PRON"} and before.tag_ != "VB"
    if word in {"that", "this"}:
        states = following.lower_ in {"'s", "is", "goes", "will", "'ll"}
        return states and before.pos_ in {"NOUN", "ADV", "ADP", "ADJ", "NUM"}
    if word in {"do", "never"}:
        return following.lower_ in {"n't", "not"} or following.tag_ == "VB"
    return False


def _is_between(token: Token, tokens: Sequence[Token]) -> bool:
    """ "Between the ball lift and the machine" is one place."""
    before = [t.lower_ for t in tokens if t.i < token.i]
    return "between" in before and "and" not in before[before.index("between") :]


def _is_taken_for_noun(token: Token) -> bool:
    return token.lower_ in _TAKEN_FOR_NOUNS and token.tag_ == "NNS" and token.nbor(-1).tag_ in NOUNS


def _until_pause(tokens: Iterable[Token]) -> Iterator[Token]:
    for token in tokens:
        if token.text in PAUSE:
            return
        yield token
