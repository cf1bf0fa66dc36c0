"""Packs laid over each other."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.packs.schema import Pack
from vouchbook.extract.packs.table import pack_from_table
from vouchbook.extract.packs.vocabulary import Vocabulary, layered


def _pack(name: str = "station", **table: Any) -> Pack:  # noqa: ANN401
    return pack_from_table({"name": name, "title": name, **table}, f"{name}.toml")


def _part(vocabulary: Vocabulary, form: str) -> str:
    return vocabulary.find(form, "part")[0].entry.term


def test_a_later_entry_adds_names_and_overrides_the_fields_that_it_sets() -> None:
    below = _pack("below", part=[{"term": "bonnet", "synonyms": ["hood"], "phase": "access", "hazard": "crush"}])
    above = _pack("above", part=[{"term": "bonnet", "synonyms": ["lid"], "phase": "fire", "weight": "strong"}])
    (entry,) = layered(below, above).entries
    assert (entry.synonyms, entry.phase, entry.weight, entry.hazard) == (("lid", "hood"), "fire", "strong", "crush")


@pytest.mark.parametrize(
    ("below", "above", "both"),
    [
        pytest.param(["keg"], ["vat"], ("keg", "vat"), id="either-calls-for-it"),
        pytest.param([], ["vat"], (), id="always-due-below"),
        pytest.param(["keg"], [], (), id="always-due-above"),
    ],
)
def test_a_topic_of_two_packs_is_one(below: list[str], above: list[str], both: tuple[str, ...]) -> None:
    topic = {"phase": "fire", "about": "what burns"}
    packs = [
        _pack("below", topics=[topic | {"words": ["smoke"], "only_if": below, "ask": "What burns?"}]),
        _pack("above", topics=[topic | {"words": ["fire"], "only_if": above, "ask": "What burns up here?"}]),
    ]
    (one,) = layered(*packs).topics
    assert (set(one.words), set(one.only_if), one.ask) == ({"smoke", "fire"}, set(both), "What burns up here?")


def test_a_replacing_entry_drops_what_was_said_before() -> None:
    below = _pack("below", part=[{"term": "bonnet", "synonyms": ["hood"], "phase": "access"}])
    above = _pack("above", part=[{"term": "bonnet", "replaces": True}])
    (entry,) = layered(below, above).entries
    assert (entry.synonyms, entry.phase) == ((), None)


def test_a_form_belongs_to_the_later_pack() -> None:
    below = _pack("below", part=[{"term": "service plug", "synonyms": ["service disconnect", "orange plug"]}])
    above = _pack("above", part=[{"term": "main breaker", "synonyms": ["service disconnect"]}])
    both = layered(below, above)
    assert _part(both, "service disconnect") == "main breaker"
    assert _part(both, "orange plug") == "service plug"


def test_an_earlier_term_listed_as_synonym_brings_all_its_names() -> None:
    below = _pack(
        "below", part=[{"term": "high-voltage battery", "synonyms": ["drive pack"], "hazard": "electric shock"}]
    )
    above = _pack("above", part=[{"term": "big pack", "synonyms": ["high voltage battery"]}])
    (entry,) = layered(below, above).entries
    assert entry.term == "big pack"
    assert entry.hazard == "electric shock"
    assert {s.form for s in layered(below, above).spellings} == {"big pack", "high voltage battery", "drive pack"}


def test_kinds_do_not_meet() -> None:
    both = layered(_pack("below", part=[{"term": "label"}]), _pack("above", verb=[{"term": "label", "act": "mark"}]))
    assert [s.entry.kind for s in both.find("label")] == ["part", "verb"]
    assert [s.entry.kind for s in both.find("label", "verb")] == ["verb"]


def test_a_sound_alike_that_is_a_real_word_of_any_layer_is_dropped() -> None:
    below = _pack("below", tool=[{"term": "chock", "sounds_like": ["chuck", "chalk"]}])
    above = _pack("above", part=[{"term": "chuck"}])
    both = layered(below, above)
    assert [(s.entry.term, s.match) for s in both.find("chuck")] == [("chuck", "term")]
    assert [(s.entry.term, s.match) for s in both.find("chalk")] == [("chock", "sound")]
    assert both.often_misheard == ("chock",)


def test_topics_and_energies_of_all_layers_are_kept_once() -> None:
    topic = {"phase": "fire", "about": "what burns"}
    below = _pack("below", topics=[{**topic, "words": ["burn"]}], energies={"gas": ["lpg"]})
    above = _pack(
        "above", topics=[{**topic, "words": ["burn", "flame"]}], energies={"gas": ["propane"], "wind": ["rotor"]}
    )
    both = layered(below, above)
    assert [(t.about, t.words) for t in both.topics] == [("what burns", ("burn", "flame"))]
    assert both.energies == {"gas": ("lpg", "propane"), "wind": ("rotor",)}


def test_an_unknown_form_finds_nothing() -> None:
    assert layered(_pack(part=[{"term": "bonnet"}])).find("sunflower") == ()


_WORDS = st.sampled_from(["bonnet", "boot", "sill", "dash", "post", "hinge", "latch", "grille"])


@st.composite
def _packs(draw: st.DrawFn) -> Pack:
    forms = draw(st.lists(_WORDS, unique=True, min_size=1))
    cut = draw(st.integers(1, len(forms)))
    rows = [{"term": forms[0], "synonyms": forms[1:cut]}, *({"term": form} for form in forms[cut:])]
    return _pack(part=rows)


@given(st.lists(_packs(), min_size=1, max_size=4))
def test_however_packs_are_laid_a_form_means_one_thing_and_none_is_lost(packs: list[Pack]) -> None:
    vocabulary = layered(*packs)
    forms = [spelling.form for spelling in vocabulary.spellings]
    assert len(forms) == len(set(forms))
    assert set(forms) == {form for pack in packs for entry in pack.entries for form in entry.forms}
    assert layered(*packs, packs[-1]) == vocabulary


@given(_packs())
def test_the_last_pack_has_its_way(top: Pack) -> None:
    base = _pack(
        "base", part=[{"term": "bonnet", "synonyms": ["boot", "sill"]}, {"term": "dash", "synonyms": ["post"]}]
    )
    vocabulary = layered(base, top)
    for entry in top.entries:
        for form in entry.forms:
            assert _part(vocabulary, form) == entry.term


@pytest.mark.parametrize("match", ["term", "synonym"])
def test_real_names_come_before_sound_alikes(match: str) -> None:
    table: dict[str, Any] = {"tool": [{"term": "chock", "sounds_like": ["chalk"]}]}
    row = {"term": "chalk"} if match == "term" else {"term": "marking stick", "synonyms": ["chalk"]}
    found = layered(_pack("below", **table), _pack("above", material=[row])).find("chalk")
    assert [s.match for s in found] == [match]


def test_what_a_replacing_entry_drops_can_be_named_again() -> None:
    below = _pack("below", part=[{"term": "bonnet", "synonyms": ["hood"]}])
    above = _pack("above", part=[{"term": "bonnet", "replaces": True}, {"term": "cowl", "synonyms": ["hood"]}])
    assert _part(layered(below, above), "hood") == "cowl"
