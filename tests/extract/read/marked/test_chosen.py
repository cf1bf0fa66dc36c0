"""Whatever the tagger marks: nothing forbidden becomes a step, nothing that nobody said is shown."""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.items.steps import forbidden_clauses
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.chosen import safe_candidates
from vouchbook.extract.read.marked.weighing import EVIDENCE
from vouchbook.extract.read.pipeline import Reader, by_rules
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.labels import FEATURES, SAID
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.tagger import Tagger
from vouchbook.extract.tagger.weights import Weighing, Weights
from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Transcript

ANSWERS = ("B-deed", "I-deed", "B-alone", "I-alone", "B-thing", "I-thing", "B-place")
PROHIBITIONS = (
    "Never cut it.", "Don't touch it.", "Do not cut here.", "Nobody opens that.", "Nobody kneels on it.",
    "Keep your hands out of the gap.", "Don't, whatever you do, lift it.", "Never cut it, or grind it.",
    "Don't you go leaning on that lamp.", "Never put a jack there.", "You'd never want to lift it.",
    "You mustn't lean on the glass.", "You don't want to stand behind it.", "You can't stand there.",
    "None of your crew goes near it.", "Stay out of the arches.", "Keep well clear of the mast.", "Leave that alone.",
    "Leave the lid shut.", "Fingers out of there.", "That must not be opened.", "It's not to be lifted there.",
    "It's not safe to stand on.", "I wouldn't stand there.", "Avoid the tank.", "The roof is off limits.",
    "No power tools in there.", "No smoking.", "Not on the glass.", "That's not a rail.",
    "Don't even think about cutting there.", "Don't start the engine.", "Do not let anybody stand under it.",
    "Don't make a hole in the tank.", "What you never do is lift the mast.", "Don't you dare lift it.",
    "Don't put a rope on and pull.", "Under no circumstances lift the lid.", "You're not supposed to open the flap.",
    "Keep your hands out until it stops.", "Fingers well back.", "Nobody's to drain the tank.",
    "never cut it", "don't touch the rail",
)  # fmt: skip


def safe(talk: Talk, marks: Marks, kind: str = "step") -> list[Candidate]:
    return safe_candidates(talk, marks, by_rules(talk), forbidden_clauses(talk))[kind]


@pytest.mark.parametrize("answer", ANSWERS)
@pytest.mark.parametrize("said", PROHIBITIONS)
def test_a_prohibition_is_no_step_whatever_is_marked(
    understand: Callable[..., Talk], mark_every_word: Callable[[Talk, str], Marks], said: str, answer: str
) -> None:
    talk = understand(said)
    assert safe(talk, mark_every_word(talk, answer)) == []


@pytest.mark.parametrize(
    ("said", "step", "allowed"),
    [
        pytest.param(
            "Don't touch the rail. Press the button.", {"touch": "B-deed", "Press": "B-deed"}, ["press"], id="sentence"
        ),
        pytest.param(
            "Never touch the rail, but press the button.", {"touch": "B-deed", "press": "B-deed"}, ["press"], id="but"
        ),
        pytest.param(
            "Lift the lid, and don't cut the loop.", {"Lift": "B-deed", "cut": "B-deed"}, ["lift"], id="ordered-first"
        ),
    ],
)
def test_only_what_is_forbidden_is_left_out(
    understand: Callable[..., Talk], mark: Callable[..., Marks], said: str, step: dict[str, str], allowed: list[str]
) -> None:
    talk = understand(said)
    marked = [c for c in safe(talk, mark(talk, step=step)) if c.source == "tagger"]
    assert [c.found.fields["action"] for c in marked] == allowed


@pytest.mark.parametrize(
    ("said", "step", "forbidden"),
    [
        pytest.param(
            "Steady it, don't lift it.", {"Steady": "B-deed", "lift": "I-deed"}, "lift", id="as-the-rest-of-the-deed"
        ),
        pytest.param(
            "Press the button, don't touch the rail.",
            {"Press": "B-deed", "button": "B-thing", "rail": "B-thing"},
            "rail",
            id="as-a-second-thing",
        ),
        pytest.param(
            "Press it, don't touch the rail.", {"Press": "B-deed", "rail": "B-thing"}, "rail", id="as-its-only-thing"
        ),
        pytest.param(
            "Press it, never stand on the glass.",
            {"Press": "B-deed", "on the glass": "B-place"},
            "glass",
            id="as-its-place",
        ),
    ],
)
def test_no_word_of_a_prohibition_is_told_in_a_step(
    understand: Callable[..., Talk], mark: Callable[..., Marks], said: str, step: dict[str, str], forbidden: str
) -> None:
    talk = understand(said)
    every = safe(talk, mark(talk, step=step))
    assert every, "the deed that is ordered stays"
    assert not [c for c in every if forbidden in " ".join(str(f) for f in c.found.fields.values())]


@pytest.mark.parametrize("said", ["Don't lift the lid, ever.", "Don't lift the lid until it's cold."])
def test_what_completes_a_prohibition_is_no_step(
    understand: Callable[..., Talk], mark_every_word: Callable[[Talk, str], Marks], said: str
) -> None:
    talk = understand(said)
    assert safe(talk, mark_every_word(talk, "B-deed")) == []


@pytest.mark.parametrize("marker", ["before", "unless"])
def test_a_deed_that_comes_later_is_no_step(
    understand: Callable[..., Talk], mark: Callable[..., Marks], marker: str
) -> None:
    talk = understand(f"Press the button {marker} you lift the lid.")
    marked = [c for c in safe(talk, mark(talk, step={"Press": "B-deed", "lift": "B-deed"})) if c.source == "tagger"]
    assert [c.found.fields["action"] for c in marked] == ["press"]


@pytest.mark.parametrize(
    ("deed", "steps"),
    [pytest.param(0.38, [], id="marked-weakly"), pytest.param(0.9, ["slam"], id="marked-firmly")],
)
def test_a_deed_of_a_warning_has_to_be_marked_firmly(
    understand: Callable[..., Talk], mark: Callable[..., Marks], deed: float, steps: list[str]
) -> None:
    talk = understand("You slam that valve.")
    warns = mark(talk, warning={"You slam that valve": "B-"}).tables["warning"]
    marked = mark(talk, step={"slam": "B-deed"}, sure=deed)
    both = Marks({**marked.tables, "warning": warns}, marked.labels)
    assert [c.found.fields["action"] for c in safe(talk, both) if c.source == "tagger"] == steps


@pytest.mark.parametrize(
    ("kind", "said", "marks"),
    [
        pytest.param("tool", "Grab the thing.", {"tool": {"the": "B-name"}}, id="a-tool-without-a-name"),
        pytest.param(
            "location",
            "The plug is under the seat.",
            {"location": {"The": "B-part", "under the seat": "B-place"}},
            id="a-location-without-a-part",
        ),
    ],
)
def test_no_item_lacks_what_makes_it_one(
    understand: Callable[..., Talk],
    mark: Callable[..., Marks],
    kind: str,
    said: str,
    marks: dict[str, dict[str, str]],
) -> None:
    talk = understand(said)
    assert [c for c in safe(talk, mark(talk, **marks), kind) if c.source == "tagger"] == []


CARD = Card(
    name="random",
    feature_values=dict.fromkeys(FEATURES, ()),
    deeds=(SAID, "remove", "open"),
    trained_on="nothing",
    measured="nothing",
    limits="guesses",
)
ALL_ARE_ITEMS = Weighing(
    evidence=EVIDENCE,
    kinds={
        kind: Weights(offset=0, factors=(0.0,) * len(EVIDENCE), least=0)
        for kind in ("step", "tool", "location", "warning", "cue")
    },
)
FIELDS = {
    "step": ("action",), "tool": ("name",), "location": ("part", "place"), "warning": ("text",), "cue": ("text",),
}  # fmt: skip


class Guesses:
    """A network that guesses; ``boldness`` makes its answers surer of themselves."""

    def __init__(self) -> None:
        self.seed, self.boldness = 0, 1.0

    def run(self, _: None, fed: dict[str, npt.NDArray[np.int64]]) -> list[npt.NDArray[np.float32]]:
        random = np.random.default_rng(self.seed)
        shape = fed["firsts"].shape
        sizes = [len(labels) for labels in CARD.heads().values()]
        return [(self.boldness * random.standard_normal((*shape, size))).astype(np.float32) for size in sizes]


class Speller:
    def spell(self, words: Sequence[str]) -> list[list[int]]:
        return [[1000] for _ in words]


@pytest.fixture(scope="module")
def guess() -> Callable[[Transcript, int, float], Draft]:
    """Reads a transcript with a tagger that guesses, and takes all that it marks for an item."""
    network = Guesses()
    tagger = Tagger(network, Speller(), CARD, ALL_ARE_ITEMS)
    reader = Reader(layered(load_pack("common"), load_pack("road_vehicles")), tagger)

    def draft(transcript: Transcript, seed: int, boldness: float) -> Draft:
        network.seed, network.boldness = seed, boldness
        return reader.read(transcript)

    return draft


LINES = (
    "Undo the four bolts.", "Thirteen mil socket.", "Ten mil, no, twelve mil spanner.", "Then lift it",
    "T thirty on those screws, six of them.", "Is that a ten mil on the nut?", "There's a hundred bar in that tank.",
    "Four screws, and the cover comes off", "The two plugs are under the seat, on the left.", "Yeah.",
    "If the lamp is lit it's live, four hundred volts.", "Wait ten minutes.", "Never cut the orange one.",
    "We had our lunch there, two of us.", "Chocks. Two of 'em", "Ada: What size is it, a thirteen?",
    "Bo: That's a ten.", "and pull", "it", "So, hm, well, ...",
)  # fmt: skip
TALKS = st.lists(st.sampled_from(LINES), max_size=6)
SEEDS, BOLDNESS = st.integers(0, 2**32 - 1), st.sampled_from([0.5, 2.0, 6.0, 30.0])


@settings(deadline=None, max_examples=150)
@given(said=TALKS, seed=SEEDS, boldness=BOLDNESS)
def test_no_guess_gives_a_value_that_nobody_said_or_an_item_without_its_words(
    guess: Callable[[Transcript, int, float], Draft],
    understand: Callable[..., Talk],
    spoken: Callable[..., Transcript],
    said: list[str],
    seed: int,
    boldness: float,
) -> None:
    transcript = spoken(*said)
    known = {value.quantity.said for value in understand(*said).values}
    for item in guess(transcript, seed, boldness).items:
        assert all(getattr(item, name).strip() for name in FIELDS[item.kind])
        for evidence in item.evidence:
            assert evidence.quote == transcript.text(evidence.first_word, evidence.last_word)
        if item.kind in {"step", "tool"}:
            for value in (item.size_said, item.count_said):
                if value is not None:
                    assert value.said in known
                    assert any(f" {value.said} " in f" {evidence.quote} " for evidence in item.evidence)


@settings(deadline=None, max_examples=150)
@given(said=st.sampled_from(PROHIBITIONS), seed=SEEDS, boldness=BOLDNESS)
def test_no_guess_makes_a_step_of_a_prohibition(
    guess: Callable[[Transcript, int, float], Draft],
    spoken: Callable[..., Transcript],
    said: str,
    seed: int,
    boldness: float,
) -> None:
    transcript = spoken(said.rstrip(".").replace(",", ""))  # a recogniser may write none
    assert [item for item in guess(transcript, seed, boldness).items if item.kind == "step"] == []


@settings(deadline=None, max_examples=20)
@given(said=TALKS, seed=SEEDS)
def test_the_same_marks_give_the_same_draft(
    guess: Callable[[Transcript, int, float], Draft], spoken: Callable[..., Transcript], said: list[str], seed: int
) -> None:
    transcript = spoken(*said)
    assert guess(transcript, seed, 6.0) == guess(transcript, seed, 6.0)
