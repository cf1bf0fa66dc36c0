"""Recordings to a transcript, with the real models.

Human speech: LibriVox, "Sense and Sensibility", public domain; see human_speech/README.md. The bounds for the word
error rate lie well above what was measured, because they guard against a broken chain, not another version's taste.
"""

import re
import tracemalloc
from collections.abc import Callable, Mapping
from pathlib import Path

import jiwer
import numpy as np
import numpy.typing as npt
import pytest

from vouchbook.extract.listen import speech
from vouchbook.extract.listen.chunks import ChunkHearing, hear_chunk
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound
from vouchbook.extract.listen.progress import Progress
from vouchbook.extract.listen.recogniser import Recogniser
from vouchbook.extract.listen.speech import hear
from vouchbook.models.errors import MediaError
from vouchbook.models.transcript import Transcript

WriteSound = Callable[..., Path]

pytestmark = pytest.mark.sound


def seconds(length_s: float) -> npt.NDArray[np.float64]:
    return np.arange(round(length_s * SAMPLE_RATE), dtype=np.float64) / SAMPLE_RATE


def tones(length_s: float, loudness: Mapping[float, float]) -> npt.NDArray[np.float64]:
    """Steady tones, loudness by hertz."""
    at = seconds(length_s)
    total = np.zeros_like(at)
    for hertz, loud in loudness.items():
        total += loud * np.sin(2 * np.pi * hertz * at)
    return total


def workshop(length_s: float, seed: int = 7) -> Sound:
    """Rumble, mains hum and a whirr that swells: made, so that the test knows what is in it."""
    random = np.random.default_rng(seed)
    at = seconds(length_s)
    spectrum = np.fft.rfft(random.standard_normal(at.size))
    hertz = np.fft.rfftfreq(at.size, 1 / SAMPLE_RATE)
    rumble = np.fft.irfft(spectrum / np.maximum(hertz, 40), at.size)
    whirr = np.fft.irfft(np.where((hertz > 500) & (hertz < 3500), spectrum, 0), at.size)
    hum = tones(length_s, {100.0 * k: 1 / k for k in range(1, 8)})
    swell = 1 + 0.5 * np.sin(2 * np.pi * 0.7 * at)
    noise = rumble / rumble.std() + 0.5 * hum + 1.5 * swell * whirr / whirr.std()
    loud: Sound = (0.1 * noise / noise.std()).astype(np.float32)
    return loud


def melody(length_s: float) -> Sound:
    """Plucked notes with harmonics, three a second."""
    at = seconds(length_s)
    note = np.array([262, 349, 440, 294, 392, 523, 330, 494])[(at * 3).astype(int) % 8]
    since = at % (1 / 3)
    plucked = np.sum([np.sin(2 * np.pi * note * k * since) / k for k in range(1, 6)], axis=0) * np.exp(-5 * since)
    sound: Sound = (0.2 * plucked).astype(np.float32)
    return sound


def mixed(voice: Sound, noise: Sound, snr_db: float) -> Sound:
    """Both, with the voice's active parts ``snr_db`` above the noise."""
    frames = np.square(voice[: voice.size // 320 * 320].reshape(-1, 320)).mean(axis=1)
    power = frames[frames > frames.max() / 1000].mean()
    gain = np.sqrt(power / np.square(noise).mean() / 10 ** (snr_db / 10))
    both = voice + gain * noise[: voice.size]
    scaled: Sound = (0.7 * both / np.abs(both).max()).astype(np.float32)
    return scaled


def plain(text: str) -> str:
    text = text.lower().replace("mr.", "mister").replace("-", " ")
    return " ".join(re.sub(r"[^a-z' ]", " ", text).split())


def said(transcript: Transcript) -> str:
    return " ".join(word.text for word in transcript.words)


def error_rate(transcript: Transcript, texts: dict[str, str]) -> float:
    return float(jiwer.wer(" ".join(texts.values()), plain(said(transcript)) or "-"))


@pytest.mark.parametrize(
    ("model", "hotwords", "bound"),
    [
        pytest.param("base", (), 0.1, id="base"),
        pytest.param("tiny.en", (), 0.1, id="tiny.en"),
        pytest.param("base", ("Dashwood", "busbar", "contactor"), 0.15, id="base-with-hotwords"),
    ],
)
def test_human_speech_is_understood(
    *,
    model: str,
    hotwords: tuple[str, ...],
    bound: float,
    reading: Sound,
    texts: dict[str, str],
    write_sound: WriteSound,
    hearing_settings: HearingSettings,
) -> None:
    settings = hearing_settings.model_copy(update={"model": model, "hotwords": hotwords})
    transcript = hear([write_sound("reading.wav", reading)], settings)
    assert error_rate(transcript, texts) < bound
    assert transcript.unheard == ()
    assert transcript.notes == ()
    assert transcript.duration_s == pytest.approx(reading.size / SAMPLE_RATE, abs=0.01)
    assert all(word.probability is not None and word.timing == "heard" for word in transcript.words)


def test_words_stand_at_their_seconds(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    silence = np.zeros(12 * SAMPLE_RATE, dtype=np.float32)
    path = write_sound("late.flac", np.concatenate([silence, clips["0880"]]), codec="flac")
    transcript = hear([path], hearing_settings)
    assert plain(said(transcript)).startswith("he was not an")
    assert transcript.words[0].start_s == pytest.approx(12, abs=0.6)
    assert transcript.words[-1].end_s == pytest.approx(transcript.duration_s, abs=0.6)
    assert transcript.lines[0].start_s == transcript.words[0].start_s


@pytest.mark.parametrize(
    ("name", "codec", "rate"),
    [
        pytest.param("phone.wav", "pcm_mulaw", 8_000, id="8-khz-telephone"),
        pytest.param("visit.mp3", "libmp3lame", 44_100, id="mp3"),
        pytest.param("visit.m4a", "aac", 44_100, id="m4a"),
        pytest.param("visit.mp4", "aac", 48_000, id="film-with-uneven-pictures"),
    ],
)
def test_speech_in_other_containers_is_understood(
    *,
    name: str,
    codec: str,
    rate: int,
    clips: dict[str, Sound],
    texts: dict[str, str],
    write_sound: WriteSound,
    hearing_settings: HearingSettings,
) -> None:
    transcript = hear([write_sound(name, clips["0930"], codec=codec, rate=rate)], hearing_settings)
    assert jiwer.wer(texts["0930"], plain(said(transcript))) < 0.3


def test_a_dead_channel_costs_no_words(
    clips: dict[str, Sound], texts: dict[str, str], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    quiet = clips["0930"] * 0.05  # 26 dB down, as from a recorder in a pocket
    path = write_sound("stereo.wav", np.stack([np.zeros_like(quiet), quiet]))
    assert jiwer.wer(texts["0930"], plain(said(hear([path], hearing_settings)))) < 0.3


@pytest.mark.parametrize(
    "sound",
    [
        pytest.param(np.zeros(40 * SAMPLE_RATE, dtype=np.float32), id="digital-silence"),
        pytest.param(
            (0.1 * np.random.default_rng(3).standard_normal(40 * SAMPLE_RATE)).astype(np.float32), id="white-noise"
        ),
        pytest.param(tones(40, {440: 0.3}).astype(np.float32), id="tone"),
        pytest.param(tones(40, {220: 0.1, 277.2: 0.1, 329.6: 0.1}).astype(np.float32), id="chord"),
        pytest.param(melody(40), id="melody"),
        pytest.param(workshop(40), id="workshop"),
        pytest.param((workshop(40) * ((seconds(40) % 5) < 3)).astype(np.float32), id="bursts"),
    ],
)
@pytest.mark.parametrize("model", ["base", "tiny.en"])
def test_where_nobody_speaks_there_are_no_words_and_nothing_to_listen_to(
    model: str, sound: Sound, write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    transcript = hear([write_sound("quiet.wav", sound)], hearing_settings.model_copy(update={"model": model}))
    assert said(transcript) == ""
    assert transcript.unheard == ()
    assert transcript.duration_s == 40


def test_hiss_after_speech_adds_no_words(
    clips: dict[str, Sound], texts: dict[str, str], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    hiss = (0.02 * np.random.default_rng(4).standard_normal(49 * SAMPLE_RATE)).astype(np.float32)
    transcript = hear([write_sound("hiss.wav", np.concatenate([clips["0930"], hiss]))], hearing_settings)
    assert jiwer.wer(texts["0930"], plain(said(transcript))) < 0.3
    assert transcript.words[-1].end_s < clips["0930"].size / SAMPLE_RATE + 0.5


@pytest.mark.parametrize("model", ["base", "tiny.en"])
def test_drowned_speech_is_shown_as_not_understood(
    model: str, reading: Sound, texts: dict[str, str], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    path = write_sound("drowned.wav", mixed(reading, workshop(40), snr_db=-6))
    transcript = hear([path], hearing_settings.model_copy(update={"model": model}))
    assert error_rate(transcript, texts) > 0.5  # or it is not drowned, and there is nothing to test
    shown_s = sum(stretch.end_s - stretch.start_s for stretch in transcript.unheard)
    assert shown_s > 0.4 * transcript.duration_s
    assert all(stretch.end_s <= transcript.duration_s for stretch in transcript.unheard)


def test_two_files_share_one_clock(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    first = write_sound("one.wav", clips["0880"])
    second = write_sound("two.mp3", clips["0930"], codec="libmp3lame", rate=44_100)
    transcript = hear([first, second], hearing_settings)
    offset_s = clips["0880"].size / SAMPLE_RATE
    assert [(source.name, source.offset_s) for source in transcript.sources] == [
        ("one.wav", 0),
        ("two.mp3", pytest.approx(offset_s, abs=0.01)),
    ]
    assert plain(said(transcript)).endswith("himself")
    before = [word for word in transcript.words if word.start_s < offset_s]
    after = [word for word in transcript.words if word.start_s >= offset_s]
    assert plain(before[0].text) == "he"
    assert plain(after[0].text) == "he"


def _no_recogniser(*_: object) -> Recogniser:
    raise AssertionError("the model was loaded again")


def test_a_second_run_takes_all_from_the_cache(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_sound("visit.wav", clips["0930"])
    first = hear([path], hearing_settings)
    monkeypatch.setattr(speech, "Recogniser", _no_recogniser)
    assert hear([path], hearing_settings) == first
    with pytest.raises(AssertionError, match="loaded again"):
        hear([path], hearing_settings.model_copy(update={"beam_size": 1}))


def test_an_interrupted_run_goes_on_where_it_stopped(
    reading: Sound, write_sound: WriteSound, hearing_settings: HearingSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_sound("long.flac", np.tile(reading, 4), codec="flac")
    settings = hearing_settings.model_copy(update={"chunk_s": 40})
    heard: list[int] = []

    def counted(sound: Sound, start_sample: int, **others: object) -> ChunkHearing:
        heard.append(start_sample)
        return hear_chunk(sound, start_sample, **others)  # type: ignore[arg-type]

    def stop(progress: Progress) -> None:
        if progress.done_s > 40:
            raise KeyboardInterrupt

    monkeypatch.setattr("vouchbook.extract.listen.speech.hear_chunk", counted)
    with pytest.raises(KeyboardInterrupt):
        hear([path], settings, stop)
    assert len(heard) == 2  # the first was finished, the second broken off
    stopped_at = heard[-1]
    heard.clear()
    resumed = hear([path], settings)
    assert heard[0] == stopped_at > 0
    assert resumed == hear([path], settings.model_copy(update={"use_cache": False}))
    text = plain(said(resumed))
    assert text.count("mister john dashwood") == 4
    assert text.count("amiable himself") == 4


def test_a_damaged_cache_entry_is_heard_again(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    path = write_sound("visit.wav", clips["0930"])
    first = hear([path], hearing_settings)
    assert hearing_settings.cache_folder is not None
    (entry,) = hearing_settings.cache_folder.rglob("*.json")
    entry.write_bytes(entry.read_bytes()[:-20])
    assert hear([path], hearing_settings) == first


def test_progress_rises_to_the_end_and_tells_the_time_left(
    reading: Sound, write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    told: list[Progress] = []
    path = write_sound("long.wav", np.tile(reading, 2))
    hear([path], hearing_settings.model_copy(update={"chunk_s": 30}), told.append)
    done = [progress.done_s for progress in told]
    assert done == sorted(done)
    assert done[0] == 0
    assert told[0].left_s is None
    assert done[-1] == told[-1].total_s == pytest.approx(2 * reading.size / SAMPLE_RATE)
    assert told[-1].left_s == 0
    assert any(progress.left_s for progress in told[1:-1])


def test_memory_does_not_grow_with_the_recording(write_sound: WriteSound, hearing_settings: HearingSettings) -> None:
    path = write_sound("shift.flac", np.zeros(12 * 60 * SAMPLE_RATE, dtype=np.float32), codec="flac")
    tracemalloc.start()
    try:
        transcript = hear([path], hearing_settings.model_copy(update={"chunk_s": 60}))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert transcript.duration_s == 12 * 60
    assert peak < 30 * 2**20  # the whole sound as float32 would be 44 MiB


def test_what_is_missing_of_a_truncated_file_is_noted(
    reading: Sound, write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    path = write_sound("cut.wav", reading)
    path.write_bytes(path.read_bytes()[:500_000])
    transcript = hear([path], hearing_settings)
    assert transcript.words
    assert transcript.notes == ("cut.wav: the file says 28 s, but its sound ends after 16 s.",)


def test_a_cache_that_cannot_be_written_is_noted(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings, tmp_path: Path
) -> None:
    (tmp_path / "full").touch()
    settings = hearing_settings.model_copy(update={"cache_folder": tmp_path / "full"})
    transcript = hear([write_sound("visit.wav", clips["0930"])], settings)
    assert transcript.words
    assert transcript.notes == (
        "What was heard could not be kept for a later run: the cache folder cannot be written.",
    )


def test_every_file_is_looked_at_before_the_first_is_heard(
    clips: dict[str, Sound],
    write_sound: WriteSound,
    hearing_settings: HearingSettings,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(speech, "Recogniser", _no_recogniser)
    with pytest.raises(MediaError, match=r"^gone\.wav: there is no such file\. Check the path\.$"):
        hear([write_sound("visit.wav", clips["0930"]), tmp_path / "gone.wav"], hearing_settings)
