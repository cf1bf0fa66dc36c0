"""Real recorded speech, made-up sound, and files of many kinds to put it in."""

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Protocol

import av
import numpy as np
import pytest
from av.audio.codeccontext import AudioCodecContext
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.video.stream import VideoStream

from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound, blocks

HUMAN_SPEECH = Path(__file__).parent / "human_speech"


class WriteSound(Protocol):
    def __call__(
        self, name: str, channels: Sound, *, codec: str = "pcm_s16le", rate: int = SAMPLE_RATE, start_s: float = 0.0
    ) -> Path: ...


@pytest.fixture(scope="session")
def texts() -> dict[str, str]:
    """What is said in each clip, by its number."""
    found: dict[str, str] = json.loads((HUMAN_SPEECH / "texts.json").read_text(encoding="utf-8"))
    return found


@pytest.fixture(scope="session")
def clips(texts: dict[str, str]) -> dict[str, Sound]:
    """The clips of a human reader, by number."""
    return {number: np.concatenate(list(blocks(HUMAN_SPEECH / f"{number}.flac"))) for number in texts}


@pytest.fixture(scope="session")
def reading(clips: dict[str, Sound]) -> Sound:
    """All clips with half a second between them, a second before: 28 s."""
    pause = np.zeros(SAMPLE_RATE // 2, dtype=np.float32)
    return np.concatenate([pause, *(part for clip in clips.values() for part in (pause, clip)), pause])


@pytest.fixture
def write_sound(tmp_path: Path) -> WriteSound:
    """Writes sound (channels, samples) at 16 kHz to a file; the container follows from its name.

    ``start_s`` moves the sound's time stamps, and names that end in a film's suffix get pictures of uneven length.
    """

    def write(
        name: str, channels: Sound, *, codec: str = "pcm_s16le", rate: int = SAMPLE_RATE, start_s: float = 0.0
    ) -> Path:
        path = tmp_path / name
        layout = "mono" if channels.ndim == 1 or channels.shape[0] == 1 else "stereo"
        with av.open(str(path), "w") as container:
            stream = container.add_stream(codec, rate=rate, layout=layout)
            assert isinstance(stream, AudioStream)
            assert isinstance(stream.codec_context, AudioCodecContext)
            if path.suffix in {".mp4", ".mov", ".mkv", ".avi"}:
                _write_pictures(container, channels.shape[-1] / SAMPLE_RATE + start_s)
            frame = av.AudioFrame.from_ndarray(np.atleast_2d(channels), format="fltp", layout=layout)
            frame.sample_rate = SAMPLE_RATE
            frame.pts = 0
            resampler = AudioResampler(
                format=stream.codec_context.format, layout=layout, rate=rate, frame_size=stream.codec_context.frame_size
            )
            pts = int(start_s * rate)
            for resampled in [*resampler.resample(frame), *resampler.resample(None)]:
                resampled.pts, resampled.time_base = pts, Fraction(1, rate)
                pts += resampled.samples
                container.mux(stream.encode(resampled))
            container.mux(stream.encode(None))
        return path

    return write


def _write_pictures(container: av.container.OutputContainer, length_s: float) -> None:
    codec = "mpeg4" if container.format.name in {"avi", "mp4", "mov"} else "mjpeg"
    stream = container.add_stream(codec, rate=25)
    assert isinstance(stream, VideoStream)
    stream.width, stream.height, stream.pix_fmt = 64, 48, "yuvj420p" if codec == "mjpeg" else "yuv420p"
    uneven = container.format.name != "avi"  # which has no time stamps
    tick = 0
    while tick < length_s * 25:
        frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), tick % 255, dtype=np.uint8), format="rgb24")
        frame.pts, frame.time_base = tick, Fraction(1, 25)
        container.mux(stream.encode(frame))
        tick += (1, 2, 7)[tick % 3] if uneven else 1
    container.mux(stream.encode(None))


@pytest.fixture(scope="session")
def data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A data folder for assembled models, emptied afterwards: they are large."""
    folder = tmp_path_factory.mktemp("data")
    yield folder
    for path in sorted(folder.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()


@pytest.fixture
def hearing_settings(tmp_path: Path, data_folder: Path) -> HearingSettings:
    """The fast model, with data and cache away from the user's home."""
    return HearingSettings(model="tiny.en", data_folder=data_folder, cache_folder=tmp_path / "cache")
