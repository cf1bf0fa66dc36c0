"""Recordings to a transcript: timed words on one clock, and what was not understood.

Sound is decoded as a stream and heard in chunks of some minutes, cut at pauses, so that memory does not grow with the
recording. Each chunk's result is kept as it is finished; a later run takes it from there.
"""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np

from vouchbook.extract.listen.cache import HearingCache, file_sha256
from vouchbook.extract.listen.chunks import LOOK_BACK_S, ChunkHearing, hear_chunk
from vouchbook.extract.listen.folders import cache_folder
from vouchbook.extract.listen.heard import HeardWord
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.lines import lines
from vouchbook.extract.listen.media import SAMPLE_RATE, MediaInfo, Sound, blocks, no_sound, probe
from vouchbook.extract.listen.progress import Progress, ProgressClock
from vouchbook.extract.listen.recogniser import ENGINE, Recogniser, chosen_device, compute_type
from vouchbook.extract.listen.weights import Model, find_model
from vouchbook.models.errors import SettingError
from vouchbook.models.transcript import Line, Source, Transcript, UnheardStretch, Word


def hear(
    paths: Sequence[Path],
    settings: HearingSettings | None = None,
    on_progress: Callable[[Progress], None] | None = None,
) -> Transcript:
    """The transcript of ``paths``, the recordings of one visit in the order in which they were made.

    All times are seconds on one clock: the second recording starts where the first one's sound ends. Every file is
    looked at before the first is heard. ``on_progress`` is told the seconds done of all, and the time left.

    Raises:
        MediaError: a file is missing, a folder, empty, not sound or film, or without sound that decodes.
        ModelError: the speech weights are missing or not what they should be.
        SettingError: the settings ask for what this machine or model cannot do, or ``paths`` is empty.
    """
    settings = settings or HearingSettings()
    if not paths:
        raise SettingError("no recording was given. Name one or more sound or film files.")
    infos = [probe(path) for path in paths]
    for info in infos:
        if not info.has_sound:
            raise no_sound(info.name)
    hearing = _Hearing(settings, ProgressClock([info.duration_s for info in infos], on_progress))
    builder = _Builder()
    for path, info in zip(paths, infos, strict=True):
        sha256 = file_sha256(path)
        notes: list[str] = []
        chunks = list(hearing.chunks(path, info, sha256, notes))
        builder.add(path.name, sha256, chunks, notes)
    return builder.transcript(settings.language, hearing.made_by, hearing.notes)


class _Hearing:
    """One call of :func:`hear`: settings, model and progress; the model is loaded when the first chunk needs it."""

    def __init__(self, settings: HearingSettings, clock: ProgressClock) -> None:
        self._settings = settings
        self._clock = clock
        self._model: Model = find_model(settings.model, settings.data_folder)
        self._device = chosen_device(settings)
        self._loaded: Recogniser | None = None
        self._caches: list[HearingCache] = []
        self.made_by = f"{ENGINE}, speech model {self._model.name}"

    @property
    def notes(self) -> list[str]:
        """What went otherwise than asked for, apart from the files themselves."""
        found = list(self._loaded.notes) if self._loaded is not None else []
        if any(cache.failed for cache in self._caches):
            found.append("What was heard could not be kept for a later run: the cache folder cannot be written.")
        return found

    def _recogniser(self) -> Recogniser:
        if self._loaded is None:
            self._loaded = Recogniser(self._model, self._settings)
        return self._loaded

    def chunks(self, path: Path, info: MediaInfo, sha256: str, notes: list[str]) -> Iterator[ChunkHearing]:
        """What was heard in each chunk of ``path``, in order."""
        way = {
            **self._settings.what_changes_words(),
            "model": self._model.identity,
            "engine": ENGINE,
            "numbers": compute_type(self._device),
        }
        folder = (self._settings.cache_folder or cache_folder()) if self._settings.use_cache else None
        cache = HearingCache(folder, sha256, way)
        self._caches.append(cache)
        buffer = _Buffer(blocks(path, notes))
        while (sound := buffer.ahead(int(self._settings.chunk_s * SAMPLE_RATE))).size:
            start = buffer.start_sample
            chunk = cache.load(start, ChunkHearing)
            if chunk is None or chunk.samples > sound.size or chunk.samples <= 0:
                chunk = hear_chunk(
                    sound, start, is_last=buffer.is_at_end, recogniser=self._recogniser(), on_second=self._clock.heard
                )
                cache.store(start, chunk)
                self._clock.finish(chunk.samples / SAMPLE_RATE, was_kept=False)
            else:
                self._clock.finish(chunk.samples / SAMPLE_RATE, was_kept=True)
            buffer.drop(chunk.samples)
            yield chunk
        self._clock.end_file(info.duration_s, buffer.start_sample / SAMPLE_RATE)


class _Buffer:
    """The stream of a file's sound, with as many samples held as the next chunk needs."""

    def __init__(self, stream: Iterator[Sound]) -> None:
        self._stream = stream
        self._held = np.zeros(0, dtype=np.float32)
        self.start_sample = 0
        self.is_at_end = False

    def ahead(self, samples: int) -> Sound:
        """The next ``samples``, fewer at the end of the file; a rest too short to be a chunk of its own is included."""
        wanted = samples + int(LOOK_BACK_S * SAMPLE_RATE)
        pieces, length = [self._held], self._held.size
        while length < wanted and not self.is_at_end:
            block = next(self._stream, None)
            if block is None:
                self.is_at_end = True
            else:
                pieces.append(block)
                length += block.size
        self._held = np.concatenate(pieces) if len(pieces) > 1 else self._held
        return self._held if self.is_at_end else self._held[:samples]

    def drop(self, samples: int) -> None:
        """Let go of the first ``samples``: they have been heard."""
        self._held = self._held[samples:].copy()
        self.start_sample += samples


class _Builder:
    """Chunks of several recordings into one transcript on one clock."""

    def __init__(self) -> None:
        self._sources: list[Source] = []
        self._words: list[Word] = []
        self._lines: list[Line] = []
        self._unheard: list[UnheardStretch] = []
        self._notes: list[str] = []
        self._offset_s = 0.0

    def add(self, name: str, sha256: str, chunks: list[ChunkHearing], notes: list[str]) -> None:
        """Append the recording ``name``: its words come later by what came before it."""
        duration_s = sum(chunk.samples for chunk in chunks) / SAMPLE_RATE
        words = tuple(word for chunk in chunks for word in chunk.words)
        for line in lines(words):
            first = len(self._words)
            self._words.extend(_word(word, self._offset_s) for word in line)
            said = self._words[first:]
            self._lines.append(
                Line(
                    first_word=first,
                    last_word=len(self._words) - 1,
                    start_s=said[0].start_s,
                    end_s=max(word.end_s for word in said),
                )
            )
        self._unheard.extend(_joined([stretch for chunk in chunks for stretch in chunk.unheard], self._offset_s))
        self._notes.extend(notes)
        self._notes.extend(f"{name}: text left out at {text}." for chunk in chunks for text in chunk.dropped)
        self._sources.append(
            Source(name=name, sha256=sha256, offset_s=round(self._offset_s, 3), duration_s=duration_s, kind="recording")
        )
        self._offset_s += duration_s

    def transcript(self, language: str, made_by: str, notes: list[str]) -> Transcript:
        """All that was added."""
        return Transcript(
            sources=tuple(self._sources),
            language=language,
            made_by=made_by,
            duration_s=round(self._offset_s, 3),
            words=tuple(self._words),
            lines=tuple(self._lines),
            unheard=tuple(self._unheard),
            notes=(*self._notes, *notes),
        )


def _word(word: HeardWord, offset_s: float) -> Word:
    return Word(
        text=word.text,
        start_s=round(word.start_s + offset_s, 3),
        end_s=round(word.end_s + offset_s, 3),
        probability=round(word.probability, 3),
    )


def _joined(stretches: list[UnheardStretch], offset_s: float) -> list[UnheardStretch]:
    """``stretches`` later by ``offset_s``; two that overlap, or meet at the cut between chunks, are one."""
    joined: list[UnheardStretch] = []
    for stretch in stretches:
        start_s, end_s = round(stretch.start_s + offset_s, 3), round(stretch.end_s + offset_s, 3)
        if joined and joined[-1].reason == stretch.reason and start_s - joined[-1].end_s < 0.5:
            before = joined.pop()
            start_s, end_s = before.start_s, max(before.end_s, end_s)
        joined.append(UnheardStretch(start_s=start_s, end_s=end_s, reason=stretch.reason))
    return joined
