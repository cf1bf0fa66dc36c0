import pytest

from vouchbook.library.visits.said import Place, doubtful, lines_of, place, shown, words_of
from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Line, Source, Transcript, Word

A, B, C = "a" * 64, "b" * 64, "c" * 64


def source(sha256: str, kind: str, offset_s: float = 0) -> Source:
    return Source.model_validate({"name": "talk", "sha256": sha256, "kind": kind, "offset_s": offset_s})


@pytest.mark.parametrize(
    ("sources", "recordings", "start_s", "expected"),
    [
        pytest.param([source(A, "recording")], [A], 4, (A, 4), id="heard"),
        pytest.param([source(A, "recording")], [], 4, (None, 4), id="recording is not here"),
        pytest.param([source(A, "recording")], [B], 4, (None, 4), id="another recording is here"),
        pytest.param([source(A, "captions")], [B], 4, (B, 4), id="captions and their recording"),
        pytest.param([source(A, "captions")], [], 4, (None, 4), id="captions alone"),
        pytest.param([source(A, "captions")], [B, C], 4, (None, 4), id="captions and two recordings"),
        pytest.param([source(A, "recording"), source(B, "recording", 100)], [A, B], 99.5, (A, 99.5), id="first"),
        pytest.param([source(A, "recording"), source(B, "recording", 100)], [A, B], 100, (B, 0), id="second begins"),
        pytest.param([source(A, "recording"), source(B, "recording", 100)], [B, A], 107, (B, 7), id="second goes on"),
        pytest.param([source(A, "captions"), source(B, "captions", 100)], [C, A], 107, (A, 7), id="second captions"),
        pytest.param([], [A], 4, (None, 4), id="no source"),
    ],
)
def test_words_lie_in_the_recording_in_which_they_were_said(
    sources: list[Source], recordings: list[str], start_s: float, expected: tuple[str | None, float]
) -> None:
    sha256, own_s = expected
    assert place(sources, recordings, start_s, start_s + 2) == Place(sha256=sha256, start_s=own_s, end_s=own_s + 2)


def test_each_line_is_said_by_the_voice_that_says_most_of_it() -> None:
    words = tuple(
        Word(text=text, start_s=at, end_s=at + 1, voice=voice)
        for at, (text, voice) in enumerate([("Pull", "Dov"), ("what?", "Ruta"), ("the", "Dov"), ("Right.", None)])
    )
    lines = (Line(first_word=0, last_word=2, start_s=0, end_s=3), Line(first_word=3, last_word=3, start_s=3, end_s=4))
    said = lines_of(Transcript(words=words, lines=lines))
    assert [(one.words, one.voice, one.start_s, one.end_s) for one in said] == [
        ("Pull what? the", "Dov", 0, 3), ("Right.", None, 3, 4),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {"phase": "access", "action": "undo", "object": "bolts", "tool": None, "size": "10 mm", "count": 3},
            "undo bolts \u00b7 10 mm \u00b7 \u00d7 3",
        ),
        (
            {"phase": "fire", "text": "never cut it", "hazard": "burn", "signal": "danger", "prohibits": None},
            "never cut it",
        ),
        ({"phase": "access", "part": "plug", "place": "behind the seat"}, "plug \u00b7 behind the seat"),
        ({"text": "Never cut the orange cables", "prohibits": "cut the orange cable"}, "Never cut the orange cables"),
        ({"text": "it is charged", "prohibits": "touch it"}, "it is charged \u00b7 touch it"),
        ({"text": "nothing is cut", "prohibits": "not"}, "nothing is cut \u00b7 not"),
        (
            {"name": "socket", "fastener": "bolt", "size": "3/8 in", "count": 4},
            "socket \u00b7 bolt \u00b7 3/8 in \u00b7 \u00d7 4",
        ),
        ({"action": "take out", "object": "bolts", "tool": None, "size": "T30"}, "take out bolts \u00b7 T30"),
    ],
)
def test_an_item_is_found_by_its_words_not_by_what_sorts_it(fields: dict[str, str | int | None], words: str) -> None:
    assert words_of(fields) == words


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a\x00b", "a b"), ("  a \n b\t", "a b"), ("\x1b[31mred", "[31mred"), ("<script>", "<script>"), ("", ""),
        ("\u00d6l \u2028 dr\u00fcben", "\u00d6l dr\u00fcben"),
    ],
)  # fmt: skip
def test_what_cannot_be_seen_is_not_shown(text: str, expected: str) -> None:
    assert shown(text) == expected


def test_an_item_whose_words_are_asked_about_is_doubtful(draft: Draft) -> None:
    assert doubtful(draft) == {"i3"}
    assert doubtful(draft.model_copy(update={"open_questions": draft.open_questions[1:]})) == frozenset()
