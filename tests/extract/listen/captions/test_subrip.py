import pytest

from vouchbook.extract.listen.captions.registry import captions_from_bytes, write_captions
from vouchbook.models.transcript import Transcript


def read(text: str) -> Transcript:
    return captions_from_bytes(text.encode(), "talk.srt")


def said(transcript: Transcript) -> list[str]:
    return [transcript.text(line.first_word, line.last_word) for line in transcript.lines]


GOOD = "1\n00:00:01,000 --> 00:00:02,500\nChock it.\n\n2\n01:00:03,000 --> 01:00:04,000\nThen wait.\n"


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(GOOD, id="as usual"),
        pytest.param(GOOD.replace("\n", "\r\n"), id="CRLF"),
        pytest.param(GOOD.replace("\n", "\r"), id="CR"),
        pytest.param("\ufeff" + GOOD, id="byte order mark"),
        pytest.param(GOOD.replace("2,500", "2,500  X1:100 X2:600 Y1:050 Y2:100"), id="coordinates"),
        pytest.param(GOOD.replace("Chock", "<font color='#ff0000'><b>Chock</b></font>"), id="HTML tags"),
        pytest.param(GOOD.replace("Chock", "{\\an8}Chock"), id="position override"),
        pytest.param("\n\n" + GOOD + "\n\n\n", id="blank lines around"),
        pytest.param(GOOD.replace("1\n00", "00", 1).replace("2\n01", "01"), id="no numbers"),
    ],
)
def test_variants_read_the_same_without_a_note(text: str) -> None:
    transcript = read(text)
    assert said(transcript) == ["Chock it.", "Then wait."]
    assert [(line.start_s, line.end_s) for line in transcript.lines] == [(1, 2.5), (3603, 3604)]
    assert transcript.notes == ()


@pytest.mark.parametrize(
    ("text", "lines", "note"),
    [
        pytest.param(
            GOOD.replace("\n\n2", "\n2"),
            ["Chock it.", "Then wait."],
            "Line 5: no blank line before this caption.",
            id="no blank line between",
        ),
        pytest.param(
            GOOD.replace(",", "."),
            ["Chock it.", "Then wait."],
            "Lines 2 and 6: times use '.' where the format has ',', read as that.",
            id="points",
        ),
        pytest.param(
            GOOD.replace("Chock it.", "Chock it,\n\nnever the tyre."),
            ["Chock it, never the tyre.", "Then wait."],
            "Line 5: text without times, taken as part of the caption before it.",
            id="blank line inside a caption",
        ),
        pytest.param(
            GOOD + "\n3\n",
            ["Chock it.", "Then wait."],
            "Line 9: a number without a caption, set aside.",
            id="cut off after a number",
        ),
        pytest.param(
            GOOD + "\n3\n01:00:05,000 --> 01",
            ["Chock it.", "Then wait."],
            "Line 10: '01' is not a time.",
            id="cut off in a line of times",
        ),
    ],
)
def test_defects_are_mended_and_noted(text: str, lines: list[str], note: str) -> None:
    transcript = read(text)
    assert said(transcript) == lines
    assert note in transcript.notes


def test_an_arrow_in_somebodys_words_is_no_line_of_times() -> None:
    transcript = read("1\n00:00:01,000 --> 00:00:02,500\nred lever --> down\n")
    assert said(transcript) == ["red lever --> down"]


def test_written_with_numbers_hours_and_commas() -> None:
    assert write_captions(read(GOOD), "srt") == GOOD


@pytest.mark.parametrize(
    ("times", "start_s", "end_s", "half"),
    [
        pytest.param("01:00:03,000 --> 01:00:0", 3603, 3603.8, "'01:00:0'", id="in-the-seconds"),
        pytest.param("01:00:03,000 --> 01:00", 3603, 3603.8, "'01:00'", id="behind-the-minutes"),
        pytest.param("01:00:2 --> 01:00:29,000", 2.5, 3629, "'01:00:2'", id="a-start"),
        pytest.param("01:00 --> 01:00:04,000", 2.5, 3604, "'01:00'", id="a-start-behind-the-minutes"),
    ],
)
def test_a_half_written_time_is_none_and_what_is_put_for_it_is_noted(
    times: str, start_s: float, end_s: float, half: str
) -> None:
    transcript = read(GOOD.replace("01:00:03,000 --> 01:00:04,000", times))
    assert said(transcript) == ["Chock it.", "Then wait."]
    line = transcript.lines[1]
    assert [line.start_s, line.end_s] == pytest.approx([start_s, end_s])
    assert f"Line 6: {half} is not a time, it is half written." in transcript.notes
    assert (start_s != 2.5) == (not any("start cannot be read" in note for note in transcript.notes))


def test_a_time_cut_off_in_its_fraction_keeps_its_second() -> None:
    transcript = read(GOOD.replace("01:00:04,000", "01:00:04,5"))
    assert transcript.lines[1].end_s == 3604.5
    assert transcript.notes == ("Line 6: times are not written as HH:MM:SS and three digits, read all the same.",)
