"""Everything that can be wrong with an input, through the command line.

What cannot be used: one line on standard error that names the file, what is wrong and what to do, exit code 2, and
nothing written. What can be used in part: a draft, and a note in it.
"""

import errno
import json
import os
import subprocess
import sys
import wave
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

from vouchbook.extract.listen import speech
from vouchbook.extract.listen.chunks import ChunkHearing, hear_chunk
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound, blocks

CLIPS = Path(__file__).parent / "extract" / "listen" / "human_speech"
SAID = "he was not an ill disposed young man"
CAPTIONS = "WEBVTT\n\n00:01.000 --> 00:04.000\nTake off the cover.\n\n00:05.000 --> 00:08.000\nPull the plug.\n"
Run = Callable[..., tuple[int, str, str]]
Made = Callable[[Path], Path]


@pytest.fixture(autouse=True)
def _empty_cache(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("VOUCHBOOK_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    folder = tmp_path / "visit"
    folder.mkdir()
    return folder


def speech_sound() -> Sound:
    """A human reader's sentence, with a second of quiet around it."""
    quiet = np.zeros(SAMPLE_RATE, dtype=np.float32)
    return np.concatenate([quiet, *blocks(CLIPS / "0880.flac"), quiet])


def write_wav(path: Path, channels: Sequence[Sound], rate: int = SAMPLE_RATE) -> Path:
    samples = (np.clip(np.stack(channels, axis=1), -1, 1) * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(len(channels))
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return path


def write_film(path: Path, seconds: int, sound: Sound | None = None) -> Path:
    """Grey pictures that come at uneven times, as phones make them, and perhaps sound."""
    with av.open(str(path), "w") as container:
        pictures = container.add_stream("mpeg4", rate=30, width=64, height=48, pix_fmt="yuv420p")
        track = container.add_stream("aac", rate=SAMPLE_RATE, layout="mono") if sound is not None else None
        tick = 0
        while tick < seconds * 30:
            picture = av.VideoFrame.from_ndarray(np.full((48, 64, 3), tick % 255, dtype=np.uint8), format="rgb24")
            picture.pts, picture.time_base = tick, Fraction(1, 30)
            container.mux(pictures.encode(picture))
            tick += (1, 2, 7)[tick % 3]
        container.mux(pictures.encode(None))
        if track is not None and sound is not None:
            frame = av.AudioFrame.from_ndarray(sound[None, :], format="fltp", layout="mono")
            frame.sample_rate = SAMPLE_RATE
            container.mux(track.encode(frame))
            container.mux(track.encode(None))
    return path


def empty(folder: Path) -> Path:
    (folder / "empty.wav").write_bytes(b"")
    return folder / "empty.wav"


def empty_captions(folder: Path) -> Path:
    (folder / "empty.vtt").write_bytes(b"\r\n")
    return folder / "empty.vtt"


def text_as_recording(folder: Path) -> Path:
    (folder / "talk.wav").write_text(CAPTIONS, encoding="utf-8")
    return folder / "talk.wav"


def recording_as_captions(folder: Path) -> Path:
    return write_wav(folder / "talk.wav", [speech_sound()]).rename(folder / "talk.vtt")


def truncated_film(folder: Path) -> Path:
    """A film whose index stood at its end: the recorder lost power."""
    film = write_film(folder / "cut.mp4", 3, speech_sound())
    film.write_bytes(film.read_bytes()[:-2000])
    return film


def film_without_sound(folder: Path) -> Path:
    return write_film(folder / "mute.mp4", 2)


def captions_without_times(folder: Path) -> Path:
    torn = "WEBVTT\n\n00:61.000 --> x:1\nTake off the cover.\n\n00:xx --> 00:yy\nPull the plug.\n"
    (folder / "torn.vtt").write_text(torn, encoding="utf-8")
    return folder / "torn.vtt"


def german_captions(folder: Path) -> Path:
    sentence = "Zuerst nehmen Sie bitte die Abdeckung ab und ziehen dann den orangefarbenen Stecker vorsichtig heraus."
    cues = "".join(f"{n}\n00:00:{n:02},000 --> 00:00:{n + 1:02},000\n{sentence}\n\n" for n in range(1, 6))
    (folder / "german.srt").write_text(cues, encoding="utf-8")
    return folder / "german.srt"


def noise_bytes(folder: Path) -> Path:
    (folder / "noise.vtt").write_bytes(bytes(range(256)) * 20)
    return folder / "noise.vtt"


GIVE_SOUND = "Give a sound or film file with speech in it."
REFUSED = [
    pytest.param(empty, "empty.wav: the file is empty. Copy it from the recorder again.", id="empty"),
    pytest.param(empty_captions, "empty.vtt: the file is empty. Give a file with captions.", id="empty-captions"),
    pytest.param(lambda folder: folder / "gone.wav", "gone.wav: there is no such file. Check the path.", id="missing"),
    pytest.param(
        lambda folder: folder / "gone.vtt",
        "gone.vtt: cannot be opened (No such file or directory). Check the path and its permissions.",
        id="missing-captions",
    ),
    pytest.param(
        lambda folder: folder,
        "visit: it is a folder. Name the recordings in it, in the order in which they were made.",
        id="a-folder",
    ),
    pytest.param(
        text_as_recording,
        f"talk.wav: it has no audio track. {GIVE_SOUND}",
        id="wrong-ending-captions-as-recording",
    ),
    pytest.param(
        recording_as_captions,
        "talk.vtt: a recording, not captions. Give it as the recording.",
        id="wrong-ending-recording-as-captions",
    ),
    pytest.param(
        truncated_film,
        f"cut.mp4: it is not sound or film, or it is too damaged to open. {GIVE_SOUND}",
        id="truncated-before-its-index",
    ),
    pytest.param(film_without_sound, f"mute.mp4: it has no audio track. {GIVE_SOUND}", id="no-audio-track"),
    pytest.param(
        captions_without_times,
        "torn.vtt: none of its 2 captions has a time that can be read. "
        "Mend the times, in WebVTT they look like 00:01:05.000 --> 00:01:09.500.",
        id="corrupt-captions",
    ),
    pytest.param(
        german_captions,
        "german.srt: the words do not look like English. Give captions in English.",
        id="another-language",
    ),
    pytest.param(
        noise_bytes, "noise.vtt: not text. Give captions as WebVTT, SRT, plain text or JSON.", id="binary-as-captions"
    ),
]


@pytest.mark.parametrize(("make", "message"), REFUSED)
def test_what_cannot_be_used_is_refused_in_one_line(run: Run, visit: Path, make: Made, message: str) -> None:
    path = make(visit)
    before = sorted(visit.iterdir())
    code, out, err = run("draft", path, "--model", "tiny.en")
    assert (code, out) == (2, "")
    assert err == f"{message}\n"
    assert sorted(visit.iterdir()) == before


@pytest.mark.parametrize("option", [["--json"], ["--out", "drafts"]], ids=["json", "out"])
def test_an_error_reaches_the_shell(visit: Path, option: list[str]) -> None:
    command = [sys.executable, "-m", "vouchbook", "draft", str(empty(visit)), *option]
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=120, cwd=visit)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "empty.wav: the file is empty. Copy it from the recorder again.\n"


def test_one_bad_file_of_a_visit_is_found_before_the_others_are_heard(
    run: Run, visit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("the first file was heard")

    monkeypatch.setattr(speech, "hear_chunk", never)
    good, bad = write_wav(visit / "one.wav", [speech_sound()]), empty(visit)
    assert run("draft", good, bad, "--model", "tiny.en") == (
        2,
        "",
        "empty.wav: the file is empty. Copy it from the recorder again.\n",
    )


@pytest.mark.sound
@pytest.mark.parametrize(
    "make",
    [
        pytest.param(lambda folder: write_wav(folder / "a.wav", [speech_sound()]), id="as-usual"),
        pytest.param(
            lambda folder: write_wav(folder / "a.wav", [speech_sound()]).rename(folder / "a.mp3"), id="wrong-ending"
        ),
        pytest.param(lambda folder: write_wav(folder / "a.wav", [speech_sound()[::2]], 8000), id="8-khz"),
        pytest.param(
            lambda folder: write_wav(folder / "a.wav", [np.zeros_like(speech_sound()), speech_sound()]),
            id="stereo-with-a-dead-channel",
        ),
        pytest.param(lambda folder: write_film(folder / "a.mp4", 6, speech_sound()), id="variable-frame-rate"),
    ],
)
def test_what_recorders_do_to_sound_does_not_matter(run: Run, visit: Path, make: Made) -> None:
    code, out, _ = run("hear", make(visit), "--model", "tiny.en", "--format", "txt", "--stdout")
    words = "".join(letter if letter.isalpha() else " " for letter in out.lower()).split()
    assert code == 0
    assert len(set(words) & set(SAID.split())) >= 6, out


@pytest.mark.sound
def test_a_truncated_recording_gives_what_is_there_and_says_so(run: Run, visit: Path) -> None:
    path = write_wav(visit / "cut.wav", [np.concatenate([speech_sound()] * 3)])
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    code, out, _ = run("draft", path, "--model", "tiny.en", "--json")
    assert code == 0
    (note,) = json.loads(out)["transcript"]["notes"]
    assert note.startswith("cut.wav: the file says")


def chords(seconds: int) -> Sound:
    """Changing chords with a beat: music, as far as a voice detector is concerned."""
    time = np.arange(seconds * SAMPLE_RATE) / SAMPLE_RATE
    roots = np.array([220.0, 174.6, 261.6, 196.0])[(time // 2).astype(int) % 4]
    phase = 2 * np.pi * np.cumsum(roots) / SAMPLE_RATE
    tone = sum(np.sin(phase * step) / 4 for step in (1, 1.25, 1.5, 2))
    beat = np.exp(-8 * (time % 0.5))
    return np.asarray(0.3 * tone * (0.5 + beat), dtype=np.float32)


@pytest.mark.sound
@pytest.mark.parametrize(
    "sound",
    [
        pytest.param(np.zeros(20 * SAMPLE_RATE, dtype=np.float32), id="silent"),
        pytest.param(chords(20), id="music-only"),
    ],
)
def test_without_talk_there_are_no_items_and_no_file_is_missing(run: Run, visit: Path, sound: Sound) -> None:
    path = write_wav(visit / "a.wav", [sound])
    code, out, err = run("draft", path, "--model", "tiny.en")
    assert (code, err) == (0, "")
    assert "Nothing in this talk could be made into an item." in out
    draft = json.loads((visit / "a.draft.json").read_text(encoding="utf-8"))
    assert draft["items"] == []
    assert draft["transcript"]["words"] == []


@pytest.mark.sound
def test_a_long_silent_recording_works(run: Run, visit: Path) -> None:
    """Half an hour with one sentence at its end, which must still be there at its second."""
    rate, seconds = 8000, 1800
    with wave.open(str(visit / "long.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(bytes(2 * rate * seconds))
        file.writeframes((speech_sound()[::2] * 32767).astype("<i2").tobytes())
    code, out, _ = run("hear", visit / "long.wav", "--model", "tiny.en", "--format", "json", "--stdout")
    assert code == 0
    heard = json.loads(out)
    starts = [word["start"] for segment in heard["segments"] for word in segment["words"]]
    assert len(starts) >= 6
    assert min(starts) > seconds - 1
    assert "young man" in heard["text"].lower()


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        pytest.param(
            "WEBVTT\n\n00:05.000 --> 00:08.000\nPull the plug.\n\n00:01.000 --> 00:04.000\nTake off the cover.\n",
            ["Line 6: out of order, sorted by time."],
            id="out-of-order",
        ),
        pytest.param(
            "WEBVTT\n\n00:01.000 --> 00:07.000\nTake off the cover.\n\n00:05.000 --> 00:08.000\nPull the plug.\n",
            ["Line 6: overlaps the caption before it, both kept."],
            id="overlapping",
        ),
        pytest.param(
            CAPTIONS.replace("Pull the plug", "Pull the “plug”").encode("cp1252"),
            ["Line 7: not UTF-8, read as cp1252."],
            id="another-encoding",
        ),
        pytest.param(
            CAPTIONS.replace("Take off", "Don\u2019t take off").encode()
            + "\n00:09.000 --> 00:10.000\n“No”\n".encode("cp1252"),
            ["Line 10: not UTF-8, read as cp1252."],
            id="mixed-encodings",
        ),
    ],
)
def test_captions_that_can_be_mended_are_used_with_a_note(
    run: Run, visit: Path, text: str | bytes, notes: list[str]
) -> None:
    path = visit / "talk.vtt"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    code, out, err = run("draft", path, "--json")
    assert (code, err) == (0, "")
    transcript = json.loads(out)["transcript"]
    assert transcript["notes"] == notes
    assert {"cover.", "Pull"} <= {word["text"] for word in transcript["words"]}


def test_a_full_disk_leaves_nothing_half_written(run: Run, visit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = visit / "talk.vtt"
    path.write_text(CAPTIONS, encoding="utf-8")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    code, out, err = run("draft", path)
    target = visit / "talk.draft.json"
    remedy = "Make room, or give another folder with --out."
    assert (code, out) == (2, "")
    assert err == f"{target}: cannot be written (No space left on device). {remedy}\n"
    assert list(visit.iterdir()) == [path]


def test_a_folder_that_may_not_be_written_is_found_before_listening(
    run: Run, visit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("it was heard")

    monkeypatch.setattr(speech, "hear", never)
    (visit / "file").write_bytes(b"")
    path = write_wav(visit / "a.wav", [speech_sound()])
    code, _, err = run("hear", path, "--out", visit / "file")
    assert (code, err.count("\n")) == (2, 1)
    assert "cannot be written" in err


@pytest.mark.sound
def test_an_interrupted_hearing_goes_on_where_it_stopped(
    run: Run, visit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six minutes are two chunks; the first run is stopped in the second one."""
    quiet = np.zeros(345 * SAMPLE_RATE, dtype=np.float32)
    path = write_wav(visit / "a.wav", [np.concatenate([speech_sound(), quiet, speech_sound()])])
    heard: list[int] = []

    def stopped(sound: Sound, start: int, **options: Any) -> ChunkHearing:  # noqa: ANN401  handed on as they are
        heard.append(start)
        if stop_at == len(heard):
            raise KeyboardInterrupt
        return hear_chunk(sound, start, **options)

    monkeypatch.setattr(speech, "hear_chunk", stopped)
    arguments = ("draft", path, "--model", "tiny.en")
    stop_at = 2
    code, out, err = run(*arguments)
    assert (code, out) == (130, "")
    assert err == "Interrupted. Run the same command again: it goes on where it stopped.\n"
    assert list(visit.iterdir()) == [path]

    stop_at, heard[:] = 0, []
    assert run(*arguments)[0] == 0
    assert len(heard) == 1
    assert heard[0] > 250 * SAMPLE_RATE
    continued = (visit / "a.draft.json").read_bytes()

    monkeypatch.setenv("VOUCHBOOK_CACHE", str(tmp_path / "another"))
    assert run(*arguments)[0] == 0
    assert len(heard) == 3
    assert (visit / "a.draft.json").read_bytes() == continued
    assert json.loads(continued)["transcript"]["words"][-1]["start_s"] > 340
