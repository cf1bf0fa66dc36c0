"""Which deeds take a part off, with which words; the same for every reader. Written from general knowledge."""

from collections.abc import Iterable, Iterator

from reading.findings import Finding, Span

_ALONE = frozenset("remove unscrew unbolt detach extract withdraw".split())
"""Deeds that take off by themselves."""
_WITH_PARTICLE = frozenset("lift take pull slide pry peel pop get slip work prise".split())
"""Deeds that take off with a particle: "lift out"."""
_OFF = frozenset("off out away up".split())


def removals(found: Iterable[Finding]) -> Iterator[Finding]:
    """The steps among ``found`` that take something off."""
    for finding in found:
        if finding.kind != "step":
            continue
        verb, _, particle = finding.fields["action"].partition(" ")
        if verb in _ALONE or (verb in _WITH_PARTICLE and particle in _OFF):
            yield finding


def verb_spans(steps: Iterable[Finding]) -> list[Span]:
    """The words of their deeds: the verb and its particle, each for itself."""
    spans: list[Span] = []
    for step in steps:
        spans += [(word, word) for word in (step.verb, step.particle) if word is not None]
    return spans
