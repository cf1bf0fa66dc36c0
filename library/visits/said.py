"""From a draft to the sentences that can be found: each line of talk, and the words of each item (pure)."""

import unicodedata
from collections.abc import Sequence

from vouchbook.library.search.words import words_of as indexed_words
from vouchbook.models.decisions import Fields
from vouchbook.models.draft import Draft
from vouchbook.models.evidence import Evidence
from vouchbook.models.items import Item
from vouchbook.models.record import Record
from vouchbook.models.transcript import Source, Transcript

_NOT_SAID = ("phase", "hazard", "signal")
"""What sorts an item; searches filter by it."""
_BETWEEN, _TIMES = " \u00b7 ", "\u00d7"
_SLACK_S = 0.001


class Place(Record):
    """Seconds of a medium; of the visit's clock where ``sha256`` is None."""

    sha256: str | None
    start_s: float
    end_s: float


class Said(Record):
    """Words, when they were said on the visit's clock, and by whom."""

    start_s: float
    end_s: float
    voice: str | None
    words: str


def lines_of(transcript: Transcript) -> tuple[Said, ...]:
    """Each line of the transcript, said by the voice that says most of its words."""
    return tuple(
        Said(
            start_s=line.start_s,
            end_s=line.end_s,
            voice=_voice(transcript, line.first_word, line.last_word),
            words=shown(transcript.text(line.first_word, line.last_word)),
        )
        for line in transcript.lines
    )


def words_of(fields: Fields) -> str:
    """The words of an item as people read them, from its fields in their order: what is found when they are typed.

    A field whose words stand in one before it is left out: a warning says mostly itself what it prohibits.
    """
    parts, known = list[str](), list[str]()
    for name, value in fields.items():
        forms = f" {' '.join(word.form for word in indexed_words(str(value)))} "
        if name in _NOT_SAID or value is None or any(forms in other for other in known):
            continue
        known.append(forms)
        if name == "object" and parts:
            parts[-1] += f" {value}"
        else:
            parts.append(f"{_TIMES} {value}" if name == "count" else str(value))
    return shown(_BETWEEN.join(part for part in parts if part.strip()))


def place(sources: Sequence[Source], recordings: Sequence[str], start_s: float, end_s: float) -> Place:
    """Where seconds of the visit's clock are to be played, given the hashes of the visit's recordings in their order.

    Words that were heard in a recording lie in that one. Captions go with the recording of the same place in the list,
    if there are as many; otherwise nobody knows, and ``sha256`` is None.
    """
    begun = [number for number, source in enumerate(sources) if source.offset_s <= start_s + _SLACK_S]
    if begun:
        number = begun[-1]
        source = sources[number]
        sha256 = source.sha256 if source.kind == "recording" else _beside(sources, recordings, number)
        if sha256 in recordings:
            own_s = (max(seconds - source.offset_s, 0.0) for seconds in (start_s, end_s))
            first_s, last_s = (round(seconds, 3) for seconds in own_s)
            return Place(sha256=sha256, start_s=first_s, end_s=last_s)
    return Place(sha256=None, start_s=start_s, end_s=end_s)


def doubtful(draft: Draft) -> frozenset[str]:
    """The ids of the items that rest on words about which the draft asks whether they were heard rightly."""
    asked = [one for question in draft.open_questions if question.kind == "doubtful" for one in question.evidence]
    return frozenset(item.id for item in draft.items if _share_a_word(item, asked))


def shown(text: str) -> str:
    """``text`` on one line without control characters, which PostgreSQL does not take and nobody sees."""
    plain = "".join(" " if unicodedata.category(letter) in ("Cc", "Cs") else letter for letter in text)
    return " ".join(plain.split())


def _share_a_word(item: Item, asked: Sequence[Evidence]) -> bool:
    return any(
        mine.first_word <= other.last_word and other.first_word <= mine.last_word
        for mine in item.evidence
        for other in asked
    )


def _beside(sources: Sequence[Source], recordings: Sequence[str], number: int) -> str | None:
    return recordings[number] if len(recordings) == len(sources) else None


def _voice(transcript: Transcript, first_word: int, last_word: int) -> str | None:
    voices = [word.voice for word in transcript.words[first_word : last_word + 1]]
    most = max(dict.fromkeys(voices), key=voices.count)
    return shown(most) or None if most is not None else None
