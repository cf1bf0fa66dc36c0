"""A film whose pictures are as grey as their number, with a tone that changes its pitch each second."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt
import pytest
from av.container import OutputContainer
from av.packet import Packet
from av.stream import Stream

from vouchbook.extract.listen.clips import clip
from vouchbook.models.errors import MediaError

RATE = 16_000


def tone() -> npt.NDArray[np.float32]:
    """10 s; second n sounds at 400 + 100 n Hz."""
    times = np.arange(10 * RATE) / RATE
    return (0.5 * np.sin(2 * np.pi * (400 + 100 * np.floor(times)) * times)).astype(np.float32)


def recording(path: Path, codecs: tuple[str, ...]) -> Path:
    """10 s of pictures, of the tone, or of both, one track for each codec."""
    with av.open(str(path), "w") as container:
        for codec in codecs:
            if codec == "libx264":
                add_pictures(container)
            else:
                add_tone(container, codec)
        for track in container.streams:
            for packet in pictures(track) if isinstance(track, av.VideoStream) else sounds(track):
                container.mux(packet)
    return path


def add_pictures(container: OutputContainer) -> None:
    """A track of 25 pictures a second with key frames every 2 s."""
    track = container.add_stream("libx264", rate=25, options={"g": "50", "crf": "1"})
    assert isinstance(track, av.VideoStream)
    track.width, track.height, track.pix_fmt = 64, 64, "yuv420p"


def add_tone(container: OutputContainer, codec: str) -> None:
    container.add_stream(codec, rate=RATE, layout="mono")


def pictures(track: av.VideoStream) -> "Iterator[Packet[av.VideoStream]]":
    """Picture n of 250 is grey level n."""
    for index in range(250):
        planes = np.full((96, 64), 128, dtype=np.uint8)
        planes[:64] = index
        picture = av.VideoFrame.from_ndarray(planes, format="yuv420p")
        picture.pts, picture.time_base = index, Fraction(1, 25)
        yield from track.encode(picture)
    yield from track.encode(None)


def sounds(track: Stream) -> "Iterator[Packet[av.AudioStream]]":
    assert isinstance(track, av.AudioStream)
    frame = av.AudioFrame.from_ndarray(tone()[None, :], format="fltp", layout="mono")
    frame.sample_rate, frame.pts = RATE, 0
    fifo = av.AudioFifo()
    fifo.write(frame)
    while piece := fifo.read(track.codec_context.frame_size or 1024, partial=True):
        yield from track.encode(piece)
    yield from track.encode(None)


def numbers(path: Path) -> list[tuple[float, int]]:
    """Time and number of each picture."""
    with av.open(str(path)) as container:
        return [
            (frame.time or 0.0, round(float(frame.to_ndarray()[:64].mean()))) for frame in container.decode(video=0)
        ]


def pitch_hz(path: Path, start_s: float, length_s: float = 0.4) -> float:
    """The strongest frequency of the sound from ``start_s`` on."""
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
    sound = np.zeros(20 * RATE, dtype=np.float32)
    with av.open(str(path)) as container:
        for frame in container.decode(audio=0):
            for piece in resampler.resample(frame):
                first = round((frame.time or 0.0) * RATE)
                samples = piece.to_ndarray()[0][: sound.size - first]
                sound[first : first + samples.size] = samples
    part = sound[round(start_s * RATE) : round((start_s + length_s) * RATE)]
    return float(np.argmax(np.abs(np.fft.rfft(part)))) / length_s


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return recording(tmp_path_factory.mktemp("film") / "film.mp4", ("libx264", "aac"))


@pytest.mark.parametrize("ending", ["mp4", "mov"])
def test_an_mp4_begins_and_ends_where_it_was_asked_to(film: Path, tmp_path: Path, ending: str) -> None:
    out = clip(film, 3.0, 5.0, tmp_path / f"clip.{ending}")
    assert out == tmp_path / f"clip.{ending}"
    seen = numbers(out)
    assert [number for _, number in seen] == list(range(75, 125))
    assert seen[0][0] == pytest.approx(0, abs=0.001)
    assert pitch_hz(out, 0.3) == pytest.approx(700, abs=5)
    assert pitch_hz(out, 1.3) == pytest.approx(800, abs=5)


def test_another_container_begins_with_the_key_frame_and_stays_in_step(film: Path, tmp_path: Path) -> None:
    out = clip(film, 3.0, 5.0, tmp_path / "clip.mkv")
    seen = numbers(out)
    first = seen[0][1]
    assert 75 - 50 < first < 75
    assert [number for _, number in seen] == list(range(first, 125))
    began_s = next(time_s for time_s, number in seen if number == 75)
    assert pitch_hz(out, began_s + 0.3) == pytest.approx(700, abs=5)


@pytest.mark.parametrize(
    ("ending", "codec"), [("ogg", "libopus"), ("mp3", "libmp3lame"), ("wav", "pcm_s16le"), ("m4a", "aac")]
)
def test_sound_alone_is_cut_to_a_packet(tmp_path: Path, ending: str, codec: str) -> None:
    path = recording(tmp_path / f"talk.{ending}", (codec,))
    out = clip(path, 3.0, 5.0, tmp_path / f"clip.{ending}")
    assert pitch_hz(out, 0.3) == pytest.approx(700, abs=5)
    assert pitch_hz(out, 1.3) == pytest.approx(800, abs=5)
    with av.open(str(out)) as container:
        length_s = sum(frame.samples / frame.sample_rate for frame in container.decode(audio=0))
    assert length_s == pytest.approx(2.0, abs=0.15)


def test_the_last_seconds_can_be_cut(film: Path, tmp_path: Path) -> None:
    assert [number for _, number in numbers(clip(film, 9.0, 10.2, tmp_path / "end.mp4"))] == list(range(225, 250))


@pytest.mark.parametrize(
    ("start_s", "end_s", "problem"),
    [
        pytest.param(5.0, 3.0, "no range from 5.0 to 3.0 s. Give a start before the end.", id="backwards"),
        pytest.param(5.0, 5.0, "no range from 5.0 to 5.0 s. Give a start before the end.", id="empty"),
        pytest.param(-1.0, 5.0, "no range from -1.0 to 5.0 s. Give a start before the end.", id="before the start"),
    ],
)  # fmt: skip
def test_a_bad_range_is_refused_in_one_line(
    film: Path, tmp_path: Path, start_s: float, end_s: float, problem: str
) -> None:
    with pytest.raises(MediaError) as caught:
        clip(film, start_s, end_s, tmp_path / "clip.mp4")
    assert str(caught.value) == f"film.mp4: {problem}"
    assert list(tmp_path.iterdir()) == []


def test_a_range_past_the_end_is_refused(film: Path, tmp_path: Path) -> None:
    with pytest.raises(
        MediaError, match=r"^film\.mp4: the range 9\.0 to 12\.0 s reaches past its end at 10\.. s\. Give"
    ):
        clip(film, 9.0, 12.0, tmp_path / "clip.mp4")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("out", ["clip.wav", "clip.xyz", "none/clip.mp4"])
def test_a_clip_that_cannot_be_written_leaves_nothing(film: Path, tmp_path: Path, out: str) -> None:
    with pytest.raises(
        MediaError, match=r"^film\.mp4: a clip of it cannot be written as clip\..*Use the ending \.mp4"
    ) as caught:
        clip(film, 3.0, 5.0, tmp_path / out)
    assert len(str(caught.value).splitlines()) == 1
    assert list(tmp_path.iterdir()) == []
