"""What was weighed: the candidates that became an item, and those that did not."""

from collections.abc import Callable, Iterable, Sequence

from vouchbook.extract.read.explained.records import Piece, Telling
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.weighing import EVIDENCE, Weighed, probability, says_same
from vouchbook.extract.read.talk import Talk
from vouchbook.models.evidence import quote


def telling(talk: Talk, of_kind: Weighed, place: int) -> Telling:
    """The candidate at ``place`` of its kind, with all that speaks for it and against it."""
    candidate, evidence, weights = of_kind.candidates[place], of_kind.evidence[place], of_kind.weights
    found = candidate.found
    pieces = [
        Piece(name=name, value=value, weight=weight, contribution=value * weight)
        for name, value, weight in zip(EVIDENCE, evidence, weights.factors, strict=True)
    ]
    likely = probability(evidence, weights)
    return Telling(
        quote=quote(talk.transcript, talk.word(found.start), talk.word(found.end - 1)),
        says=found.fields,
        source=candidate.source,
        sure=candidate.sure,
        reasons=found.reasons,
        pieces=tuple(sorted(pieces, key=lambda piece: -abs(piece.contribution))),
        offset=weights.offset,
        total=weights.offset + sum(piece.contribution for piece in pieces),
        probability=likely,
        least=weights.least,
        stays=likely < weights.least and place in {kept for kept, _ in of_kind.kept},
    )


def rivals(of_kind: Weighed, chosen: Sequence[int]) -> list[int]:
    """The places of candidates that say the same as one of ``chosen`` and are no items, the likeliest first."""
    own = [of_kind.candidates[place] for place in chosen]
    return _left_out(of_kind, lambda c: any(says_same(one, c) for one in own))


def near_misses(of_kind: Weighed, tokens: Iterable[int]) -> list[int]:
    """The places of candidates with words among ``tokens`` that are no items, the likeliest first."""
    among = set(tokens)
    return _left_out(of_kind, lambda c: not among.isdisjoint(range(c.found.start, c.found.end)))


def _left_out(of_kind: Weighed, is_wanted: Callable[[Candidate], bool]) -> list[int]:
    kept = {place for place, _ in of_kind.kept}
    wanted = [n for n, c in enumerate(of_kind.candidates) if n not in kept and is_wanted(c)]
    return sorted(wanted, key=lambda n: -probability(of_kind.evidence[n], of_kind.weights))
