"""What holds for every transcript and every file."""

import io
import json
from itertools import pairwise

import pysubs2
import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.listen.captions.registry import FORMATS, captions_from_bytes, write_captions
from vouchbook.models.errors import CaptionError
from vouchbook.models.transcript import Line, Transcript, Word

TOKENS = st.text(st.characters(exclude_categories=["Cs", "Cc", "Cf", "Zs", "Zl", "Zp"]), min_size=1, max_size=5).filter(
    lambda text: text.split() == [text]
)
PLAIN_TOKENS = st.text("abcdefgwxyzéß'0123456789.,-", min_size=1, max_size=5)
VOICES = st.none() | st.sampled_from(["A", "B", "Oda", "Oda Lund"])


@st.composite
def transcripts(
    draw: st.DrawFn, tokens: st.SearchStrategy[str], voices: st.SearchStrategy[str | None], longest_ms: int = 20_000
) -> Transcript:
    """Lines with rising starts in whole milliseconds; they may overlap. Too few words to tell their language."""
    words: list[Word] = []
    lines: list[Line] = []
    start_ms = draw(st.integers(0, 4_000_000))
    for texts in draw(st.lists(st.lists(tokens, min_size=1, max_size=4), min_size=1, max_size=5)):
        length_ms = draw(st.integers(1, longest_ms))
        borders = sorted(draw(st.lists(st.integers(0, length_ms), min_size=len(texts), max_size=len(texts))))
        voice = draw(voices)
        first = len(words)
        for text, border, following in zip(texts, borders, [*borders[1:], length_ms], strict=True):
            words.append(
                Word(
                    text=text,
                    start_s=(start_ms + border) / 1000,
                    end_s=(start_ms + following) / 1000,
                    probability=draw(st.none() | st.floats(0, 1)),
                    voice=voice if draw(st.booleans()) else draw(voices),
                )
            )
        lines.append(
            Line(
                first_word=first,
                last_word=len(words) - 1,
                start_s=start_ms / 1000,
                end_s=(start_ms + length_ms) / 1000,
            )
        )
        start_ms += draw(st.integers(min(longest_ms, 10_000), 30_000))
    return Transcript(words=tuple(words), lines=tuple(lines))


def back(transcript: Transcript, format_name: str) -> Transcript:
    return captions_from_bytes(write_captions(transcript, format_name).encode(), f"talk.{format_name}")


def said(transcript: Transcript) -> list[str]:
    return [transcript.text(line.first_word, line.last_word) for line in transcript.lines]


def spans(transcript: Transcript) -> list[tuple[float, float]]:
    return [(line.start_s, line.end_s) for line in transcript.lines]


def assert_sound(transcript: Transcript) -> None:
    """Word ranges cover the words; starts never fall in a line; words lie inside it; lines come by their starts."""
    assert transcript.words
    assert [line.first_word for line in transcript.lines] == [
        0,
        *(line.last_word + 1 for line in transcript.lines[:-1]),
    ]
    assert transcript.lines[-1].last_word == len(transcript.words) - 1
    assert all(a.start_s <= b.start_s for a, b in pairwise(transcript.lines))
    for line in transcript.lines:
        words = transcript.words[line.first_word : line.last_word + 1]
        assert line.start_s < line.end_s
        assert all(a.start_s <= b.start_s for a, b in pairwise(words))
        assert all(line.start_s <= word.start_s <= word.end_s for word in words)
        assert all(word.end_s <= line.end_s for word in words if word.timing == "interpolated")
        assert [word.text for word in words] == transcript.text(line.first_word, line.last_word).split()
    assert transcript.duration_s >= max(line.end_s for line in transcript.lines)


@given(transcripts(TOKENS, VOICES))
def test_webvtt_keeps_words_voices_and_times(transcript: Transcript) -> None:
    again = back(transcript, "vtt")
    assert_sound(again)
    assert said(again) == said(transcript)
    assert spans(again) == spans(transcript)
    assert [word.voice for word in again.words] == [word.voice for word in transcript.words]
    assert all("overlaps" in note for note in again.notes)


@given(transcripts(TOKENS, VOICES))
def test_json_keeps_everything_about_the_words(transcript: Transcript) -> None:
    again = back(transcript, "json")
    assert_sound(again)
    assert again.words == transcript.words
    assert again.lines == transcript.lines


@given(transcripts(PLAIN_TOKENS, st.none()))
def test_subrip_keeps_words_and_times(transcript: Transcript) -> None:
    again = back(transcript, "srt")
    assert_sound(again)
    assert said(again) == said(transcript)
    assert spans(again) == spans(transcript)


@given(transcripts(PLAIN_TOKENS, st.sampled_from(["Oda", "Per Lund"]), longest_ms=10_000))
def test_plain_text_keeps_words_and_voices(transcript: Transcript) -> None:
    again = back(transcript, "txt")
    assert_sound(again)
    assert [word.text for word in again.words] == [word.text for word in transcript.words]
    assert [word.voice for word in again.words] == [word.voice for word in transcript.words]


@given(transcripts(PLAIN_TOKENS, VOICES))
def test_webvtt_is_read_by_two_other_libraries(transcript: Transcript) -> None:
    text = write_captions(transcript, "vtt")
    first = webvtt.from_buffer(io.StringIO(text)).captions
    assert [caption.text for caption in first] == said(transcript)
    milliseconds = [(round(start_s * 1000), round(end_s * 1000)) for start_s, end_s in spans(transcript)]
    assert [(c.start_time.in_milliseconds(), c.end_time.in_milliseconds()) for c in first] == milliseconds
    second = pysubs2.SSAFile.from_string(text, format_="vtt").events
    assert [(event.start, event.end) for event in second] == milliseconds
    assert [event.plaintext.split() for event in second] == [line.split() for line in said(transcript)]


@given(transcripts(PLAIN_TOKENS, VOICES))
def test_subrip_is_read_by_two_other_libraries(transcript: Transcript) -> None:
    text = write_captions(transcript, "srt")
    milliseconds = [(round(start_s * 1000), round(end_s * 1000)) for start_s, end_s in spans(transcript)]
    first = webvtt.from_buffer(io.StringIO(text), format="srt").captions
    assert [caption.text for caption in first] == said(transcript)
    assert [(c.start_time.in_milliseconds(), c.end_time.in_milliseconds()) for c in first] == milliseconds
    second = pysubs2.SSAFile.from_string(text, format_="srt").events
    assert [event.plaintext for event in second] == said(transcript)
    assert [(event.start, event.end) for event in second] == milliseconds


PIECES = st.sampled_from(
    [
        "\n", "\n\n", "\r\n", "\u2028", "\x0b", "\x1c", "\x00", "\ufeff", "\u200b", "\u00e9", "cut", "1", "7", "Oda:",
        "WEBVTT", "NOTE", "STYLE", "-->", " --> ", "00:01.000", "00:61.000", "00:00:02,500", "99:99:99.999",
        "<v Oda>", "</v>", "<00:01.500>", "<", ">", "&amp;", "&#0;", "&#xD800;", "[0:01]", "[9:99]",
        "{", "}", "[", "]", ",", ":",
        '"segments":', '"start":', '"end":', '"text":', '"words":', '"cut"', "1e999", "NaN",
    ]
)  # fmt: skip
NAMES = st.sampled_from(["a.vtt", "a.srt", "a.txt", "a.json", "a.xyz", "a"])


def assert_read_or_refused(data: bytes, name: str, duration_s: float | None) -> None:
    try:
        transcript = captions_from_bytes(data, name, duration_s)
    except CaptionError as error:
        message = str(error)
    else:
        assert_sound(transcript)
        assert all(note.endswith(".") for note in transcript.notes)
        return
    assert message.startswith(f"{name}: ")
    assert len(message.splitlines()) == 1


@given(st.binary(max_size=300), NAMES)
def test_any_bytes_are_read_or_refused_in_one_line(data: bytes, name: str) -> None:
    assert_read_or_refused(data, name, None)


@given(st.lists(PIECES, max_size=40), NAMES, st.none() | st.floats(0, 100))
def test_any_text_is_read_or_refused_in_one_line(pieces: list[str], name: str, duration_s: float | None) -> None:
    assert_read_or_refused("".join(pieces).encode(), name, duration_s)


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 10**20) | st.floats() | st.text(max_size=8),
    lambda children: st.lists(children, max_size=3)
    | st.dictionaries(
        st.sampled_from(["start", "end", "text", "words", "word", "timestamp", "offsets", "from", "to", "segments",
                         "probability", "speaker", "language", "timing"]),
        children,
        max_size=5,
    ),
    max_leaves=25,
)  # fmt: skip


@given(st.lists(JSON_VALUES, max_size=6), st.booleans())
def test_any_json_is_read_or_refused_in_one_line(segments: list[object], wrapped: bool) -> None:  # noqa: FBT001
    data = {"segments": segments} if wrapped else segments
    assert_read_or_refused(json.dumps(data).encode(), "a.json", None)


@given(transcripts(PLAIN_TOKENS, VOICES), st.sampled_from(sorted(FORMATS)), st.data())
def test_a_file_cut_off_anywhere_is_read_or_refused(
    transcript: Transcript, format_name: str, data: st.DataObject
) -> None:
    text = write_captions(transcript, format_name).encode()
    assert_read_or_refused(text[: data.draw(st.integers(0, len(text)))], f"talk.{format_name}", None)


@pytest.mark.parametrize("format_name", sorted(FORMATS))
@given(transcript=transcripts(PLAIN_TOKENS, st.none()))
def test_writing_again_what_was_read_changes_nothing(format_name: str, transcript: Transcript) -> None:
    once = back(transcript, format_name)
    assert write_captions(back(once, format_name), format_name) == write_captions(once, format_name)
