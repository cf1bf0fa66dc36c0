"""Sound out of files of many kinds, good and bad."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from vouchbook.extract.listen.media import SAMPLE_RATE, Sound, blocks, probe
from vouchbook.models.errors import MediaError

WriteSound = Callable[..., Path]

pytestmark = pytest.mark.sound


def decoded(path: Path, notes: list[str] | None = None) -> Sound:
    return np.concatenate(list(blocks(path, notes)))


def level(sound: Sound) -> float:
    return float(np.sqrt(np.mean(np.square(sound))))


def likeness(sound: Sound, original: Sound) -> float:
    """The highest correlation of the two over shifts up to 0.2 s (encoders delay)."""
    size = 1 << int(np.ceil(np.log2(sound.size + original.size)))
    product = np.fft.irfft(np.fft.rfft(sound, size) * np.conj(np.fft.rfft(original, size)), size)
    near = np.concatenate([product[:3200], product[-3200:]])
    return float(near.max() / (np.linalg.norm(sound) * np.linalg.norm(original)))


@pytest.mark.parametrize(
    ("name", "codec", "rate", "has_pictures"),
    [
        pytest.param("visit.wav", "pcm_s16le", 44_100, False, id="wav"),
        pytest.param("visit.mp3", "libmp3lame", 44_100, False, id="mp3"),
        pytest.param("visit.m4a", "aac", 44_100, False, id="m4a"),
        pytest.param("visit.flac", "flac", 48_000, False, id="flac"),
        pytest.param("visit.ogg", "libopus", 48_000, False, id="ogg"),
        pytest.param("visit.webm", "libopus", 48_000, False, id="webm"),
        pytest.param("visit.mp4", "aac", 48_000, True, id="mp4-uneven-pictures"),
        pytest.param("visit.mov", "pcm_s16le", 48_000, True, id="mov-uneven-pictures"),
        pytest.param("visit.mkv", "libopus", 48_000, True, id="mkv-uneven-pictures"),
        pytest.param("visit.avi", "libmp3lame", 44_100, True, id="avi"),
        pytest.param("phone.wav", "pcm_mulaw", 8_000, False, id="8-khz-telephone"),
        pytest.param("phone.amr.3gp", "aac", 8_000, False, id="3gp-8-khz"),
    ],
)
def test_sound_comes_out_of_each_kind_of_file(
    *, name: str, codec: str, rate: int, has_pictures: bool, clips: dict[str, Sound], write_sound: WriteSound
) -> None:
    clip = clips["0930"]
    path = write_sound(name, clip, codec=codec, rate=rate)
    info = probe(path)
    sound = decoded(path)
    assert (info.has_sound, info.has_pictures, info.channels, info.sample_rate) == (True, has_pictures, 1, rate)
    assert info.duration_s == pytest.approx(clip.size / SAMPLE_RATE, abs=0.3)
    assert sound.dtype == np.float32
    assert sound.size / SAMPLE_RATE == pytest.approx(clip.size / SAMPLE_RATE, abs=0.15)
    assert likeness(sound, clip) > 0.9  # lossy codecs and the telephone's 4 kHz leave the voice as it is


def test_a_wrong_ending_does_not_matter(clips: dict[str, Sound], write_sound: WriteSound) -> None:
    path = write_sound("visit.flac", clips["0880"], codec="flac")
    renamed = path.rename(path.with_suffix(".docx"))
    assert likeness(decoded(renamed), clips["0880"]) > 0.99


def test_blocks_are_small_and_add_up(clips: dict[str, Sound], write_sound: WriteSound) -> None:
    long = np.tile(clips["0870"], 6)
    sizes = [block.size for block in blocks(write_sound("long.wav", long), block_s=5)]
    assert sum(sizes) == long.size
    assert max(sizes) <= 6 * SAMPLE_RATE


@pytest.mark.parametrize(
    ("left", "right"),
    [
        pytest.param(1, 0, id="right-dead"),
        pytest.param(0, 1, id="left-dead"),
        pytest.param(1, 0.005, id="right-cross-talk-46-db-down"),
        pytest.param(1, -1, id="one-microphone-inverted"),
        pytest.param(1, 1, id="both-alike"),
    ],
)
def test_stereo_keeps_the_level_of_the_voice(
    left: float, right: float, clips: dict[str, Sound], write_sound: WriteSound
) -> None:
    clip = clips["0930"]
    path = write_sound("stereo.wav", np.stack([clip * left, clip * right]).astype(np.float32))
    assert probe(path).channels == 2
    assert level(decoded(path)) == pytest.approx(level(clip), rel=0.05)


def test_sound_that_starts_after_the_pictures_stands_at_its_second(
    clips: dict[str, Sound], write_sound: WriteSound
) -> None:
    path = write_sound("late.mp4", clips["0930"], codec="aac", rate=48_000, start_s=2.0)
    sound = decoded(path)
    assert level(sound[: int(1.9 * SAMPLE_RATE)]) < 1e-4
    assert sound.size / SAMPLE_RATE == pytest.approx(2.0 + clips["0930"].size / SAMPLE_RATE, abs=0.15)


@pytest.mark.parametrize(
    ("name", "codec"),
    [
        pytest.param("cut.wav", "pcm_s16le", id="wav"),
        pytest.param("cut.flac", "flac", id="flac"),
        pytest.param("cut.mkv", "libopus", id="mkv"),
    ],
)
def test_what_decodes_of_a_truncated_file_is_used_and_said(
    name: str, codec: str, reading: Sound, write_sound: WriteSound
) -> None:
    path = write_sound(name, reading, codec=codec, rate=48_000)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    notes: list[str] = []
    sound = decoded(path, notes)
    assert 0.3 * reading.size < sound.size < 0.7 * reading.size
    assert len(notes) >= 1
    assert re.fullmatch(rf"{name}: the file says 2\d s, but its sound ends after 1\d s\.", notes[0])


def test_damage_in_the_middle_is_passed_over_and_said(reading: Sound, write_sound: WriteSound) -> None:
    path = write_sound("hit.mp3", reading, codec="libmp3lame", rate=44_100)
    content = bytearray(path.read_bytes())
    middle = len(content) // 2
    content[middle : middle + 3000] = bytes(np.random.default_rng(5).integers(0, 255, 3000, dtype=np.uint8))
    path.write_bytes(content)
    notes: list[str] = []
    sound = decoded(path, notes)
    assert sound.size > 0.9 * reading.size
    assert any("damaged place" in note for note in notes)


def test_a_whole_file_has_no_notes(clips: dict[str, Sound], write_sound: WriteSound) -> None:
    notes: list[str] = []
    decoded(write_sound("whole.m4a", clips["0870"], codec="aac", rate=44_100), notes)
    assert notes == []


def _missing(folder: Path) -> Path:
    return folder / "nowhere.wav"


def _folder(folder: Path) -> Path:
    return folder


def _empty(folder: Path) -> Path:
    (folder / "empty.wav").touch()
    return folder / "empty.wav"


def _text(folder: Path) -> Path:
    (folder / "notes.wav").write_text("Not sound at all. " * 50, encoding="utf-8")
    return folder / "notes.wav"


def _noise_bytes(folder: Path) -> Path:
    (folder / "noise.mp4").write_bytes(np.random.default_rng(1).bytes(5000))
    return folder / "noise.mp4"


def _header_only(folder: Path) -> Path:
    (folder / "head.mp4").write_bytes(b"\x00\x00\x00\x20ftypisom\x00\x00\x02\x00isomiso2avc1mp41")
    return folder / "head.mp4"


@pytest.mark.parametrize(
    ("make", "problem"),
    [
        pytest.param(_missing, "there is no such file", id="missing"),
        pytest.param(_folder, "it is a folder", id="folder"),
        pytest.param(_empty, "the file is empty", id="empty"),
        pytest.param(_text, "it is not sound or film", id="text"),
        pytest.param(_noise_bytes, "it is not sound or film", id="random-bytes"),
        pytest.param(_header_only, "it is not sound or film", id="truncated-before-its-index"),
    ],
)
@pytest.mark.parametrize("use", [probe, decoded], ids=["probe", "blocks"])
def test_what_is_not_a_recording_is_refused_in_one_line(
    use: Callable[[Path], Any], make: Callable[[Path], Path], problem: str, tmp_path: Path
) -> None:
    path = make(tmp_path)
    with pytest.raises(MediaError) as caught:
        use(path)
    assert str(caught.value).startswith(f"{path.name}: {problem}")
    assert "\n" not in str(caught.value)


def test_film_without_sound_is_refused(clips: dict[str, Sound], write_sound: WriteSound, tmp_path: Path) -> None:
    import av

    source = write_sound("film.mp4", clips["0880"], codec="aac", rate=48_000)
    silent = tmp_path / "silent.mp4"
    with av.open(str(source)) as film, av.open(str(silent), "w") as out:
        pictures = out.add_stream_from_template(film.streams.video[0])
        for packet in film.demux(film.streams.video[0]):
            if packet.dts is not None:
                packet.stream = pictures
                out.mux(packet)
    info = probe(silent)
    assert (info.has_sound, info.has_pictures) == (False, True)
    with pytest.raises(MediaError, match=r"^silent\.mp4: it has no audio track\. Give a sound or film file"):
        decoded(silent)


def test_a_playlist_is_not_followed(clips: dict[str, Sound], write_sound: WriteSound, tmp_path: Path) -> None:
    write_sound("secret.wav", clips["0880"])
    playlist = tmp_path / "list.m3u8"
    playlist.write_text("#EXTM3U\n#EXT-X-TARGETDURATION:3\n#EXTINF:3,\nsecret.wav\n#EXT-X-ENDLIST\n", encoding="utf-8")
    with pytest.raises(MediaError, match=r"^list\.m3u8: it is"):
        decoded(playlist)
