import pytest

from vouchbook.extract.listen.captions.registry import captions_from_bytes, write_captions
from vouchbook.models.transcript import Line, Transcript, Word


def read(text: str) -> Transcript:
    return captions_from_bytes(text.encode(), "talk.vtt")


def said(transcript: Transcript) -> list[str]:
    return [transcript.text(line.first_word, line.last_word) for line in transcript.lines]


PAYLOADS = [
    pytest.param("Chock the wheels.", "Chock the wheels.", None, id="plain"),
    pytest.param("<v Oda>Chock the wheels.", "Chock the wheels.", "Oda", id="voice to the end of the cue"),
    pytest.param("<v Oda>Chock the wheels.</v>", "Chock the wheels.", "Oda", id="voice closed"),
    pytest.param("<v.loud.first Oda Lund>Chock it.", "Chock it.", "Oda Lund", id="voice with classes and two names"),
    pytest.param("<v Oda &amp; Per>Chock it.", "Chock it.", "Oda & Per", id="voice with a character reference"),
    pytest.param("<v>Chock it.", "Chock it.", None, id="voice without a name"),
    pytest.param("<b>Never</b> cut <i.x>it</i>.", "Never cut it.", None, id="tags round words"),
    pytest.param("dis<b>con</b>nect", "disconnect", None, id="a tag inside a word does not split it"),
    pytest.param("nuts &amp; bolts, 5 &lt; 6&nbsp;mm", "nuts & bolts, 5 < 6 mm", None, id="character references"),
    pytest.param("R&D at <5 mm <unclear> here", "R&D at <5 mm <unclear> here", None, id="not tags, not references"),
    pytest.param("two\nlines<br>here", "two lines here", None, id="line breaks part words"),
    pytest.param("<lang en-GB>colour</lang>", "colour", None, id="language tag"),
]


@pytest.mark.parametrize(("payload", "text", "voice"), PAYLOADS)
def test_words_are_the_tokens_of_the_cue_without_its_tags(payload: str, text: str, voice: str | None) -> None:
    transcript = read(f"WEBVTT\n\n00:01.000 --> 00:03.000\n{payload}\n")
    assert said(transcript) == [text]
    assert {word.voice for word in transcript.words} == {voice}
    assert transcript.notes == ()


def test_two_voices_in_one_cue_keep_their_words() -> None:
    transcript = read("WEBVTT\n\n00:01.000 --> 00:03.000\n<v Oda>Is it off?</v> Hm. <v Per>No.</v>\n")
    assert [(word.text, word.voice) for word in transcript.words] == [
        ("Is", "Oda"), ("it", "Oda"), ("off?", "Oda"), ("Hm.", None), ("No.", "Per"),
    ]  # fmt: skip


def test_header_identifiers_comments_and_settings_are_no_talk() -> None:
    transcript = read(
        "WEBVTT - made by hand\nKind: captions\n\nNOTE\nnot talk\nnot talk either\n\nSTYLE\n::cue { color: lime }\n\n"
        "REGION\nid:left\n\nintro\n00:01.000 --> 00:02.000 position:50% align:start\nHello.\n\n"
        "NOTE one line\n\n7\n00:02.000 --> 00:03.000\nGoodbye.\n"
    )
    assert said(transcript) == ["Hello.", "Goodbye."]
    assert transcript.notes == ()


def test_words_share_their_cue_by_length() -> None:
    transcript = read("WEBVTT\n\n00:10.000 --> 00:20.000\nab cde fgh\n")
    # 10 characters in 10 s: each character, spaces too, is 1 s
    assert [(word.start_s, word.end_s) for word in transcript.words] == [(10, 12), (13, 16), (17, 20)]
    assert {word.timing for word in transcript.words} == {"interpolated"}


@pytest.mark.parametrize(
    "payload",
    [
        pytest.param("Never<00:11.000> cut<00:12.500><c> the</c><00:13.000> orange one", id="before the space"),
        pytest.param("Never <00:11.000>cut <00:12.500><c>the</c> <00:13.000>orange one", id="after the space"),
    ],
)
def test_inline_times_are_heard_times(payload: str) -> None:
    transcript = read(f"WEBVTT\n\n00:10.000 --> 00:14.000\n{payload}\n")
    assert [(word.text, word.start_s, word.timing) for word in transcript.words] == [
        ("Never", 10, "heard"), ("cut", 11, "heard"), ("the", 12.5, "heard"),
        ("orange", 13, "interpolated"), ("one", 13.7, "interpolated"),
    ]  # fmt: skip
    assert transcript.words[-1].end_s == 14


DEFECTS = [
    pytest.param(
        "WEBVTT\n\n00:01,000 --> 00:02,500\nOne.\n\n00:03,000 --> 00:04,000\nTwo.\n",
        [(1, 2.5, "One."), (3, 4, "Two.")],
        ["Lines 3 and 6: times use ',' where the format has '.', read as that."],
        id="commas: other libraries return nothing",
    ),
    pytest.param(
        "WEBVTT\n\n00:01.000 --> 00:02.000\nOne.\n\n00:61.000 --> 00:04.000\nNever cut it.\n\n"
        "00:05.000 --> 00:06.000\nThree.\n",
        [(1, 2, "One."), (2, 4, "Never cut it."), (5, 6, "Three.")],
        [
            "Line 6: '00:61.000' is not a time, minutes and seconds go to 59.",
            "Line 6: its start cannot be read; its words are kept, at the time of the captions beside it.",
        ],
        id="seconds above 59: words are kept",
    ),
    pytest.param(
        "WEBVTT\n\n00:04.000 --> 00:03.000\nOne.\n\n00:05.000 --> 00:06.000\nTwo.\n",
        [(4, 5, "One."), (5, 6, "Two.")],
        ["Line 3: ends before or when it starts; the end is taken from the caption that follows."],
        id="end before start: other libraries keep it",
    ),
    pytest.param(
        "WEBVTT\n\n00:05.000 --> 00:06.000\nTwo.\n\n00:01.000 --> 00:02.000\nOne.\n",
        [(1, 2, "One."), (5, 6, "Two.")],
        ["Line 6: out of order, sorted by time."],
        id="out of order",
    ),
    pytest.param(
        "WEBVTT\n\n00:01.000 --> 00:04.000\nOne.\n\n00:03.000 --> 00:05.000\nTwo.\n",
        [(1, 4, "One."), (3, 5, "Two.")],
        ["Line 6: overlaps the caption before it, both kept."],
        id="overlap",
    ),
    pytest.param(
        "00:01.000 --> 00:02.000\nOne.\n",
        [(1, 2, "One.")],
        ["The file does not begin with WEBVTT, read all the same."],
        id="no header",
    ),
    pytest.param(
        "\n\nWEBVTT\n00:01.000 --> 00:02.000\nOne.\n",
        [(1, 2, "One.")],
        ["Line 3: WEBVTT is not on line 1, read all the same."],
        id="header late and no blank line below it",
    ),
    pytest.param(
        "WEBVTT\n\n00:01.000 --> 00:02.000\n\n00:02.000 --> 00:03.000\nTwo.\n",
        [(2, 3, "Two.")],
        ["Line 3: a caption without words, set aside."],
        id="no words",
    ),
    pytest.param(
        "WEBVTT\n\n00:01.000 --> 00:03.000\nDo not\n\ncut that.\n",
        [(1, 3, "Do not cut that.")],
        ["Line 6: text without times, taken as part of the caption before it."],
        id="blank line inside a caption",
    ),
    pytest.param(
        "WEBVTT\n\nA title\nin two lines\n\n00:01.000 --> 00:03.000\nOne.\n",
        [(1, 3, "One.")],
        [
            "Line 3: text before the first caption, set aside: 'A title'.",
            "Line 4: text before the first caption, set aside: 'in two lines'.",
        ],
        id="text before the first caption is quoted",
    ),
    pytest.param(
        "WEBVTT\n\n1:2.5 --> 0:01:04.000\nOne.\n",
        [(62.5, 64, "One.")],
        ["Line 3: times are not written as HH:MM:SS and three digits, read all the same."],
        id="short times",
    ),
    pytest.param(
        "WEBVTT\n\n--> 00:04.000\nOne.\n\n00:05.000 -->\nTwo words.\n",
        [(3.6, 4, "One."), (5, 5.8, "Two words.")],
        [
            "Lines 3 and 6: '' is not a time.",
            "Line 3: its start cannot be read; its words are kept, at the time of the captions beside it.",
        ],
        id="half a line of times",
    ),
]


@pytest.mark.parametrize(("text", "lines", "notes"), DEFECTS)
def test_defects_are_mended_and_noted(text: str, lines: list[tuple[float, float, str]], notes: list[str]) -> None:
    transcript = read(text)
    assert [(line.start_s, line.end_s) for line in transcript.lines] == [(start, end) for start, end, _ in lines]
    assert said(transcript) == [words for _, _, words in lines]
    assert list(transcript.notes) == notes


def test_a_defect_on_many_lines_is_one_note() -> None:
    cues = "".join(f"\n00:{second:02},000 --> 00:{second:02},900\nWord.\n" for second in range(1, 21))
    assert read(f"WEBVTT\n{cues}").notes == (
        "Lines 3, 6, 9, 12, 15, 18, 21, 24 and 12 more: times use ',' where the format has '.', read as that.",
    )


def test_bad_inline_times_are_spread_and_noted() -> None:
    transcript = read("WEBVTT\n\n00:10.000 --> 00:14.000\nNever<00:12.000> cut<00:11.000> the<00:19.000> cable\n")
    assert [word.timing for word in transcript.words] == ["heard", "interpolated", "interpolated", "interpolated"]
    assert transcript.notes == (
        "Line 3: times of single words that fall or lie outside their caption, spread instead.",
    )


def talk(*lines: tuple[float, float, list[tuple[str, str | None]]]) -> Transcript:
    words: list[Word] = []
    spans: list[Line] = []
    for start_s, end_s, entries in lines:
        spans.append(Line(first_word=len(words), last_word=len(words) + len(entries) - 1, start_s=start_s, end_s=end_s))
        words += [Word(text=text, start_s=start_s, end_s=end_s, voice=voice) for text, voice in entries]
    return Transcript(words=tuple(words), lines=tuple(spans))


WRITTEN = [
    pytest.param(talk((1, 2, [("Hi.", None)])), "00:01.000 --> 00:02.000\nHi.\n", id="no hours below one hour"),
    pytest.param(
        talk((3599.9996, 7325.5, [("Hi.", None)])), "01:00:00.000 --> 02:02:05.500\nHi.\n", id="rounded up to an hour"
    ),
    pytest.param(talk((1, 1, [("Hi.", None)])), "00:01.000 --> 00:01.001\nHi.\n", id="end after start"),
    pytest.param(
        talk((1, 2, [("a<b", "O & <P>"), ("-->", "O & <P>")])),
        "00:01.000 --> 00:02.000\n<v O &amp; &lt;P&gt;>a&lt;b --&gt;\n",
        id="escaped",
    ),
    pytest.param(
        talk((1, 2, [("On?", "A"), ("No.", "B"), ("Hm.", None)])),
        "00:01.000 --> 00:02.000\n<v A>On?</v> <v B>No.</v> Hm.\n",
        id="several voices",
    ),
    pytest.param(
        talk((5, 6, [("Two.", None)]), (1, 2, [("One.", None)])),
        "00:01.000 --> 00:02.000\nOne.\n\n00:05.000 --> 00:06.000\nTwo.\n",
        id="starts never fall",
    ),
]


@pytest.mark.parametrize(("transcript", "body"), WRITTEN)
def test_what_is_written_follows_the_standard(transcript: Transcript, body: str) -> None:
    assert write_captions(transcript, "vtt") == f"WEBVTT\n\n{body}"
