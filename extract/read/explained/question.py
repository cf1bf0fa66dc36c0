"""What raised a question."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.packs.schema import Pack
from vouchbook.extract.read.explained.entries import differences, question_today
from vouchbook.extract.read.explained.records import QuestionExplained
from vouchbook.extract.read.explained.words import words_of
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.weak_words import BELOW, doubt_of
from vouchbook.extract.read.topics import firmly_spoken_for
from vouchbook.extract.read.workings import Workings
from vouchbook.models.draft import Draft
from vouchbook.models.evidence import Evidence, quote
from vouchbook.models.questions import OpenQuestion, QuestionKind

RULES: dict[QuestionKind, str] = {
    "pointer": "somebody points with words that only the picture explains, such as “here and here” or “that one there”",
    "borrowed": "the words leave something to another recording or visit, such as “the same as on the last one”",
    "conflict": "two statements of this talk cannot both be true; the value that they dispute is left off the items",
    "order": "a warning says what must come first, and the steps stand in the other order",
    "doubtful": (
        "words that carry or may hide a “not”, a side or a number were hard to hear, the talk leaves a size open, or "
        "the speaker says that he is not sure"
    ),
    "implausible": "a value is none that is usual in the trade",
    "unheard": "somebody may have spoken here, and listening got no words that it trusts",
    "untold": "the packs want this told of such a subject, and none of the words that would touch it was said",
    "uncovered": "no item stands under this topic, or no more than a stray one, and no words speak firmly of it",
}
"""The rule of each kind of question, in words."""


def explained_question(
    workings: Workings, today: Draft, stored: OpenQuestion, packs: Sequence[Pack]
) -> QuestionExplained:
    """What raised ``stored``, by ``workings`` of its transcript; ``today`` is the draft that is made of them."""
    now = question_today(stored, today)
    raised = workings.raised[today.open_questions.index(now)] if now else None
    evidence = now.evidence if now else stored.evidence
    spans = (raised.by or raised.disputed) if raised else ()
    by = tuple(quote(workings.talk.transcript, first, last) for first, last in spans)
    return QuestionExplained(
        stored=stored,
        today=now,
        differs=differences(stored, now),
        kind=stored.kind,
        rule=RULES[stored.kind],
        by=by or evidence,
        facts=tuple(_facts(workings, raised, by or evidence)) if raised else (),
        words=words_of(workings, packs, evidence),
    )


def _facts(workings: Workings, raised: Raised, by: Sequence[Evidence]) -> Iterator[str]:
    """What the rule went by, beside the words."""
    transcript = workings.talk.transcript
    if raised.kind == "uncovered" and raised.phase:
        items = sum(placed.phase is raised.phase for placed in workings.items)
        firmly = firmly_spoken_for(workings.talk)[raised.phase]
        yield f"items under this topic: {items}"
        yield f"sentences with words that speak firmly of it: {firmly}"
    if raised.kind == "untold":
        for each in workings.expected:
            if (each.topic.phase, each.topic.about) == (raised.phase, raised.about):
                yield f"words that would touch it: {', '.join(each.topic.words)}"
    if raised.kind == "unheard" and raised.seconds:
        start_s, end_s = raised.seconds
        reasons = [s.reason for s in transcript.unheard if (s.start_s, s.end_s) == raised.seconds]
        yield f"{start_s:.1f} to {end_s:.1f} s: {', '.join(reasons)}"
    if raised.kind == "doubtful":
        for evidence in by:
            for word in transcript.words[evidence.first_word : evidence.last_word + 1]:
                if doubt := doubt_of(word.text, word.probability):
                    else_ = f"; it may be “{doubt.may_be}”" if doubt.may_be else ""
                    bound = f"{doubt.sense}: doubted below {BELOW[doubt.sense]:.2f}"
                    yield f"“{word.text}” was heard with {word.probability:.2f} ({bound}){else_}"
    if raised.kind == "order":
        for item, evidence in zip(("the warning", "stands first", "must come first"), by, strict=True):
            yield f"{item}: “{evidence.quote}”"
