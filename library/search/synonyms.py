"""What else the trade calls it: the packs' terms and synonyms by the forms under which words are indexed (pure)."""

from collections.abc import Sequence

from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.library.search.words import words_of

_LONGEST, _MOST = 4, 8


class Synonyms:
    """Looks up stretches of words; made once for a vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._by_form: dict[tuple[str, ...], list[tuple[tuple[str, ...], ...]]] = {}
        for entry in vocabulary.entries:
            names = tuple(dict.fromkeys(_forms(name) for name in entry.forms))
            if len(names) > 1:
                for name in names:
                    self._by_form.setdefault(name, []).append(names)
            for sound in entry.sounds_like:
                self._by_form.setdefault(_forms(sound), []).append(names)

    def others(self, words: Sequence[str]) -> list[list[tuple[str, ...]]]:
        """For each of ``words``, at most 8 other names of the longest term that it is part of; each is its words."""
        found: list[list[tuple[str, ...]]] = [[] for _ in words]
        at = 0
        while at < len(words):
            length = next((n for n in range(_LONGEST, 0, -1) if tuple(words[at : at + n]) in self._by_form), 0)
            if length:
                name = tuple(words[at : at + length])
                others = [other for names in self._by_form[name] for other in names if other != name]
                for index in range(at, min(at + length, len(words))):
                    found[index] = list(dict.fromkeys(others))[:_MOST]
            at += max(length, 1)
        return found


def _forms(name: str) -> tuple[str, ...]:
    return tuple(word.form for word in words_of(name))
