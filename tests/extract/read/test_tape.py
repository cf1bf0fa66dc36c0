"""A tape tells every match in tokens of its Doc."""

import pytest
import spacy
from hypothesis import given
from hypothesis import strategies as st
from spacy.tokens import Doc

from vouchbook.extract.read.tape import tape, words_pattern

VOCAB = spacy.blank("en").vocab
WORDS = st.lists(st.text(alphabet="abcdE'.,", min_size=1, max_size=5), min_size=1, max_size=12)


@given(WORDS, st.data())
def test_each_character_of_a_word_belongs_to_its_token(words: list[str], data: st.DataObject) -> None:
    doc = Doc(VOCAB, words=words)
    start = data.draw(st.integers(min_value=0, max_value=len(words) - 1))
    line = tape(doc, start, len(words))
    offset = 0
    for token in range(start, len(words)):
        assert {line.token(offset + n) for n in range(len(words[token]))} == {token}
        offset += len(words[token]) + 1


@pytest.mark.parametrize(
    ("pattern", "spans"),
    [
        pytest.param("lift", [(3, 4)], id="a-word"),
        pytest.param("n't lift", [(2, 4)], id="a-contraction-is-two-tokens"),
        pytest.param("the flap|it", [(4, 6), (9, 10)], id="each-match"),
        pytest.param("if", [], id="no-part-of-a-word"),
        pytest.param("drop", [], id="not-there"),
    ],
)
def test_a_pattern_finds_whole_words(pattern: str, spans: list[tuple[int, int]]) -> None:
    doc = Doc(VOCAB, words=["So", "do", "n\u2019t", "Lift", "the", "flap", ",", "wait", "for", "it", "."])
    line = tape(doc, 0, len(doc))
    assert list(line.spans(words_pattern(pattern))) == spans
    assert line.first(words_pattern(pattern)) == (spans[0] if spans else None)
