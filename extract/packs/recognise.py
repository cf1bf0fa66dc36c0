"""Which packs a talk calls for, from the words in it."""

import re
from collections.abc import Sequence

from vouchbook.extract.packs.schema import Pack, normal_form
from vouchbook.models.record import Record

_FEWEST_CUES = 2  # one cue word can be a figure of speech
_TELLING_KINDS = frozenset({"part", "sign"})
_SHORTEST_NAME = 4
_SHARE_OF_BEST = 0.5  # a pack with half the cues of the best one is a second subject, below that it is a chance meeting


class PackScore(Record):
    """How much of a talk sounds like one pack: the cue words found, and how often they were said together."""

    name: str
    cues: tuple[str, ...]
    times: int


def rank_packs(text: str, packs: Sequence[Pack]) -> tuple[PackScore, ...]:
    """One score for each pack, the best first: most different cue words, then most often said, then given order."""
    spoken = normal_form(text)
    scores = [_score(spoken, pack) for pack in packs]
    return tuple(sorted(scores, key=lambda score: (-len(score.cues), -score.times)))


def choose_packs(text: str, packs: Sequence[Pack]) -> tuple[Pack, ...]:
    """The packs to lay over ``common`` for this talk, the best one last so that its meanings win; maybe none."""
    ranked = rank_packs(text, packs)
    if not ranked:
        return ()
    needed = max(_FEWEST_CUES, _SHARE_OF_BEST * len(ranked[0].cues))
    by_name = {pack.name: pack for pack in packs}
    return tuple(by_name[score.name] for score in reversed(ranked) if len(score.cues) >= needed)


def _score(spoken: str, pack: Pack) -> PackScore:
    """The cue words of ``pack`` and the names of its own parts and signs that were spoken; a part counts once."""
    names = {normal_form(form): form for form in pack.recognised_by}
    for entry in pack.entries:
        if entry.kind in _TELLING_KINDS:
            names.update({normal_form(form): entry.term for form in entry.forms if len(form) >= _SHORTEST_NAME})
    if not names:
        return PackScore(name=pack.name, cues=(), times=0)
    longest_first = sorted(names, key=len, reverse=True)  # the longest cue at a place counts
    pattern = re.compile(rf"\b({'|'.join(map(re.escape, longest_first))})(?:e?s)?\b")
    found = [names[match.group(1)] for match in pattern.finditer(spoken)]
    return PackScore(name=pack.name, cues=tuple(dict.fromkeys(found)), times=len(found))
