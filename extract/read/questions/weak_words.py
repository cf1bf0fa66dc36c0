"""Which heard words are doubted, and why: each class of words with what the recogniser takes it for.

The bounds were set on talks spoken by synthetic voices (benchmarks/README.md has what they find). They are no odds:
"two" heard as "to" often comes with a probability above 0.8, so short words are doubted long before others.
"""

import re
from typing import Literal, NamedTuple

from vouchbook.extract.read.numbers import DENOMINATORS, WORDS
from vouchbook.extract.read.words import plain

Sense = Literal["negation", "number", "odd figure", "side", "sound-alike", "auxiliary", "any word"]


class Doubt(NamedTuple):
    """Why a word is doubted. ``may_be`` is what else may have been said, "" where nothing is known to sound like it."""

    sense: Sense
    may_be: str = ""

    @property
    def carries(self) -> bool:
        """Whether the word itself is a size, number, side or negation, and not one that may hide it."""
        return self.sense in _CARRIES


_CARRIES = frozenset({"negation", "number", "odd figure", "side"})
BELOW: dict[Sense, float] = {
    # "Do not cut" heard as "do cut" is the worst that can happen here, and it comes and goes with one short word.
    "negation": 0.9,
    # A wrong size sends a crew to the cutter with the wrong socket, and no other word of the sentence shows it.
    "number": 0.9,
    # Figures that no trade says ("$25.28", "3-8th") are fractions or two numbers run together, however sure they look.
    "odd figure": 1.01,
    # Left for right sends a crew to the wrong side of the machine; both make sense in any sentence.
    "side": 0.9,
    # "Two" is heard as "to" and "four" as "for", because these are the commoner words; so they are hardly ever sure.
    "sound-alike": 0.95,
    # "Isn't live" is heard as "is live": the end of the verb is swallowed, and the verb is weak where it was.
    "auxiliary": 0.7,
    # Whatever stands where a word was hardly understood may stand for a size ("equator" for "a quarter").
    "any word": 0.4,
}
"""Probability below which a word of each class is doubted."""

_NEGATIONS = frozenset("not no never nobody nothing none without unless cannot cant dont mustnt".split())
_SIDES = frozenset(
    "left right top bottom front rear upper lower nearside offside clockwise anticlockwise counterclockwise".split()
)
_SOUND_ALIKES = {"to": "two", "too": "two", "for": "four", "free": "three", "know": "no", "well": "twelve"}
_DENIED = {
    "is": "isn't", "are": "aren't", "was": "wasn't", "were": "weren't", "do": "don't", "does": "doesn't",
    "did": "didn't",
    "can": "can't", "could": "couldn't", "will": "won't", "would": "wouldn't", "has": "hasn't", "have": "haven't",
    "had": "hadn't", "must": "mustn't", "should": "shouldn't",
}  # fmt: skip
_AFFIRMED = {denied: verb for verb, denied in _DENIED.items()} | {"cannot": "can", "cant": "can", "dont": "do"}
_TEENS = {
    "thirteen": "thirty", "fourteen": "forty", "fifteen": "fifty", "sixteen": "sixty", "seventeen": "seventy",
    "eighteen": "eighty", "nineteen": "ninety", **{f"1{digit}": f"{digit}0" for digit in range(3, 10)},
}  # fmt: skip
_MAY_BE = {
    **_SOUND_ALIKES, **_DENIED, **_AFFIRMED, **_TEENS, **{tens: teen for teen, tens in _TEENS.items()},
    "mustnt": "must", "left": "lift", "lift": "left", "no": "know", "two": "to", "2": "to", "four": "for", "4": "for",
    "three": "free", "clockwise": "anticlockwise", "anticlockwise": "clockwise",
}  # fmt: skip
_LEADING_FIGURES = re.compile(r"(\d\d)(?!\d)")
_ODD_FIGURE = re.compile(r"\$|\d(?:st|nd|rd|th)\b|\d\.\d{2}|\d-\d|\b[A-Za-z]-inch")
"""Money, dates, hundredths, ranges and letters in inches."""
_ARTICLES = frozenset({"a", "an", "the"})
"""Often weak, and nothing turns on them."""
_NUMBERS = WORDS | frozenset(DENOMINATORS)


def doubt_of(text: str, probability: float | None) -> Doubt | None:
    """Why the word ``text`` is doubted, None where it was heard well enough or captions give no ``probability``.

    >>> doubt_of("to", 0.85)
    Doubt(sense='sound-alike', may_be='two')
    """
    if probability is None or plain(text) in _ARTICLES:
        return None
    sense = _sense(text)
    return Doubt(sense, _may_be(text)) if probability < BELOW[sense] else None


def how_heard(probability: float) -> str:
    """A probability in words."""
    if probability < BELOW["any word"]:
        return "hardly understood"
    return "hard to hear" if probability < BELOW["auxiliary"] else "not quite clear"


def _sense(text: str) -> Sense:
    said = plain(text)
    if said in _NEGATIONS or said.endswith("n't"):
        return "negation"
    if _ODD_FIGURE.search(text):
        return "odd figure"
    if said in _NUMBERS or any(character.isdigit() for character in said):
        return "number"
    if said in _SIDES:
        return "side"
    if said in _SOUND_ALIKES:
        return "sound-alike"
    return "auxiliary" if said in _DENIED else "any word"


def _may_be(text: str) -> str:
    said = plain(text)
    if said in _MAY_BE:
        return _MAY_BE[said]
    figures = _LEADING_FIGURES.match(said)
    return _MAY_BE.get(figures.group(1), "") if figures else ""
