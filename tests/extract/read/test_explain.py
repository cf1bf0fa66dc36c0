"""What made an item: the explanation and the draft come from one reading, and agree."""

from collections.abc import Callable
from math import exp
from pathlib import Path
from typing import Any, get_args

import pytest

from vouchbook.extract.listen.captions.registry import read_captions
from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.schema import Entry, Pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.explained.entries import differences, entry_of
from vouchbook.extract.read.explained.explain import Explainer
from vouchbook.extract.read.explained.question import RULES
from vouchbook.extract.read.explained.records import ItemExplained, QuestionExplained
from vouchbook.extract.read.marked.weighing import EVIDENCE
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.tagger.load import load_tagger
from vouchbook.models.draft import Draft
from vouchbook.models.errors import DocumentError
from vouchbook.models.items import Item, StepItem
from vouchbook.models.questions import QuestionKind
from vouchbook.models.transcript import Transcript, UnheardStretch

VAN = Path(__file__).parents[3] / "demo_audio" / "delivery-van.vtt"
Spoken = Callable[..., Transcript]


@pytest.fixture(scope="module")
def packs() -> tuple[Pack, ...]:
    return load_pack("common"), load_pack("road_vehicles")


@pytest.fixture(scope="module")
def weighing_reader(packs: tuple[Pack, ...]) -> Reader:
    """A reader with the tagger that comes with the program."""
    return Reader(layered(*packs), load_tagger())


@pytest.fixture(scope="module")
def van(weighing_reader: Reader) -> Draft:
    return weighing_reader.read(read_captions(VAN))


@pytest.fixture(scope="module")
def of_van(weighing_reader: Reader, packs: tuple[Pack, ...], van: Draft) -> Explainer:
    return Explainer(weighing_reader, packs, van)


def item_explained(explainer: Explainer, item: Item) -> ItemExplained:
    explained = explainer.explain(item)
    assert isinstance(explained, ItemExplained)
    return explained


def question_explained(reader: Reader, packs: tuple[Pack, ...], said: Transcript, kind: str) -> QuestionExplained:
    """The first question of that kind which the talk raises."""
    draft = reader.read(said)
    explained = Explainer(reader, packs, draft).explain(next(q for q in draft.open_questions if q.kind == kind))
    assert isinstance(explained, QuestionExplained)
    assert explained.facts == () or kind in {"uncovered", "order", "untold"}
    return explained


def changed(item: Item, **changes: Any) -> Item:  # noqa: ANN401
    """As another version of the program may have stored it."""
    return item.model_copy(update=changes)


def test_every_item_of_the_demo_is_explained_by_what_made_it(of_van: Explainer, van: Draft) -> None:
    assert len(van.items) > 30
    for item in van.items:
        explained = item_explained(of_van, item)
        assert (explained.today, explained.differs) == (item, ())
        assert explained.tellings, "everything in the demo is weighed"
        assert explained.tellings[0].quote == item.evidence[0]
        assert explained.topic is not None
        assert explained.topic.topic is item.phase
        assert explained.words.marks


def test_the_pieces_sum_up_to_the_probability_and_that_to_the_stored_confidence(of_van: Explainer, van: Draft) -> None:
    """Nothing was heard badly in captions: what is not told again or repaired is as sure as it is probable."""
    untouched = 0
    for item in van.items:
        explained = item_explained(of_van, item)
        for telling in explained.tellings:
            assert sorted(piece.name for piece in telling.pieces) == sorted(EVIDENCE)
            sizes = [abs(piece.contribution) for piece in telling.pieces]
            assert sizes == sorted(sizes, reverse=True)
            assert telling.total == pytest.approx(telling.offset + sum(p.value * p.weight for p in telling.pieces))
            assert telling.probability == pytest.approx(1 / (1 + exp(-telling.total)))
            assert telling.stays == (telling.probability < telling.least)
            assert not telling.stays or telling.says["prohibits"]
        best = max(telling.probability for telling in explained.tellings)
        assert explained.sure == pytest.approx(best)
        last = explained.adjusted[-1].score if explained.adjusted else best
        assert round(last, 2) == item.confidence
        untouched += not explained.adjusted
    assert untouched > 10


def test_a_telling_says_what_the_item_says(of_van: Explainer, van: Draft) -> None:
    told = 0
    for item in van.items:
        if isinstance(item, StepItem) and "dispute" not in item.object:
            says = item_explained(of_van, item).tellings[0].says
            assert (says["action"], says["object"]) == (item.action, item.object)
            told += 1
    assert told > 10


def test_what_was_not_chosen_is_no_item(of_van: Explainer, van: Draft) -> None:
    left = [(item, rival) for item in van.items for rival in item_explained(of_van, item).not_chosen]
    assert left
    for item, rival in left:
        mine = item_explained(of_van, item).tellings
        assert rival not in mine
        assert rival.quote.first_word <= item.evidence[0].last_word or len(mine) > 1


def test_every_question_of_the_demo_is_explained(of_van: Explainer, van: Draft) -> None:
    assert {"pointer", "borrowed", "conflict", "uncovered"} <= {q.kind for q in van.open_questions}
    for question in van.open_questions:
        explained = of_van.explain(question)
        assert isinstance(explained, QuestionExplained)
        assert (explained.today, explained.differs, explained.rule) == (question, (), RULES[question.kind])
        if question.kind == "untold":  # what called for it may stand anywhere, and it shows no words
            assert question.evidence == ()
            continue
        for by in explained.by:  # the words that raised it are among those that it shows
            assert any(e.first_word <= by.first_word and by.last_word <= e.last_word for e in question.evidence)
        assert bool(explained.by) == bool(question.evidence)


def test_each_kind_of_question_has_its_rule_in_words() -> None:
    assert set(RULES) == set(get_args(QuestionKind))


@pytest.mark.parametrize(
    ("lines", "kind", "by"),
    [
        pytest.param(["The orange cables run up to about here."], "pointer", ["up to about here."], id="pointer"),
        pytest.param(["Undo the bolts, I'd have to check."], "doubtful", ["I'd have to check."], id="not-sure"),
        pytest.param(
            ["It goes in the same as on the last one."], "borrowed", ["the same as on the last one."], id="borrowed"
        ),
        pytest.param(
            ["Wait five minutes.", "Yes.", "You wait ten minutes."], "conflict", ["five minutes.", "ten minutes."],
            id="conflict",
        ),
        pytest.param(["Use the ten or twelve mil socket."], "doubtful", ["ten or twelve mil"], id="left-open"),
        pytest.param(["Use a fourteen and a half mil socket."], "implausible", ["fourteen and a half mil"], id="odd"),
    ],
)  # fmt: skip
def test_a_question_tells_the_words_that_raised_it(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken, lines: list[str], kind: str, by: list[str]
) -> None:
    explained = question_explained(weighing_reader, packs, spoken(*lines), kind)
    assert [evidence.quote for evidence in explained.by] == by


def test_a_topic_that_nobody_spoke_of_tells_what_was_counted(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken
) -> None:
    explained = question_explained(weighing_reader, packs, spoken("Press the button."), "uncovered")
    assert explained.by == ()
    assert explained.facts == ("items under this topic: 0", "sentences with words that speak firmly of it: 0")


def test_what_was_not_told_tells_what_called_for_it_and_which_words_would_have_told_it(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken
) -> None:
    said = spoken("It's a hybrid.", "The hybrid is shut down at the service plug.", "Pull the service plug.")
    explained = question_explained(weighing_reader, packs, said, "untold")
    assert explained.by == () or {evidence.quote for evidence in explained.by} <= {"hybrid", "hybrid.", "service plug."}
    (fact,) = explained.facts
    assert fact.startswith("words that would touch it: ")


def test_an_order_that_a_warning_forbids_tells_the_warning_and_both_steps(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken
) -> None:
    said = spoken("Open the hopper door.", "Never open the hopper door before the valve is shut.", "Shut the valve.")
    explained = question_explained(weighing_reader, packs, said, "order")
    assert [fact.split(":")[0] for fact in explained.facts] == ["the warning", "stands first", "must come first"]


def test_a_word_that_was_hard_to_hear_and_a_stretch_without_words_are_told_with_their_numbers(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken
) -> None:
    said = spoken("Do not cut the orange cable.")
    words = tuple(w.model_copy(update={"probability": 0.3 if w.text == "not" else 1.0}) for w in said.words)
    silent = UnheardStretch(start_s=2, end_s=4, reason="no words")
    draft = weighing_reader.read(said.model_copy(update={"words": words, "unheard": (silent,)}))
    explainer = Explainer(weighing_reader, packs, draft)
    facts = {}
    for question in draft.open_questions:
        explained = explainer.explain(question)
        assert isinstance(explained, QuestionExplained)
        facts[question.kind] = explained.facts
    assert any(fact.startswith("“not” was heard with 0.30") for fact in facts["doubtful"])
    assert facts["unheard"] == ("2.0 to 4.0 s: no words",)


def test_words_that_were_heard_badly_lower_the_confidence_by_what_is_told(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken
) -> None:
    said = spoken("Then chock the rear wheels.")
    words = tuple(word.model_copy(update={"probability": 0.4}) for word in said.words)
    draft = weighing_reader.read(said.model_copy(update={"words": words}))
    step = next(item for item in draft.items if item.kind == "step")
    explained = item_explained(Explainer(weighing_reader, packs, draft), step)
    assert explained.adjusted[0].why == "the recogniser is 0.40 sure of its words, on average"
    assert explained.sure is not None
    assert explained.adjusted[0].score == pytest.approx(explained.sure * 0.7)
    assert round(explained.adjusted[-1].score, 2) == step.confidence


@pytest.mark.parametrize(
    ("before", "now", "differs"),
    [
        pytest.param({"id": "i99"}, {}, (), id="another-number-is-no-difference"),
        pytest.param({"action": "wedge"}, {"action": "chock"}, ("action was wedge, is chock",), id="another-deed"),
        pytest.param(
            {"place": "at the back", "confidence": 0.11}, {"place": None, "confidence": 0.9},
            ("confidence was 0.11, is 0.9", "place was at the back, is nothing"), id="two-differences",
        ),
        pytest.param(
            {"reasons": ("a", "b")}, {"reasons": ("a",)}, ("reasons were a; b, are a",), id="a-reason-less"
        ),
    ],
)  # fmt: skip
def test_how_todays_reading_differs_is_told_in_words(
    van: Draft, before: dict[str, Any], now: dict[str, Any], differs: tuple[str, ...]
) -> None:
    step = next(item for item in van.items if item.kind == "step")
    assert differences(changed(step, **before), changed(step, **now)) == differs


def test_a_stored_item_is_compared_with_the_one_that_its_words_make_now(of_van: Explainer, van: Draft) -> None:
    for step in (item for item in van.items if isinstance(item, StepItem)):
        explained = item_explained(of_van, changed(step, id="i900", action="wedge"))
        assert explained.today == step
        assert explained.differs == (f"action was wedge, is {step.action}",)


def test_an_item_that_is_not_made_any_more_is_told_by_what_came_nearest(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken
) -> None:
    draft = weighing_reader.read(spoken("Then lift the rear cover off."))
    (step,) = (item for item in draft.items if isinstance(item, StepItem))
    location = {
        "id": "i7", "kind": "location", "phase": "access", "part": "rear cover", "place": "off",
        "evidence": step.evidence, "confidence": 0.5, "reasons": ("read as where a part is",),
    }  # fmt: skip
    stored = Draft.model_validate(
        {**draft.model_dump(), "transcript": draft.transcript, "items": [location], "open_questions": []},
        context={"transcript": draft.transcript},
    )
    explained = item_explained(Explainer(weighing_reader, packs, stored), stored.items[0])
    assert explained.today is None
    assert explained.differs == ("nothing of this kind is found in these words now",)
    assert explained.tellings == ()
    assert [mark.text for mark in explained.words.marks if "deed" in mark.shares] == ["lift", "off."]
    assert all(telling.probability < telling.least for telling in explained.not_chosen)


def test_a_prohibition_that_the_rules_find_stays_whatever_it_weighs(of_van: Explainer, van: Draft) -> None:
    (warning,) = (item for item in van.items if item.quote.startswith("Never with bare hands"))
    (telling,) = item_explained(of_van, warning).tellings
    assert (telling.source, telling.stays) == ("rules", telling.probability < telling.least)


def test_without_a_tagger_the_rule_alone_is_told(reader: Reader, packs: tuple[Pack, ...], spoken: Spoken) -> None:
    draft = reader.read(spoken("Then lift the rear cover off."))
    (item,) = draft.items
    explained = item_explained(Explainer(reader, packs, draft), item)
    assert (explained.sure, explained.tellings, explained.words.marks) == (0.9, (), ())
    assert explained.topic is not None
    assert explained.topic.shares == {}


@pytest.mark.parametrize(
    ("said", "kind", "values"),
    [
        pytest.param(
            "Undo the four bolts with a ten, no, twelve mil socket.", "step",
            [("four", "4", "count", (), ()), ("twelve mil", "12 mm", "size", ("ten,",), ())], id="count-and-corrected",
        ),
        pytest.param(
            "Undo the bolts with the ten or twelve mil socket.", "step",
            [("ten or twelve mil", None, None, (), ("10 mm", "12 mm"))], id="left-open",
        ),
        pytest.param(
            "There's four hundred volts in it and it can kill you.", "warning",
            [("four hundred volts", None, None, (), ())], id="no-size-of-a-warning",
        ),
    ],
)  # fmt: skip
def test_values_are_told_with_how_they_were_read(
    weighing_reader: Reader, packs: tuple[Pack, ...], spoken: Spoken, said: str, kind: str, values: list[Any]
) -> None:
    draft = weighing_reader.read(spoken(said))
    item = next(item for item in draft.items if item.kind == kind)
    explained = item_explained(Explainer(weighing_reader, packs, draft), item)
    told = [(v.quantity.said, v.taken_as, v.used_for, v.corrected_from, v.alternatives) for v in explained.words.values]
    assert told == values


@pytest.mark.parametrize(
    ("heard", "term", "told_by", "how"),
    [
        pytest.param("service plug", "service plug", ["road_vehicles"], "term", id="its-name"),
        pytest.param("safety plug", "service plug", ["road_vehicles"], "synonym", id="another-name"),
        pytest.param("surface plug", "service plug", ["road_vehicles"], "sound", id="its-sound"),
        pytest.param("isollator", "isolator", ["common"], "spelling", id="a-slip-of-spelling"),
        pytest.param("zebra brick", "service plug", ["road_vehicles", "station"], "synonym", id="a-pack-of-our-own"),
    ],
)
def test_names_are_told_with_their_packs_and_how_they_were_known(
    packs: tuple[Pack, ...], spoken: Spoken, heard: str, term: str, told_by: list[str], how: str
) -> None:
    plug = Entry(kind="part", term="service plug", synonyms=("zebra brick",))
    own = [Pack(name="station", title="Ours", entries=(plug,))] if "station" in told_by else []
    reader = Reader(layered(*packs, *own), load_tagger())
    draft = reader.read(spoken(f"Pull the {heard}."))
    step = next(item for item in draft.items if item.kind == "step")
    explained = item_explained(Explainer(reader, (*packs, *own), draft), step)
    (named,) = (each for each in explained.words.named if each.kind == "part")
    assert (named.term, list(named.packs), named.heard, named.how) == (term, told_by, f"{heard}.", how)
    repaired = [change.why for change in explained.adjusted if "by its sound" in change.why]
    assert bool(repaired) == (how in {"sound", "spelling"})


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        pytest.param("i99", "a.json: no i99 in this draft. Give one of the items", id="item"),
        pytest.param("q0", "a.json: no q0 in this draft. Give one of the items", id="question"),
        pytest.param("12", "a.json: no 12 in this draft. Give one of the items", id="no-letter"),
    ],
)
def test_an_unknown_id_is_told_with_those_there_are(van: Draft, asked: str, message: str) -> None:
    items, questions = len(van.items), len(van.open_questions)
    with pytest.raises(DocumentError) as raised:
        entry_of(van, asked, "a.json")
    assert str(raised.value) == f"{message} i1 to i{items} or one of the questions q1 to q{questions}."


@pytest.mark.parametrize(
    ("kept", "ways_out"),
    [
        pytest.param((0, 0), "Give another draft.", id="nothing-at-all"),
        pytest.param((1, 0), "Give the item i1.", id="one-item"),
        pytest.param((0, 1), "Give the question q1.", id="one-question"),
    ],
)
def test_a_draft_with_little_in_it_says_so(van: Draft, kept: tuple[int, int], ways_out: str) -> None:
    items, questions = kept
    little = van.model_copy(update={"items": van.items[:items], "open_questions": van.open_questions[:questions]})
    with pytest.raises(DocumentError, match=rf"^a\.json: no i2 in this draft\. {ways_out}$"):
        entry_of(little, "i2", "a.json")
