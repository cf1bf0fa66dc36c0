"""What was said, without the noise of saying it: fillers and false starts set aside, nothing lost.

Everything later works on the kept words; evidence is cut from the transcript itself, so what was set aside stays in
every quote.
"""

import re
from collections.abc import Sequence

_FILLERS = frozenset("um uh er erm ehm hm hmm mm mhm ah eh uhm umm".split())

_ASIDES = tuple(
    tuple(phrase.split())
    for phrase in (
        "you know", "i mean", "what do you call it", "what d'you call it", "what's it called", "sort of", "kind of",
        "let's say", "to be honest", "if you like", "as i say", "like i say", "like i said", "i suppose", "i guess",
        "basically", "actually", "obviously", "i'd say",
    )
)  # fmt: skip
"""Phrases that say nothing about the machine: "it's, you know, behind the panel"; not "you know by the lamp"."""

_NUMBER = re.compile(
    r"\d+|half|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|"
    r"seventeen|eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred"
)
"""What a "mm" that follows is the unit of; "one, mm, and then" pauses."""
_PUNCTUATION = re.compile(r"[^\w']+")
_LONGEST_RESTART = 4
_SAID_TWICE_ON_PURPOSE = frozenset("one two three four five six seven eight nine ten oh zero no nought".split())
"""Digits of one number ("two two oh") and a denial; never a slip of the tongue."""


def plain(word: str) -> str:
    """``word`` in lower case without punctuation around or in it.

    >>> plain("Foot-well,")
    'footwell'
    """
    return _PUNCTUATION.sub("", word.replace("\u2019", "'")).lower()


def kept_words(words: Sequence[str]) -> tuple[int, ...]:
    """The indices of the words that carry the talk, rising.

    >>> said = "So it's, it's behind the, um, the rear panel, you know".split()
    >>> [said[i] for i in kept_words(said)]
    ['So', "it's", 'behind', 'the', 'rear', 'panel,']
    """
    kept = [i for i, word in enumerate(words) if plain(word) and not _is_filler(words, i)]
    return tuple(_without_restarts(words, _without_asides(words, kept)))


def _is_filler(words: Sequence[str], at: int) -> bool:
    """Whether a word only fills a pause; the "mm" behind a number is its unit."""
    word = plain(words[at])
    is_unit = word == "mm" and at > 0 and words[at - 1][-1:].isalnum() and _NUMBER.fullmatch(plain(words[at - 1]))
    return word in _FILLERS and not is_unit


def _without_asides(words: Sequence[str], kept: list[int]) -> list[int]:
    """Leaves an aside out where the talk pauses after it, or before it and it ends the talk."""
    out: list[int] = []
    at = 0
    while at < len(kept):
        length = next((len(aside) for aside in _ASIDES if _stands_at(words, kept, at, aside)), 0)
        if not length:
            out.append(kept[at])
        at += length or 1
    return out


def _stands_at(words: Sequence[str], kept: list[int], at: int, aside: tuple[str, ...]) -> bool:
    after = at + len(aside)
    if after > len(kept) or any(plain(words[kept[at + n]]) != part for n, part in enumerate(aside)):
        return False
    opened = at > 0 and words[kept[at - 1]][-1] in ",;"
    closed = words[kept[after - 1]][-1] in ",;"
    return closed or (opened and after == len(kept))


def _without_restarts(words: Sequence[str], kept: list[int]) -> list[int]:
    """Keeps the last of the same words said twice in a row: "the, the badge", "of a, of a rear door".

    Not "It's off. It's off the hook.", where a sentence ends between, nor "two two oh volts".
    """
    out: list[int] = []
    for index in kept:
        out.append(index)
        for length in range(min(_LONGEST_RESTART, len(out) // 2), 0, -1):
            if _is_restart(words, out[-2 * length : -length], out[-length:]):
                del out[-2 * length : -length]
                break
    return out


def _is_restart(words: Sequence[str], first: list[int], again: list[int]) -> bool:
    if any(words[i][-1] in ".?!" for i in first):
        return False
    said = [plain(words[i]) for i in first]
    return said == [plain(words[i]) for i in again] and not (len(said) == 1 and said[0] in _SAID_TWICE_ON_PURPOSE)
