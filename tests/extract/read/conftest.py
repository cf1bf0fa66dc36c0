"""One reader for all tests of the room (loading takes a second), and talk made of plain lines."""

from collections.abc import Callable

import pytest

from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.talk import Talk
from vouchbook.models.transcript import Line, Transcript, Word


@pytest.fixture(scope="session")
def reader() -> Reader:
    return Reader(layered(load_pack("common"), load_pack("road_vehicles")), None)


@pytest.fixture(scope="session")
def spoken() -> Callable[..., Transcript]:
    """Lines as a transcript, a word a second; "Dov: lift it" is a line in the voice of Dov."""

    def transcript(*said: str) -> Transcript:
        words: list[Word] = []
        lines: list[Line] = []
        for line in said:
            voice, colon, text = line.partition(": ")
            own = (text if colon else line).split()
            first = len(words)
            for n, word in enumerate(own, start=first):
                words.append(Word(text=word, start_s=n, end_s=n + 1, voice=voice if colon else None))
            lines.append(Line(first_word=first, last_word=len(words) - 1, start_s=first, end_s=len(words)))
        return Transcript(words=tuple(words), lines=tuple(lines), duration_s=len(words))

    return transcript


@pytest.fixture(scope="session")
def understand(reader: Reader, spoken: Callable[..., Transcript]) -> Callable[..., Talk]:
    """What all layers below the items make of lines."""

    def talk(*said: str) -> Talk:
        return reader.understand(spoken(*said))

    return talk
