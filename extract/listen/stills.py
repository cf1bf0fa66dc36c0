"""Sharp pictures out of a film, near the moments at which somebody points at something or does a step.

Focus is measured by the variance of the Laplacian (Pech-Pacheco and others, "Diatom autofocusing in brightfield
microscopy", 2000). The only file that decodes pictures; times are those of the film's one clock, as for its sound.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final, NamedTuple

import av
import numpy as np
import numpy.typing as npt
from av.container import InputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from vouchbook.extract.listen.media import probe
from vouchbook.extract.listen.progress import Progress, ProgressClock
from vouchbook.models.errors import MediaError
from vouchbook.models.record import Record

Pixels = npt.NDArray[np.uint8]

_MEASURED_WIDTH: Final = 640
"""Focus is measured at this width: fine enough for blur, and grain of the sensor does not count as detail."""
_VIEW: Final = (32, 18)
_SAME_SCENE: Final = 20.0
"""Mean grey levels (of 255) by which the coarse views of one scene differ while the camera moves a little."""
_SAME_PICTURE: Final = 12
"""Grey levels by which no cell of the coarse views of one picture differs; a hand that moved differs by more."""
_AS_SHARP: Final = 0.98


class Still(Record):
    """One picture. ``sharpness`` is the variance of the Laplacian in grey levels squared, at a width of 640.

    ``moments_s`` are all moments that it stands for: near-identical pictures are kept once.
    """

    time_s: float
    path: Path
    sharpness: float
    moments_s: tuple[float, ...]


class _Sighting(NamedTuple):
    time_s: float
    sharpness: float
    view: npt.NDArray[np.int16]


def stills(
    path: Path,
    moments_s: Sequence[float],
    folder: Path,
    around_s: float = 1.5,
    on_progress: Callable[[Progress], None] | None = None,
) -> list[Still]:
    """For each moment the sharpest frame within ``around_s`` seconds of it, in the order of the moments.

    Frames beyond a cut are left out: they show something else. JPEG files named by their milliseconds are written to
    ``folder``, which is made if it is missing; the same call again writes the same files. Frames are shown until the
    next one comes, whatever the frame rate. A film that lies on its side is turned upright.

    Raises:
        MediaError: not a film, no pictures in it, a moment past its end, or the folder cannot be written.
    """
    info = probe(path)
    if not info.has_pictures:
        raise MediaError(path.name, "it has no pictures", "Give a film, or go on without stills")
    _check_moments(path.name, info.duration_s, moments_s)
    if not moments_s:
        return []
    spans = _joined((max(moment - around_s, 0.0), moment + around_s) for moment in moments_s)
    clock = ProgressClock([sum(end - start for start, end in spans)], on_progress)
    try:
        with _Film(path) as film:
            seen: list[_Sighting] = []
            for start_s, end_s in spans:
                seen += [_measured(time_s, frame) for time_s, frame in film.frames(start_s, end_s)]
                clock.finish(end_s - start_s, was_kept=False)
            if not seen:
                raise MediaError(path.name, "no picture in it could be decoded", "Copy the film from the camera again")
            kept = _folded([(moment, _sharpest(seen, moment, around_s)) for moment in sorted(moments_s)])
            return [_written(film, folder, sighting, moments) for sighting, moments in kept]
    except av.error.FFmpegError as error:
        problem = f"its pictures cannot be read ({error.strerror})"
        raise MediaError(path.name, problem, "Copy the film from the camera again") from error
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise MediaError(
            str(folder), f"stills cannot be written ({reason})", "Choose another folder or free space"
        ) from error


class _Film:
    """An opened film and its main track of pictures."""

    def __init__(self, path: Path) -> None:
        self._container: InputContainer = av.open(str(path.resolve()), options={"protocol_whitelist": "file"})
        covers = av.stream.Disposition.attached_pic
        self._stream: VideoStream = next(s for s in self._container.streams.video if not s.disposition & covers)
        self._stream.thread_type = "AUTO"
        self._origin_s = (self._container.start_time or 0) / av.time_base

    def __enter__(self) -> "_Film":
        return self

    def __exit__(self, *_: object) -> None:
        self._container.close()

    def frames(self, start_s: float, end_s: float) -> Iterator[tuple[float, VideoFrame]]:
        """The frame that is shown at ``start_s`` and those that come up to ``end_s``, each with its time."""
        shown: tuple[float, VideoFrame] | None = None
        for time_s, frame in self._from_keyframe_before(start_s):
            if time_s > end_s:
                break
            if time_s > start_s:
                if shown is not None:
                    yield shown
                    shown = None
                yield time_s, frame
            else:
                shown = time_s, frame
        if shown is not None:
            yield shown

    def _from_keyframe_before(self, start_s: float) -> Iterator[tuple[float, VideoFrame]]:
        self._container.seek(round((start_s + self._origin_s) * av.time_base))
        came_early = False
        for time_s, frame in self._decoded():
            if not came_early and time_s > start_s:
                break  # a film without a sound index is taken from its beginning
            came_early = True
            yield time_s, frame
        else:
            return
        self._container.seek(0)
        yield from self._decoded()

    def _decoded(self) -> Iterator[tuple[float, VideoFrame]]:
        packets = self._container.demux(self._stream)
        while True:
            try:
                packet = next(packets, None)
                frames = packet.decode() if packet is not None else None
            except av.error.EOFError:
                return
            except av.error.InvalidDataError:  # a damaged place; what follows may be whole
                continue
            if frames is None:
                return
            for frame in frames:
                if isinstance(frame, VideoFrame) and frame.time is not None:
                    yield max(frame.time - self._origin_s, 0.0), frame


def _check_moments(name: str, duration_s: float | None, moments_s: Sequence[float]) -> None:
    for moment in moments_s:
        if moment < 0 or (duration_s is not None and moment > duration_s):
            problem = f"no picture at {moment:.1f} s: the film runs from 0 to {duration_s or 0:.1f} s"
            raise MediaError(name, problem, "Give moments inside the film")


def _joined(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The spans in order, overlapping ones as one: no frame is decoded twice."""
    joined: list[tuple[float, float]] = []
    for start_s, end_s in sorted(spans):
        if joined and start_s <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end_s))
        else:
            joined.append((start_s, end_s))
    return joined


def sharpness(grey: Pixels) -> float:
    """Variance of the Laplacian of a grey picture (rows, columns), in grey levels squared; 0 for one below 3 by 3."""
    if min(grey.shape) < 3:
        return 0.0
    levels = grey.astype(np.float32)
    neighbours = levels[:-2, 1:-1] + levels[2:, 1:-1] + levels[1:-1, :-2] + levels[1:-1, 2:]
    return float(np.var(neighbours - 4 * levels[1:-1, 1:-1]))


def _measured(time_s: float, frame: VideoFrame) -> _Sighting:
    width = min(frame.width, _MEASURED_WIDTH)
    height = max(round(frame.height * width / frame.width), 1)
    return _Sighting(time_s, sharpness(_grey(frame, width, height)), _grey(frame, *_VIEW).astype(np.int16))


def _grey(frame: VideoFrame, width: int, height: int) -> Pixels:
    """The frame made smaller by averaging, shape (height, width)."""
    small = frame.reformat(width=width, height=height, format="gray", interpolation="AREA")
    return small.to_ndarray().astype(np.uint8, copy=False)


def _sharpest(seen: list[_Sighting], moment_s: float, around_s: float) -> _Sighting:
    """The sharpest sighting of what is shown at the moment; of equally sharp ones the nearest."""
    times = [sighting.time_s for sighting in seen]
    now = max(bisect_right(times, moment_s) - 1, 0)
    first = min(bisect_left(times, moment_s - around_s), now)
    last = max(bisect_right(times, moment_s + around_s), now + 1)
    alike = [s for s in seen[first:last] if np.abs(s.view - seen[now].view).mean() <= _SAME_SCENE]
    best = max(sighting.sharpness for sighting in alike)
    as_sharp = [sighting for sighting in alike if sighting.sharpness >= _AS_SHARP * best]
    return min(as_sharp, key=lambda sighting: abs(sighting.time_s - moment_s))


def _folded(chosen: list[tuple[float, _Sighting]]) -> list[tuple[_Sighting, list[float]]]:
    """The pictures with all their moments; of near-identical ones the sharper is kept."""
    kept: list[tuple[_Sighting, list[float]]] = []
    for moment, sighting in chosen:
        for index, (other, moments) in enumerate(kept):
            if np.abs(sighting.view - other.view).max() <= _SAME_PICTURE:
                kept[index] = (max(other, sighting, key=lambda entry: entry.sharpness), [*moments, moment])
                break
        else:
            kept.append((sighting, [moment]))
    return kept


def _written(film: _Film, folder: Path, sighting: _Sighting, moments_s: list[float]) -> Still:
    _, frame = next(film.frames(sighting.time_s, sighting.time_s))
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"still-{round(sighting.time_s * 1000):08d}.jpg"
    unfinished = folder / f".{path.stem}.unfinished.jpg"
    try:
        _upright(frame).save(str(unfinished))
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
    return Still(time_s=sighting.time_s, path=path, sharpness=sighting.sharpness, moments_s=tuple(moments_s))


def _upright(frame: VideoFrame) -> VideoFrame:
    """The frame as players show it: phones write films as the sensor sees them, with the turn beside."""
    quarter_turns = round(frame.rotation / 90) % 4
    if quarter_turns == 0:
        return frame
    pixels: Pixels = frame.to_ndarray(format="rgb24").astype(np.uint8, copy=False)
    return VideoFrame.from_ndarray(np.rot90(pixels, quarter_turns).copy(), format="rgb24")
