"""Words of the packs in the talk; repair lies beside what was heard and never guesses short or common words."""

from collections.abc import Callable

import pytest

from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.language import load_language, make_doc
from vouchbook.extract.read.mentions import Lexicon, Mention, mentions
from vouchbook.extract.read.talk import Talk
from vouchbook.models.transcript import Transcript


def named(talk: Talk) -> list[tuple[str, str, str]]:
    return [(talk.doc[m.start : m.end].text, m.entry.term, m.how) for m in talk.mentions]


MENTIONED = [
    ("The cut loop hangs there.", ("cut loop", "emergency cut loop", "synonym")),
    ("The emergency cut loop hangs there.", ("emergency cut loop", "emergency cut loop", "term")),
    ("Both service plugs are up there.", ("service plugs", "service plug", "term")),
    ("The surface plug is up there.", ("surface plug", "service plug", "sound")),
    ("The traction bakery is up there.", ("traction bakery", "high-voltage battery", "sound")),
    ("The isollator is up there.", ("isollator", "isolator", "spelling")),
    ("The pantogroph is up there.", ("pantogroph", "pantograph", "spelling")),
    ("The wheel chocks are up there.", ("wheel chocks", "chock", "synonym")),
]


@pytest.mark.parametrize(("said", "expected"), MENTIONED, ids=[row[0] for row in MENTIONED])
def test_a_term_is_found_by_all_that_it_is_called(
    understand: Callable[..., Talk], said: str, expected: tuple[str, str, str]
) -> None:
    talk = understand(said)
    assert expected in named(talk)
    repaired = [m for m in talk.mentions if m.is_repaired]
    assert bool(repaired) == (expected[2] in {"sound", "spelling"})


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("The pantograff folds.", id="two-wrong-letters"),
        pytest.param("The xsolator trips.", id="another-first-letter"),
        pytest.param("The chok slips.", id="too-short-to-respell"),
        pytest.param("They isollate it.", id="a-verb"),
    ],
)
def test_what_is_too_unlike_is_not_repaired(understand: Callable[..., Talk], said: str) -> None:
    assert not [m for m in understand(said).mentions if m.is_repaired]


@pytest.mark.parametrize(("said", "kinds"), [("Lock it.", {"verb"}), ("The lock sticks.", {"part"})])
def test_a_word_that_is_thing_and_deed_is_what_it_is_used_as(
    understand: Callable[..., Talk], said: str, kinds: set[str]
) -> None:
    assert {m.entry.kind for m in understand(said).mentions if m.entry.term == "lock"} == kinds


def test_the_longest_name_wins(understand: Callable[..., Talk]) -> None:
    parts = [m for m in understand("The battery disconnect switch is there.").mentions if m.entry.kind == "part"]
    assert [m.entry.term for m in parts] == ["battery disconnect switch"]


@pytest.mark.parametrize(
    ("pack", "said"),
    [
        pytest.param("road_vehicles", "tip it on its side to cool", id="seven-words"),
        pytest.param("road_vehicles", "cannot move", id="cannot"),
        pytest.param("building_energy", "starts on its own when the grid fails", id="eight-words"),
        pytest.param("building_energy", "live as long as there's light", id="contraction"),
        pytest.param("building_energy", "stay out of the line of the doors", id="of-the-doors"),
        pytest.param("lifting_industrial", "don't use the lift in a fire", id="do-not"),
        pytest.param("lifting_industrial", "caught between the car and the landing", id="caught-between"),
    ],
)
def test_a_name_of_any_length_is_found(spoken: Callable[..., Transcript], pack: str, said: str) -> None:
    vocabulary, language = layered(load_pack("common"), load_pack(pack)), load_language()
    doc = make_doc(language, spoken(f"They say {said}."))
    spans = {doc[m.start : m.end].text for m in mentions(doc, Lexicon(vocabulary, language.tokenizer))}
    assert said in spans


def test_mentions_stand_in_the_order_of_the_talk(understand: Callable[..., Talk]) -> None:
    talk = understand("Chock the wheels, pull the service plug, and wait.")
    starts = [m.start for m in talk.mentions]
    assert len(starts) >= 4
    assert starts == sorted(starts)


def test_mentions_are_looked_up_by_place_and_kind(understand: Callable[..., Talk]) -> None:
    talk = understand("Chock the wheels.")
    verb, part = (list(talk.mentions_in(0, len(talk.doc), kind)) for kind in ("verb", "part"))
    assert [m.entry.term for m in verb] == ["chock"]
    assert [m.entry.term for m in part] == ["wheel"]
    cut_off: list[Mention] = list(talk.mentions_in(0, 2, "part"))
    assert cut_off == []
