import pytest

from vouchbook.extract.listen.captions.registry import captions_from_bytes, write_captions
from vouchbook.models.errors import CaptionError
from vouchbook.models.transcript import Transcript


def read(text: str) -> Transcript:
    return captions_from_bytes(text.encode(), "talk.txt")


def rows(transcript: Transcript) -> list[tuple[float, float, str | None, str]]:
    return [
        (
            line.start_s,
            line.end_s,
            transcript.words[line.first_word].voice,
            transcript.text(line.first_word, line.last_word),
        )
        for line in transcript.lines
    ]


CASES = [
    pytest.param(
        "[0:01] Oda: Is it off?\n[0:03] Per: No, never\ncut that.\n[1:00:05] Oda: Okay.\n",
        [(1, 3, "Oda", "Is it off?"), (3, 7, "Per", "No, never cut that."), (3605, 3605.4, "Oda", "Okay.")],
        ["Voices taken from the names before a colon: Oda, Per."],
        id="voices, a wrapped line, an hour; no longer than 1 s a word, 0.4 s a word at the end",
    ),
    pytest.param(
        "[0:01] Danger: never cut the orange cable.\n[0:09] Warning: it bites.\n[0:12] Danger: still live.\n"
        "[0:14] Warning: it burns.\n",
        [
            (1, 7, None, "Danger: never cut the orange cable."),
            (9, 12, None, "Warning: it bites."),
            (12, 14, None, "Danger: still live."),
            (14, 15.2, None, "Warning: it burns."),
        ],
        [],
        id="a signal word is never taken for a name",
    ),
    pytest.param(
        "[0:01] Main fuse: under the seat.\n[0:09] Then wait.\n",
        [(1, 6, None, "Main fuse: under the seat."), (9, 9.8, None, "Then wait.")],
        [],
        id="a label that comes once stays talk",
    ),
    pytest.param(
        "[0:05] One two.\n[0:05] Three four.\n[0:08] Five.\n",
        [(5, 6.5, None, "One two."), (6.5, 8, None, "Three four."), (8, 8.4, None, "Five.")],
        [],
        id="one mark twice: the seconds are shared",
    ),
    pytest.param(
        "[0:05] One. [0:07] Two.\n", [(5, 6, None, "One."), (7, 7.4, None, "Two.")], [], id="two marks on one line"
    ),
    pytest.param(
        "[0:01] One.\n[0:75] Never cut it.\n[0:09] Three.\n",
        [(1, 2, None, "One."), (2, 5, None, "Never cut it."), (9, 9.4, None, "Three.")],
        [
            "Line 2: '0:75' is not a time, minutes and seconds go to 59.",
            "Line 2: its start cannot be read; its words are kept, at the time of the captions beside it.",
        ],
        id="seconds above 59",
    ),
    pytest.param(
        "[0:09] Two.\r\n[0:01] One.\r\n",
        [(1, 2, None, "One."), (9, 9.4, None, "Two.")],
        ["Line 2: out of order, sorted by time."],
        id="out of order",
    ),
    pytest.param(
        "Visit notes\n\n[0:00] One.\n",
        [(0, 0.4, None, "One.")],
        ["Line 1: words before the first time mark, set aside: 'Visit notes'."],
        id="title",
    ),
    pytest.param(
        "Mind the step.\n[0:04] One.\n",
        [(0, 4, None, "Mind the step."), (4, 4.4, None, "One.")],
        ["Line 1: words before the first time mark, kept as said before it."],
        id="words before the first mark",
    ),
]


@pytest.mark.parametrize(("text", "expected", "notes"), CASES)
def test_marked_text_becomes_lines(
    text: str, expected: list[tuple[float, float, str | None, str]], notes: list[str]
) -> None:
    transcript = read(text)
    assert [row[2:] for row in rows(transcript)] == [row[2:] for row in expected]
    assert [row[:2] for row in rows(transcript)] == [pytest.approx(row[:2]) for row in expected]
    assert list(transcript.notes) == notes


def test_text_without_marks_is_refused() -> None:
    with pytest.raises(CaptionError, match=r"^talk\.txt: the text holds no time marks such as \[1:05\]\. Put one"):
        read("Chock the wheels first.\n")


def test_written_as_people_read_it() -> None:
    transcript = captions_from_bytes(
        b"WEBVTT\n\n00:01.900 --> 00:03.000\n<v Oda>Off?</v> <v Per>No.</v>\n\n01:00:05.000 --> 01:00:06.000\nHm.\n",
        "a.vtt",
    )
    assert write_captions(transcript, "txt") == "[0:01] Oda: Off?\n[0:02] Per: No.\n[1:00:05] Hm.\n"
