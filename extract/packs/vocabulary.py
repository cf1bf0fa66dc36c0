"""Packs laid over each other: what reading and listening look words up in."""

from functools import cached_property
from typing import Literal

from vouchbook.extract.packs.schema import Entry, Kind, Pack, Topic, normal_form
from vouchbook.models.phases import Phase
from vouchbook.models.record import Record

Match = Literal["term", "synonym", "sound"]


class Spelling(Record):
    """One way in which an entry may stand in a transcript, in normal form."""

    form: str
    match: Match
    entry: Entry


class Vocabulary(Record):
    """Several packs as one. Made by :func:`layered`; the order of everything is that of the packs."""

    packs: tuple[str, ...]
    entries: tuple[Entry, ...]
    topics: tuple[Topic, ...]
    energies: dict[str, tuple[str, ...]]

    def of_kind(self, kind: Kind) -> tuple[Entry, ...]:
        """The entries of one kind."""
        return tuple(entry for entry in self.entries if entry.kind == kind)

    @cached_property
    def spellings(self) -> tuple[Spelling, ...]:
        """Every way in which every entry may be written: the term, its synonyms, its sound-alikes."""
        return tuple(
            Spelling(form=normal_form(form), match=match, entry=entry)
            for entry in self.entries
            for match, forms in _spelled(entry)
            for form in forms
        )

    def find(self, form: str, kind: Kind | None = None) -> tuple[Spelling, ...]:
        """The entries that ``form`` may stand for, real names before sound-alikes; empty when there are none."""
        found = self._by_form.get(normal_form(form), ())
        return tuple(spelling for spelling in found if kind in (None, spelling.entry.kind))

    @cached_property
    def _by_form(self) -> dict[str, tuple[Spelling, ...]]:
        by_form: dict[str, list[Spelling]] = {}
        for spelling in self.spellings:
            by_form.setdefault(spelling.form, []).append(spelling)
        return {form: tuple(sorted(found, key=lambda s: s.match == "sound")) for form, found in by_form.items()}

    @cached_property
    def often_misheard(self) -> tuple[str, ...]:
        """The terms that recognisers are known to get wrong, for hot words."""
        return tuple(entry.term for entry in self.entries if entry.sounds_like)


def layered(*packs: Pack) -> Vocabulary:
    """``packs`` as one vocabulary, a later pack over an earlier one.

    An entry for the same kind and term adds its names and overrides the fields that it sets; with ``replaces`` it
    stands alone. A form that a later entry claims is taken from the earlier one; an earlier term that it lists as a
    synonym becomes one, with all its names. A sound-alike that is a real word of any layer is dropped. All topics are
    kept; one that two packs have is due when either calls for it, told by the words of both, asked as the later does.
    """
    layers = _Layers()
    for pack in packs:
        for entry in pack.entries:
            layers.lay(entry)
    entries = tuple(layers.entries.values())
    real = {normal_form(form) for entry in entries for form in entry.forms}
    topics: dict[tuple[Phase, str], Topic] = {}
    energies: dict[str, tuple[str, ...]] = {}
    for pack in packs:
        for topic in pack.topics:
            known = topics.get((topic.phase, topic.about))
            topics[topic.phase, topic.about] = _both(known, topic) if known else topic
        for energy, words in pack.energies.items():
            energies[energy] = _union(energies.get(energy, ()), words)
    return Vocabulary(
        packs=tuple(dict.fromkeys(pack.name for pack in packs)),
        entries=tuple(_without_sounds(entry, real) for entry in entries),
        topics=tuple(topics.values()),
        energies=energies,
    )


class _Layers:
    """Entries by kind and term, and who owns each form; grows by one entry at a time."""

    def __init__(self) -> None:
        self.entries: dict[tuple[Kind, str], Entry] = {}
        self._owners: dict[tuple[Kind, str], str] = {}

    def lay(self, new: Entry) -> None:
        """Adds ``new`` on top: it takes over all its forms, and whole entries whose term is one of them."""
        kind, claimed = new.kind, [normal_form(form) for form in new.forms]
        owners = dict.fromkeys(self._owners[kind, form] for form in claimed if (kind, form) in self._owners)
        for term in owners:
            old = self.entries[kind, term]
            if normal_form(term) in claimed:
                self._drop(old)
                new = new if new.replaces else _merged(old, new)
            else:
                kept = tuple(synonym for synonym in old.synonyms if normal_form(synonym) not in claimed)
                self.entries[kind, term] = old.model_copy(update={"synonyms": kept})
        self.entries[kind, new.term] = new
        self._owners.update({(kind, normal_form(form)): new.term for form in new.forms})

    def _drop(self, entry: Entry) -> None:
        del self.entries[entry.kind, entry.term]
        for form in entry.forms:
            del self._owners[entry.kind, normal_form(form)]


def _merged(old: Entry, new: Entry) -> Entry:
    set_fields = {field: getattr(new, field) for field in new.model_fields_set}
    names = tuple(form for form in _union(new.synonyms, old.forms) if normal_form(form) != normal_form(new.term))
    sounds = _union(new.sounds_like, old.sounds_like)
    return old.model_copy(update={**set_fields, "synonyms": names, "sounds_like": sounds})


def _both(old: Topic, new: Topic) -> Topic:
    only_if = _union(old.only_if, new.only_if) if old.only_if and new.only_if else ()
    return new.model_copy(update={"words": _union(old.words, new.words), "only_if": only_if})


def _without_sounds(entry: Entry, real: set[str]) -> Entry:
    kept = tuple(sound for sound in entry.sounds_like if normal_form(sound) not in real)
    return entry if kept == entry.sounds_like else entry.model_copy(update={"sounds_like": kept})


def _union(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[str, ...]:
    merged: dict[str, str] = {}
    for form in (*first, *second):
        merged.setdefault(normal_form(form), form)
    return tuple(merged.values())


def _spelled(entry: Entry) -> tuple[tuple[Match, tuple[str, ...]], ...]:
    return ("term", (entry.term,)), ("synonym", entry.synonyms), ("sound", entry.sounds_like)
