"""Which words tell somebody to do something: one table for each form, and what only looks like one."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.deeds.deed import NAMED_BEFORE, Deed, Form
from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.talk import Talk


def deeds(talk: Talk) -> list[Deed]:
    clauses = [c for s in talk.sentences for c in s.clauses]
    return [found for c in clauses if (found := deed(talk, c)) is not None]


TOLD: list[tuple[Form, str, str]] = [
    # form, said, action
    ("order", "Press the grey button.", "press"),
    ("order", "Now slowly lift the lid.", "lift"),
    ("order", "So then just unplug it.", "unplug"),
    ("order", "Pull out the plug.", "pull out"),
    ("order", "Tape that up.", "tape"),
    ("order", "Chock it.", "chock"),
    ("order", "Make sure the lamp is out.", "make sure"),
    ("order", "Hold on to the rail.", "hold on"),
    ("order", "Wait ten minutes.", "wait"),
    ("order", "Have that cover off.", "have"),
    ("order", "Let it cool down.", "let cool"),
    ("order", "Look behind the grille for the tag.", "look"),
    ("order", "Watch the gauge.", "watch"),
    ("order", "Break the glass.", "break"),
    ("order", "Climb out.", "climb out"),
    ("you", "Then you turn it to zero.", "turn"),
    ("you", "You can lift it off.", "lift"),
    ("you", "You want to unplug it.", "unplug"),
    ("you", "You'll want to crank it.", "crank"),
    ("you", "We crank it down.", "crank"),
    ("you", "Outer doors you just pull.", "pull"),
    ("need", "The cover has to come off.", "take off"),
    ("need", "This plug needs to come out.", "take out"),
    ("need", "The lever wants pulling.", "pull"),
    ("need", "The bracket must be unbolted.", "unbolt"),
    ("need", "It wants lifting out.", "lift out"),
    ("goes", "The shield comes away.", "take away"),
    ("goes", "That goes across.", "turn across"),
    ("goes", "The cover lifts out.", "lift out"),
    ("goes", "The cap goes on.", "put on"),
    ("wanted", "Lid off.", "take off"),
    ("wanted", "Windows down.", "put down"),
    ("wanted", "Gloves on.", "put on"),
    ("wanted", "Engine off.", "turn off"),
    ("wanted", "Everybody out.", "get out"),
    ("wanted", "Down to off.", "turn down to off"),
    ("wanted", "A quarter turn to the left.", "turn quarter turn to the left"),
    ("wanted", "Clockwise till it stops.", "turn clockwise"),
    ("wanted", "Straight out.", "pull straight out"),
]


@pytest.mark.parametrize(("form", "said", "action"), TOLD, ids=[f"{row[0]}: {row[1]}" for row in TOLD])
def test_a_deed_is_told_in_this_form(understand: Callable[..., Talk], form: Form, said: str, action: str) -> None:
    assert [(found.form, found.action) for found in deeds(understand(said))] == [(form, action)]


LOOK_ALIKES = [
    ("Mind your fingers.", "warns"),
    ("Hang on.", "speaks to the other person"),
    ("Wait a bit.", "speaks to the other person"),
    ("Go on then.", "speaks to the other person"),
    ("You'll crack the lid.", "foretells"),
    ("You've moved it.", "tells what was done"),
    ("You need a key.", "tells what is needed"),
    ("You get a lamp.", "tells what is there"),
    ("You see a lamp.", "tells what is seen"),
    ("I think it's dead.", "tells what somebody thinks"),
    ("We sold three last week.", "tells what was done"),
    ("It looks good.", "describes"),
    ("It breaks the glass.", "tells what it does"),
    ("It leaves on the left.", "tells where it is"),
    ("Nothing comes off there.", "tells that there is nothing to take off"),
    ("Once the shield comes away.", "a condition"),
    ("The cover has screwed clips.", "describes"),
    ("Red handle on the left.", "a place"),
    ("Hands off.", "forbids, and asks for no hands to be taken off"),
    ("All the way down.", "tells how far"),
    ("No lid on.", "tells what is not there"),
    ("Down to the cellar and left is the meter.", "a way to walk"),
]


@pytest.mark.parametrize(("said", "why"), LOOK_ALIKES, ids=[row[0] for row in LOOK_ALIKES])
def test_what_tells_something_is_no_deed(understand: Callable[..., Talk], said: str, why: str) -> None:
    assert deeds(understand(said)) == [], why


@pytest.mark.parametrize(
    ("said", "actions"),
    [
        pytest.param("You nick that hose and you've a spray in your face.", [], id="what-comes-of-it-harms"),
        pytest.param("Lift that and the whole boom drops on you.", [], id="it-falls-on-somebody"),
        pytest.param("Pull that and the flap opens.", ["pull"], id="what-comes-of-it-is-meant"),
        pytest.param("Steady it or it'll tip.", ["steady"], id="the-reason-is-told"),
        pytest.param("Chock it because it'll roll.", ["chock"], id="the-cause-is-told"),
    ],
)
def test_a_deed_that_is_only_supposed_is_not_told_to_be_done(
    understand: Callable[..., Talk], said: str, actions: list[str]
) -> None:
    assert [found.action for found in deeds(understand(said))] == actions


@pytest.mark.parametrize(
    ("said", "thing"),
    [
        ("Outer doors you just pull.", "Outer doors"),
        ("The cover has to come off.", "The cover"),
        ("The shield comes away.", "The shield"),
        ("Lid off.", "Lid"),
        ("Let it cool down.", "it"),
    ],
)
def test_the_thing_may_stand_before_its_verb(understand: Callable[..., Talk], said: str, thing: str) -> None:
    talk = understand(said)
    (found,) = deeds(talk)
    assert found.object is not None
    assert talk.doc[slice(*found.object)].text == thing


def test_a_movement_without_a_verb_is_of_the_thing_named_before(understand: Callable[..., Talk]) -> None:
    (found,) = deeds(understand("A quarter turn to the left."))
    assert found.object == NAMED_BEFORE


def test_what_follows_the_deed_begins_behind_its_particle(understand: Callable[..., Talk]) -> None:
    talk = understand("Now pull out the plug.")
    (found,) = deeds(talk)
    assert (talk.doc[found.verb].text, talk.doc[found.rest].text) == ("pull", "the")


@pytest.mark.parametrize(
    ("said", "actions"),
    [
        pytest.param("Two steps down.", [], id="how-far-down"),
        pytest.param("Watch out.", [], id="a-warning"),
        pytest.param("There's forty-eight volts in there.", [], id="how-much-is-in-there"),
        pytest.param("Pull that and the latch lets go.", ["pull"], id="what-comes-of-it-does-no-harm"),
    ],
)
def test_look_alikes_of_a_deed(understand: Callable[..., Talk], said: str, actions: list[str]) -> None:
    assert [found.action for found in deeds(understand(said))] == actions


MISREAD = [
    # said, actions that would be right
    ("Handle on the left.", []),
    ("That needs unplugging.", ["unplug"]),
]


@pytest.mark.xfail(strict=True, reason="known gaps: deeds that are not there, and deeds that are missed")
@pytest.mark.parametrize(("said", "actions"), MISREAD, ids=[row[0] for row in MISREAD])
def test_deeds_that_are_misread_so_far(understand: Callable[..., Talk], said: str, actions: list[str]) -> None:
    assert [found.action for found in deeds(understand(said))] == actions
