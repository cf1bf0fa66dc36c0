"""How a recording is heard: the settings of the recogniser."""

from pathlib import Path
from typing import Literal

from pydantic import Field

from vouchbook.models.record import Record


class HearingSettings(Record):
    """Settings of one hearing; the defaults suit one English-speaking technician on a machine without a graphics card.

    ``model`` is "base", "tiny.en" or the folder of a CTranslate2 Whisper model. ``hotwords`` pull the recogniser
    towards words; they make speech without these words worse, so none are given by default. ``threads`` 0 means one
    for each core. ``batch_size`` windows are decoded at once: 8 took 340 MiB more than 4 and were no faster on two
    cores; a graphics card may gain from more. ``chunk_s`` is the length of sound that is recognised, and kept for a
    later run, at a time.
    """

    model: str = "base"
    device: Literal["auto", "cpu", "cuda"] = "auto"
    threads: int = Field(default=0, ge=0)
    language: str = "en"
    hotwords: tuple[str, ...] = ()
    beam_size: int = Field(default=5, ge=1)
    batch_size: int = Field(default=4, ge=1)
    chunk_s: float = Field(default=300, ge=30)
    cache_folder: Path | None = None
    """None: the user's cache folder, or the one that ``VOUCHBOOK_CACHE`` names."""
    data_folder: Path | None = None
    """None: the user's data folder, or the one that ``VOUCHBOOK_DATA`` names."""
    use_cache: bool = True

    def what_changes_words(self) -> dict[str, object]:
        """The settings that can change what is heard, for the cache's key; the model and device come in elsewhere."""
        return self.model_dump(include={"language", "hotwords", "beam_size", "batch_size", "chunk_s"})
