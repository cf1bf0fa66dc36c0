import json
from typing import Any

import pytest

from vouchbook.extract.listen.captions.registry import captions_from_bytes, write_captions
from vouchbook.models.errors import CaptionError
from vouchbook.models.transcript import Transcript

PLAIN = {"start": 1.0, "end": 3.0, "text": " Chock the wheels."}


HEARD, SPREAD = "heard", "interpolated"


def read(data: object) -> Transcript:
    return captions_from_bytes(json.dumps(data).encode(), "talk.json")


@pytest.mark.parametrize(
    "data",
    [
        pytest.param({"text": "x", "language": "en", "segments": [PLAIN]}, id="segments"),
        pytest.param([PLAIN], id="the list alone"),
        pytest.param({"chunks": [{"timestamp": [1.0, 3.0], "text": "Chock the wheels."}]}, id="timestamp pairs"),
        pytest.param(
            {"transcription": [{"offsets": {"from": 1000, "to": 3000}, "text": "Chock the wheels."}]}, id="offsets"
        ),
    ],
)
def test_shapes_of_whisper_programs(data: object) -> None:
    transcript = read(data)
    assert transcript.text(0, 9) == "Chock the wheels."
    assert [(line.start_s, line.end_s) for line in transcript.lines] == [(1, 3)]
    assert {word.timing for word in transcript.words} == {"interpolated"}
    assert transcript.notes == ()


def word(text: str, start: float | None, end: float | None, probability: float = 0.9, **more: object) -> dict[str, Any]:
    return {"word": text, "start": start, "end": end, "probability": probability, **more}


def segment(text: str, *words: dict[str, Any], **more: object) -> dict[str, Any]:
    return {"start": 1.0, "end": 3.0, "text": text, "words": list(words), **more}


def table(transcript: Transcript) -> list[tuple[str, float, float, float | None, str | None, str]]:
    return [(w.text, w.start_s, w.end_s, w.probability, w.voice, w.timing) for w in transcript.words]


WORDS = [
    pytest.param(
        segment(
            " A 10-mil nut",
            word(" A", 1, 1.2),
            word(" 10", 1.2, 1.5, 0.8),
            word("-mil", 1.5, 2, 0.4),
            word(" nut", 2, 3),
        ),
        [("A", 1, 1.2, 0.9, None, HEARD), ("10-mil", 1.2, 2, 0.4, None, HEARD), ("nut", 2, 3, 0.9, None, HEARD)],
        [],
        id="pieces without a leading space belong together, the lower probability counts",
    ),
    pytest.param(
        segment("Pull it", word("Pull", 1, 2, speaker="S1"), word("it", 2, 3), speaker="S0"),
        [("Pull", 1, 2, 0.9, "S1", HEARD), ("it", 2, 3, 0.9, "S0", HEARD)],
        [],
        id="no leading spaces anywhere; speakers",
    ),
    pytest.param(
        segment("Pull 10 out", word("Pull", 1, 2), {"word": "10"}, word("out", 2.5, 3)),
        [("Pull", 1, 2, 0.9, None, HEARD), ("10", 1.938, 2.312, None, None, SPREAD), ("out", 2.5, 3, 0.9, None, HEARD)],
        [],
        id="a word without times is spread",
    ),
    pytest.param(
        segment("Never cut it", word(" Cut", 1, 2), word(" it", 2, 3)),
        [
            ("Never", 1, 1.833, None, None, SPREAD),
            ("cut", 2, 2.5, None, None, SPREAD),
            ("it", 2.667, 3, None, None, SPREAD),
        ],
        ["Segment 1: the timed words are not those of the text; the text is kept, its times are spread."],
        id="the text wins: a missing word may be the one that forbids",
    ),
    pytest.param(
        segment("a b", word(" a", 0.8, 1), word(" b", 1, 3.4)),
        [("a", 0.8, 1, 0.9, None, HEARD), ("b", 1, 3.4, 0.9, None, HEARD)],
        [],
        id="words that stick out widen the segment",
    ),
    pytest.param(
        segment("a b c", word(" a", 1, 1.5), word(" b", 0.5, 2), word(" c", 2, 3)),
        [("a", 1, 1.5, 0.9, None, HEARD), ("b", 1.5, 2, 0.9, None, SPREAD), ("c", 2, 3, 0.9, None, HEARD)],
        ["Segment 1: times of single words that fall or lie outside their caption, spread instead."],
        id="a start that falls",
    ),
]


@pytest.mark.parametrize(("entry", "expected", "notes"), WORDS)
def test_words_with_times(entry: dict[str, Any], expected: list[tuple[Any, ...]], notes: list[str]) -> None:
    transcript = read({"segments": [entry]})
    got = table(transcript)
    assert [row[0] for row in got] == [row[0] for row in expected]
    assert [row[3:] for row in got] == [row[3:] for row in expected]
    assert list(transcript.notes) == notes
    for mine, theirs in zip(got, expected, strict=True):
        assert mine[1:3] == pytest.approx(theirs[1:3], abs=0.001)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        pytest.param('{"segments": [', "not JSON", id="cut off"),
        pytest.param('{"a": 1}', "JSON without a list of segments", id="other JSON"),
        pytest.param('{"segments": 5}', "JSON without a list of segments", id="segments is no list"),
        pytest.param("[]", "no captions in it", id="empty list"),
        pytest.param('[{"start": 1, "end": 2, "text": ""}]', "its captions hold no words", id="no words"),
        pytest.param('[{"text": "Hello."}]', "none of its 1 captions has a time that can be read", id="no times"),
        pytest.param("[" * 100_000, "no captions|not JSON|no time marks|not a kind|JSON without", id="nested too deep"),
        pytest.param("[{" + '"a":[' * 100_000, "not JSON", id="nested too deep inside"),
        pytest.param('[{"start": ' + "9" * 5000 + "}]", "not JSON", id="a number that is too long"),
    ],
)
def test_unusable_json_is_refused(text: str, problem: str) -> None:
    with pytest.raises(CaptionError, match=problem):
        captions_from_bytes(text.encode(), "talk.json")


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-1", "1e400", '"soon"', "true", "null", "1" + "0" * 400])
def test_a_time_that_is_none_is_not_believed(value: str) -> None:
    text = '[{"start": %s, "end": 2, "text": "One."}, {"start": 3, "end": 4, "text": "Two."}]'
    transcript = captions_from_bytes((text % value).encode(), "talk.json")
    assert [(line.start_s, line.end_s) for line in transcript.lines] == [(1.6, 2), (3, 4)]
    assert "Segment 1: no start that can be read." in transcript.notes


def test_half_a_character_pair_is_replaced() -> None:
    transcript = captions_from_bytes(b'[{"start": 1, "end": 2, "text": "cut \\ud83d here"}]', "talk.json")
    assert transcript.text(0, 2) == "cut \ufffd here"


def test_a_missing_last_end_comes_from_the_pace_of_talk() -> None:
    transcript = read({"chunks": [{"timestamp": [1.0, None], "text": "Chock the wheels."}]})
    assert transcript.lines[0].end_s == pytest.approx(1 + 3 * 0.4)


def test_written_json_is_read_by_the_standard_library() -> None:
    transcript = read({"segments": [segment("Pull it", word(" Pull", 1, 2), word(" it", 2, 3), speaker="A")]})
    data = json.loads(write_captions(transcript, "json"))
    assert data["language"] == "en"
    assert data["segments"][0]["text"] == "Pull it"
    assert data["segments"][0]["words"][1] == {
        "word": " it", "start": 2.0, "end": 3.0, "probability": 0.9, "speaker": "A", "timing": "heard",
    }  # fmt: skip
