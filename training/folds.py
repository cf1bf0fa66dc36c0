"""Kinds of machine dealt into parts: a network is judged on kinds that it has never heard talk of."""

from collections.abc import Iterable, Mapping, Sequence

FOLDS = 5


def folds_of(talks: Iterable[str], kinds: Mapping[str, Sequence[str]]) -> list[set[str]]:
    """The names of the talks in ``FOLDS`` parts of about one size, no kind of machine in two of them.

    A talk that no kind names is a kind of its own.
    """
    known = {name for names in kinds.values() for name in names}
    groups = [set(names) for names in kinds.values()] + [{talk} for talk in talks if talk not in known]
    folds: list[set[str]] = [set() for _ in range(FOLDS)]
    for group in sorted(groups, key=lambda g: (-len(g), min(g))):
        min(folds, key=len).update(group)
    return folds
