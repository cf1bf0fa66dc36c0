import pytest

from vouchbook.extract.listen.captions.registry import captions_from_bytes
from vouchbook.models.errors import CaptionError

CURLY = "WEBVTT\n\n00:01.000 --> 00:03.000\nDon\u2019t cut it \u2013 it\u2019s live at 80 \u00b0C.\n"
TEXT = "Don\u2019t cut it \u2013 it\u2019s live at 80 \u00b0C."


@pytest.mark.parametrize(
    ("data", "notes"),
    [
        pytest.param(CURLY.encode(), (), id="UTF-8"),
        pytest.param(CURLY.encode("utf-8-sig"), (), id="UTF-8 with mark"),
        pytest.param(CURLY.encode("utf-16"), (), id="UTF-16 with mark"),
        pytest.param(b"\xfe\xff" + CURLY.encode("utf-16-be"), (), id="UTF-16 big-endian with mark"),
        pytest.param(CURLY.encode("utf-32"), (), id="UTF-32 with mark"),
        pytest.param(
            CURLY.encode("utf-16-le"),
            ("The file is UTF-16 without saying so, read all the same.",),
            id="UTF-16 unmarked",
        ),
        pytest.param(CURLY.encode("cp1252"), ("Line 4: not UTF-8, read as cp1252.",), id="Windows-1252"),
        pytest.param(CURLY.encode("mac_roman"), ("Line 4: not UTF-8, read as mac_roman.",), id="Mac Roman"),
    ],
)
def test_encodings_give_the_same_words(data: bytes, notes: tuple[str, ...]) -> None:
    transcript = captions_from_bytes(data, "talk.vtt")
    assert transcript.text(0, 99) == TEXT
    assert transcript.notes == notes


def test_lines_in_two_encodings_are_read_each_in_its_own() -> None:
    data = CURLY.encode() + "\n00:04.000 --> 00:06.000\nIt\u2019s off.\n".encode("cp1252")
    transcript = captions_from_bytes(data, "talk.vtt")
    assert transcript.text(0, 99) == f"{TEXT} It\u2019s off."
    assert transcript.notes == ("Line 7: not UTF-8, read as cp1252.",)


def test_bytes_of_no_encoding_are_shown_and_noted() -> None:
    transcript = captions_from_bytes(b"WEBVTT\n\n00:01.000 --> 00:03.000\ncut \x81\x92 here\n", "talk.vtt")
    assert transcript.text(0, 0) == "cut"
    assert transcript.text(2, 2) == "here"
    assert transcript.notes[0].startswith("Line 4: not UTF-8, read as ")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        pytest.param(b"", "talk.vtt: the file is empty. Give a file with captions.", id="empty"),
        pytest.param(b" \r\n\n", "talk.vtt: the file is empty. Give a file with captions.", id="blank"),
        pytest.param(b"OggS\x00\x02", "talk.vtt: a recording, not captions. Give it as the recording.", id="Ogg"),
        pytest.param(
            b"\x00\x00\x00 ftypisom", "talk.vtt: a recording, not captions. Give it as the recording.", id="MP4"
        ),
        pytest.param(
            bytes(range(256)) * 4,
            "talk.vtt: not text. Give captions as WebVTT, SRT, plain text or JSON.",
            id="binary with zeros",
        ),
        pytest.param(
            bytes(range(1, 256)) * 4,
            "talk.vtt: not text. Give captions as WebVTT, SRT, plain text or JSON.",
            id="binary without zeros",
        ),
        pytest.param(
            b"x" * (64 * 2**20 + 1),
            "talk.vtt: larger than 64 MiB, so not captions. Give a file with captions.",
            id="huge",
        ),
    ],
)
def test_what_is_not_text_is_refused_in_one_line(data: bytes, message: str) -> None:
    with pytest.raises(CaptionError) as caught:
        captions_from_bytes(data, "talk.vtt")
    assert str(caught.value) == message
