from collections.abc import Callable, Sequence
from typing import Any

import pytest

from vouchbook.library.editions.content import asked
from vouchbook.library.known.borrowed import candidates
from vouchbook.models.editions import AskedQuestion, Edition
from vouchbook.models.evidence import quote
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.subjects import Subject
from vouchbook.models.transcript import Line as Caption
from vouchbook.models.transcript import Transcript, Word

Line = tuple[str, dict[str, Any]]
LINES: Sequence[Line] = [
    ("step", {"action": "undo", "object": "rear latch"}),
    ("location", {"part": "latches", "place": "under the seat"}),
    ("warning", {"text": "the hose whips", "phase": "fire"}),
]


def _question(text: str, phase: Phase | None = None) -> AskedQuestion:
    words = tuple(Word(text=word, start_s=n, end_s=n + 1) for n, word in enumerate(text.split()))
    last = len(words) - 1
    transcript = Transcript(words=words, lines=(Caption(first_word=0, last_word=last, start_s=0, end_s=last + 1),))
    fields = {"id": "q1", "kind": "borrowed", "start": 0, "end": 9, "about": text, "ask": "What?", "phase": phase}
    return asked(OpenQuestion.model_validate(fields | {"evidence": (quote(transcript, 0, last),)}))


@pytest.mark.parametrize(
    ("question", "items"),
    [
        pytest.param(_question("The rear latch is the same as on the last one."), ["i0", "i1"], id="the-likest-first"),
        pytest.param(_question("Hoses same as we did on the other one."), ["i2"], id="plural"),
        pytest.param(_question("Same as the last one."), [], id="names-nothing"),
        pytest.param(_question("Same as the last one.", Phase.FIRE), ["i2"], id="names-a-topic-only"),
        pytest.param(_question("The gearbox, same as the last one.", Phase.FIRE), [], id="not-known"),
    ],
)
def test_what_was_left_to_another_talk_is_looked_up(
    hauler: Subject, edition: Callable[..., Edition], question: AskedQuestion, items: list[str]
) -> None:
    found = candidates(question, hauler, [edition(hauler, LINES, 4)])
    assert [candidate.borrowed.item for candidate in found] == items
    assert all((c.borrowed.edition, c.borrowed.visit, c.side.quotes[0].quote) == (4, "v-1", "as said") for c in found)


def test_nearer_subjects_come_first_and_strangers_never(hauler: Subject, edition: Callable[..., Edition]) -> None:
    porter, lift = hauler.model_copy(update={"model": "Porter"}), hauler.model_copy(update={"kind": "lift"})
    editions = [edition(lift, LINES), edition(porter, LINES), edition(hauler, LINES)]
    found = candidates(_question("Hose same as the last one."), hauler, editions)
    assert [candidate.borrowed.subject.model for candidate in found] == ["Hauler", "Porter"]
