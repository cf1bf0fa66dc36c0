"""From files to a draft: the only place that knows both halves, listening and reading."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path

from vouchbook.extract.listen.captions.registry import FORMATS, read_captions
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.progress import Progress
from vouchbook.extract.packs.load import DOMAINS, load_pack, load_vocabulary
from vouchbook.extract.packs.schema import normal_form
from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.models.draft import Draft
from vouchbook.models.errors import SettingError
from vouchbook.models.transcript import Transcript

CLEAR_LEAD = 2.0
"""A pack is read with when the talk holds at least 1/2 as many of its words as of the pack that fits best."""

_CAPTION_ENDINGS = frozenset(ending for entry in FORMATS.values() for ending in entry.endings)


def is_captions(path: Path) -> bool:
    """Whether ``path`` is read as captions or text; everything else is taken for a recording."""
    return path.suffix.lower() in _CAPTION_ENDINGS


def transcript_of(
    paths: Sequence[Path],
    settings: HearingSettings | None = None,
    voices: int | None = None,
    on_progress: Callable[[Progress], None] | None = None,
) -> Transcript:
    """The transcript of one visit: recordings, or captions, in the order in which they were made.

    ``voices`` is the number of people who speak, where the officer knows it; the words of recordings then carry the
    voice that said them.

    Raises:
        InputError: a file cannot be used.
        ModelError: the speech weights cannot be used.
        SettingError: recordings and captions are mixed, or no file is given.
    """
    captions = [path for path in paths if is_captions(path)]
    if captions and len(captions) < len(paths):
        recording = next(path for path in paths if not is_captions(path))
        message = f"{captions[0].name} is captions, {recording.name} is taken for a recording. Give one kind at a time."
        raise SettingError(message)
    if captions:
        return joined([read_captions(path) for path in captions])
    from vouchbook.extract.listen.speech import hear  # takes a second to import, and captions do without it

    return hear(paths, settings, on_progress)


def draft_of(transcript: Transcript, vocabulary: Vocabulary, subject: str = "") -> Draft:
    """What the talk in ``transcript`` gives, read with the words of ``vocabulary``."""
    from vouchbook.extract.read.pipeline import read  # loads the language model

    return read(transcript, vocabulary, subject)


def vocabulary_for(transcript: Transcript, names: Sequence[str] = (), files: Sequence[Path] = ()) -> Vocabulary:
    """The packs called ``names`` and those in ``files``; without names those that the talk itself points to.

    Raises:
        PackError: a pack or file that cannot be used.
    """
    return load_vocabulary(names or packs_of(transcript), files)


def packs_of(transcript: Transcript) -> tuple[str, ...]:
    """The packs whose tell-tale words the talk holds; all of them when it holds none."""
    bare = re.sub(r"[^\w\s-]", " ", transcript.text(0, len(transcript.words)))
    said = f" {normal_form(bare)} "
    hits = {name: sum(f" {normal_form(word)} " in said for word in load_pack(name).recognised_by) for name in DOMAINS}
    best = max(hits.values())
    return tuple(name for name, count in hits.items() if count * CLEAR_LEAD >= best)


def joined(transcripts: Sequence[Transcript]) -> Transcript:
    """Several transcripts as one, each on the clock behind the one before.

    Raises:
        SettingError: there are none.
    """
    if not transcripts:
        raise SettingError("no file was given. Name one or more recordings, or captions.")
    whole = transcripts[0]
    for following in transcripts[1:]:
        whole = _appended(whole, following)
    return whole


def _appended(first: Transcript, second: Transcript) -> Transcript:
    offset_s, words = first.duration_s, len(first.words)

    def later(record: object) -> dict[str, float]:
        return {name: round(getattr(record, name) + offset_s, 3) for name in ("start_s", "end_s")}

    return Transcript(
        sources=(
            *first.sources,
            *(s.model_copy(update={"offset_s": round(s.offset_s + offset_s, 3)}) for s in second.sources),
        ),
        language=first.language,
        made_by=first.made_by,
        duration_s=round(offset_s + second.duration_s, 3),
        words=(*first.words, *(word.model_copy(update=later(word)) for word in second.words)),
        lines=(
            *first.lines,
            *(
                line.model_copy(
                    update=later(line) | {"first_word": line.first_word + words, "last_word": line.last_word + words}
                )
                for line in second.lines
            ),
        ),
        unheard=(*first.unheard, *(stretch.model_copy(update=later(stretch)) for stretch in second.unheard)),
        notes=(*first.notes, *second.notes),
    )
