"""What must not be done reads right behind "never": nothing that keeps people safe is turned round."""

import pytest
from spacy.language import Language

from vouchbook.extract.read.forbidden import forbidden_act
from vouchbook.extract.read.language import load_language, make_doc
from vouchbook.extract.read.scope import prohibition
from vouchbook.models.transcript import Line, Transcript, Word


@pytest.fixture(scope="module")
def language() -> Language:
    return load_language()


def spoken(text: str) -> Transcript:
    words = tuple(Word(text=word, start_s=n, end_s=n + 1) for n, word in enumerate(text.split()))
    return Transcript(
        words=words,
        lines=(Line(first_word=0, last_word=len(words) - 1, start_s=0, end_s=len(words)),),
        duration_s=len(words),
    )


@pytest.mark.parametrize(
    ("said", "never"),
    [
        pytest.param("Don't pull on the hoses.", "pull on the hoses", id="as-said"),
        pytest.param("Nobody walks under the beam.", "walk under the beam", id="verb-in-its-base-form"),
        pytest.param("Stay out of the pit.", "be in the pit", id="stay-out"),
        pytest.param("Keep well clear of the mast.", "be near the mast", id="keep-clear"),
        pytest.param("Keep off the catwalk.", "be on the catwalk", id="keep-off"),
        pytest.param("Get away from the door.", "be near the door", id="get-away"),
        pytest.param("And leave the sills alone as well.", "touch the sills as well", id="leave-alone"),
        pytest.param("Keep your hands out of the gap.", "put your hands in the gap", id="hands-out"),
        pytest.param("Keep your hands out.", "put your hands in it", id="hands-out-of-nothing-named"),
        pytest.param("Heads out till the drum stops.", "put heads in it", id="heads-out-until"),
        pytest.param("Fingers well back.", "put fingers near it", id="fingers-back"),
        pytest.param("Keep everybody's hands away.", "put everybody's hands near it", id="hands-away"),
        pytest.param("Fingers stay out.", "put fingers in it", id="fingers-stay-out"),
        pytest.param("Hands stay out of the gap.", "put hands in the gap", id="hands-stay-out-of"),
        pytest.param("Avoid lifting it by the hoses.", "lift it by the hoses", id="avoid-doing"),
        pytest.param("You're better off not opening that.", "open that", id="better-not"),
        pytest.param("Nowhere else.", "do it anywhere else", id="nowhere-else"),
        pytest.param("Anywhere but the sills you can cut.", "cut the sills", id="anywhere-but"),
        pytest.param(
            "Keep it five metres away from the van.", "have it nearer than five metres to the van", id="distance"
        ),
        pytest.param(
            "Keep the fob ten metres away from the van.", "have the fob nearer than ten metres to the van", id="a-fob"
        ),
        pytest.param("Get everybody off the deck.", "be on the deck", id="get-people-off"),
        pytest.param("What you never do is lift the mast.", "lift the mast", id="what-you-never-do"),
        pytest.param("Don't you dare.", "do it", id="dare"),
        pytest.param("Don't you ever, ever.", "do it", id="stressed-and-not-said"),
        pytest.param("You must never, never turned.", "turn it", id="a-bare-participle"),
        pytest.param("Don't you dare lift it.", "lift it", id="dare-to"),
        pytest.param("Hands off the orange bits.", "put hands on the orange bits", id="hands-off"),
        pytest.param("Leave your saws off the left wall.", "put your saws on the left wall", id="tools-off"),
        pytest.param("Leave its lid shut.", "open its lid", id="leave-shut"),
        pytest.param("Keep the hood closed.", "open the hood", id="keep-closed"),
        pytest.param("That's not a rail.", "use it as a rail", id="not-what-it-looks-like"),
        pytest.param("Don't even think about it.", "do it", id="what-was-just-spoken-of"),
        pytest.param("You don't want to be behind it.", "be behind it", id="do-not-want-to"),
    ],
)
def test_never_stands_before_what_is_forbidden(language: Language, said: str, never: str) -> None:
    doc = make_doc(language, spoken(said))
    clause = doc._.clauses[0]
    found = prohibition(doc, clause.body, clause.end)
    assert found is not None
    assert forbidden_act(doc, found) == never


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("You won't get a socket in there.", id="there-is-no-room"),
        pytest.param("You don't need a key.", id="not-needed"),
        pytest.param("It doesn't reset.", id="tells-what-happens"),
        pytest.param("Don't worry.", id="soothes"),
    ],
)
def test_what_only_tells_forbids_nothing(language: Language, said: str) -> None:
    doc = make_doc(language, spoken(said))
    assert all(prohibition(doc, clause.body, clause.end) is None for clause in doc._.clauses)
