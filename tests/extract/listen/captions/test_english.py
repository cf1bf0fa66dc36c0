"""Short talks written for these tests, in languages that share words with English."""

import json
from pathlib import Path

import pytest

from vouchbook.extract.listen.captions.english import looks_english
from vouchbook.extract.listen.captions.registry import captions_from_bytes, read_captions
from vouchbook.models.errors import CaptionError

GOLD = sorted((Path(__file__).parents[3] / "gold").rglob("*.vtt"))
OTHERS: dict[str, str] = json.loads((Path(__file__).parent / "other_languages.json").read_text("utf-8"))


@pytest.mark.parametrize("language", OTHERS)
def test_captions_in_another_language_are_refused(language: str) -> None:
    data = f"WEBVTT\n\n00:01.000 --> 00:30.000\n{OTHERS[language]}\n".encode()
    with pytest.raises(
        CaptionError, match=r"^a\.vtt: the words do not look like English\. Give captions in English\.$"
    ):
        captions_from_bytes(data, "a.vtt")


@pytest.mark.parametrize("path", GOLD, ids=lambda path: path.stem)
def test_no_forty_five_words_of_an_english_talk_are_refused(path: Path) -> None:
    words = [word.text for word in read_captions(path).words]
    assert all(looks_english(words[first : first + 45]) is not False for first in range(0, len(words) - 45, 10))


def test_there_are_english_talks_to_try() -> None:
    assert len(GOLD) >= 2


def test_few_words_are_left_undecided() -> None:
    assert looks_english(["hier", "ist", "der", "Schalter"]) is None


TWELVE = "Hier ist der Schalter und dann wird das Kabel ganz einfach abgezogen."


@pytest.mark.parametrize(
    ("declared", "text", "refused"),
    [
        pytest.param("de", TWELVE, True, id="says German, reads German"),
        pytest.param("de", "Ja, gut.", True, id="says German, too short to tell"),
        pytest.param("german", "That is the switch and you pull it out by the yellow loop.", False, id="translated"),
        pytest.param("en-GB", "Ja, gut.", False, id="says English, too short to tell"),
    ],
)
def test_a_declared_language_counts_when_words_are_few(declared: str, text: str, *, refused: bool) -> None:
    data = json.dumps({"language": declared, "segments": [{"start": 1, "end": 5, "text": text}]}).encode()
    if refused:
        with pytest.raises(CaptionError, match=f"do not look like English and the file says '{declared}'"):
            captions_from_bytes(data, "a.json")
    else:
        notes = captions_from_bytes(data, "a.json").notes
        noted = f"The file says that its language is '{declared}'; the words look like English."
        assert notes == (() if declared.startswith("en") else (noted,))
