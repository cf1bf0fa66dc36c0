"""How an entry lies over those of earlier packs: what it adds, changes, takes over, and what it means beside them.

:func:`vouchbook.extract.packs.vocabulary.layered` is what happens; this tells it to those who write a pack.
"""

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from vouchbook.extract.packs.schema import Entry, normal_form
from vouchbook.models.record import Record

How = Literal["same", "adds", "changes", "replaces", "takes over", "takes a name", "also", "hides a sound"]
OVERRIDES = frozenset[How]({"changes", "replaces", "takes over", "takes a name"})
"""Earlier packs say something else than holds with this entry on top."""

_FIELDS = ("phase", "weight", "hazard", "signal", "implies_tool", "act")
MEET_FREELY = frozenset({"topic_word", "verb", "state", "hazard"})
"""Kinds that share words with the others all the time: "lock it", "the lock", "locked"."""


class Layer(NamedTuple):
    """The entries of one pack, and what to call it."""

    label: str
    entries: Sequence[Entry]


class Overlap(Record):
    """One way in which ``entry`` meets an earlier pack. ``{}`` in ``what`` stands for the names of the packs."""

    how: How
    what: str
    remedy: str


class Below:
    """The packs under one that is checked, arranged for look-up."""

    def __init__(self, layers: Sequence[Layer]) -> None:
        self.layers = tuple(layers)
        self.names: dict[str, list[tuple[str, Entry]]] = {}
        """For each form that is a name, the entries (with their layer) that it is a name of."""
        self.sounds: dict[str, list[tuple[str, Entry]]] = {}
        """For each sound-alike, the entries (with their layer) that it is taken for."""
        for label, entries in layers:
            for entry in entries:
                for form in dict.fromkeys(map(normal_form, entry.forms)):
                    self.names.setdefault(form, []).append((label, entry))
                for form in dict.fromkeys(map(normal_form, entry.sounds_like)):
                    self.sounds.setdefault(form, []).append((label, entry))

    def overlaps(self, entry: Entry) -> tuple[tuple[Overlap, tuple[str, ...]], ...]:
        """Every way in which ``entry`` meets these packs, each with the packs that it holds for."""
        found: dict[Overlap, dict[str, None]] = {}
        for form in dict.fromkeys(map(normal_form, entry.forms)):
            for label, old in self.names.get(form, ()):
                if old.kind == entry.kind:
                    found.setdefault(_same_kind(entry, old, form), {})[label] = None
                else:
                    for overlap in _other_kind(entry, old, form):
                        found.setdefault(overlap, {})[label] = None
            for label, old in self.sounds.get(form, ()):
                if (old.kind, normal_form(old.term)) not in {(entry.kind, normal_form(f)) for f in entry.forms}:
                    what = f"{_name(entry)}: '{form}' is what recognisers print for {_name(old)} of {{}}"
                    remedy = f"It will no longer be taken for '{old.term}'; leave it out if that is wrong"
                    found.setdefault(Overlap(how="hides a sound", what=what, remedy=remedy), {})[label] = None
        return tuple((overlap, tuple(labels)) for overlap, labels in found.items())


def _same_kind(new: Entry, old: Entry, form: str) -> Overlap:
    """What becomes of ``old`` when ``new``, of the same kind, claims its name ``form``."""
    claimed = {normal_form(name) for name in new.forms}
    if normal_form(old.term) not in claimed:
        what = f"{_name(new)}: '{form}' is a name of '{old.term}' in {{}}, and now means '{new.term}'"
        remedy = f"If both are one thing, write '{old.term}' among its synonyms; otherwise there is nothing to do"
        return Overlap(how="takes a name", what=what, remedy=remedy)
    is_same = normal_form(old.term) == normal_form(new.term)
    if new.replaces:
        lost = [name for name in (*old.forms, *old.sounds_like) if normal_form(name) not in claimed]
        what = f"{_name(new)}: replaces '{old.term}' of {{}}{', without ' + _listed(lost) if lost else ''}"
        return Overlap(how="replaces", what=what, remedy="Leave 'replaces' out to keep what was said there")
    changed = list(_changed(new, old))
    if not is_same:
        what = f"{_name(new)}: takes over '{old.term}' of {{}}, with all its names"
        what += f"; {', '.join(changed)}" if changed else ""
        return Overlap(how="takes over", what=what, remedy="There is nothing to do if both are one thing")
    if changed:
        what = f"{_name(new)}: stands in {{}} with another meaning: {', '.join(changed)}"
        return Overlap(how="changes", what=what, remedy="Leave that field out to keep what was said there")
    known = {normal_form(name) for name in (*old.forms, *old.sounds_like)}
    adds = [name for name in (*new.forms, *new.sounds_like) if normal_form(name) not in known]
    fields = [
        field for field in _FIELDS if field in new.model_fields_set and getattr(new, field) != getattr(old, field)
    ]
    how: How = "adds" if adds or fields else "same"
    return Overlap(how=how, what=f"{_name(new)}: stands in {{}}, and gains {_listed([*adds, *fields])}", remedy="")


def _changed(new: Entry, old: Entry) -> Iterator[str]:
    """Each field that both set, and set to something else; a weight counts with its phase only."""
    for field in _FIELDS:
        before, after = getattr(old, field), getattr(new, field)
        if field not in new.model_fields_set or before is None or before == after:
            continue
        if field == "weight" and old.phase is None:
            continue
        yield (
            f"{field} becomes {after} (was {before})" if after is not None else f"{field} is taken away (was {before})"
        )


def _other_kind(new: Entry, old: Entry, form: str) -> Iterator[Overlap]:
    """``form`` is a name of things of two kinds: both are found where it is said."""
    if new.phase and old.phase and new.phase != old.phase:
        what = f"{_name(new)}: '{form}' speaks for {new.phase} here, and for {old.phase} as {old.kind} in {{}}"
        yield Overlap(how="also", what=what, remedy="Give both the same phase, or leave the phase out here")
    elif not {new.kind, old.kind} & MEET_FREELY:
        what = f"{_name(new)}: '{form}' is a {old.kind} too ('{old.term}' in {{}})"
        yield Overlap(
            how="also", what=what, remedy=f"Both will be found where it is said; move it to {old.kind} if not"
        )


def _name(entry: Entry) -> str:
    return f"{entry.kind} '{entry.term}'"


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(f"'{name}'" for name in names[:5])
    return shown + (f" and {len(names) - 5} more" if len(names) > 5 else "")
