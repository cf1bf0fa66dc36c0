"""Sound out of any sound or film file.

PyAV bundles FFmpeg's libraries, so nothing has to be installed beside it. This is the only file that decodes sound
with it. Files are untrusted: only local files are opened, never what a playlist points to.
"""

import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import av
import numpy as np
import numpy.typing as npt
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import InputContainer

from vouchbook.extract.listen.channels import ChannelMixer
from vouchbook.models.errors import MediaError
from vouchbook.models.record import Record

Sound = npt.NDArray[np.float32]

SAMPLE_RATE: Final = 16_000
"""Samples per second of all sound inside Vouchbook: what the recogniser was trained on."""

_GIVE_SOUND: Final = "Give a sound or film file with speech in it"
_KEEPS_TIME: Final = ("mp4", "matroska")
"""Containers whose time stamps can be trusted: a gap in them is a gap in the sound."""
_POINTS_ELSEWHERE: Final = ("hls", "dash", "concat", "applehttp", "rtsp", "sdp", "imf")
_SMALLEST_GAP_S: Final = 0.2
"""Smaller gaps are jitter of the time stamps."""
_LARGEST_GAP_S: Final = 3600.0
"""Larger ones are damaged time stamps; filling them would make hours of silence."""
_STREAMED: Final = 0xFFFF_FF00
"""Bytes of sound from which the length in a WAV header means "not known"."""


class MediaInfo(Record):
    """What a file holds. ``duration_s`` is None where neither the header nor the packets say."""

    name: str
    container: str
    duration_s: float | None
    has_sound: bool
    has_pictures: bool
    channels: int = 0
    sample_rate: int = 0
    audio_tracks: int = 0


def probe(path: Path) -> MediaInfo:
    """What ``path`` holds, without decoding it.

    Raises:
        MediaError: missing, a folder, empty, unreadable or not sound or film.
    """
    with _opened(path) as container:
        tracks = container.streams.audio
        pictures = [stream for stream in container.streams.video if not _is_cover(stream)]
        stream = _best(container)
        duration_s = container.duration / av.time_base if container.duration else None
        if duration_s is None and stream is not None:
            duration_s = _duration_by_packets(container, stream)
        return MediaInfo(
            name=path.name,
            container=container.format.name,
            duration_s=max(duration_s, 0.0) if duration_s is not None else None,
            has_sound=stream is not None,
            has_pictures=bool(pictures),
            channels=stream.codec_context.channels if stream is not None else 0,
            sample_rate=stream.codec_context.sample_rate if stream is not None else 0,
            audio_tracks=len(tracks),
        )


def blocks(path: Path, notes: list[str] | None = None, block_s: float = 10.0) -> Iterator[Sound]:
    """The sound of ``path`` as mono float32 blocks of about ``block_s`` seconds at :data:`SAMPLE_RATE`, in order.

    Only one block is held at a time. Sound that starts after the pictures, or has gaps, is filled with silence, so that
    sample ``n`` is second ``n / SAMPLE_RATE`` of the film. What decodes of a damaged or truncated file is given; what
    is missing is added to ``notes``, one sentence each, when the last block has been given.

    Raises:
        MediaError: as for :func:`probe`, or no sound in it that decodes.
    """
    found: list[str] = []
    samples = 0
    with _opened(path) as container:
        stream = _best(container)
        if stream is None:
            raise no_sound(path.name)
        if len(container.streams.audio) > 1:
            found.append(f"{path.name}: {len(container.streams.audio)} audio tracks, only the main one was heard.")
        claimed_s = _claimed_s(path, container)
        decoder = _Decoder(container, stream)
        for block in _joined(decoder.frames(), int(block_s * SAMPLE_RATE)):
            samples += block.size
            yield block
        damaged = decoder.damaged
    heard_s = samples / SAMPLE_RATE
    if samples == 0:
        raise MediaError(path.name, "no sound in it could be decoded", "Copy the file from the recorder again")
    if claimed_s is not None and heard_s < claimed_s - max(1.0, 0.02 * claimed_s):
        found.append(f"{path.name}: the file says {claimed_s:.0f} s, but its sound ends after {heard_s:.0f} s.")
    if damaged:
        found.append(f"{path.name}: {damaged} damaged place{'s' if damaged > 1 else ''} could not be decoded.")
    if notes is not None:
        notes.extend(found)


def no_sound(name: str) -> MediaError:
    """The error for a file without an audio track."""
    return MediaError(name, "it has no audio track", _GIVE_SOUND)


class _Decoder:
    """Frames of one audio track as (channels, samples) arrays at :data:`SAMPLE_RATE`; counts what fails to decode."""

    def __init__(self, container: InputContainer, stream: AudioStream) -> None:
        self.damaged = 0
        self._container = container
        self._stream = stream
        self._keeps_time = any(name in container.format.name for name in _KEEPS_TIME)
        self._origin_s = (container.start_time or 0) / av.time_base
        self._produced = 0
        self._resampler: AudioResampler | None = None
        self._shape: tuple[str, str, int] | None = None

    def frames(self) -> Iterator[Sound]:
        for frame in self._decoded():
            yield from self._silence_before(frame)
            yield from self._resampled(frame)
        if self._resampler is not None:
            yield from self._counted(self._resampler.resample(None))

    def _decoded(self) -> Iterator[AudioFrame]:
        packets = self._container.demux(self._stream)
        while True:
            try:
                packet = next(packets, None)
            except av.error.FFmpegError:  # the file ends inside a packet
                self.damaged += 1
                return
            if packet is None:
                return
            try:
                decoded = packet.decode()
            except av.error.FFmpegError:
                self.damaged += 1
                continue
            yield from (frame for frame in decoded if isinstance(frame, AudioFrame))

    def _silence_before(self, frame: AudioFrame) -> Iterator[Sound]:
        if not self._keeps_time or frame.time is None:
            return
        gap_s = frame.time - self._origin_s - self._produced / SAMPLE_RATE
        if _SMALLEST_GAP_S < gap_s < _LARGEST_GAP_S:
            size = int(gap_s * SAMPLE_RATE)
            self._produced += size
            yield np.zeros((1, size), dtype=np.float32)

    def _resampled(self, frame: AudioFrame) -> Iterator[Sound]:
        shape = (frame.format.name, frame.layout.name, frame.sample_rate)
        if self._resampler is None or shape != self._shape:  # some recorders change format inside a file
            if self._resampler is not None:
                yield from self._counted(self._resampler.resample(None))
            self._resampler = AudioResampler(format="fltp", layout=frame.layout.name, rate=SAMPLE_RATE)
            self._shape = shape
        frame.pts = None  # the resampler would fill gaps by its own rules
        yield from self._counted(self._resampler.resample(frame))

    def _counted(self, frames: list[AudioFrame]) -> Iterator[Sound]:
        for frame in frames:
            sound = np.nan_to_num(frame.to_ndarray().astype(np.float32, copy=False), posinf=0.0, neginf=0.0)
            self._produced += sound.shape[1]
            yield sound


def _joined(frames: Iterator[Sound], size: int) -> Iterator[Sound]:
    """Mono blocks of about ``size`` samples out of many small frames."""
    mixer = ChannelMixer()
    held: list[Sound] = []
    length = 0
    for frame in frames:
        if held and held[0].shape[0] != frame.shape[0]:  # silence has one channel
            yield mixer.mono(np.concatenate(held, axis=1))
            held, length = [], 0
        for start in range(0, frame.shape[1], size):  # a long gap comes as one frame
            piece = frame[:, start : start + size]
            held.append(piece)
            length += piece.shape[1]
            if length >= size:
                yield mixer.mono(np.concatenate(held, axis=1))
                held, length = [], 0
    if held:
        yield mixer.mono(np.concatenate(held, axis=1))


def _opened(path: Path) -> InputContainer:
    name = path.name or str(path)
    if not path.exists():
        raise MediaError(name, "there is no such file", "Check the path")
    if path.is_dir():
        raise MediaError(name, "it is a folder", "Name the recordings in it, in the order in which they were made")
    try:
        if path.stat().st_size == 0:
            raise MediaError(name, "the file is empty", "Copy it from the recorder again")
        # An absolute path cannot be taken for a protocol; the list of protocols keeps playlists from the network.
        container = av.open(str(path.resolve()), options={"protocol_whitelist": "file"}, metadata_errors="replace")
    except PermissionError as error:
        raise MediaError(name, "it may not be read", "Change its permissions, or copy it") from error
    except (av.error.FFmpegError, OSError, ValueError) as error:
        problem = "it is not sound or film, or it is too damaged to open"
        raise MediaError(name, problem, _GIVE_SOUND) from error
    if any(word in container.format.name.split(",") for word in _POINTS_ELSEWHERE):
        container.close()
        raise MediaError(name, "it is a playlist, not a recording", _GIVE_SOUND)
    return container


def _claimed_s(path: Path, container: InputContainer) -> float | None:
    """The length that the file claims; of a WAV by its header, since FFmpeg gives what is there of a truncated one."""
    if container.format.name == "wav":
        try:
            with wave.open(str(path)) as file:
                claim_s = file.getnframes() / file.getframerate()
                # Recorders that stream write the largest number there is.
                return claim_s if file.getnframes() * file.getnchannels() * file.getsampwidth() < _STREAMED else None
        except (wave.Error, EOFError):  # not plain PCM: FFmpeg's own figure will do
            pass
    return container.duration / av.time_base if container.duration else None


def _best(container: InputContainer) -> AudioStream | None:
    stream = container.streams.best("audio")
    return stream if isinstance(stream, AudioStream) else None


def _is_cover(stream: av.video.stream.VideoStream) -> bool:
    """Whether this "film" is the cover picture of a sound file."""
    return bool(stream.disposition & av.stream.Disposition.attached_pic)


def _duration_by_packets(container: InputContainer, stream: AudioStream) -> float | None:
    """The end of the last packet: recorders that stream leave the header without a duration."""
    end_s: float | None = None
    try:
        for packet in container.demux(stream):
            if packet.pts is not None and packet.time_base is not None:
                end_s = float((packet.pts + (packet.duration or 0)) * packet.time_base)
    except av.error.FFmpegError:
        return end_s
    return end_s
