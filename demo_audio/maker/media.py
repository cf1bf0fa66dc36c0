"""Sound and pictures into files, and sound back out of them, all by PyAV."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.container import OutputContainer
from av.video.frame import PictureType
from PIL import Image

from maker.voices import SAMPLE_RATE_HZ, Sound

Pictures = Sequence[tuple[float, Image.Image]]  # second from which a picture shows

FRAMES_PER_S = 5
OPUS_BITS_PER_S = 48_000
AAC_BITS_PER_S = 80_000


def write_ogg(path: Path, sound: Sound) -> None:
    """Ogg Opus, mono."""
    # bitexact: no random stream number, so that a remake gives the same file
    with av.open(str(path), "w", format="ogg", options={"fflags": "+bitexact"}) as container:
        stream = container.add_stream("libopus", rate=48_000, layout="mono")
        stream.bit_rate = OPUS_BITS_PER_S
        _encode_sound(container, stream, sound)


def write_mp4(path: Path, sound: Sound, pictures: Pictures) -> None:
    """H.264 and AAC. The first picture shows from second 0."""
    with av.open(str(path), "w", format="mp4", options={"movflags": "+faststart"}) as container:
        video = container.add_stream("libx264", rate=FRAMES_PER_S)
        video.width, video.height = pictures[0][1].size
        video.pix_fmt = "yuv420p"
        # one thread: the same input gives the same bytes
        video.options = {"crf": "20", "preset": "slow", "tune": "stillimage", "threads": "1"}
        # a key frame every four seconds, so that a player can jump to a step
        video.gop_size = 4 * FRAMES_PER_S
        audio = container.add_stream("aac", rate=SAMPLE_RATE_HZ, layout="mono")
        audio.bit_rate = AAC_BITS_PER_S
        _encode_pictures(container, video, pictures, len(sound) / SAMPLE_RATE_HZ)
        _encode_sound(container, audio, sound)


def read_mono(path: Path) -> Sound:
    """The sound of a media file at SAMPLE_RATE_HZ."""
    resampler = av.AudioResampler(format="flt", layout="mono", rate=SAMPLE_RATE_HZ)
    with av.open(str(path)) as container:
        parts = [
            out.to_ndarray()[0] for frame in [*container.decode(audio=0), None] for out in resampler.resample(frame)
        ]
    return np.concatenate(parts).astype(np.float32)


def shift_s(path: Path, sound: Sound) -> float:
    """By how many seconds the sound of the file lies behind the sound that went in (cross-correlation over 20 s)."""
    length = 20 * SAMPLE_RATE_HZ
    sent, got = sound[:length], read_mono(path)[:length]
    size = 1 << (2 * length).bit_length()
    match = np.fft.irfft(np.fft.rfft(got, size) * np.conj(np.fft.rfft(sent, size)), size)
    peak = int(np.argmax(match))
    return (peak if peak < size // 2 else peak - size) / SAMPLE_RATE_HZ


def _encode_pictures(container: OutputContainer, stream: av.VideoStream, pictures: Pictures, length_s: float) -> None:
    starts = [round(start_s * FRAMES_PER_S) for start_s, _ in pictures]
    for number in range(int(length_s * FRAMES_PER_S) + 1):
        shown = max(n for n, start in enumerate(starts) if start <= number)
        frame = av.VideoFrame.from_ndarray(np.asarray(pictures[shown][1]), format="rgb24")
        frame.pts, frame.time_base = number, Fraction(1, FRAMES_PER_S)
        frame.pict_type = PictureType.I if number in starts else PictureType.NONE
        container.mux(stream.encode(frame))
    container.mux(stream.encode())


def _encode_sound(container: OutputContainer, stream: av.AudioStream, sound: Sound) -> None:
    block = SAMPLE_RATE_HZ
    resampler = av.AudioResampler(format="flt", layout="mono", rate=stream.rate)
    for start in range(0, len(sound), block):
        frame = av.AudioFrame.from_ndarray(sound[None, start : start + block], format="flt", layout="mono")
        frame.rate, frame.pts, frame.time_base = SAMPLE_RATE_HZ, start, Fraction(1, SAMPLE_RATE_HZ)
        for piece in resampler.resample(frame):
            container.mux(stream.encode(piece))
    for piece in resampler.resample(None):
        container.mux(stream.encode(piece))
    container.mux(stream.encode())
