"""From the cues of a file to a transcript: order, missing times, seconds of single words."""

from bisect import bisect_right
from itertools import groupby, pairwise
from operator import itemgetter

from vouchbook.extract.listen.captions.cues import Cue, CueWord
from vouchbook.extract.listen.captions.notes import Notes
from vouchbook.models.record import Record
from vouchbook.models.transcript import Line, Word

PACE_S_PER_WORD = 0.4
"""150 words a minute; common practice, no source. Used only where a caption does not say when it ends."""
SLOWEST_S_PER_WORD = 1.0
"""A caption without an end is not stretched beyond this up to the next one; common practice, no source."""


class TimedCue(Record):
    """A cue with both times."""

    line: int
    start_s: float
    end_s: float
    words: tuple[CueWord, ...]


def timed_cues(cues: tuple[Cue, ...], notes: Notes) -> list[TimedCue]:
    """The cues that hold words, in the order of their starts, with the times that their file left out.

    A start that cannot be read is taken from the caption before (or after), an end from the one that follows; each is
    noted. Empty if no time can be read at all.
    """
    spoken = []
    for cue in cues:
        if cue.words:
            spoken.append(cue)
        else:
            notes.add("a caption without words, set aside", cue.line)
    if all(cue.start_s is None and cue.end_s is None for cue in spoken):
        return []
    started = _with_starts(spoken, notes)
    latest = 0.0
    for cue, start_s in started:
        if start_s < latest:
            notes.add("out of order, sorted by time", cue.line)
        latest = max(latest, start_s)
    started.sort(key=lambda entry: entry[1])
    timed = _with_ends(started, notes)
    _note_overlaps(timed, notes)
    return timed


def _with_starts(cues: list[Cue], notes: Notes) -> list[tuple[Cue, float]]:
    started: list[tuple[Cue, float]] = []
    known: float | None = None
    first_known = next(time for cue in cues for time in (cue.start_s, cue.end_s) if time is not None)
    for cue in cues:
        start_s = cue.start_s
        if start_s is None:
            before_first = max(first_known - len(cue.words) * PACE_S_PER_WORD, 0.0)
            start_s = known if known is not None else before_first
            notes.add("its start cannot be read; its words are kept, at the time of the captions beside it", cue.line)
        known = cue.end_s if cue.end_s is not None and cue.end_s > start_s else start_s
        started.append((cue, start_s))
    return started


def _with_ends(started: list[tuple[Cue, float]], notes: Notes) -> list[TimedCue]:
    starts = sorted({start_s for _, start_s in started})
    following = dict(pairwise(starts))
    timed: list[TimedCue] = []
    for start_s, group in groupby(started, key=lambda entry: entry[1]):
        open_ended: list[Cue] = []
        for cue, _ in group:
            if cue.end_s is not None and cue.end_s > start_s:
                timed.append(TimedCue(line=cue.line, start_s=start_s, end_s=cue.end_s, words=cue.words))
                continue
            if cue.end_s is not None:
                notes.add("ends before or when it starts; the end is taken from the caption that follows", cue.line)
            open_ended.append(cue)
        timed.extend(_shared(open_ended, start_s, following.get(start_s)))
    return timed


def _shared(cues: list[Cue], start_s: float, next_s: float | None) -> list[TimedCue]:
    """Captions that begin together and have no end, one after the other up to the next start."""
    words = sum(len(cue.words) for cue in cues)
    end_s = start_s + words * PACE_S_PER_WORD
    if next_s is not None:
        end_s = min(next_s, start_s + words * SLOWEST_S_PER_WORD)
    timed, said = [], 0
    for cue in cues:
        begin = start_s + (end_s - start_s) * said / words
        said += len(cue.words)
        finish = start_s + (end_s - start_s) * said / words
        timed.append(TimedCue(line=cue.line, start_s=begin, end_s=finish, words=cue.words))
    return timed


def _note_overlaps(cues: list[TimedCue], notes: Notes) -> None:
    latest = 0.0
    for cue in cues:
        if cue.start_s < latest - 0.0005:
            notes.add("overlaps the caption before it, both kept", cue.line)
        latest = max(latest, cue.end_s)


def line_of(cue: TimedCue, first_word: int) -> Line:
    """The cue as a line whose first word is word ``first_word`` of the transcript."""
    return Line(first_word=first_word, last_word=first_word + len(cue.words) - 1, start_s=cue.start_s, end_s=cue.end_s)


def timed_words(cue: TimedCue, notes: Notes) -> list[Word]:
    """The cue's words with seconds: those that its file gives, the others by length between them.

    A word is ``heard`` when its file gives its start, and its end or the next word's start; otherwise ``interpolated``.
    """
    starts = _rising_starts(cue, notes)
    words = cue.words
    places, length = [], 0
    for word in words:
        places.append(length)
        length += len(word.text) + 1
    known = [(0, cue.start_s), *((p, s) for p, s in zip(places, starts, strict=True) if s is not None)]
    known.append((length - 1, cue.end_s))
    timed: list[Word] = []
    for index, (word, place) in enumerate(zip(words, places, strict=True)):
        start_s = starts[index]
        if start_s is None:
            start_s = _between(known, place)
        if timed:
            start_s = max(start_s, timed[-1].start_s)
        measured_end = word.end_s is not None and word.end_s >= start_s
        end_s = word.end_s if measured_end else _between(known, place + len(word.text))
        assert end_s is not None
        followed = measured_end or index + 1 == len(words) or starts[index + 1] is not None
        timed.append(
            Word(
                text=word.text,
                start_s=start_s,
                end_s=max(end_s, start_s),
                probability=word.probability,
                voice=word.voice,
                timing=word.timing or ("heard" if starts[index] is not None and followed else "interpolated"),
            )
        )
    return timed


def _rising_starts(cue: TimedCue, notes: Notes) -> list[float | None]:
    """The given starts; one that falls or lies outside the cue is noted and left out."""
    starts: list[float | None] = []
    latest = cue.start_s
    for word in cue.words:
        if word.start_s is not None and not latest <= word.start_s <= cue.end_s:
            notes.add("times of single words that fall or lie outside their caption, spread instead", cue.line)
            starts.append(None)
            continue
        latest = word.start_s if word.start_s is not None else latest
        starts.append(word.start_s)
    return starts


def _between(known: list[tuple[int, float]], place: int) -> float:
    """The time at character ``place``, on straight lines between the known ones."""
    right = min(max(bisect_right(known, place, key=itemgetter(0)), 1), len(known) - 1)
    (left_place, left_s), (right_place, right_s) = known[right - 1], known[right]
    share = (place - left_place) / (right_place - left_place) if right_place > left_place else 0.0
    return min(max(round(left_s + share * (right_s - left_s), 3), left_s), right_s)
