"""What a pack may hold by the rules, and its writer will hardly want: names that cannot be found, or too easily."""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from rapidfuzz import fuzz, process

from vouchbook.extract.packs.ordinary import ORDINARY_WORDS
from vouchbook.extract.packs.overlap import MEET_FREELY, Below
from vouchbook.extract.packs.schema import Entry, normal_form

_LONGEST_ABBREVIATION = 5  # letters
_NEAR = 88
"""Least likeness, 0 to 100 (rapidfuzz's ``ratio``), that makes two spellings neighbours: one letter in eight."""
_INFLECTIONS = frozenset("s es ed d er ers ing".split())
Kept = Callable[[Sequence[str]], Sequence[int]]
"""Which of some words reading looks at, by their index: it sets "um", and a word said twice, aside."""


class Pitfall(NamedTuple):
    """Where in its entry it stands (``("synonyms", 0)``), what is doubtful, and what to do."""

    place: tuple[str | int, ...]
    what: str
    remedy: str


def pitfalls(entry: Entry, own: Sequence[Entry], below: Below, kept: Kept) -> Iterator[Pitfall]:
    """What is doubtful about ``entry`` by itself, beside ``own``, the entries of its pack, and over those ``below``."""
    for place, written in _placed(entry):
        form, words = normal_form(written), written.split()
        if aside := [word for n, word in enumerate(words) if n not in kept(words)]:
            what = f"'{form}' can never be found: reading sets '{aside[0]}' in it aside, as a slip of the tongue"
            yield Pitfall(place, what, "Write it without, or with a hyphen where it is one word")
        full = _stands_for(form, entry) if place[0] != "sounds_like" and form in ORDINARY_WORDS else None
        if full is not None:
            what = f"'{form}', short for '{full}', is an ordinary word too, and will be found where it is only that"
            yield Pitfall(place, what, "Leave it out: the full name is enough")
    yield from _doubtful_sounds(entry, own, below)


def _doubtful_sounds(entry: Entry, own: Sequence[Entry], below: Below) -> Iterator[Pitfall]:
    if not entry.sounds_like:
        return
    names = _names_of_others(entry, own, below)
    sounds = {sound: other for other in own for sound in map(normal_form, other.sounds_like) if other is not entry}
    for index, sound in enumerate(map(normal_form, entry.sounds_like)):
        place = ("sounds_like", index)
        if sound in below.names:
            label, old = below.names[sound][-1]
            what = f"'{sound}' is a real word in {label} ({old.kind} '{old.term}'), and is never taken for another"
            yield Pitfall(place, what, "Take it out: it has no effect")
            continue
        twin = sounds.get(sound) or next((old for _, old in below.sounds.get(sound, ()) if _differs(old, entry)), None)
        if twin is not None:
            what = f"'{sound}' is a sound-alike of {twin.kind} '{twin.term}' too"
            yield Pitfall(place, what, "Leave it to the one that is said more often")
        near = process.extractOne(sound, names.keys(), scorer=fuzz.ratio, score_cutoff=_NEAR)
        if near is not None and near[1] >= max(fuzz.ratio(sound, normal_form(form)) for form in entry.forms):
            other = names[near[0]]
            what = f"'{sound}' is nearly '{near[0]}' ({other.kind} '{other.term}'), which may be what was said"
            yield Pitfall(place, what, "Take it out unless you have seen it printed for this one")


def _names_of_others(entry: Entry, own: Sequence[Entry], below: Below) -> dict[str, Entry]:
    """The names of other things, by form; what shares a name with ``entry`` is no other thing."""
    one_thing = {normal_form(form) for form in entry.forms}
    same = {id(old) for form in one_thing for _, old in below.names.get(form, ()) if old.kind == entry.kind}
    named = [(form, old) for form, found in below.names.items() for _, old in found if id(old) not in same]
    named += [(normal_form(form), other) for other in own if other is not entry for form in other.forms]
    return {form: other for form, other in named if other.kind not in MEET_FREELY and form not in one_thing}


def _placed(entry: Entry) -> Iterator[tuple[tuple[str | int, ...], str]]:
    yield ("term",), entry.term
    for field in ("synonyms", "sounds_like"):
        for index, form in enumerate(getattr(entry, field)):
            yield (field, index), form


def _stands_for(form: str, entry: Entry) -> str | None:
    """The longer name that ``form`` shortens, by its first letters or by the beginning of a word of it."""
    if len(form) > _LONGEST_ABBREVIATION or " " in form:
        return None
    for name in map(normal_form, entry.forms):
        words = name.split()
        rests = [word.removeprefix(form) for word in words if word.startswith(form)]
        is_shorter = bool(rests) and not any(not rest or rest in _INFLECTIONS | ORDINARY_WORDS for rest in rests)
        if is_shorter or (len(words) > 1 and form == "".join(word[0] for word in words)):
            return name
    return None


def _differs(one: Entry, other: Entry) -> bool:
    return one.kind != other.kind or not {normal_form(f) for f in one.forms} & {normal_form(f) for f in other.forms}
