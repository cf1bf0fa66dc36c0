"""A gold laid over its talk: each label falls on the words that say it."""

from typing import Any

import pytest
from align import NOT_ASKED, Aligner

from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.labels import HEADS, SAID
from vouchbook.models.transcript import Line, Transcript, Word

Labelled = list[tuple[str, str]]


@pytest.fixture(scope="module")
def reader() -> Reader:
    return Reader(layered(load_pack("common"), load_pack("road_vehicles")), None)


def understood(reader: Reader, *said: str) -> Talk:
    """Lines as a talk, a word a second."""
    words: list[Word] = []
    lines: list[Line] = []
    for line in said:
        first = len(words)
        words += [Word(text=word, start_s=n, end_s=n + 1) for n, word in enumerate(line.split(), start=first)]
        lines.append(Line(first_word=first, last_word=len(words) - 1, start_s=first, end_s=len(words)))
    return reader.understand(Transcript(words=tuple(words), lines=tuple(lines), duration_s=len(words)))


def gold(kind: str, at: tuple[float, float] = (0, 100), **fields: str | None) -> dict[str, Any]:
    return {"kind": kind, "phase": "access", "at": at, **fields}


def labelled(talk: Talk, head: str, *items: dict[str, Any], nothing: str = "O", **more: Any) -> Labelled:  # noqa: ANN401  as a gold file has it
    """The words that have a label, with it."""
    labels = Aligner(talk, {"items": list(items), **more}).aligned().labels[head]
    return [(token.text, label) for token, label in zip(talk.doc, labels, strict=True) if label != nothing]


@pytest.mark.parametrize(
    ("said", "step", "expected"),
    [
        pytest.param(
            "Lift the lid.",
            {"action": "lift", "object": "lid"},
            [("Lift", "B-deed"), ("lid", "B-thing")],
            id="deed-and-thing",
        ),
        pytest.param(
            "Then lift the big grey lid.",
            {"action": "lift", "object": "lid"},
            [("lift", "B-deed"), ("big", "B-thing"), ("grey", "I-thing"), ("lid", "I-thing")],
            id="the-thing-with-what-describes-it",
        ),
        pytest.param(
            "You unplug the pump behind the seat.",
            {"action": "disconnect", "object": "pump", "place": "behind seat"},
            [
                ("unplug", "B-deed"),
                ("pump", "B-thing"),
                ("behind", "B-place"),
                ("the", "I-place"),
                ("seat", "I-place"),
            ],
            id="the-deed-in-other-words-and-a-place",
        ),
        pytest.param(
            "The cover first.", {"action": "remove", "object": "cover"}, [("cover", "B-alone")], id="no-deed-is-said"
        ),
        pytest.param("We had our lunch.", {"action": "drain", "object": "tank"}, [], id="not-said-there"),
    ],
)
def test_a_step_falls_on_its_deed_and_its_thing(
    reader: Reader, said: str, step: dict[str, Any], expected: Labelled
) -> None:
    assert labelled(understood(reader, said), "step", gold("step", **step)) == expected


@pytest.mark.parametrize(
    ("said", "step", "expected"),
    [
        pytest.param("Lift the lid.", {"action": "lift", "object": "lid"}, [("Lift", SAID)], id="said"),
        pytest.param("Crack the bolts.", {"action": "loosen", "object": "bolts"}, [("Crack", "loosen")], id="plainer"),
        pytest.param(
            "You unplug it.", {"action": "disconnect", "object": "it"}, [("unplug", SAID)], id="alike-for-the-scorer"
        ),
        pytest.param("The cover first.", {"action": "remove", "object": "cover"}, [("cover", "remove")], id="implied"),
    ],
)
def test_the_deed_is_learned_where_it_is_said_or_implied(
    reader: Reader, said: str, step: dict[str, Any], expected: Labelled
) -> None:
    assert labelled(understood(reader, said), "deed", gold("step", **step), nothing=NOT_ASKED) == expected


def test_two_steps_of_a_line_fall_on_their_own_words(reader: Reader) -> None:
    talk = understood(reader, "Open the flap and press the button.")
    items = gold("step", action="open", object="flap"), gold("step", action="press", object="button")
    assert labelled(talk, "step", *items) == [
        ("Open", "B-deed"), ("flap", "B-thing"), ("press", "B-deed"), ("button", "B-thing"),
    ]  # fmt: skip


def test_an_item_is_looked_for_in_its_own_seconds_only(reader: Reader) -> None:
    talk = understood(reader, "Lift the lid.", "Lift the lid.")
    labels = Aligner(talk, {"items": [gold("step", (3, 6), action="lift", object="lid")]}).aligned().labels["step"]
    assert labels == ["O"] * 4 + ["B-deed", "O", "B-thing", "O"]


def test_a_location_falls_on_its_part_and_its_place(reader: Reader) -> None:
    talk = understood(reader, "The battery is under the seat.")
    assert labelled(talk, "location", gold("location", part="battery", place="under seat")) == [
        ("battery", "B-part"), ("under", "B-place"), ("the", "I-place"), ("seat", "I-place"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("said", "tool", "expected"),
    [
        pytest.param(
            "Grab a ten mil socket.", {"name": "socket", "size": "10 mm"}, [("socket", "B-name")], id="by-its-name"
        ),
        pytest.param(
            "Ten mil on the nut.",
            {"name": "socket", "size": "10 mm"},
            [("Ten", "B-size"), ("mil", "I-size")],
            id="by-its-size",
        ),
        pytest.param("On the nut.", {"name": "socket", "size": None}, [], id="by-nothing"),
    ],
)
def test_a_tool_falls_on_its_name_or_its_size(
    reader: Reader, said: str, tool: dict[str, Any], expected: Labelled
) -> None:
    assert labelled(understood(reader, said), "tool", gold("tool", **tool)) == expected


def test_a_warning_falls_on_the_clause_that_says_it_with_its_hazard_and_signal(reader: Reader) -> None:
    talk = understood(reader, "We had our lunch there. Never touch the live rail.")
    warning = gold("warning", text="live rail", hazard="electric shock", signal="danger", prohibits="touch the rail")
    words = ["Never", "touch", "the", "live", "rail"]
    assert labelled(talk, "warning", warning) == [(w, "I-" if n else "B-") for n, w in enumerate(words)]
    assert labelled(talk, "hazard", warning, nothing=NOT_ASKED) == [(word, "electric shock") for word in words]
    assert labelled(talk, "signal", warning, nothing=NOT_ASKED) == [(word, "danger") for word in words]


def test_a_cue_falls_on_the_clause_that_says_it(reader: Reader) -> None:
    talk = understood(reader, "We had our lunch there. The lamp goes green.")
    assert labelled(talk, "cue", gold("cue", text="lamp green")) == [
        ("The", "B-"), ("lamp", "I-"), ("goes", "I-"), ("green", "I-"),
    ]  # fmt: skip


def test_the_topic_is_learned_where_an_item_is_said(reader: Reader) -> None:
    talk = understood(reader, "Then lift the lid.")
    item = gold("step", action="lift", object="lid")
    assert labelled(talk, "phase", item, nothing=NOT_ASKED) == [(word, "access") for word in ("lift", "the", "lid")]


@pytest.mark.parametrize(
    ("head", "more"),
    [
        pytest.param("chatter", {"chatter": [[2, 4]]}, id="chatter"),
        pytest.param("pointer", {"pointers": [{"at": [2, 4]}]}, id="pointers"),
        pytest.param("borrowed", {"borrowed": [{"at": [2, 4]}]}, id="borrowed"),
    ],
)
def test_lines_are_learned_by_their_seconds(reader: Reader, head: str, more: dict[str, Any]) -> None:
    talk = understood(reader, "Nice weather.", "Lovely day.", "Yes indeed.")
    assert labelled(talk, head, nothing="no", **more) == [("Lovely", "yes"), ("day", "yes"), (".", "yes")]


def test_what_has_its_words_is_counted(reader: Reader) -> None:
    talk = understood(reader, "Lift the lid.")
    items = [gold("step", action="lift", object="lid"), gold("location", part="pump", place="under the roof")]
    assert Aligner(talk, {"items": items}).aligned().found == {"step": 1}


def test_every_label_is_an_answer_that_the_tagger_knows(reader: Reader) -> None:
    talk = understood(reader, "Lift the lid.", "The battery is under the seat, never touch it.", "Ten mil.")
    items = [
        gold("step", (0, 3), action="lift", object="lid"),
        gold("location", (3, 12), part="battery", place="under the seat"),
        gold("warning", (3, 12), text="never touch", hazard="burn", signal="warning", prohibits=None),
        gold("tool", (12, 14), name="socket", size="10 mm"),
    ]
    aligned = Aligner(talk, {"items": items}).aligned()
    assert aligned.found == {"step": 1, "location": 1, "warning": 1, "tool": 1}
    for head, answers in HEADS.items():
        assert set(aligned.labels[head]) <= {*answers, NOT_ASKED}
        assert len(aligned.labels[head]) == len(talk.doc)
