"""Names that cannot be found, or too easily."""

from typing import Any

import pytest
import spacy

from vouchbook.extract.packs.overlap import Below, Layer
from vouchbook.extract.packs.pitfalls import pitfalls
from vouchbook.extract.packs.schema import Entry, Pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.mentions import Lexicon, mentions
from vouchbook.extract.read.words import kept_words

BELOW = Below(
    [
        Layer(
            "county",
            [
                Entry(kind="tool", term="spanner", synonyms=("wrench",)),
                Entry(kind="tool", term="chock", sounds_like=("chalk",)),
                Entry(kind="part", term="chuck"),
                Entry.model_validate({"kind": "topic_word", "term": "hand brake", "phase": "immobilise"}),
            ],
        )
    ]
)


@pytest.mark.parametrize(
    ("fields", "place", "says"),
    [
        pytest.param(
            {"term": "controller area network", "synonyms": ["can"]},
            ("synonyms", 0),
            "'can', short for 'controller area network', is an ordinary word too",
            id="first-letters",
        ),
        pytest.param(
            {"term": "cap", "synonyms": ["capacitor"]}, ("term",), "'cap', short for 'capacitor'", id="beginning"
        ),
        pytest.param(
            {"term": "dc dc converter"},
            ("term",),
            "'dc dc converter' can never be found: reading sets 'dc' in it aside",
            id="said-twice",
        ),
        pytest.param({"term": "a-post", "synonyms": ["eh post"]}, ("synonyms", 0), "can never be found", id="filler"),
        pytest.param(
            {"term": "winch", "sounds_like": ["wench"]},
            ("sounds_like", 0),
            "nearly 'wrench' (tool 'spanner')",
            id="near",
        ),
        pytest.param(
            {"term": "collet", "sounds_like": ["chuck"]},
            ("sounds_like", 0),
            "a real word in county (part 'chuck')",
            id="real",
        ),
        pytest.param(
            {"term": "marker", "sounds_like": ["chalk"]},
            ("sounds_like", 0),
            "a sound-alike of tool 'chock' too",
            id="twin",
        ),
    ],
)
def test_what_is_doubtful_is_told_with_its_place(
    fields: dict[str, Any], place: tuple[str | int, ...], says: str
) -> None:
    entry = Entry.model_validate({"kind": "part", **fields})
    (found,) = pitfalls(entry, [entry], BELOW, kept_words)
    assert found.place == place
    assert says in found.what
    assert found.remedy


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"term": "battery management system", "synonyms": ["bms"]}, id="no-word"),
        pytest.param({"term": "battery pack", "synonyms": ["pack"]}, id="a-word-of-its-name"),
        pytest.param({"term": "burn", "synonyms": ["burning"]}, id="inflected"),
        pytest.param({"term": "pipe", "synonyms": ["pipework"]}, id="compound"),
        pytest.param({"term": "a b c d e f"}, id="six-words"),
        pytest.param({"term": "winch", "sounds_like": ["whinch"]}, id="nearest-to-its-own"),
        pytest.param({"kind": "tool", "term": "chock", "sounds_like": ["chalk"]}, id="said-again"),
        pytest.param({"term": "parking brake", "sounds_like": ["hand break"]}, id="a-topic-word-is-no-rival"),
    ],
)
def test_what_is_sound_is_left_alone(fields: dict[str, Any]) -> None:
    entry = Entry.model_validate({"kind": "part", **fields})
    assert list(pitfalls(entry, [entry], BELOW, kept_words)) == []


def test_two_entries_of_one_pack_are_compared_too() -> None:
    one, other = (Entry(kind="part", term=term, sounds_like=("sill ex",)) for term in ("silex", "cylix"))
    assert "sound-alike of part 'cylix' too" in next(pitfalls(one, [one, other], Below([]), kept_words)).what


@pytest.mark.parametrize(
    ("name", "is_found"),
    [
        pytest.param("live as long as there's a bit of daylight", True, id="long"),
        pytest.param("the driver's own key is in there", True, id="apostrophe"),
        pytest.param("it cannot move", True, id="one-word-that-talk-cuts-in-two"),
        pytest.param("dc-dc converter", True, id="hyphen"),
        pytest.param("dc dc converter", False, id="said-twice"),
        pytest.param("eh post", False, id="filler"),
    ],
)
def test_names_that_can_never_be_found_are_those_that_reading_does_not_find(name: str, is_found: bool) -> None:  # noqa: FBT001
    entry = Entry(kind="part", term=name)
    vocabulary = layered(Pack(name="own", title="Own", entries=(entry,)))
    words = f"Look, {name} there".split()
    language = spacy.blank("en")
    doc = language(" ".join(words[n] for n in kept_words(words)))
    assert bool(mentions(doc, Lexicon(vocabulary, language.tokenizer))) == is_found
    never = ["can never be found" in each.what for each in pitfalls(entry, [entry], Below([]), kept_words)]
    assert any(never) == (not is_found)
