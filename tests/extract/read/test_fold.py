"""Repeats are one item with every place as evidence; what differs in size, count or meaning stays apart."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.fold import folded
from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.pipeline import Reader
from vouchbook.models.quantities import Quantity
from vouchbook.models.transcript import Transcript


def found(start: int, text: str, count: int | None = None, place: str | None = None) -> Found:
    quantity = Quantity(normal=str(count), dimension="count", value=count, said=str(count)) if count else None
    said = Said(quantity, start, start) if quantity else None
    return Found("cue", start, start + 2, start, {"text": text, "place": place}, 0.5, ("why",), count=said)


def is_same(one: Found, other: Found) -> bool:
    return bool(one.fields["text"] == other.fields["text"])


def test_a_repeat_becomes_evidence_of_the_first() -> None:
    (item,) = folded([found(8, "a"), found(2, "a", place="here")], is_same)
    assert (item.start, item.also, item.fields["place"]) == (2, ((8, 10),), "here")
    assert item.reasons[-1] == "said more than once"


def test_a_repeat_completes_what_the_first_left_out() -> None:
    (item,) = folded([found(2, "a"), found(8, "a", count=3, place="here")], is_same)
    assert item.count is not None
    assert item.count.quantity.normal == "3"
    assert item.fields["place"] == "here"


def test_counts_that_differ_are_never_one_item() -> None:
    assert len(folded([found(2, "a", count=2), found(8, "a", count=3)], is_same)) == 2


def test_nothing_folds_to_nothing() -> None:
    assert folded([], is_same) == []


@pytest.mark.parametrize(
    ("said", "items"),
    [
        pytest.param(["Lift the rear cover.", "So lift the rear cover."], 1, id="the-same-step"),
        pytest.param(["Lift the rear cover.", "Then tilt the rear cover."], 2, id="another-deed"),
        pytest.param(["Lift the rear cover.", "Then lift the battery lid."], 2, id="another-thing"),
        pytest.param(["Undo the two bolts.", "Undo the three bolts."], 2, id="another-count"),
        pytest.param(["The flap is behind the badge.", "The flap is behind the seat."], 2, id="another-place"),
        pytest.param(["Long pry bar.", "Yes.", "Long pry bar."], 1, id="a-tool-of-the-same-job"),
        pytest.param(["Long pry bar.", *["Yes."] * 5, "Long pry bar."], 2, id="a-tool-of-a-later-job"),
        pytest.param(["Never lift that cover.", "Yes.", "Never lift that cover."], 1, id="the-same-warning"),
        pytest.param(["If the lamp is lit it's live."] * 2, 1, id="the-same-cue"),
    ],
)
def test_each_kind_knows_its_repeats(
    reader: Reader, spoken: Callable[..., Transcript], said: list[str], items: int
) -> None:
    assert len(reader.read(spoken(*said)).items) == items
