"""Who asks and who tells, and which lines are only small talk."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.roles import is_offer
from vouchbook.extract.read.talk import Talk

ASKED = [
    # said, asks, only offers a value or asks for a nod
    ("Is it off?", True, True),
    ("Twenty metres?", True, True),
    ("That's a nine, isn't it?", True, True),
    ("Where does the cable run to at the front?", True, False),
    ("what size is that", True, False),
    ("and what about the roof", True, False),
    ("when it clicks you stop", False, False),
    ("do not lift it", False, False),
    ("have a look", False, False),
    ("Where it sits.", False, False),
    ("Lift the lid!", False, False),
]


@pytest.mark.parametrize(("said", "asks", "offers"), ASKED, ids=[row[0] for row in ASKED])
def test_a_question_is_told_by_its_mark_or_its_opening(
    understand: Callable[..., Talk], said: str, *, asks: bool, offers: bool
) -> None:
    talk = understand(said)
    (sentence,) = talk.sentences
    assert sentence.asks is asks
    assert not asks or is_offer(talk.doc, sentence.start, sentence.end) is offers


ASKERS = [
    pytest.param(
        ["Ana: Where is it?", "Bo: Behind the flap.", "Ana: And that?", "Bo: The loop.", "Ana: Live?", "Bo: Always."],
        {0, 2, 4}, id="the-voice-that-asks",
    ),
    pytest.param(
        ["Ana: Where is it?", "Bo: There. See?", "Ana: And that?", "Bo: The loop.", "Ana: Okay.", "Bo: It's live."],
        {0, 2, 4}, id="all-lines-of-that-voice",
    ),
    pytest.param(["What size is it?", "A ten."], {0}, id="no-voices-a-question"),
    pytest.param(["It lifts. Does it lock?", "It does not."], {0}, id="no-voices-the-last-sentence-asks"),
    pytest.param(
        ["Okay. Power.", "You pull the plug behind the rear seat and wait for the lamp."], {0}, id="leads-over",
    ),
    pytest.param(["What is it?", "Right.", "You pull the plug and wait."], {0}, id="an-answer-leads-nowhere"),
    pytest.param(["Lift the lid.", "Then pull the plug behind the rear seat."], set(), id="nobody-asks"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "askers"), ASKERS)
def test_the_lines_of_whoever_asks(understand: Callable[..., Talk], lines: list[str], askers: set[int]) -> None:
    assert understand(*lines).askers == askers


CHATTER = [
    ("The kettle's on.", True),
    ("It's four hundred a month on a lease, with heated seats thrown in.", True),
    ("Are we rolling? Testing one two.", True),
    ("Thanks. Undo the ten mil bolts.", False),
    ("Thanks, and there's four hundred volts in there.", False),
    ("Lift the flap.", False),
]


@pytest.mark.parametrize(("said", "is_chatter"), CHATTER, ids=[row[0] for row in CHATTER])
def test_a_line_is_chatter_where_small_talk_outweighs_the_subject(
    understand: Callable[..., Talk], said: str, *, is_chatter: bool
) -> None:
    assert understand(said).chatter == ({0} if is_chatter else set())


@pytest.mark.parametrize(
    "said",
    ["Thanks. Never touch the pantograph.", "Excuse me, don't stand under the tailgate.", "Cheers. Don't lift it."],
)
def test_a_prohibition_is_never_chatter(understand: Callable[..., Talk], said: str) -> None:
    assert understand(said).chatter == set()
