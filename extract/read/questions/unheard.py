"""Stretches in which somebody may have spoken and nothing was understood."""

from collections.abc import Iterator

from vouchbook.extract.read.questions.raised import Findings, Raised


def unheard(findings: Findings) -> Iterator[Raised]:
    """One question for each stretch that listening could not turn into words it trusts."""
    for stretch in findings.talk.transcript.unheard:
        yield Raised(
            "unheard",
            f"{round(stretch.end_s - stretch.start_s)} s with {stretch.reason}",
            "Listen to this stretch: somebody may be speaking, and what they say may be a warning.",
            seconds=(stretch.start_s, stretch.end_s),
        )
