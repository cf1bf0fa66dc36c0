"""Locations out of marks: which part is at which place."""

from collections.abc import Callable

import pytest

from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.locations import marked_locations
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import Things
from vouchbook.extract.tagger.marks import Marks

Locations = Callable[..., list[Candidate]]


@pytest.fixture
def locations(understand: Callable[..., Talk], mark: Callable[..., Marks]) -> Locations:
    def found(*said: str, sure: float = 0.9, **marks: dict[str, str]) -> list[Candidate]:
        talk = understand(*said)
        return list(marked_locations(talk, mark(talk, sure=sure, **marks), Things(talk)))

    return found


def told(found: list[Candidate]) -> list[tuple[str, str]]:
    return [(each.found.fields["part"], each.found.fields["place"]) for each in found]


@pytest.mark.parametrize(
    ("said", "location", "expected"),
    [
        pytest.param(
            "The battery is under the seat.",
            {"battery": "B-part", "under the seat": "B-place"},
            [("battery", "under the seat")],
            id="part-first",
        ),
        pytest.param(
            "Crew, round to the back doors.", {"Crew": "B-part", "to the back doors": "B-place"}, [], id="no-component"
        ),
        pytest.param(
            "The tank is at the feet.", {"tank": "B-part", "at the feet": "B-place"}, [], id="no-place-of-the-machine"
        ),
        pytest.param(
            "The key, my lads, is on the latch.",
            {"key, my lads": "B-part", "on the latch": "B-place"},
            [("key", "on the latch")],
            id="without-those-spoken-to",
        ),
        pytest.param(
            "Under the seat there's a battery.",
            {"Under the seat": "B-place", "battery": "B-part"},
            [("battery", "under the seat")],
            id="place-first",
        ),
        pytest.param(
            "The plug is in the boot, on the left.",
            {"plug": "B-part", "in the boot": "B-place", "on the left": "B-place"},
            [("plug", "in the boot on the left")],
            id="the-place-carried-on",
        ),
        pytest.param(
            "The plug is in the boot and the fuse on the left.",
            {"plug": "B-part", "in the boot": "B-place", "fuse": "B-part", "on the left": "B-place"},
            [("plug", "in the boot"), ("fuse", "on the left")],
            id="each-part-its-own-place",
        ),
        pytest.param(
            "The plug is in the boot. On the left is the fuse.",
            {"plug": "B-part", "in the boot": "B-place", "On the left": "B-place", "fuse": "B-part"},
            [("plug", "in the boot"), ("fuse", "on the left")],
            id="no-place-goes-on-in-another-sentence",
        ),
        pytest.param("The battery is heavy.", {"battery": "B-part"}, [], id="a-part-without-a-place"),
        pytest.param("Under there.", {"Under there": "B-place"}, [], id="a-place-of-nothing"),
        pytest.param("The battery is under the seat.", {}, [], id="nothing-is-marked"),
    ],
)
def test_a_part_gets_its_place(
    locations: Locations, said: str, location: dict[str, str], expected: list[tuple[str, str]]
) -> None:
    assert told(locations(said, location=location)) == expected


def test_the_part_may_have_been_named_before(locations: Locations, understand: Callable[..., Talk]) -> None:
    said = ("There's a battery.", "It's under the seat.")
    (found,) = locations(*said, location={"under the seat": "B-place"})
    assert told([found]) == [("battery", "under the seat")]
    ((start, end),) = found.found.also
    assert understand(*said).doc[start:end].text == "a battery"
    assert "the part was named before" in found.found.reasons
    assert found.sure < 0.9, "it weighs less"


def test_a_place_whose_part_was_named_before_has_to_be_marked_firmly(locations: Locations) -> None:
    said = ("There's a battery.", "It's under the seat.")
    assert locations(*said, location={"under the seat": "B-place"}, sure=0.5) == []


def test_a_part_in_another_line_is_not_at_a_place_here(locations: Locations) -> None:
    found = locations(
        "The battery is heavy.", "The fuse is on the left.",
        location={"battery": "B-part", "fuse": "B-part", "on the left": "B-place"},
    )  # fmt: skip
    assert told(found) == [("fuse", "on the left")]


def test_a_location_holds_the_words_of_both(locations: Locations, understand: Callable[..., Talk]) -> None:
    said = "So the battery, that's under the seat."
    (found,) = locations(said, location={"battery": "B-part", "under the seat": "B-place"})
    quote = understand(said).doc[found.found.start : found.found.end].text
    assert "battery" in quote
    assert "under the seat" in quote
