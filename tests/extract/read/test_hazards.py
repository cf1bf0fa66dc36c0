"""Signal words by consequence, and hazards told in plain talk. The standard stands beside each row."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.hazards.judge import HazardWord, Judgement, hazard_words, judge
from vouchbook.extract.read.hazards.reasons import reason_marked
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.talk import Talk
from vouchbook.models.items import Hazard, Signal, WarningItem
from vouchbook.models.transcript import Transcript

Z535 = "ANSI Z535.6:2011"


def told(talk: Talk) -> tuple[HazardWord, ...]:
    return tuple(word for s in talk.sentences for word in hazard_words(talk.tape(s.start, s.end)))


SIGNALS: list[tuple[str, Signal, str]] = [
    # said, signal word, why
    ("That'll kill you.", "danger", f"{Z535}: will kill"),
    ("It takes your arm off.", "danger", f"{Z535}: will maim"),
    ("It'll crush your hand.", "warning", f"{Z535}: could maim"),
    ("The handle kicks back.", "caution", f"{Z535}: minor or moderate injury"),
    ("You'll crack the trim.", "notice", f"{Z535}: damage to things only, never a caution"),
    ("It strips the thread.", "notice", f"{Z535}: damage to things only, never a caution"),
    ("You'll crack the trim and it could crush your hand.", "warning", f"{Z535}: the word of the worst one"),
    ("It could crush your hand, and that'll kill you.", "danger", f"{Z535}: the word of the worst one"),
    ("Caution, that'll kill you.", "danger", "by consequence, not by the talker's own word"),
    ("Bit of a notice here, it'll crush your hand.", "warning", "by consequence, not by the talker's own word"),
    ("The rail's still live.", "danger", "live high voltage can kill; project rule"),
    ("There's three hundred bar in that.", "danger", "gas above 100 bar; project rule"),
]


@pytest.mark.parametrize(("said", "signal", "why"), SIGNALS, ids=[row[0] for row in SIGNALS])
def test_the_signal_word_follows_from_the_consequence(
    understand: Callable[..., Talk], said: str, signal: Signal, why: str
) -> None:
    assert judge(told(understand(said))).signal == signal, why


@pytest.mark.parametrize(
    ("said", "signal"), [("You'll pinch your fingers.", "caution"), ("You'll trip the alarm.", "notice")]
)
def test_minor_injury_is_a_caution_and_damage_alone_a_notice(
    understand: Callable[..., Talk], said: str, signal: Signal
) -> None:
    assert judge(told(understand(said))).signal == signal


HAZARDS: list[tuple[str, Hazard]] = [
    ("It holds its charge.", "electric shock"),
    ("Keep off anything orange.", "electric shock"),
    ("The house backfeeds it.", "electric shock"),
    ("There's a live busbar in there.", "electric shock"),
    ("The hose is under pressure.", "pressure release"),
    ("That rod's under tension.", "projectile"),
    ("The cap shoots off.", "projectile"),
    ("The cell goes bang.", "explosion"),
    ("Hydrogen collects under the roof.", "explosion"),
    ("It'll light again.", "fire"),
    ("The manifold gets hot.", "burn"),
    ("The smoke's toxic.", "toxic fumes"),
    ("The gate drops straight on your feet.", "crush"),
    ("I've seen a chain go.", "crush"),
    ("It's six metres straight down.", "fall"),
    ("The fan starts again by itself.", "unexpected movement"),
    ("A mate of mine got caught.", "other"),
    ("Mind your head.", "other"),
]


@pytest.mark.parametrize(("said", "hazard"), HAZARDS, ids=[row[0] for row in HAZARDS])
def test_a_hazard_is_told_in_plain_words(understand: Callable[..., Talk], said: str, hazard: Hazard) -> None:
    words = told(understand(said))
    assert words
    assert judge(words).hazard == hazard


HARMLESS = [
    ("That's not dangerous.", "the opposite"),
    ("It can't hurt you.", "the opposite"),
    ("There's no pressure in it.", "the opposite"),
    ("The tank is harmless.", "the opposite"),
    ("We're live in five.", "the camera"),
    ("Undo the two cap screws.", "no capacitor"),
    ("It's by the orange label.", "no cable"),
    ("It lets the air out.", "no air for a fire"),
    ("You'll hear it click.", "a sign"),
    ("Press the button and it opens.", "what a part does"),
]


@pytest.mark.parametrize(("said", "why"), HARMLESS, ids=[row[0] for row in HARMLESS])
def test_what_only_sounds_like_a_hazard_is_none(understand: Callable[..., Talk], said: str, why: str) -> None:
    assert told(understand(said)) == (), why


def test_a_prohibition_without_a_reason_could_hurt() -> None:
    assert judge(()) == Judgement("other", "warning", ())


def test_the_named_hazard_goes_before_an_unnamed_one() -> None:
    words = [HazardWord(0, 1, "other", "warning", 1), HazardWord(2, 3, "fall", "warning", 1)]
    judged = judge(words)
    assert (judged.hazard, judged.signal) == ("fall", "warning")


def test_a_hint_of_another_hazard_does_not_raise_the_signal_word() -> None:
    words = [HazardWord(0, 1, "fall", "warning", 2), HazardWord(2, 3, "explosion", "danger", 1)]
    judged = judge(words)
    assert (judged.hazard, judged.signal) == ("fall", "warning")


@pytest.mark.parametrize(
    ("said", "is_high"),
    [
        pytest.param("There's sixty volts in there.", False, id="60 V DC"),
        pytest.param("There's forty-eight volts in there.", False, id="48 V DC"),
        pytest.param("There's twelve volts in there.", False, id="12 V DC"),
        pytest.param("There's sixty-five volts in there.", True, id="65 V DC"),
        pytest.param("There's four hundred volts in there.", True, id="400 V DC"),
        pytest.param("There's three fifty volts DC in there.", True, id="350 V DC"),
    ],
)
def test_above_60_volts_dc_is_high_voltage(
    reader: Reader, spoken: Callable[..., Transcript], said: str, *, is_high: bool
) -> None:
    """UN R100 and UN GTR 20: high voltage on road vehicles is above 60 V DC."""
    warnings = [item for item in reader.read(spoken(said)).items if isinstance(item, WarningItem)]
    assert [(w.hazard, w.signal) for w in warnings] == ([("electric shock", "danger")] if is_high else [])


@pytest.mark.parametrize("said", ["The arm's spring-loaded.", "The house back-feeds it.", "The bolt is pre-loaded."])
def test_hazards_written_with_a_hyphen(understand: Callable[..., Talk], said: str) -> None:
    assert told(understand(said))


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        pytest.param(
            "Never cut it, it's still live.",
            "“it's still live”: electric shock will kill or maim if it is not avoided",
            id="danger",
        ),
        pytest.param(
            "Never open that, it's under pressure.",
            "“under pressure”: pressure release could kill or maim if it is not avoided",
            id="warning",
        ),
        pytest.param(
            "The orange cables come up here. Now, we go on. Never cut there.",
            "“The orange cables”, told beside it: electric shock will kill or maim if it is not avoided",
            id="told-beside-it",
        ),
        pytest.param(
            "Never lean on that.",
            "forbidden without a reason that is told: it could kill or maim if it is not avoided",
            id="no-reason-told",
        ),
    ],
)
def test_a_warning_tells_why_its_signal_word(
    reader: Reader, spoken: Callable[..., Transcript], said: str, reason: str
) -> None:
    """The consequence in the words of ANSI Z535.6 (2011), and the words of the talk that tell it."""
    (warning,) = [item for item in reader.read(spoken(said)).items if isinstance(item, WarningItem)]
    assert warning.signal_reason == reason


def test_the_reason_of_the_tagger_says_whose_it_is_and_how_sure(understand: Callable[..., Talk]) -> None:
    talk = understand("It's under pressure.")
    words = told(talk)
    assert reason_marked(talk, words, "warning", 0.934) == (
        "“under pressure”; judged by the talk around it (0.93 sure), it could kill or maim if it is not avoided"
    )
    assert reason_marked(talk, [], "notice", 1.0) == (
        "no single word tells the harm; judged by the talk around it (1.00 sure), it damages things only"
    )
