"""From files to a draft: the only place that knows both halves, listening and reading."""

import math
from collections.abc import Callable, Sequence
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from vouchbook.extract.listen.captions.registry import FORMATS, read_captions
from vouchbook.extract.listen.hearing_settings import HearingSettings
from vouchbook.extract.listen.progress import Progress
from vouchbook.extract.packs.load import COMMON, DOMAINS, load_domains, load_pack, load_pack_file
from vouchbook.extract.packs.recognise import choose_packs
from vouchbook.extract.packs.schema import Pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.models.draft import Draft
from vouchbook.models.errors import SettingError
from vouchbook.models.transcript import Transcript

if TYPE_CHECKING:
    from vouchbook.extract.read.explained.records import Explained
    from vouchbook.extract.read.pipeline import Reader

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

    ``voices`` is the number of people who speak, where the officer knows it; the words of recordings then carry a
    letter for the voice that said them. ``on_progress`` starts again for the voices.

    Raises:
        InputError: a file cannot be used.
        ModelError: the speech weights cannot be used.
        SettingError: recordings and captions are mixed, a file is given twice or none, or captions and ``voices``.
    """
    for path in paths:
        if paths.count(path) > 1:
            raise SettingError(f"{path.name}: given twice. Name each file of the visit once.")
    captions = [path for path in paths if is_captions(path)]
    if captions and len(captions) < len(paths):
        recording = next(path for path in paths if not is_captions(path))
        message = f"{captions[0].name} is captions, {recording.name} is taken for a recording. Give one kind at a time."
        raise SettingError(message)
    if captions and voices is not None:
        message = f"{captions[0].name} is captions: voices can be told apart in recordings only. Leave --voices out."
        raise SettingError(message)
    if captions:
        return joined([read_captions(path) for path in captions])
    from vouchbook.extract.listen.speech import hear  # takes a second to import, and captions do without it

    transcript = hear(paths, settings, on_progress)
    if voices is None:
        return transcript
    from vouchbook.extract.listen.media import blocks
    from vouchbook.extract.listen.voices import with_voices

    sound = chain.from_iterable(blocks(path) for path in paths)
    return with_voices(transcript, sound, voices, on_progress)


class Drafting:
    """Transcripts to drafts, with packs that are named, or that each talk calls for; made ready once for many talks."""

    def __init__(self, names: Sequence[str] = (), files: Sequence[Path] = ()) -> None:
        """Loads all packs at once, so that one that cannot be used is found before an hour of listening.

        Raises:
            PackError: a pack or a file that cannot be used.
        """
        self._named = tuple(load_pack(name) for name in names)
        self._own = tuple(load_pack_file(file) for file in files)
        self._common, self._domains = load_pack(COMMON), load_domains()
        self._readers: dict[tuple[str, ...], Reader] = {}

    def draft(self, transcript: Transcript, subject: str = "") -> Draft:
        """What the talk in ``transcript`` gives; the same words and packs give the same draft."""
        chosen = self._named or choose_packs(transcript.text(0, len(transcript.words)), self._domains)
        packs = (self._common, *chosen, *self._own)
        key = tuple(pack.name for pack in packs)
        if key not in self._readers:
            from vouchbook.extract.read.pipeline import Reader  # the language library takes a second to import
            from vouchbook.extract.tagger.load import load_tagger

            self._readers[key] = Reader(layered(*packs), load_tagger())
        return self._readers[key].read(transcript, subject)


def explained(draft: Draft, entry_id: str, name: str, files: Sequence[Path] = ()) -> "Explained":
    """What made the item or question ``entry_id`` of ``draft``, read again with the packs that it was read with.

    ``files`` are the packs among them that do not come with the program; ``name`` is how errors name the draft.

    Raises:
        DocumentError: it has no such entry.
        PackError: a file that cannot be used.
        SettingError: a pack of the draft is not given, or one is given that the draft was not read with.
    """
    from vouchbook.extract.read.explained.entries import entry_of

    entry = entry_of(draft, entry_id, name)
    packs = _packs_of(draft, name, files)
    from vouchbook.extract.read.explained.explain import Explainer  # the language library takes a second to import
    from vouchbook.extract.read.pipeline import Reader
    from vouchbook.extract.tagger.load import load_tagger

    return Explainer(Reader(layered(*packs), load_tagger()), packs, draft).explain(entry)


def _packs_of(draft: Draft, name: str, files: Sequence[Path]) -> list[Pack]:
    """The packs that ``draft`` names, in its order; those that do not come with the program are read from ``files``."""
    own = {pack.name: pack for pack in map(load_pack_file, files)}
    wanted = draft.read_by.packs
    if missing := [each for each in wanted if each not in own and each not in (COMMON, *DOMAINS)]:
        raise SettingError(f"{name}: was read with the pack {missing[0]} too. Give its file with --pack.")
    if strange := [each for each in own if each not in wanted]:
        raise SettingError(f"{name}: was not read with the pack {strange[0]}. Leave that file out.")
    return [own[each] if each in own else load_pack(each) for each in wanted]


def stills_of(
    draft: Draft, paths: Sequence[Path], folder: Path, on_progress: Callable[[Progress], None] | None = None
) -> dict[str, Path]:
    """Pictures written to ``folder``: for the id of each step and pointer that a film shows, the file.

    Moments are the middle of the words. Recordings without pictures give none; with several films each has a folder
    inside ``folder``, called by its number.

    Raises:
        MediaError: the pictures cannot be read, or not be written.
    """
    from vouchbook.extract.listen.media import probe
    from vouchbook.extract.listen.stills import stills

    middles = {item.id: (item.start + item.end) / 2 for item in draft.items if item.kind == "step"}
    middles |= {q.id: (q.start + q.end) / 2 for q in draft.open_questions if q.kind == "pointer"}
    found: dict[str, Path] = {}
    for number, (path, source) in enumerate(zip(paths, draft.transcript.sources, strict=True), 1):
        if source.kind == "captions" or not (info := probe(path)).has_pictures:
            continue
        end_s = min(length for length in (source.duration_s, info.duration_s, math.inf) if length is not None)
        moments = {
            entry_id: middle - source.offset_s
            for entry_id, middle in middles.items()
            if source.offset_s <= middle < source.offset_s + end_s
        }
        if not moments:
            continue
        target = folder if len(paths) == 1 else folder / str(number)
        pictures = stills(path, sorted(set(moments.values())), target, on_progress=on_progress)
        by_moment = {moment: picture.path for picture in pictures for moment in picture.moments_s}
        found |= {entry_id: by_moment[moment] for entry_id, moment in moments.items()}
    return found


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
