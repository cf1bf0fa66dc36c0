"""What is told of an entry that meets those of earlier packs, beside what happens when they are laid."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.packs.overlap import OVERRIDES, Below, Layer
from vouchbook.extract.packs.schema import Entry, Pack
from vouchbook.extract.packs.vocabulary import layered

LOWER = [
    Layer(
        "county",
        [
            Entry(kind="part", term="bonnet", synonyms=("hood", "front lid"), phase="access"),  # type: ignore[arg-type]
            Entry(kind="tool", term="chock", sounds_like=("chuck",)),
            Entry(kind="hazard", term="crush point", hazard="crush", signal="warning"),
        ],
    ),
    Layer("coast", [Entry(kind="part", term="bonnet", synonyms=("hood",), phase="access")]),  # type: ignore[arg-type]
]


@pytest.mark.parametrize(
    ("fields", "how", "what", "layers"),
    [
        pytest.param({"term": "tailgate"}, None, "", (), id="new"),
        pytest.param({"term": "bonnet"}, "same", "", ("county", "coast"), id="nothing-added"),
        pytest.param({"term": "bonnet", "synonyms": ["cowl"]}, "adds", "'cowl'", ("county", "coast"), id="a-name"),
        pytest.param(
            {"term": "bonnet", "phase": "fire"},
            "changes",
            "part 'bonnet': stands in {} with another meaning: phase becomes fire (was access)",
            ("county", "coast"),
            id="another-phase",
        ),
        pytest.param(
            {"term": "bonnet", "phase": None}, "changes", "phase is taken away", ("county", "coast"), id="no-phase"
        ),
        pytest.param(
            {"term": "bonnet", "replaces": True},
            "replaces",
            "part 'bonnet': replaces 'bonnet' of {}, without 'hood', 'front lid'",
            ("county",),
            id="replaced",
        ),
        pytest.param(
            {"term": "motor lid", "synonyms": ["bonnet"]},
            "takes over",
            "part 'motor lid': takes over 'bonnet' of {}, with all its names",
            ("county", "coast"),
            id="term-as-synonym",
        ),
        pytest.param(
            {"term": "rain cover", "synonyms": ["hood"]},
            "takes a name",
            "part 'rain cover': 'hood' is a name of 'bonnet' in {}, and now means 'rain cover'",
            ("county", "coast"),
            id="one-name",
        ),
        pytest.param(
            {"kind": "tool", "term": "hood"},
            "also",
            "tool 'hood': 'hood' is a part too",
            ("county", "coast"),
            id="kind",
        ),
        pytest.param(
            {"kind": "topic_word", "term": "hood", "phase": "towing"},
            "also",
            "topic_word 'hood': 'hood' speaks for towing here, and for access as part in {}",
            ("county", "coast"),
            id="two-phases",
        ),
        pytest.param(
            {"kind": "topic_word", "term": "hood", "phase": "access"}, None, "", (), id="topic-word-of-the-same-phase"
        ),
        pytest.param({"kind": "verb", "term": "chock", "act": "chock"}, None, "", (), id="thing-and-deed"),
        pytest.param(
            {"term": "chuck"},
            "hides a sound",
            "part 'chuck': 'chuck' is what recognisers print for tool 'chock' of {}",
            ("county",),
            id="sound-alike-of-another",
        ),
        pytest.param({"kind": "tool", "term": "chock", "synonyms": ["chuck"]}, "same", "", ("county",), id="own-sound"),
    ],
)
def test_how_an_entry_meets_earlier_ones(
    fields: dict[str, Any], how: str | None, what: str, layers: tuple[str, ...]
) -> None:
    entry = Entry.model_validate({"kind": "part", **fields})
    found = [(overlap.how, labels) for overlap, labels in Below(LOWER).overlaps(entry) if what in overlap.what]
    assert found[:1] == ([(how, layers)] if how else [])


_FORMS = st.sampled_from(["bonnet", "boot", "sill", "dash", "post"])


@st.composite
def _entries(draw: st.DrawFn) -> list[Entry]:
    forms = draw(st.lists(_FORMS, unique=True, min_size=1))
    cut = draw(st.integers(1, len(forms)))
    phase = draw(st.sampled_from([{}, {"phase": "fire"}, {"phase": "access"}]))
    first = {"kind": "part", "term": forms[0], "synonyms": forms[1:cut], "replaces": draw(st.booleans()), **phase}
    return [Entry.model_validate(first), *(Entry(kind="part", term=form) for form in forms[cut:])]


@given(_entries(), _entries())
def test_a_word_changes_its_meaning_only_where_it_is_told(lower: list[Entry], upper: list[Entry]) -> None:
    """Against what laying really does to each earlier word: the term it stands for, and the phase if it had one."""
    below = Below([Layer("lower", lower)])
    packs = [Pack(name=name, title=name, entries=tuple(e)) for name, e in (("lower", lower), ("upper", upper))]
    after = {spelling.form: spelling.entry for spelling in layered(*packs).spellings}
    for old in lower:
        for form in old.forms:
            new = after.get(form)
            if new is None or new.term != old.term or old.phase not in {None, new.phase}:
                at_work = [entry for entry in upper if {form, old.term} & set(entry.forms)]
                assert OVERRIDES & {overlap.how for entry in at_work for overlap, _ in below.overlaps(entry)}
