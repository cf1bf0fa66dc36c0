"""Loading the model, and what it refuses."""

from collections.abc import Callable
from pathlib import Path

import pytest
from faster_whisper import WhisperModel

from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.media import Sound
from vouchbook.extract.listen.recogniser import Recogniser
from vouchbook.extract.listen.speech import hear
from vouchbook.extract.listen.weights import find_model
from vouchbook.extract.listen.windows import FRAME_S, Span
from vouchbook.models.errors import ModelError, SettingError

WriteSound = Callable[..., Path]

pytestmark = pytest.mark.sound


def test_windows_may_start_at_any_frame(reading: Sound, hearing_settings: HearingSettings) -> None:
    """Starts are rounded on the way through the recogniser; frame 285 comes back as 9.11 s or 9.12 s."""
    recogniser = Recogniser(find_model("tiny.en", hearing_settings.data_folder), hearing_settings)
    spans = [Span(start_s=frame * FRAME_S, end_s=frame * FRAME_S + 0.5) for frame in (0, 285, 565, 640)]
    assert [segment.span for segment in recogniser.recognise(reading, spans)] == spans


@pytest.mark.parametrize(
    ("changes", "error", "message"),
    [
        pytest.param({"language": "de"}, SettingError, r"tiny\.en knows English only", id="english-only"),
        pytest.param({"model": "base", "language": "xx"}, SettingError, "language 'xx' is not known", id="no-language"),
        pytest.param({"model": "huge"}, ModelError, "huge: no such speech model", id="no-model"),
    ],
)
def test_settings_that_cannot_be_followed_are_refused_in_one_line(
    *,
    changes: dict[str, str],
    error: type[Exception],
    message: str,
    clips: dict[str, Sound],
    write_sound: WriteSound,
    hearing_settings: HearingSettings,
) -> None:
    path = write_sound("visit.wav", clips["0880"])
    with pytest.raises(error, match=message) as caught:
        hear([path], hearing_settings.model_copy(update=changes))
    assert "\n" not in str(caught.value)


class _BrokenCard:
    """A graphics card whose libraries are missing: CTranslate2 says so with a RuntimeError."""

    def __init__(self, folder: str, **options: object) -> None:
        if options["device"] == "cuda":
            assert options["compute_type"] == "float16"
            raise RuntimeError("Library libcublas.so.12 is not found or cannot be loaded\nmore")
        self._model = WhisperModel(folder, **options)

    def __getattr__(self, name: str) -> object:
        return getattr(self._model, name)


@pytest.fixture
def _broken_card(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ctranslate2.get_cuda_device_count", lambda: 1)
    monkeypatch.setattr("vouchbook.extract.listen.recogniser.WhisperModel", _BrokenCard)


@pytest.mark.usefixtures("_broken_card")
def test_a_card_that_cannot_be_used_gives_way_to_the_processor(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    transcript = hear([write_sound("visit.wav", clips["0930"])], hearing_settings)
    assert transcript.words[-1].text.startswith("himself")
    assert transcript.notes == ("The graphics card could not be used; the processor heard this.",)


@pytest.mark.usefixtures("_broken_card")
def test_a_card_that_was_asked_for_and_cannot_be_used_is_an_error(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings
) -> None:
    path = write_sound("visit.wav", clips["0880"])
    with pytest.raises(SettingError, match=r"device cuda cannot be used \(Library libcublas.* loaded\)\. Choose"):
        hear([path], hearing_settings.model_copy(update={"device": "cuda"}))


def test_no_recording_is_refused(hearing_settings: HearingSettings) -> None:
    with pytest.raises(SettingError, match="no recording was given"):
        hear([], hearing_settings)


def test_weights_that_cannot_be_loaded_are_said(
    clips: dict[str, Sound], write_sound: WriteSound, hearing_settings: HearingSettings, tmp_path: Path
) -> None:
    folder = tmp_path / "broken"
    folder.mkdir()
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (folder / name).write_text("{}", encoding="utf-8")
    with pytest.raises(ModelError, match="cannot be loaded as a speech model"):
        hear([write_sound("visit.wav", clips["0880"])], hearing_settings.model_copy(update={"model": str(folder)}))
