"""A range cut out of a recording without encoding it again.

Packets are copied from the key frame before the range. In MP4 and MOV an edit list tells players to begin at the exact
start; in other containers the clip begins with that key frame, up to a few seconds early. Sound alone is exact to one
packet, about 20 to 100 ms.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import av
from av.container import InputContainer
from av.packet import Packet
from av.stream import Stream

from vouchbook.extract.listen.media import probe
from vouchbook.models.errors import MediaError

_LATE_S: Final = 0.5
"""How far a range may reach past the end: headers round."""


def clip(path: Path, start_s: float, end_s: float, out: Path) -> Path:
    """``out``, which then holds the sound and pictures of ``path`` from ``start_s`` to ``end_s``.

    The ending of ``out`` names its container; the one of ``path`` always fits. An unfinished clip is never left there.

    Raises:
        MediaError: not sound or film, an empty range or one past the end, or a container that cannot hold it.
    """
    info = probe(path)
    if not 0 <= start_s < end_s:
        raise MediaError(path.name, f"no range from {start_s:.1f} to {end_s:.1f} s", "Give a start before the end")
    if info.duration_s is not None and end_s > info.duration_s + _LATE_S:
        problem = f"the range {start_s:.1f} to {end_s:.1f} s reaches past its end at {info.duration_s:.1f} s"
        raise MediaError(path.name, problem, "Give a range inside the recording")
    unfinished = out.with_name(f".unfinished-{out.name}")
    try:
        with av.open(str(path.resolve()), options={"protocol_whitelist": "file"}) as source:
            copied = _copy(source, start_s, end_s, unfinished)
        if not copied:
            raise MediaError(path.name, f"nothing to copy from {start_s:.1f} s on", "Give a range inside the recording")
        unfinished.replace(out)
    except (av.error.FFmpegError, OSError, ValueError) as error:
        problem = f"a clip of it cannot be written as {out.name} ({error})"
        raise MediaError(
            path.name, problem, f"Use the ending {path.suffix or '.mkv'} in a folder with space"
        ) from error
    finally:
        unfinished.unlink(missing_ok=True)
    return out


def _copy(source: InputContainer, start_s: float, end_s: float, out: Path) -> int:
    """Copies the range; how many packets there were."""
    origin_s = (source.start_time or 0) / av.time_base
    first_s, last_s = origin_s + start_s, origin_s + end_s
    covers = av.stream.Disposition.attached_pic
    tracks: list[Stream] = [s for s in source.streams if s.type in ("audio", "video") and not s.disposition & covers]
    source.seek(round(first_s * av.time_base))
    copied = 0
    with av.open(str(out), "w") as sink:
        copies = {track.index: sink.add_stream_from_template(track) for track in tracks}
        for packet in _inside(source, tracks, first_s, last_s):
            _shift(packet, first_s)
            packet.stream = copies[packet.stream.index]
            sink.mux(packet)
            copied += 1
    return copied


def _inside(source: InputContainer, tracks: list[Stream], first_s: float, last_s: float) -> "Iterator[Packet[Stream]]":
    """The packets of the range. A picture after its end is kept only if one inside it is decoded from it."""
    running = {track.index for track in tracks}
    late: dict[int, list[Packet[Stream]]] = {track.index: [] for track in tracks}
    for packet in source.demux(tracks):
        track = packet.stream.index
        if packet.pts is None or packet.dts is None or track not in running:
            continue
        time_s = float(packet.pts * packet.time_base)
        if float(packet.dts * packet.time_base) >= last_s:
            running.discard(track)
            if not running:
                return
        elif packet.stream.type == "audio" and time_s + float((packet.duration or 0) * packet.time_base) <= first_s:
            continue
        elif time_s >= last_s:
            late[track].append(packet)
        else:
            yield from late[track]
            late[track] = []
            yield packet


def _shift(packet: "Packet[Stream]", first_s: float) -> None:
    """Moves the range's start to 0; what stands before it gets negative times, which an edit list hides."""
    ticks = round(first_s / packet.time_base)
    packet.pts = None if packet.pts is None else packet.pts - ticks
    packet.dts = None if packet.dts is None else packet.dts - ticks
