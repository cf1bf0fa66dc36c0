from hashlib import sha256
from pathlib import Path

import pytest

from vouchbook.extract.listen.captions.registry import FORMATS, captions_from_bytes, read_captions, write_captions
from vouchbook.models.errors import CaptionError, SettingError
from vouchbook.models.transcript import Source, Transcript

VTT = "WEBVTT\n\n00:01.000 --> 00:03.000\n<v Oda>Chock it.\n"
SRT = "1\n00:00:01,000 --> 00:00:03,000\nChock it.\n"
TXT = "[0:01] Chock it.\n"
JSON = '[{"start": 1, "end": 3, "text": "Chock it."}]'


@pytest.mark.parametrize(
    ("name", "text", "shown"),
    [
        pytest.param("a.vtt", VTT, None, id="vtt"),
        pytest.param("a.srt", SRT, None, id="srt"),
        pytest.param("a.txt", TXT, None, id="txt"),
        pytest.param("a.json", JSON, None, id="json"),
        pytest.param("A.VTT", VTT, None, id="capitals"),
        pytest.param("a.txt", VTT, "WebVTT", id="vtt as txt"),
        pytest.param("a.srt", VTT, "WebVTT", id="vtt as srt"),
        pytest.param("a.txt", SRT, "SubRip", id="srt as txt"),
        pytest.param("a.vtt", JSON, "JSON", id="json as vtt"),
        pytest.param("a.json", TXT, "plain text", id="txt as json"),
        pytest.param("a", SRT, "SubRip", id="no ending"),
        pytest.param("a.docx", TXT, "plain text", id="odd ending"),
    ],
)
def test_the_content_decides_and_the_ending_is_noted(name: str, text: str, shown: str | None) -> None:
    transcript = captions_from_bytes(text.encode(), name)
    assert transcript.text(0, 9) == "Chock it."
    ending = Path(name).suffix or "nothing"
    assert transcript.notes == ((f"The name ends in {ending}, the content is {shown}; read as that.",) if shown else ())


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        pytest.param("a.vtt", "WEBVTT\n", "no captions in it", id="no cues"),
        pytest.param(
            "a.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\n<b></b>\n", "its captions hold no words", id="wordless"
        ),
        pytest.param(
            "a.vtt",
            "WEBVTT\n\n00:61.000 --> x:1\nOne.\n",
            "none of its 1 captions has a time that can be read",
            id="no times",
        ),
        pytest.param("a.pdf", "Some text.", "not a kind of captions that is known", id="unknown"),
        pytest.param("a.srt", "Some text.", "no captions in it", id="text as srt"),
    ],
)
def test_nothing_usable_is_an_error_never_an_empty_transcript(name: str, text: str, message: str) -> None:
    with pytest.raises(CaptionError) as caught:
        captions_from_bytes(text.encode(), name)
    assert str(caught.value).startswith(f"{name}: {message}. ")
    assert "\n" not in str(caught.value)


def test_the_source_is_known_by_its_hash(tmp_path: Path) -> None:
    path = tmp_path / "visit.vtt"
    path.write_text(VTT)
    transcript = read_captions(path, duration_s=60)
    assert transcript.sources == (
        Source(name="visit.vtt", sha256=sha256(VTT.encode()).hexdigest(), duration_s=60, kind="captions"),
    )
    assert (transcript.made_by, transcript.language, transcript.duration_s) == ("captions", "en", 60)


def test_a_missing_file_and_a_folder_are_refused_in_one_line(tmp_path: Path) -> None:
    for path, reason in ((tmp_path / "none.vtt", "No such file or directory"), (tmp_path, "Is a directory")):
        with pytest.raises(CaptionError) as caught:
            read_captions(path)
        assert str(caught.value) == f"{path.name}: cannot be opened ({reason}). Check the path and its permissions."


def cues(*starts: int) -> bytes:
    return ("WEBVTT\n" + "".join(f"\n00:{s:02}.000 --> 00:{s + 1:02}.000\nWord.\n" for s in starts)).encode()


def test_captions_past_the_end_of_the_recording_are_kept_and_noted() -> None:
    transcript = captions_from_bytes(cues(1, 2, 9, 20), "a.vtt", duration_s=8.5)
    assert len(transcript.words) == 4
    assert transcript.duration_s == 21
    assert transcript.notes == ("Lines 9 and 12: begins after the recording ends (8.5 s), kept.",)


def test_a_caption_that_ends_a_little_late_is_usual() -> None:
    assert captions_from_bytes(cues(1, 8), "a.vtt", duration_s=8.5).notes == ()
    assert captions_from_bytes(cues(1, 8), "a.vtt", duration_s=8).notes == (
        "Line 6: begins after the recording ends (8.0 s), kept.",
    )


def test_captions_of_another_recording_are_refused() -> None:
    with pytest.raises(
        CaptionError, match=r"^a\.vtt: 3 of 4 captions begin after the recording ends \(8\.5 s\)\. Give"
    ):
        captions_from_bytes(cues(1, 9, 10, 20), "a.vtt", duration_s=8.5)


def test_an_unknown_format_answers_with_the_known_ones() -> None:
    with pytest.raises(SettingError) as caught:
        write_captions(Transcript(), "ass")
    assert str(caught.value) == "ass: not a caption format. Choose one of json, srt, txt, vtt."


def test_every_ending_belongs_to_one_format() -> None:
    endings = [ending for entry in FORMATS.values() for ending in entry.endings]
    assert len(endings) == len(set(endings))
