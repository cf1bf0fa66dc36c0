"""What may have been misheard or misspoken is always asked about, whatever the rest says."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.transcript import Source, Transcript


def weakened(transcript: Transcript, weak: int, probability: float) -> Transcript:
    """``transcript`` with all words heard well but the one at ``weak``."""
    return heard_as(transcript, {weak: probability})


def heard_as(transcript: Transcript, weak: dict[int, float], rest: float = 0.99) -> Transcript:
    """``transcript`` with these probabilities of words, ``rest`` for all others."""
    words = tuple(w.model_copy(update={"probability": weak.get(n, rest)}) for n, w in enumerate(transcript.words))
    return transcript.model_copy(update={"words": words})


def doubts(reader: Reader, transcript: Transcript) -> list[OpenQuestion]:
    return [q for q in reader.read(transcript).open_questions if q.kind == "doubtful"]


@pytest.mark.parametrize(
    ("said", "word", "below"),
    [
        pytest.param("Do not cut the orange cable.", 1, 0.9, id="not"),
        pytest.param("Don't cut the orange cable.", 0, 0.9, id="not-contracted"),
        pytest.param("Dont cut the orange cable.", 0, 0.9, id="not-without-apostrophe"),
        pytest.param("Nobody opens the lid.", 0, 0.9, id="nobody"),
        pytest.param("Never lift it unless the lamp is out.", 3, 0.9, id="unless"),
        pytest.param("The plug is on the left side.", 5, 0.9, id="side"),
        pytest.param("It is the nearside one.", 3, 0.9, id="nearside"),
        pytest.param("Turn it clockwise.", 2, 0.9, id="sense-of-rotation"),
        pytest.param("Ten mil socket.", 0, 0.9, id="number"),
        pytest.param("Take the 10mm socket.", 2, 0.9, id="figures"),
        pytest.param("Wait fifteen minutes.", 1, 0.9, id="time"),
        pytest.param("Three eighths drive.", 1, 0.9, id="part-of-a-number"),
        pytest.param("Undo the to bolts.", 2, 0.95, id="to-for-two"),
        pytest.param("There are for bolts.", 2, 0.95, id="for-for-four"),
        pytest.param("It has free wires.", 2, 0.95, id="free-for-three"),
        pytest.param("There is know power.", 2, 0.95, id="know-for-no"),
        pytest.param("That is a well volt socket.", 3, 0.95, id="well-for-twelve"),
        pytest.param("The pack is live.", 2, 0.7, id="is-for-isn't"),
        pytest.param("You can cut that cable.", 1, 0.7, id="can-for-can't"),
        pytest.param("Lift it only when the lamp is out.", 2, 0.4, id="only"),
        pytest.param("Wait until the lamp is out.", 1, 0.4, id="until"),
        pytest.param("The lever has to be up.", 5, 0.4, id="up-or-down"),
        pytest.param("Ten mil socket.", 1, 0.4, id="unit"),
        pytest.param("Slacken the valve that equator turn.", 4, 0.4, id="any-word-may-hide-a-size"),
    ],
)
def test_a_word_is_asked_about_below_the_bound_of_its_class_and_not_from_there_on(
    reader: Reader, spoken: Callable[..., Transcript], said: str, word: int, below: float
) -> None:
    for probability in (0.0, 0.3, below - 0.01):
        (question,) = doubts(reader, weakened(spoken(said), word, probability))
        assert [(e.first_word, e.last_word) for e in question.evidence] == [(word, word)]
        around = said.split()[max(0, word - 4) : word + 5]
        assert question.ask.startswith(f"In “{' '.join(around)}”: ")
    assert doubts(reader, weakened(spoken(said), word, below)) == []


@pytest.mark.parametrize(
    ("said", "word", "probability", "ask"),
    [
        pytest.param(
            "Do not cut it.", 1, 0.5, "is it really “not” (hard to hear)? Ask whether it is so or not, or listen from "
            "0:01 to 0:02.", id="negation",
        ),
        pytest.param(
            "Undo the to bolts.", 2, 0.93, "is it “to” or “two” (not quite clear)? Ask for the value, or listen from "
            "0:02 to 0:03.", id="sound-alike",
        ),
        pytest.param(
            "There is know power.", 2, 0.93, "is it “know” or “no” (not quite clear)? Ask whether it is so or not, or "
            "listen from 0:02 to 0:03.", id="no-is-no-value",
        ),
        pytest.param(
            "The pack isn't live.", 2, 0.8, "is it “isn't” or “is” (not quite clear)? Ask whether it is so or not, or "
            "listen from 0:02 to 0:03.", id="denied-verb",
        ),
        pytest.param(
            "Wait fifteen minutes.", 1, 0.2, "is it “fifteen” or “fifty” (hardly understood)? Ask for the value, or "
            "listen from 0:01 to 0:02.", id="teen",
        ),
        pytest.param(
            "Take the 13mm socket.", 2, 0.6, "is it “13mm” or “30” (hard to hear)? Ask for the value, or listen from "
            "0:02 to 0:03.", id="teen-in-figures",
        ),
        pytest.param(
            "It's on the nearside.", 3, 0.6, "is it really “nearside” (hard to hear)? Ask for the side, or listen from "
            "0:03 to 0:04.", id="side",
        ),
        pytest.param(
            "Pull the lever.", 2, 0.1, "is it really “lever” (hardly understood)? Ask what was said, or listen from "
            "0:02 to 0:03.", id="any-word",
        ),
    ],
)  # fmt: skip
def test_a_question_says_why_it_is_asked_and_where_to_listen(
    reader: Reader, spoken: Callable[..., Transcript], said: str, word: int, probability: float, ask: str
) -> None:
    (question,) = doubts(reader, weakened(spoken(said), word, probability))
    assert question.ask == f"In “{said}”: {ask}"


@pytest.mark.parametrize("figure", ["$25.28", "3-8th", "8th", "12.14", "F-inch", "516th"])
def test_a_figure_that_no_trade_says_is_asked_about_however_sure_it_looks(
    reader: Reader, spoken: Callable[..., Transcript], figure: str
) -> None:
    (question,) = doubts(reader, heard_as(spoken(f"Use the {figure} drive on that lid."), {}, 1.0))
    assert f"which size or number was written as “{figure}”?" in question.ask


@pytest.mark.parametrize("figure", ["T30", "T-30", "10.5", "half-inch", "12-volt", "400"])
def test_a_figure_that_a_trade_says_is_not(reader: Reader, spoken: Callable[..., Transcript], figure: str) -> None:
    assert doubts(reader, heard_as(spoken(f"Use the {figure} drive on that lid."), {}, 1.0)) == []


def test_articles_are_never_asked_about(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    assert doubts(reader, heard_as(spoken("Pull the lever on a rail."), {1: 0.1, 4: 0.1})) == []


LONG = "Then pull that lever over there beside the grey rail and lift the big cover off the frame behind it."


@pytest.mark.parametrize(
    ("weak", "asked"),
    [
        pytest.param([3], [(3, 3)], id="one"),
        pytest.param([3, 11], [(3, 11)], id="neighbours"),
        pytest.param([4, 13], [(4, 4), (13, 13)], id="nine-words-apart"),
        pytest.param([1, 8, 15], [(1, 15)], id="each-the-neighbour-of-the-next"),
    ],
)
def test_neighbours_are_one_question(
    reader: Reader, spoken: Callable[..., Transcript], weak: list[int], asked: list[tuple[int, int]]
) -> None:
    questions = doubts(reader, heard_as(spoken(LONG), dict.fromkeys(weak, 0.1)))
    assert [(e.first_word, e.last_word) for q in questions for e in q.evidence] == asked


def test_a_question_never_runs_on_without_end(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    transcript = spoken(*[LONG] * 4)
    weak = dict.fromkeys(range(1, len(transcript.words), 6), 0.1)
    spans = [(e.first_word, e.last_word) for q in doubts(reader, heard_as(transcript, weak)) for e in q.evidence]
    assert all(last - first <= 40 for first, last in spans)
    assert {n for n in weak if transcript.words[n].text != "the"} <= {n for a, b in spans for n in range(a, b + 1)}


def test_a_run_of_weak_words_is_one_stretch_to_listen_to(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    """The words named are those that carry or hide a value."""
    transcript = spoken("Now pull lever over there, not before ten, beside grey rail.")
    (question,) = doubts(reader, heard_as(transcript, dict.fromkeys(range(1, 8), 0.1)))
    assert question.about == "stretch hard to hear: “pull”, “not”, “ten” and more"
    assert question.ask == (
        "This stretch was hard to hear, 7 words of it, among them “pull”, “not”, “ten”: listen from 0:01 to 0:08, or "
        "ask whether it is so or not and for the value."
    )


@pytest.mark.parametrize(
    ("word", "asked"),
    [
        pytest.param("for", [], id="sound-alike"),
        pytest.param("coffee,", [], id="any-word"),
        pytest.param("two", [(6, 6)], id="number"),
    ],
)
def test_of_small_talk_only_what_carries_a_value_is_asked_about(
    reader: Reader, spoken: Callable[..., Transcript], word: str, asked: list[tuple[int, int]]
) -> None:
    transcript = spoken("Thank you for the coffee, the two of you are lovely.")
    weak = next(n for n, each in enumerate(transcript.words) if each.text == word)
    questions = doubts(reader, weakened(transcript, weak, 0.1))
    assert [(e.first_word, e.last_word) for q in questions for e in q.evidence] == asked


PLAIN = "That grey rail over there belongs with another frame from last year."
"""Twelve words of which no item is made."""


def questions_of_poor(
    reader: Reader, spoken: Callable[..., Transcript], weak_lines: int, last: str
) -> list[OpenQuestion]:
    """Of nine plain lines and ``last``, in which the words of the first ``weak_lines`` and of ``last`` are weak."""
    transcript = spoken(*[PLAIN] * 9, last)
    weak = {*range(weak_lines * len(PLAIN.split())), *range(9 * len(PLAIN.split()), len(transcript.words))}
    return doubts(reader, heard_as(transcript, dict.fromkeys(weak, 0.3)))


def test_a_poor_recording_is_asked_about_once_and_its_items_and_values_one_by_one(
    reader: Reader, spoken: Callable[..., Transcript]
) -> None:
    """The question stands at its worst stretch, not over the whole talk."""
    poor, *others = questions_of_poor(reader, spoken, 6, "Do not cut the orange cable.")
    assert poor.about == "poor recording: 68 % of the words hard to hear"
    assert [(e.first_word, e.last_word) for e in poor.evidence] == [(0, 29)]
    assert [(q.evidence[0].first_word, q.evidence[-1].last_word) for q in others] == [(108, 113)]


def test_a_better_one_is_asked_about_where_it_is_weak(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    first, *_, last = questions_of_poor(reader, spoken, 2, "Do not cut the orange cable.")
    assert (first.evidence[0].first_word, last.evidence[-1].last_word) == (0, 113)
    assert not first.about.startswith("poor recording")


def test_few_words_say_nothing_about_a_recording(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    (question,) = doubts(reader, heard_as(spoken("Do not cut the orange cable."), {}, 0.3))
    assert question.about.startswith("hard to hear:")


def test_in_the_second_of_two_recordings_the_time_is_its_own(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    transcript = weakened(spoken("Pull the lever.", "Do not cut it."), 4, 0.5)
    sources = tuple(
        Source(name=f"{n}.wav", sha256=f"{n}" * 64, offset_s=offset_s, kind="recording")
        for n, offset_s in ((1, 0.0), (2, 3.0))
    )
    (question,) = doubts(reader, transcript.model_copy(update={"sources": sources}))
    assert question.ask.endswith("or listen from 0:01 to 0:02 of recording 2.")


def test_words_of_captions_raise_no_doubt(reader: Reader, spoken: Callable[..., Transcript]) -> None:
    assert doubts(reader, spoken("Do not cut the orange cable.")) == []


@pytest.mark.parametrize(
    ("said", "open_size"),
    [
        pytest.param("Ten or twelve mil socket.", "Ten or twelve mil", id="across-flats"),
        pytest.param("It's T thirty or T forty.", "T thirty or T forty.", id="bit"),
    ],
)
def test_a_size_left_open_is_doubtful(
    reader: Reader, spoken: Callable[..., Transcript], said: str, open_size: str
) -> None:
    (question,) = doubts(reader, spoken(said))
    assert question.about == f"size left open: {open_size}"


@pytest.mark.parametrize(
    ("said", "about"),
    [
        pytest.param("Fourteen point five mil socket.", "unusual size: 14.5 mm", id="no-series-holds-it"),
        pytest.param("Four thousand volts in that battery.", "unusual value: 4000 V", id="voltage"),
        pytest.param("Nine hundred bar in the tank.", "unusual value: 900 bar", id="pressure"),
        pytest.param("Wait ninety minutes.", "unusual value: 90 min", id="wait"),
    ],
)
def test_an_unusual_value_is_asked_about_and_shown_as_heard(
    reader: Reader, spoken: Callable[..., Transcript], said: str, about: str
) -> None:
    draft = reader.read(spoken(said))
    assert [q.about for q in draft.open_questions if q.kind == "implausible"] == [about]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Ten mil socket.", id="usual-size"),
        pytest.param("Four hundred volts in that battery.", id="usual-voltage"),
        pytest.param("Two hundred bar in the tank.", id="usual-pressure"),
        pytest.param("Wait ten minutes.", id="usual-wait"),
        pytest.param("Nine thousand volts, no, nine hundred volts.", id="taken-back"),
    ],
)
def test_a_usual_value_is_not(reader: Reader, spoken: Callable[..., Transcript], said: str) -> None:
    assert [q for q in reader.read(spoken(said)).open_questions if q.kind == "implausible"] == []


def test_a_disputed_value_is_not_asked_about_again_as_unusual(
    reader: Reader, spoken: Callable[..., Transcript]
) -> None:
    questions = reader.read(
        spoken("Wait ninety minutes before you open the drum.", "The plate says wait thirty minutes for the drum.")
    ).open_questions
    assert [q.about for q in questions if q.kind == "conflict"] == ["wait: 90 min or 30 min"]
    assert [q for q in questions if q.kind == "implausible"] == []
