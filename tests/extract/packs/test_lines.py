"""Where the values of a TOML text stand."""

import json
import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.packs.lines import line_of, lines_of
from vouchbook.extract.packs.table import Place


@pytest.mark.parametrize(
    ("text", "place", "line"),
    [
        pytest.param('name = "a"\n\npart = [\n  { term = "b" },\n]\n', ("part", 0, "term"), 4, id="row"),
        pytest.param(
            'part = [ # one ]\n  { term = "]" },\n  { term = "x" }]', ("part", 1), 3, id="comment-and-bracket"
        ),
        pytest.param(
            'part = [{ term = "a" },\n{ term = "b", synonyms = ["c",\n"d"] }]',
            ("part", 1, "synonyms", 1),
            3,
            id="element",
        ),
        pytest.param('[[part]]\nterm = "a"\n[[part]]\n# b\nterm = "b"', ("part", 1, "term"), 5, id="list-of-tables"),
        pytest.param("[[part]]\n[[part]]\n[part.more]\nx = 1", ("part", 1, "more", "x"), 4, id="table-in-the-last-row"),
        pytest.param(
            '[topic_words.fire]\nstrong = [\n"a",\n"b"]', ("topic_words", "fire", "strong", 1), 4, id="header"
        ),
        pytest.param('topic_words.fire.weak = [\n"a"]', ("topic_words", "fire"), 1, id="dotted-key"),
        pytest.param('"part" = [1979-05-27 07:32:00,\n1.5, # x\n-inf]', ("part", 2), 3, id="quoted-key-dates-numbers"),
        pytest.param('a = """\n[part]\n""\\""""\nb = 1', ("b",), 4, id="text-of-several-lines"),
        pytest.param("a = '''\n'' # \n''''\nb = 1", ("b",), 4, id="literal-text-of-several-lines"),
        pytest.param("a = {}\nb = [[], [[1],\n[2]]]\nc = 1", ("b", 1, 1, 0), 3, id="lists-in-lists"),
        pytest.param("a = 1\r\nb = 2\r\n", ("b",), 2, id="windows-line-ends"),
        pytest.param('part = [\n{ term = "a" }]', ("part", 0, "synonyms", 4), 2, id="missing-field-is-at-its-row"),
    ],
)
def test_the_line_of_a_value(text: str, place: Place, line: int) -> None:
    assert tomllib.loads(text)
    assert line_of(lines_of(text), place) == line


def test_what_stands_nowhere_has_no_line() -> None:
    assert line_of(lines_of("a = 1"), ("name",)) is None


_KEYS = st.sampled_from(["a", "b-c", "1", "", "[x]", 'quo"te', "d.e", "#f"])
_VALUES = st.recursive(
    st.integers(0, 9) | st.floats(0, 9) | st.booleans() | st.text("ab\"'\\\n[]{}=,.# ", max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=3),
    max_leaves=12,
)


@st.composite
def _texts(draw: st.DrawFn) -> str:
    """TOML in which each value, list element and key stands behind a random number of line ends and comments."""
    gaps = st.sampled_from(["", " ", "\n", " # ] } = ,\n", "\n\n"])

    def value(held: object) -> str:
        if isinstance(held, list):
            return "[" + ",".join(f"{draw(gaps)}{value(part)}{draw(gaps)}" for part in held) + draw(gaps) + "]"
        if isinstance(held, dict):
            return "{ " + ", ".join(f"{json.dumps(key)} = {value(part)}" for key, part in held.items()) + " }"
        if isinstance(held, str) and "'" not in held and draw(st.booleans()):
            return f"'''\n{held}'''"
        return json.dumps(held)

    def rows(table: dict[str, Any]) -> str:
        return "".join(f"{draw(gaps)}{json.dumps(key)} = {value(held)}\n" for key, held in table.items())

    tables = st.dictionaries(_KEYS, _VALUES, max_size=3)
    text = rows(draw(tables))
    for _ in range(draw(st.integers(0, 2))):
        text += f"[[rows]]\n{rows(draw(tables))}"
    if draw(st.booleans()):
        text += f"[top.'in ner']\n{rows(draw(tables))}"
    return text


def _places(held: object, place: Place = ()) -> Iterator[Place]:
    parts = held.items() if isinstance(held, dict) else enumerate(held) if isinstance(held, list) else ()
    for key, part in parts:
        yield (*place, key)
        yield from _places(part, (*place, key))


@given(_texts())
def test_every_value_of_any_text_has_its_line(text: str) -> None:
    lines = lines_of(text)
    places = set(_places(tomllib.loads(text)))
    assert places - set(lines) <= {("top",)}  # named only as a part of a header
    assert set(lines) <= places
    for place in places & set(lines):
        if isinstance(place[-1], str) and place[0] not in {"rows", "top"}:
            assert json.dumps(place[-1]) in re.split(r"\n", text)[lines[place] - 1]
