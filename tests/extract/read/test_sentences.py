"""Where sentences and clauses begin, with and without punctuation, and what is set aside at their start."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.talk import Talk


def bodies(talk: Talk) -> list[str]:
    return [talk.doc[c.body : c.end].text for s in talk.sentences for c in s.clauses]


CLAUSES = [
    # said, the bodies of its clauses
    ("Slacken the nut and lift the rail.", ["Slacken the nut", "lift the rail"]),
    ("Lift it until it clicks.", ["Lift it", "it clicks"]),
    ("Push the lever cos it sticks.", ["Push the lever", "it sticks"]),
    ("When it's out, lift the cage.", ["it's out", "lift the cage"]),
    ("So then you just turn the key.", ["you just turn the key"]),
    # look-alikes: one thing, in one clause
    ("Slacken the rail and the hook.", ["Slacken the rail and the hook"]),
    ("As far as it goes.", ["As far as it goes"]),
    ("Even if it sticks.", ["Even if it sticks"]),
    # leads used as themselves
    ("Right side first.", ["Right side first"]),
    ("See the badge on the tail.", ["See the badge on the tail"]),
    ("Look behind the grille.", ["Look behind the grille"]),
]


@pytest.mark.parametrize(("said", "expected"), CLAUSES, ids=[row[0] for row in CLAUSES])
def test_a_clause_says_one_thing(understand: Callable[..., Talk], said: str, expected: list[str]) -> None:
    assert bodies(understand(said)) == expected


@pytest.mark.parametrize(
    ("said", "marker"),
    [
        ("Stop when it clicks.", "when"),
        ("Turn it till it stops.", "until"),
        ("Hold it, 'cause it bites.", "because"),
        ("Hold it cos it bites.", "because"),
        ("Hold it because it bites.", "because"),
        ("Unless it moves, leave.", "unless"),
        ("Turn it as far as it goes.", None),
        ("Turn it.", None),
    ],
)
def test_a_marker_makes_a_clause_a_condition_a_time_or_a_reason(
    understand: Callable[..., Talk], said: str, marker: str | None
) -> None:
    clauses = [c for s in understand(said).sentences for c in s.clauses]
    assert [c.marker for c in clauses if c.marker] == ([marker] if marker else [])


def test_captions_without_punctuation_are_cut_where_a_new_thing_begins(understand: Callable[..., Talk]) -> None:
    said = (
        "pull the ring you will feel it give and then the flap drops open "
        "and you can reach the plug behind it never pull the cable itself"
    )
    assert bodies(understand(said)) == [
        "pull the ring",
        "you will feel it give",
        "the flap drops open",
        "you can reach the plug behind it",
        "never pull the cable itself",
    ]


def test_no_clause_is_torn_off_its_marker(understand: Callable[..., Talk]) -> None:
    said = "we keep a strap on the gate at all times in the yard and in the shed whenever you lift the gate"
    talk = understand(said)
    assert [(c.marker, talk.doc[c.body : c.end].text) for s in talk.sentences for c in s.clauses][-1] == (
        "whenever",
        "you lift the gate",
    )


@pytest.mark.parametrize(
    ("lines", "sentences"),
    [
        pytest.param(["Lift the flap. Pull the ring."], ["Lift the flap.", "Pull the ring."], id="full-stops"),
        pytest.param(["Is it off? Yes!"], ["Is it off?", "Yes!"], id="other-ends"),
        pytest.param(["lift the flap", "pull the ring"], ["lift the flap", "pull the ring"], id="a-line-ends"),
        pytest.param(["Lift the flap,", "then the ring."], ["Lift the flap, then the ring."], id="a-line-runs-on"),
        pytest.param(["Lift the flap,", "Then the ring."], ["Lift the flap,", "Then the ring."], id="a-capital-begins"),
    ],
)
def test_a_sentence_ends_with_its_punctuation_or_its_line(
    understand: Callable[..., Talk], lines: list[str], sentences: list[str]
) -> None:
    talk = understand(*lines)
    assert [talk.doc[s.start : s.end].text for s in talk.sentences] == sentences


def test_a_clause_knows_its_line_and_sentence(understand: Callable[..., Talk]) -> None:
    talk = understand("Lift the flap. Pull the ring.", "Turn it.")
    assert [(c.sentence, c.line) for s in talk.sentences for c in s.clauses] == [(0, 0), (1, 0), (2, 1)]


def test_tokens_know_their_words_although_noise_is_set_aside(understand: Callable[..., Talk]) -> None:
    talk = understand("Um, don't lift the, the flap.")
    assert [talk.word(token.i) for token in talk.doc] == [1, 1, 2, 4, 5, 5]
    assert talk.token_of(0) is None
    assert talk.token_of(4) == 3


def test_an_empty_transcript_has_no_sentences(understand: Callable[..., Talk]) -> None:
    talk = understand()
    assert (talk.sentences, talk.mentions, talk.values) == ((), (), ())
