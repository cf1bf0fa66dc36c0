"""How candidates are weighed: what speaks for them, how probable that makes them, and which of two stays."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.steps import forbidden_clauses
from vouchbook.extract.read.marked.candidate import Candidate, Source
from vouchbook.extract.read.marked.candidates import candidates
from vouchbook.extract.read.marked.weighing import EVIDENCE, Scales, chosen_of, likeness, probability, says_same
from vouchbook.extract.read.pipeline import by_rules
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.weights import Weights

SAID = "Lift the lid, never touch the rail."
FIELDS: dict[str, dict[str, str | None]] = {
    "step": {"action": "lift", "object": "lid"},
    "tool": {"name": "long bar"},
    "location": {"part": "battery", "place": "under the seat"},
    "warning": {"text": "never touch the rail"},
    "cue": {"text": "the lamp goes green"},
}


def candidate(
    kind: str, start: int, end: int, *, source: Source = "tagger", head: int | None = None, **fields: str
) -> Candidate:
    found = Found(kind, start, end, 0, {**FIELDS[kind], **fields}, 0.9, ("made by hand",))
    return Candidate(found, source, 0.9, start if head is None else head)


def named(evidence: tuple[float, ...]) -> dict[str, float]:
    return dict(zip(EVIDENCE, evidence, strict=True))


@pytest.fixture
def weigh(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> Callable[..., list[dict[str, float]]]:
    """The evidence of all candidates of a kind, those of the rules first, by the names of its pieces."""

    def evidence(kind: str, *said: str, **marks: dict[str, str]) -> list[dict[str, float]]:
        talk = understand(*said)
        marked = mark(talk, **marks)
        every = candidates(talk, marked, by_rules(talk))[kind]
        scales = Scales(talk, marked, forbidden_clauses(talk))
        return [named(scales.evidence(each, every)) for each in every]

    return evidence


def test_the_names_of_the_evidence_are_all_different() -> None:
    assert len(set(EVIDENCE)) == len(EVIDENCE)


def test_what_rules_and_tagger_both_find_agrees(weigh: Callable[..., list[dict[str, float]]]) -> None:
    by_the_rules, by_the_tagger = weigh("step", "Lift the lid.", step={"Lift": "B-deed", "lid": "B-thing"})
    for each in (by_the_rules, by_the_tagger):
        assert (each["agrees"], each["other there"], each["thing told"], each["forbids"]) == (1, 1, 1, 0)
        assert each["deed highest"] == each["at head"] == pytest.approx(0.9)
    assert (by_the_rules["by rules"], by_the_tagger["by rules"]) == (1, 0)
    assert by_the_rules["sure by rules"] > 0 == by_the_rules["sure by tagger"]
    assert by_the_tagger["sure by rules"] == 0
    assert by_the_tagger["sure by tagger"] == pytest.approx(0.9)


def test_what_only_the_rules_find_stands_alone(weigh: Callable[..., list[dict[str, float]]]) -> None:
    (each,) = weigh("step", "Lift the lid.")
    assert (each["agrees"], each["other there"], each["at head"], each["deed highest"]) == (0, 0, 0, 0)


@pytest.mark.parametrize(
    ("kind", "said", "marks", "piece", "value"),
    [
        pytest.param(
            "step", ["Never lift the lid."], {"step": {"lift": "B-deed"}}, "forbids", 1, id="in-a-clause-that-forbids"
        ),
        pytest.param(
            "step",
            ["The lid first."],
            {"step": {"lid": "B-alone"}, "deed": {"lid": "remove"}},
            "implied",
            1,
            id="implied",
        ),
        pytest.param(
            "step", ["There's a lid.", "Lift it."], {"step": {"Lift": "B-deed"}}, "named before", 1, id="named-before"
        ),
        pytest.param("step", ["Wait."], {"step": {"Wait": "B-deed"}}, "thing told", 0, id="no-thing"),
        pytest.param(
            "tool", ["Grab a ten mil socket."], {"tool": {"socket": "B-name"}}, "size told", 1, id="size-told"
        ),
        pytest.param("tool", ["Grab a bar."], {"tool": {"bar": "B-name"}}, "size told", 0, id="no-size"),
        pytest.param(
            "cue",
            ["The lamp goes green then."],
            {"cue": {"The lamp goes green then.": "B-"}},
            "length",
            5 / 20,
            id="length",
        ),
        pytest.param(
            "cue",
            ["The lamp goes green then."],
            {"cue": {"The lamp goes green then.": "B-"}, "chatter": {"lamp": "yes"}},
            "chatter highest",
            0.9,
            id="chatter",
        ),
    ],
)
def test_evidence(
    weigh: Callable[..., list[dict[str, float]]],
    kind: str,
    said: list[str],
    marks: dict[str, dict[str, str]],
    piece: str,
    value: float,
) -> None:
    last = weigh(kind, *said, **marks)[-1]
    assert last["by rules"] == 0
    assert last[piece] == pytest.approx(value)


def test_what_the_asker_says_is_known(weigh: Callable[..., list[dict[str, float]]]) -> None:
    talk = ["Ada: Is there a lid?", "Bo: Lift the lid.", "Ada: And then?", "Bo: Fine.", "Ada: Is that all?", "Bo: Aye."]
    (asked,) = weigh("step", *talk, step={"lid": "B-alone"}, deed={"lid": "remove"})[-1:]
    (answered, *_) = weigh("step", *talk)
    assert (asked["asked"], answered["asked"]) == (1, 0)


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        pytest.param(candidate("step", 0, 4), candidate("step", 0, 4, source="rules"), True, id="same-words"),
        pytest.param(candidate("step", 0, 4), candidate("step", 4, 8, source="rules"), False, id="words-apart"),
        pytest.param(
            candidate("step", 0, 4),
            candidate("step", 0, 4, action="drain", object="tank", source="rules"),
            True,
            id="one-verb-is-one-step",
        ),
        pytest.param(
            candidate("step", 0, 8), candidate("step", 0, 8, head=5), False, id="the-taggers-two-verbs-are-two-steps"
        ),
        pytest.param(
            candidate("step", 0, 8),
            candidate("step", 0, 8, head=5, source="rules", action="drain", object="tank"),
            False,
            id="another-deed",
        ),
        pytest.param(
            candidate("tool", 0, 8, head=2), candidate("tool", 0, 8, head=4, name="socket"), True, id="size-and-name"
        ),
        pytest.param(
            candidate("tool", 0, 9, head=0), candidate("tool", 0, 9, head=8, name="socket"), False, id="two-tools"
        ),
        pytest.param(
            candidate("warning", 0, 8), candidate("warning", 4, 8, text="something else"), True, id="half-of-a-warning"
        ),
        pytest.param(
            candidate("warning", 0, 8),
            candidate("warning", 7, 15, text="something else"),
            False,
            id="warnings-that-touch",
        ),
        pytest.param(candidate("cue", 0, 8), candidate("cue", 7, 15), True, id="signs-in-the-same-words"),
        pytest.param(
            candidate("location", 0, 8),
            candidate("location", 0, 8, part="fuse", place="on the left"),
            False,
            id="two-locations-in-a-clause",
        ),
    ],
)
def test_whether_two_say_the_same(one: Candidate, other: Candidate, *, expected: bool) -> None:
    assert says_same(one, other) is says_same(other, one) is expected


def test_likeness_is_of_the_words_of_the_kind() -> None:
    one = candidate("location", 0, 8)
    assert likeness(one, one) == 100
    assert likeness(one, candidate("location", 0, 8, part="fuse", place="in the roof")) < 55


ONE_PIECE = Weights(offset=0, factors=(1.0,), least=0.4)


@pytest.mark.parametrize("likelier", [0, 1])
def test_of_two_that_say_the_same_the_likelier_stays(likelier: int) -> None:
    both = [candidate("step", 0, 4, source="rules"), candidate("step", 0, 4)]
    evidence = [(2.0,) if n == likelier else (1.0,) for n in range(2)]
    ((kept, share),) = chosen_of(both, evidence, ONE_PIECE)
    assert kept == likelier
    assert share == pytest.approx(probability((2.0,), ONE_PIECE))


def test_two_that_say_different_things_stay_both() -> None:
    both = [candidate("step", 0, 4), candidate("step", 4, 8)]
    assert [kept for kept, _ in chosen_of(both, [(1.0,), (2.0,)], ONE_PIECE)] == [1, 0]


@pytest.mark.parametrize(("least", "kept"), [(0.0, 1), (0.5, 1), (0.51, 0), (1.0, 0)])
def test_what_is_not_probable_enough_is_no_item(least: float, kept: int) -> None:
    weights = Weights(offset=0, factors=(1.0,), least=least)
    assert len(chosen_of([candidate("step", 0, 4)], [(0.0,)], weights)) == kept


FACTORS = st.lists(st.floats(-8, 8), min_size=len(EVIDENCE), max_size=len(EVIDENCE))
PIECES = st.lists(st.floats(0, 2), min_size=len(EVIDENCE), max_size=len(EVIDENCE))


@given(factors=FACTORS, pieces=PIECES, offset=st.floats(-10, 10))
def test_a_probability_lies_between_nought_and_one(factors: list[float], pieces: list[float], offset: float) -> None:
    assert 0 <= probability(pieces, Weights(offset=offset, factors=tuple(factors), least=0.5)) <= 1


@given(
    factors=FACTORS,
    pieces=PIECES,
    place=st.integers(0, len(EVIDENCE) - 1),
    factor=st.floats(0.01, 8),
    more=st.floats(0.01, 2),
)
def test_a_probability_rises_with_what_speaks_for_it_and_falls_with_what_speaks_against(
    factors: list[float], pieces: list[float], place: int, factor: float, more: float
) -> None:
    stronger = [piece + more * (n == place) for n, piece in enumerate(pieces)]

    def share(of: list[float], weight: float) -> float:
        own = tuple(weight if n == place else f / 30 for n, f in enumerate(factors))
        return probability(of, Weights(offset=0, factors=own, least=0.5))

    assert share(stronger, factor) > share(pieces, factor)
    assert share(stronger, -factor) < share(pieces, -factor)


def test_weights_that_do_not_fit_the_evidence_are_refused() -> None:
    with pytest.raises(ValueError, match="is longer"):
        probability((1.0, 2.0), ONE_PIECE)


@pytest.mark.parametrize(
    ("spans", "acts", "kept"),
    [
        pytest.param([(0, 8), (2, 8)], ["open it", None], [0], id="it-says-all-of-the-likelier-one"),
        pytest.param([(2, 8), (0, 8)], ["open it", None], [0, 1], id="the-likelier-one-says-more"),
        pytest.param([(0, 8), (2, 8)], ["open it", "cut it"], [0, 1], id="the-likelier-one-forbids-something-else"),
        pytest.param([(0, 8), (0, 4), (4, 8)], ["open it", None, None], [0, 1, 2], id="it-would-make-one-of-two"),
    ],
)
def test_a_prohibition_stands_for_one_likelier_warning_whose_words_it_holds(
    spans: list[tuple[int, int]], acts: list[str | None], kept: list[int]
) -> None:
    every = [
        candidate("warning", *span, source="tagger" if n else "rules").found.with_(
            fields={**FIELDS["warning"], "prohibits": act}
        )
        for n, (span, act) in enumerate(zip(spans, acts, strict=True))
    ]
    both = [Candidate(found, "tagger" if n else "rules", 0.9, found.start) for n, found in enumerate(every)]
    evidence = [(1.0,), *((2.0,) for _ in both[1:])]
    assert sorted(n for n, _ in chosen_of(both, evidence, ONE_PIECE)) == kept
