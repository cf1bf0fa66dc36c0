"""How far reviewers agree beyond chance: Cohen's kappa, by NLTK."""

from collections.abc import Iterable, Mapping

from pydantic import Field

from vouchbook.models.decisions import Decision
from vouchbook.models.record import Record


class Agreement(Record):
    """Two people over the items that both decided. ``kappa`` is None where chance alone would agree always."""

    one: int
    other: int
    items: int = Field(ge=1)
    same: int = Field(ge=0)
    kappa: float | None = Field(ge=-1, le=1)


def cohens_kappa(one: Mapping[str, str], other: Mapping[str, str]) -> float | None:
    """Cohen's kappa of two people's labels over the things that both labelled, from -1 to 1.

    (observed - expected) / (1 - expected), expected from each person's own shares (J. Cohen, "A coefficient of
    agreement for nominal scales", 1960). None when nothing is shared, or when both gave one and the same label
    throughout: kappa is not defined there.
    """
    from nltk.metrics.agreement import AnnotationTask  # a second to load, for this figure alone

    shared = sorted(one.keys() & other.keys())
    if not shared or len({label for labels in (one, other) for label in (labels[key] for key in shared)}) == 1:
        return None
    triples = [(who, key, labels[key]) for who, labels in (("one", one), ("other", other)) for key in shared]
    return float(AnnotationTask(data=triples).kappa())


def agreements(decisions: Iterable[Decision]) -> tuple[Agreement, ...]:
    """One figure for each pair of people who both decided some item, by the last verdict of each that stands.

    Items are told apart by ``Decision.item`` alone: give the decisions of one draft.
    """
    verdicts: dict[int, dict[str, str]] = {}
    for decision in decisions:
        if decision.undone_at is None:
            verdicts.setdefault(decision.by, {})[decision.item] = decision.verdict
    people = sorted(verdicts)
    found: list[Agreement] = []
    for n, one in enumerate(people):
        for other in people[n + 1 :]:
            shared = verdicts[one].keys() & verdicts[other].keys()
            if shared:
                found.append(
                    Agreement(
                        one=one,
                        other=other,
                        items=len(shared),
                        same=sum(verdicts[one][key] == verdicts[other][key] for key in shared),
                        kappa=cohens_kappa(verdicts[one], verdicts[other]),
                    )
                )
    return tuple(found)
