"""Films are made here, so that which frame is sharp, and which one is which, is known."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt
import pytest

from vouchbook.extract.listen.stills import Still, sharpness, stills
from vouchbook.models.errors import MediaError

Picture = npt.NDArray[np.uint8]
SIZE = (180, 320)


def scene(seed: int) -> Picture:
    """Blocks of random grey: sharp edges, different for each seed."""
    blocks = np.random.default_rng(seed).integers(0, 256, (SIZE[0] // 20, SIZE[1] // 20), dtype=np.uint8)
    return blocks.repeat(20, axis=0).repeat(20, axis=1)


def blurred(picture: Picture, width: int = 9) -> Picture:
    """The picture out of focus: a box filter in both directions."""
    padded = np.pad(picture.astype(np.float32), width // 2, mode="edge")
    rows = np.lib.stride_tricks.sliding_window_view(padded, width, axis=0).mean(axis=-1)
    both: Picture = np.lib.stride_tricks.sliding_window_view(rows, width, axis=1).mean(axis=-1).astype(np.uint8)
    return both


def film(path: Path, pictures: Sequence[tuple[float, Picture]]) -> Path:
    """Pictures at their times, which need not be regular; key frames every 50."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=25, options={"g": "50", "crf": "10"})
        assert isinstance(stream, av.VideoStream)
        stream.height, stream.width, stream.pix_fmt = *SIZE, "yuv420p"
        stream.codec_context.time_base = Fraction(1, 1000)
        for time_s, picture in pictures:
            frame = av.VideoFrame.from_ndarray(picture, format="gray").reformat(format="yuv420p")
            frame.pts, frame.time_base = round(time_s * 1000), Fraction(1, 1000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def picture_of(still: Still) -> Picture:
    with av.open(str(still.path)) as container:
        pixels = next(container.decode(video=0)).to_ndarray(format="gray")
    return pixels.astype(np.uint8)


def difference(first: Picture, second: Picture) -> float:
    return float(np.abs(first.astype(np.float32) - second).mean())


@pytest.fixture
def two_scenes(tmp_path: Path) -> Path:
    """10 s at 25 pictures a second: scene 1 to 5 s, scene 2 after it; out of focus but for 2.0 s and from 7.6 s on."""
    pictures = []
    for index in range(250):
        time_s = index / 25
        picture = scene(1 if time_s < 5 else 2)
        pictures.append((time_s, picture if index == 50 or time_s >= 7.6 else blurred(picture)))
    return film(tmp_path / "two.mp4", pictures)


def test_the_sharp_frame_near_the_moment_is_taken(two_scenes: Path, tmp_path: Path) -> None:
    (still,) = stills(two_scenes, [3.0], tmp_path / "out")
    assert still.time_s == pytest.approx(2.0)
    assert still.moments_s == (3.0,)
    assert difference(picture_of(still), scene(1)) < 5 < difference(picture_of(still), blurred(scene(1)))
    assert still.path == tmp_path / "out" / "still-00002000.jpg"
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["still-00002000.jpg"]


def test_of_equally_sharp_frames_the_nearest_is_taken(two_scenes: Path, tmp_path: Path) -> None:
    (still,) = stills(two_scenes, [8.5], tmp_path)
    assert still.time_s == pytest.approx(8.5, abs=0.05)


def test_a_sharper_frame_beyond_a_cut_shows_something_else(tmp_path: Path) -> None:
    pictures = [(index / 25, blurred(scene(1)) if index < 75 else scene(2)) for index in range(150)]
    (still,) = stills(film(tmp_path / "cut.mp4", pictures), [2.5], tmp_path)
    assert still.time_s < 3
    assert difference(picture_of(still), blurred(scene(1))) < 5


def test_near_identical_pictures_are_kept_once_with_all_their_moments(two_scenes: Path, tmp_path: Path) -> None:
    found = stills(two_scenes, [9.0, 1.5, 2.5, 8.2], tmp_path)
    assert [still.moments_s for still in found] == [(1.5, 2.5), (8.2, 9.0)]
    assert len(list(tmp_path.glob("*.jpg"))) == 2


def test_a_hand_that_moved_is_another_picture(tmp_path: Path) -> None:
    pointing = scene(1)
    pointing[80:120, 100:140] = 255 - pointing[80:120, 100:140]
    pictures = [(index / 25, scene(1) if index < 50 else pointing) for index in range(100)]
    found = stills(film(tmp_path / "hand.mp4", pictures), [1.0, 3.0], tmp_path, around_s=0.5)
    assert [still.moments_s for still in found] == [(1.0,), (3.0,)]


def test_a_picture_is_shown_until_the_next_one_comes(tmp_path: Path) -> None:
    """Variable frame rate: screen recorders and some phones write a picture only when something changes."""
    path = film(
        tmp_path / "slow.mkv", [(0, scene(1)), (0.5, scene(2)), (7, scene(3)), (7.04, scene(3)), (20, scene(4))]
    )
    found = stills(path, [0.2, 5.0, 12.0], tmp_path, around_s=0.1)
    assert [still.time_s for still in found] == pytest.approx([0, 0.5, 7.04])
    for still, seed in zip(found, (1, 2, 3), strict=True):
        assert difference(picture_of(still), scene(seed)) < 5


def test_a_film_on_its_side_is_turned_upright(tmp_path: Path) -> None:
    path = film(tmp_path / "phone.mp4", [(index / 25, scene(1)) for index in range(50)])
    data = bytearray(path.read_bytes())
    header = data.index(b"tkhd")  # version 0: the matrix starts 44 bytes after the name (ISO/IEC 14496-12)
    quarter_turn_clockwise = (0, 0x10000, 0, 0x10000 * -1, 0, 0, 0, 0, 0x40000000)
    matrix = b"".join(number.to_bytes(4, "big", signed=True) for number in quarter_turn_clockwise)
    data[header + 44 : header + 80] = matrix
    path.write_bytes(data)
    (still,) = stills(path, [1.0], tmp_path)
    assert difference(picture_of(still), np.rot90(scene(1), -1)) < 5


def test_the_same_call_again_writes_the_same_files(two_scenes: Path, tmp_path: Path) -> None:
    first = stills(two_scenes, [3.0], tmp_path)
    content = first[0].path.read_bytes()
    assert stills(two_scenes, [3.0], tmp_path) == first
    assert first[0].path.read_bytes() == content


def test_no_moments_give_no_stills(two_scenes: Path, tmp_path: Path) -> None:
    assert stills(two_scenes, [], tmp_path) == []


def test_progress_ends_at_the_whole(two_scenes: Path, tmp_path: Path) -> None:
    told: list[tuple[float, float | None]] = []
    stills(
        two_scenes, [2.0, 8.0], tmp_path, on_progress=lambda progress: told.append((progress.done_s, progress.total_s))
    )
    assert told[-1] == (6.0, 6.0)


@pytest.mark.parametrize("moment_s", [-0.5, 10.5, 3600.0])
def test_a_moment_outside_the_film_is_refused(two_scenes: Path, tmp_path: Path, moment_s: float) -> None:
    with pytest.raises(MediaError) as caught:
        stills(two_scenes, [1.0, moment_s], tmp_path)
    assert str(caught.value) == (
        f"two.mp4: no picture at {moment_s:.1f} s: the film runs from 0 to 10.0 s. Give moments inside the film."
    )


def test_a_recording_without_pictures_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "talk.wav"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("pcm_s16le", rate=16000, layout="mono")
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 16000), dtype=np.int16), format="s16", layout="mono")
        frame.sample_rate = 16000
        container.mux(stream.encode(frame))
    with pytest.raises(MediaError) as caught:
        stills(path, [0.5], tmp_path)
    assert str(caught.value) == "talk.wav: it has no pictures. Give a film, or go on without stills."


def test_a_folder_that_cannot_be_made_is_refused_in_one_line(two_scenes: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(MediaError, match=r"taken: stills cannot be written \(File exists\)\. Choose another"):
        stills(two_scenes, [3.0], tmp_path / "taken")


def test_a_film_cut_off_gives_what_is_left_or_one_line(tmp_path: Path) -> None:
    whole = film(tmp_path / "whole.mkv", [(index / 25, scene(1)) for index in range(250)]).read_bytes()
    path = tmp_path / "half.mkv"
    for size in range(0, len(whole), len(whole) // 7):
        path.write_bytes(whole[:size])
        try:
            found = stills(path, [1.0], tmp_path / "out")
        except MediaError as error:
            message = str(error)
        else:
            assert difference(picture_of(found[0]), scene(1)) < 5
            continue
        assert message.startswith("half.mkv: ")
        assert len(message.splitlines()) == 1


def test_sharpness_is_the_variance_of_the_laplacian() -> None:
    spot = np.zeros((5, 5), dtype=np.uint8)
    spot[2, 2] = 10
    # Inside the border the Laplacian is -40 once, 10 four times and 0 four times: mean 0, variance 2000 / 9.
    assert sharpness(spot) == pytest.approx(2000 / 9)
    assert sharpness(np.full((5, 5), 200, dtype=np.uint8)) == 0
    assert sharpness(np.zeros((2, 5), dtype=np.uint8)) == 0
    assert sharpness(scene(1)) > 2 * sharpness(blurred(scene(1), 3)) > 2 * sharpness(blurred(scene(1)))
