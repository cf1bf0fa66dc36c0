"""What a pack file may hold, and the one line that says what is wrong with it."""

from typing import Any

import pytest

from vouchbook.extract.packs.schema import normal_form
from vouchbook.extract.packs.table import examine, pack_from_table
from vouchbook.models.errors import PackError

HEAD = {"name": "station", "title": "Station"}


@pytest.mark.parametrize(
    ("table", "says"),
    [
        pytest.param({"gadget": [{"term": "bonnet"}]}, "unknown key or kind 'gadget'", id="unknown-kind"),
        pytest.param(
            {"topic_word": [{"term": "fire"}]}, "unknown key or kind 'topic_word'", id="topic-words-have-their-form"
        ),
        pytest.param(
            {"part": [{"term": "bonnet", "synonims": ["hood"]}]}, "part 'bonnet': synonims: Extra", id="unknown-key"
        ),
        pytest.param({"part": {"term": "bonnet"}}, "'part' is not a list of tables", id="table-for-list"),
        pytest.param({"part": ["bonnet"]}, "'part' is not a list of tables", id="text-for-table"),
        pytest.param({"part": [{"synonyms": ["hood"]}]}, "part '(no term)': term: Field required", id="no-term"),
        pytest.param({"part": [{"term": "Bonnet"}]}, "part 'Bonnet': term: String should match", id="capitals"),
        pytest.param({"part": [{"term": "bonnet", "phase": "later"}]}, "part 'bonnet': phase", id="unknown-phase"),
        pytest.param({"verb": [{"term": "undo"}]}, "verb 'undo': a verb needs 'act'", id="verb-without-act"),
        pytest.param({"verb": [{"term": "undo", "act": "unmake"}]}, "verb 'undo': act", id="unknown-act"),
        pytest.param({"part": [{"term": "bonnet", "act": "open"}]}, "only a verb has an 'act'", id="act-on-a-part"),
        pytest.param({"hazard": [{"term": "shock"}]}, "hazard 'shock': a hazard needs 'hazard'", id="hazard-unnamed"),
        pytest.param(
            {"hazard": [{"term": "shock", "hazard": "electric shock"}]}, "needs 'signal'", id="hazard-without-signal"
        ),
        pytest.param(
            {"part": [{"term": "fuse", "signal": "danger"}]}, "'signal' needs its 'hazard'", id="signal-alone"
        ),
        pytest.param({"part": [{"term": "fuse", "weight": "strong"}]}, "'weight' needs its 'phase'", id="weight-alone"),
        pytest.param(
            {"tool": [{"term": "ratchet", "implies_tool": "socket"}]}, "only a fastener", id="tool-implies-tool"
        ),
        pytest.param({"part": [{"term": "e-stop", "synonyms": ["e stop"]}]}, "'e stop' stands there twice", id="twice"),
        pytest.param(
            {"part": [{"term": "bonnet", "synonyms": ["lid"]}, {"term": "boot", "synonyms": ["lid"]}]},
            "part 'lid' stands for both 'bonnet' and 'boot'",
            id="synonym-of-two",
        ),
        pytest.param(
            {"part": [{"term": "boot"}, {"term": "boot", "synonyms": ["trunk"]}]},
            "part 'boot' has two entries",
            id="two",
        ),
        pytest.param(
            {"tool": [{"term": "chock", "sounds_like": ["chuck"]}], "part": [{"term": "chuck"}]},
            "tool 'chock' sounds like 'chuck', which is a word of this pack",
            id="sound-is-a-word",
        ),
        pytest.param({"topic_words": {"fire": {"loud": ["bang"]}}}, "more than strong and weak", id="unknown-weight"),
        pytest.param(
            {"topic_words": {"fire": {"weak": "bang"}}}, "'topic_words.fire.weak' is not a list", id="word-for-list"
        ),
        pytest.param({"topic_words": ["bang"]}, "'topic_words' is not a table", id="topic-words-list"),
        pytest.param(
            {"topics": [{"phase": "fire", "about": "what burns", "words": []}]}, "topics.0.words", id="topic-empty"
        ),
        pytest.param({"name": "Our Station"}, "name: String should match", id="name"),
    ],
)
def test_a_bad_pack_is_refused_in_one_line_that_names_file_and_entry(table: dict[str, Any], says: str) -> None:
    with pytest.raises(PackError) as caught:
        pack_from_table({**HEAD, **table}, "station.toml")
    message = str(caught.value)
    assert message.startswith("station.toml: ")
    assert says in message
    assert "\n" not in message


@pytest.mark.parametrize(
    "sound",
    [
        pytest.param("do cut", id="polarity"),
        pytest.param("left switch", id="side"),
        pytest.param("switched on", id="state"),
        pytest.param("four clift", id="number-word"),
        pytest.param("t 30", id="digit"),
        pytest.param("volt", id="unit"),
        pytest.param("ax", id="too-short"),
    ],
)
def test_polarity_side_number_and_unit_are_never_guessed_from_sound(sound: str) -> None:
    with pytest.raises(PackError, match=r"station\.toml: tool 'chock': sounds_like"):
        pack_from_table({**HEAD, "tool": [{"term": "chock", "sounds_like": [sound]}]}, "station.toml")


@pytest.mark.parametrize(
    ("text", "normal"),
    [
        pytest.param("High-Voltage Battery", "high voltage battery", id="capitals-hyphen"),
        pytest.param("driver\u2019s  side", "driver's side", id="curly-apostrophe-spaces"),
        pytest.param("start/stop", "start stop", id="slash"),
        pytest.param("cut\u2013out", "cut out", id="dash"),
    ],
)
def test_forms_are_compared_without_hyphens_and_capitals(text: str, normal: str) -> None:
    assert normal_form(text) == normal


SEVERAL = {
    "gadget": [{"term": "lid"}],
    "part": [
        {"term": "Bonnet", "synonims": ["hood"], "act": "open", "weight": "strong"},
        {"term": "boot", "synonyms": ["bonnet", 5, "boot"]},
    ],
    "tool": [{"term": "chock", "sounds_like": ["ax", "boot"]}],
    "verb": "undo",
    "topic_words": {"later": {"weak": ["glow", "gleam"], "loud": []}, "fire": []},
    "topics": [{"phase": "fire", "about": "what burns", "words": []}],
    "title": "",
}


def test_examining_finds_every_problem_with_its_place_and_loading_tells_the_first() -> None:
    found = [(problem.place, problem.what) for problem in examine({"name": "station", **SEVERAL}).problems]
    assert [(place, what.split(":")[0]) for place, what in found] == [
        (("gadget",), "unknown key or kind 'gadget'"),
        (("verb",), "'verb' is not a list of tables"),
        (("topic_words", "later"), "'topic_words.later' holds more than strong and weak lists"),
        (("topic_words", "fire"), "'topic_words.fire' holds more than strong and weak lists"),
        (("part", 0, "term"), "part 'Bonnet'"),
        (("part", 0, "synonims"), "part 'Bonnet'"),
        (("part", 0, "act"), "part 'Bonnet'"),
        (("part", 0, "phase"), "part 'Bonnet'"),
        (("part", 1, "synonyms", 1), "part 'boot'"),
        (("part", 1, "synonyms"), "part 'boot'"),
        (("tool", 0, "sounds_like", 0), "tool 'chock'"),
        (("topic_words", "later", "weak", 0, "phase"), "topic_word 'glow'"),
        (("title",), "title"),
        (("topics", 0, "words"), "topics.0.words"),
        (("part", 1, "synonyms"), "part 'bonnet' stands for both 'bonnet' and 'boot'"),
        (("tool", 0, "sounds_like"), "tool 'chock' sounds like 'boot', which is a word of this pack"),
    ]
    with pytest.raises(PackError, match="unknown key or kind 'gadget'"):
        pack_from_table({"name": "station", **SEVERAL}, "station.toml")


def test_topic_words_become_entries_with_phase_and_weight() -> None:
    pack = pack_from_table({**HEAD, "topic_words": {"fire": {"strong": ["ablaze"], "weak": ["glow"]}}}, "station.toml")
    assert [(e.term, e.phase, e.weight) for e in pack.of_kind("topic_word")] == [
        ("ablaze", "fire", "strong"),
        ("glow", "fire", "weak"),
    ]
