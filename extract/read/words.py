"""What was said, without the noise of saying it: fillers and false starts set aside, nothing lost.

Everything later works on the kept words; evidence is cut from the transcript itself, so what was set aside stays in
every quote.
"""

import re
from collections.abc import Sequence

FILLERS = frozenset({"um", "uh", "er", "erm", "ehm", "hm", "hmm", "mm", "mhm", "ah", "eh", "uhm", "umm"})

ASIDES: tuple[tuple[str, ...], ...] = tuple(
    tuple(phrase.split())
    for phrase in (
        "you know", "i mean", "what do you call it", "what d'you call it", "what's it called", "sort of", "kind of",
        "let's say", "to be honest", "if you like", "as i say", "like i say", "like i said", "i suppose", "i guess",
        "basically", "actually", "obviously", "i'd say",
    )
)  # fmt: skip
"""Phrases that say nothing about the machine: "it's, you know, behind the panel"."""

_PLAIN = re.compile(r"[^\w']+")
_LONGEST_RESTART = 4
_NOT_A_RESTART = frozenset(
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "oh", "zero", "no", "nought"]
)


def plain(word: str) -> str:
    """``word`` in lower case without punctuation around or in it ("Foot-well," gives "footwell")."""
    return _PLAIN.sub("", word.replace("\u2019", "'")).lower()


def kept_words(words: Sequence[str]) -> tuple[int, ...]:
    """The indices of the words that carry the talk.

    >>> said = "So it's, it's behind the, um, the rear panel, you know".split()
    >>> [said[i] for i in kept_words(said)]
    ['So', "it's", 'behind', 'the', 'rear', 'panel,']
    """
    kept = [i for i, word in enumerate(words) if plain(word) and plain(word) not in FILLERS]
    return tuple(_without_restarts(words, _without_asides(words, kept)))


def _without_asides(words: Sequence[str], kept: list[int]) -> list[int]:
    """Leaves an aside out where the talk pauses after it, or before it and it ends the sentence."""
    out: list[int] = []
    at = 0
    while at < len(kept):
        length = next((len(a) for a in ASIDES if _stands_at(words, kept, at, a)), 0)
        if not length:
            out.append(kept[at])
        at += length or 1
    return out


def _stands_at(words: Sequence[str], kept: list[int], at: int, phrase: tuple[str, ...]) -> bool:
    if at + len(phrase) > len(kept):
        return False
    if any(plain(words[kept[at + k]]) != part for k, part in enumerate(phrase)):
        return False
    closed = words[kept[at + len(phrase) - 1]][-1] in ",;"
    opened = at > 0 and words[kept[at - 1]][-1] in ",;"
    return closed or (opened and at + len(phrase) == len(kept))


def _without_restarts(words: Sequence[str], kept: list[int]) -> list[int]:
    """Keeps the last of the same words said twice in a row ("the, the badge", "of a, of a back wheel")."""
    out: list[int] = []
    for index in kept:
        out.append(index)
        for length in range(min(_LONGEST_RESTART, len(out) // 2), 0, -1):
            first, again = out[-2 * length : -length], out[-length:]
            if any(words[i][-1] in ".?!" for i in first):
                continue
            if [plain(words[i]) for i in first] != [plain(words[i]) for i in again]:
                continue
            if length == 1 and plain(words[index]) in _NOT_A_RESTART:
                continue
            del out[-2 * length : -length]
            break
    return out
