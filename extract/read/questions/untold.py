"""What the packs want told of such a subject and nobody spoke of, under a topic that the talk does cover."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.gaps import gaps
from vouchbook.extract.read.questions.raised import Findings, Raised
from vouchbook.extract.read.questions.uncovered import left_out


def untold(findings: Findings) -> Iterator[Raised]:
    """A question for each; one whose whole topic was left out is told with that topic, and not again."""
    whole = frozenset(left_out(findings))
    for each in gaps(findings.expected):
        if not each.is_told and each.topic.phase not in whole:
            topic = each.topic
            yield Raised(
                "untold", topic.about, f"Nobody spoke of {topic.about}. {topic.ask}", phase=topic.phase, by=each.due_by
            )
