from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from vouchbook.extract.run import Drafting, is_captions, joined, stills_of, transcript_of
from vouchbook.models.draft import Draft
from vouchbook.models.errors import PackError, SettingError
from vouchbook.models.transcript import Line, Source, Transcript, UnheardStretch, Word

TALK = """WEBVTT

00:01.000 --> 00:03.000
Remove the cover.

00:04.500 --> 00:05.500
Pull the orange plug.

00:06.000 --> 00:07.500
The orange cables come up here and here.
"""


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talk.vtt"
    path.write_text(TALK, encoding="utf-8")
    return path


def part(name: str, *texts: str, duration_s: float = 10) -> Transcript:
    words = tuple(Word(text=text, start_s=n, end_s=n + 1) for n, text in enumerate(texts))
    return Transcript(
        sources=(Source(name=name, sha256="0" * 64, duration_s=duration_s, kind="recording"),),
        made_by="by hand",
        duration_s=duration_s,
        words=words,
        lines=(Line(first_word=0, last_word=len(words) - 1, start_s=0, end_s=len(words)),) if words else (),
        unheard=(UnheardStretch(start_s=8, end_s=9, reason="no words"),),
        notes=(f"{name} was short.",),
    )


def test_transcripts_are_joined_on_one_clock() -> None:
    whole = joined([part("a.wav", "chock", "it"), part("b.wav"), part("c.wav", "pull", "it")])
    assert [(source.name, source.offset_s) for source in whole.sources] == [("a.wav", 0), ("b.wav", 10), ("c.wav", 20)]
    assert [(word.text, word.start_s) for word in whole.words] == [("chock", 0), ("it", 1), ("pull", 20), ("it", 21)]
    assert [(line.first_word, line.last_word, line.start_s) for line in whole.lines] == [(0, 1, 0), (2, 3, 20)]
    assert [(stretch.start_s, stretch.end_s) for stretch in whole.unheard] == [(8, 9), (18, 19), (28, 29)]
    assert whole.notes == ("a.wav was short.", "b.wav was short.", "c.wav was short.")
    assert whole.duration_s == 30


def test_one_transcript_joined_is_itself() -> None:
    alone = part("a.wav", "chock")
    assert joined([alone]) is alone
    with pytest.raises(SettingError, match=r"^no file was given\."):
        joined([])


@pytest.mark.parametrize(
    ("name", "expected"),
    [("a.vtt", True), ("A.SRT", True), ("a.txt", True), ("a.json", True), ("a.wav", False), ("a", False)],
)
def test_endings_tell_captions_from_recordings(name: str, expected: bool) -> None:  # noqa: FBT001  a table
    assert is_captions(Path(name)) is expected


def test_voices_cannot_be_told_apart_in_captions(talk: Path) -> None:
    with pytest.raises(SettingError, match=r"^talk\.vtt is captions: voices can be told apart in recordings only\."):
        transcript_of([talk], voices=2)


@pytest.mark.parametrize(
    ("said", "packs"),
    [
        pytest.param("the bonnet of the van, the steering wheel and the charge port", "road_vehicles", id="a-van"),
        pytest.param("the mast of the forklift truck and its hydraulic hoses", "lifting_industrial", id="a-truck"),
    ],
)
def test_the_talk_decides_on_the_packs_unless_they_are_named(said: str, packs: str) -> None:
    transcript = part("a.wav", *said.split())
    assert packs in Drafting().draft(transcript).read_by.packs
    assert Drafting(["building_energy"]).draft(transcript).read_by.packs == ("common", "building_energy")


def test_a_pack_that_cannot_be_used_is_found_before_anything_is_heard(tmp_path: Path) -> None:
    with pytest.raises(PackError, match="boats: no pack of this name"):
        Drafting(["boats"])
    with pytest.raises(PackError, match="cannot be read"):
        Drafting(files=[tmp_path / "gone.toml"])


def test_pictures_are_taken_in_the_middle_of_steps_and_pointers_of_films(talk: Path, tmp_path: Path) -> None:
    """The film is black for its first four seconds and white after them, so the picture tells its second."""
    film = tmp_path / "talk.mp4"
    with av.open(str(film), "w") as container:
        stream = container.add_stream("mpeg4", rate=10, width=64, height=48, pix_fmt="yuv420p")
        for tick in range(80):
            level = 0 if tick < 40 else 255
            frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), level, dtype=np.uint8), format="rgb24")
            frame.pts, frame.time_base = tick, Fraction(1, 10)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    draft = of_film(Drafting().draft(transcript_of([talk])))
    shown = {item.id: item for item in draft.items if item.kind == "step"}
    pictures = stills_of(draft, [film], tmp_path / "talk.stills")
    pointers = {question.id for question in draft.open_questions if question.kind == "pointer"}
    assert pointers
    assert set(pictures) == set(shown) | pointers
    for entry_id, path in pictures.items():
        assert path.parent == tmp_path / "talk.stills"
        with av.open(str(path)) as container:
            (picture,) = container.decode(video=0)
        is_early = entry_id in shown and shown[entry_id].start < 4
        assert bool(picture.to_ndarray(format="gray").mean() < 128) is is_early


def test_sound_alone_gives_no_pictures(talk: Path, tmp_path: Path) -> None:
    draft = Drafting().draft(transcript_of([talk]))
    assert stills_of(draft, [talk], tmp_path / "talk.stills") == {}
    assert not (tmp_path / "talk.stills").exists()


def of_film(draft: Draft) -> Draft:
    """The draft as if its captions had been heard in a film of eight seconds."""
    source = draft.transcript.sources[0].model_copy(update={"kind": "recording", "duration_s": 8.0})
    return draft.model_copy(update={"transcript": draft.transcript.model_copy(update={"sources": (source,)})})
