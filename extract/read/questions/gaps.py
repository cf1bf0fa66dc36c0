"""What is due, each once: packs of different machines often want the same in other words."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from vouchbook.extract.packs.schema import Topic
from vouchbook.extract.read.expected import Expected

_SAME_GAP = 0.55
"""Share of the words that touch the narrower topic which touch the other as well, from which on they are one gap."""


def gaps(expected: Iterable[Expected]) -> Iterator[Expected]:
    """What is due, without what an earlier one of its phase asks for already; told when either is told."""
    groups: list[list[Expected]] = []
    for each in expected:
        if each.is_due:
            group = next((group for group in groups if _is_same(group[0].topic, each.topic)), None)
            if group is None:
                groups.append([each])
            else:
                group.append(each)
    for group in groups:
        yield replace(group[0], is_told=any(each.is_told for each in group))


def _is_same(one: Topic, other: Topic) -> bool:
    words, others = set(one.words), set(other.words)
    return one.phase is other.phase and len(words & others) >= _SAME_GAP * min(len(words), len(others))
