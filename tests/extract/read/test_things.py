"""What "it", "that" and "them" stand for, and when that cannot be told."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import PRONOUNS, Things, things_of

MEANT = [
    # lines, what the last pronoun means, why
    (["Pull the plug and lift it."], "plug", "the last thing"),
    (["Take the bonnet. It lifts."], "bonnet", "in the sentence before"),
    (["The doors stick.", "Push it."], "doors", "in the line before; a plural will do"),
    (["The lever on the panel is stiff, so turn it."], "lever", "not the one that a preposition leads to"),
    (["Undo the bolts on the cover and keep them."], "bolts", "several"),
    (["The hood has a gizmo, so lift it."], "hood", "a word of the packs before any other"),
    (["Look at the charge port.", "Then pull it."], None, "only asides before it"),
    (["It has four hundred volts in it."], None, "a value is no thing"),
    (["In your face it hits."], None, "a body is no thing"),
    (["No warning, it goes."], None, "what is not there"),
    (["Pull the loop.", "Right.", "Push it."], None, "two lines back"),
]


@pytest.mark.parametrize(("lines", "meant", "why"), MEANT, ids=[" ".join(row[0]) for row in MEANT])
def test_a_pronoun_means_the_likeliest_thing_or_nothing(
    understand: Callable[..., Talk], lines: list[str], meant: str | None, why: str
) -> None:
    talk = understand(*lines)
    things = Things(talk)
    pronoun = next(token for token in reversed(talk.doc) if token.lower_ in PRONOUNS)
    found = things.before(pronoun.i, plural=pronoun.lower_ == "them")
    assert (things.text(found) if found else None) == meant, why


def test_a_thing_too_far_back_is_not_meant(understand: Callable[..., Talk]) -> None:
    padding = "slowly and gently then quickly or softly now "  # eight words without a thing
    for times, meant in ((2, ["loop"]), (6, [])):
        talk = understand(f"The loop {padding * times}moves it")
        things = Things(talk)
        found = things.before(len(talk.doc) - 1)
        assert ([things.text(found)] if found else []) == meant


def test_no_name_of_a_person_is_a_thing_and_a_letter_is_a_button(understand: Callable[..., Talk]) -> None:
    things = Things(understand("Then ask Marguerite about the P on the dash."))
    assert [things.text(found) for found in things.all] == ["P", "dash"]


def test_the_things_of_a_talk_are_worked_out_once_and_anew_for_other_chatter(understand: Callable[..., Talk]) -> None:
    talk = understand("Pull the plug and lift it.")
    assert things_of(talk) is things_of(talk)
    assert things_of(talk.with_chatter(frozenset({0}))) is not things_of(talk)
