"""What a negation forbids; what only looks like forbidding; and that nothing forbidden ever becomes a step."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.scope import Prohibition, is_look_alike, prohibition
from vouchbook.extract.read.talk import Talk
from vouchbook.models.transcript import Transcript


def prohibitions(talk: Talk) -> list[Prohibition]:
    clauses = [c for s in talk.sentences for c in s.clauses]
    return [found for c in clauses if (found := prohibition(talk.doc, c.body, c.end)) is not None]


FORBIDDEN = [
    # said, what must not be done: one sentence at least for each rule
    ("Don't touch the rail.", "touch the rail"),
    ("Do not cut here.", "cut here"),
    ("Don't you go leaning on that lamp.", "leaning on that lamp"),
    ("Never put a jack there.", "put a jack there"),
    ("You'd never want to lift it.", "lift it"),
    ("You mustn't lean on the glass.", "lean on the glass"),
    ("You don't want to stand behind it.", "stand behind it"),
    ("You can't stand there.", "stand there"),
    ("Nobody kneels on it.", "kneels on it"),
    ("None of your crew goes near it.", "goes near it"),
    ("Stay out of the arches.", "Stay out of the arches"),
    ("Keep well clear of the mast.", "Keep well clear of the mast"),
    ("Keep your hands out of the gap.", "Keep your hands out of the gap"),
    ("Leave that alone.", "Leave that alone"),
    ("Leave the lid shut.", "Leave the lid shut"),
    ("Fingers out of there.", "Fingers out of there"),
    ("That must not be opened.", "be opened"),
    ("It's not to be lifted there.", "lifted there"),
    ("It's not safe to stand on.", "stand on"),
    ("The front wheels don't turn on the ramp, ever.", "turn on the ramp"),
    ("I wouldn't stand there.", "stand there"),
    ("Nothing that sparks.", "sparks"),
    ("Avoid the tank.", "the tank"),
    ("The roof is off limits.", "The roof is off limits"),
    ("No power tools in there.", "power tools in there"),
    ("No smoking.", "smoking"),
    ("Not on the glass.", "on the glass"),
    ("That's not a rail.", "a rail"),
    ("Don't even think about cutting there.", "cutting there"),
    ("You're better off not opening that hatch.", "opening that hatch"),
    ("It's a bad idea to cut the ram.", "cut the ram"),
    ("It's never a good idea to go under.", "go under"),
    ("Under no circumstances do you stand in its path.", "stand in its path"),
    ("Nowhere else.", "Nowhere else"),
    ("Anywhere but the sills you can cut.", "Anywhere but the sills you can cut"),
    ("Fingers stay out till it stops.", "Fingers stay out"),
    ("The flat chain, leave well alone.", "leave well alone"),
    ("Under no account turn it forwards.", "turn it forwards"),
]


@pytest.mark.parametrize(("said", "act"), FORBIDDEN, ids=[row[0] for row in FORBIDDEN])
def test_what_is_forbidden_is_told_in_the_words_of_the_talk(
    understand: Callable[..., Talk], said: str, act: str
) -> None:
    talk = understand(said)
    assert [talk.doc[p.start : p.end].text for p in prohibitions(talk)] == ([act] if act else [])


LOOK_ALIKES = [
    ("Get the cover off the pump.", "a job"),
    ("Let it smoke if nobody's near.", "a condition"),
    ("You want to get the weight off the hook.", "a job"),
    ("Don't worry.", "soothes"),
    ("You don't need a key.", "tells what is not needed"),
    ("I never counted them.", "tells what somebody never did"),
    ("You can't see it from here.", "tells what cannot be seen"),
    ("You can't turn a magnet off.", "tells what cannot be done"),
    ("Nobody knows why.", "tells what nobody knows"),
    ("Nobody was hurt.", "tells what happened to nobody"),
    ("Keep off the gas.", "the pedal of a car"),
    ("No problem.", "soothes"),
    ("There's no tail pipe.", "describes"),
    ("It doesn't reset.", "tells what it does not do"),
    ("I wouldn't know.", "tells what somebody does not know"),
    ("Don't forget to chock it.", "orders"),
    ("Not only the rear one.", "adds"),
    ("It never fails.", "praises"),
    ("Don't you?", "asks for a nod"),
    ("That isn't a problem.", "soothes"),
    ("Not a lot.", "counts"),
    ("Not yet.", "tells when"),
    ("Leave it on the hook.", "orders"),
    ("It's a good idea to lift it.", "advises"),
    ("It'll take your hand off.", "tells a harm"),
    ("Anywhere but that would do.", "tells"),
]


@pytest.mark.parametrize(("said", "why"), LOOK_ALIKES, ids=[f"{row[0]} {row[1]}" for row in LOOK_ALIKES])
def test_what_only_looks_like_forbidding_forbids_nothing(understand: Callable[..., Talk], said: str, why: str) -> None:
    assert prohibitions(understand(said)) == [], why


def test_what_is_forbidden_may_be_left_unsaid(understand: Callable[..., Talk]) -> None:
    (found,) = prohibitions(understand("Don't even think about it."))
    assert found.elliptic
    assert found.start <= found.cue < found.end


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("That's not a rail.", True),
        ("It isn't a step.", True),
        ("That isn't a good idea.", False),
        ("That's a handle.", False),
        ("Don't use it as a rail.", False),
    ],
)
def test_a_look_alike_of_a_part_is_named(understand: Callable[..., Talk], said: str, *, expected: bool) -> None:
    talk = understand(said)
    (clause,) = talk.sentences[0].clauses
    assert is_look_alike(talk.doc, clause.body, clause.end) is expected


VERBS = [
    "pull", "push", "cut", "lift", "open", "close", "press", "turn", "disconnect", "connect", "remove", "drill",
    "spread", "crush", "tow", "drain", "touch", "move", "use", "drop", "spray", "switch off", "take off", "undo",
    "unplug", "unlock", "unscrew",
]  # fmt: skip
OBJECTS = [
    "it", "that", "the lid", "the orange cable", "the rear seat", "the cut loop", "any of these bolts", "the tank",
    "a cover with a purple flag on it", "both plugs",
]  # fmt: skip
WAYS = [
    "Don't {}.", "Do not {}.", "don't {}", "do not {}", "Never {}.", "never ever {}", "So don't {}.",
    "Please do not {}.", "And never {}.", "Just don't {}.", "You must not {}.", "You mustn't {}.", "You shouldn't {}.",
    "You should never {}.", "You don't {}.", "You don't ever {}.", "You do not want to {}.", "You'd better not {}.",
    "I wouldn't {}.",
    "I would never {}.", "Don't you ever {}.", "Don't anybody {}.", "Nobody's to {}.", "It's not safe to {}.",
    "You're not supposed to {}.", "Under no circumstances {}.", "Whatever you do, don't {}.",
    "When it's off, don't {}.", "Don't {} until it's cold.", "Don't {} or it'll go.", "Don't {}, ever.",
]  # fmt: skip
TAILS = ["", "and the rail", "on the left", "with a bar", "yourself"]
ACTS = st.tuples(st.sampled_from(OBJECTS), st.sampled_from(TAILS))


@settings(deadline=None, max_examples=200)
@given(verb=st.sampled_from(VERBS), act=ACTS, way=st.sampled_from(WAYS))
def test_a_prohibition_is_never_a_step(
    reader: Reader, spoken: Callable[..., Transcript], verb: str, act: tuple[str, str], way: str
) -> None:
    said = way.format(" ".join((verb, *act)).strip())
    draft = reader.read(spoken(said))
    assert [item for item in draft.items if item.kind == "step"] == [], said


@settings(deadline=None, max_examples=200)
@given(verb=st.sampled_from(VERBS), act=ACTS, way=st.sampled_from(WAYS))
def test_a_prohibition_is_always_a_warning(
    reader: Reader, spoken: Callable[..., Transcript], verb: str, act: tuple[str, str], way: str
) -> None:
    said = way.format(" ".join((verb, *act)).strip())
    draft = reader.read(spoken(said))
    assert [item.kind for item in draft.items if item.kind == "warning"], said


@settings(deadline=None)
@given(verbs=st.lists(st.sampled_from(VERBS), min_size=2, max_size=2), thing=st.sampled_from(OBJECTS))
def test_or_carries_a_prohibition_on(
    reader: Reader, spoken: Callable[..., Transcript], verbs: list[str], thing: str
) -> None:
    first, second = verbs
    said = f"Never {first} it, or {second} {thing}."
    assert [item for item in reader.read(spoken(said)).items if item.kind == "step"] == [], said


@pytest.mark.parametrize(
    ("said", "acts"),
    [
        pytest.param("Don't cut the loop. Lift the lid.", ["lift"], id="a-sentence-ends-it"),
        pytest.param("Never touch the rail, but press the button.", ["press"], id="but-ends-it"),
        pytest.param("Stay off the roof, then open the flap.", ["open"], id="then-ends-it"),
        pytest.param("You don't need a key, just lift the lid.", ["lift"], id="nothing-was-forbidden"),
        pytest.param("Don't forget to chock it.", [], id="orders-in-words-that-are-not-read"),
    ],
)
def test_what_is_ordered_beside_a_prohibition_stays_a_step(
    reader: Reader, spoken: Callable[..., Transcript], said: str, acts: list[str]
) -> None:
    assert [item.action for item in reader.read(spoken(said)).items if item.kind == "step"] == acts


AT_FIRST_SIGHT_NONE = [
    *[(said, "an order that begins so, not what somebody tells") for said in (
        "Don't start the engine.", "Don't hold the cable.", "Do not let anybody stand under it.",
        "Don't make a hole in the tank.", "Don't stop the fan.",
    )],
]  # fmt: skip


@pytest.mark.parametrize(("said", "why"), AT_FIRST_SIGHT_NONE, ids=[row[0] for row in AT_FIRST_SIGHT_NONE])
def test_prohibitions_that_look_like_something_else(understand: Callable[..., Talk], said: str, why: str) -> None:
    assert prohibitions(understand(said)), why


def test_a_limit_in_time_is_a_warning(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    """ "Before" is part of what is forbidden here, not the marker of a condition."""
    draft = reader.read(spoken("It's five minutes before anybody's fingers go near it."))
    assert [item.prohibits for item in draft.items if item.kind == "warning"] == ["anybody's fingers go near it"]
