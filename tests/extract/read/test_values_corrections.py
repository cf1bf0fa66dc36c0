"""What a talker takes back is kept under what stands, and is never shown in its place."""

import pytest

from vouchbook.extract.read.values import Value, as_count, as_size, values


def read(said: str) -> tuple[Value, ...]:
    return values(said.split())


CORRECTIONS = [
    # said, the size that stands, what was taken back
    ("ten, no, twelve millimetre", "12 mm", ["10 mm"]),
    ("a six, no, I tell a lie, it's a seven mil", "7 mm", ["6 mm"]),
    ("four mil hex. Four, no. Five mil", "5 mm", ["4 mm", "4 mm"]),
    ("nine, wait, I'm lying, it's eight, eight mil", "8 mm", ["9"]),
    ("ten mil, sorry, twelve", "12 mm", ["10 mm"]),
    ("it's a ten, I mean a twelve mil", "12 mm", ["10 mm"]),
    ("ten mil, make that eleven", "11 mm", ["10 mm"]),
    ("ten mil, scratch that, eleven", "11 mm", ["10 mm"]),
    ("ten, hang on, thirteen mil", "13 mm", ["10 mm"]),
    ("ten wait no twelve mil", "12 mm", ["10 mm"]),
    ("a ten. Sorry, what? Twelve mil.", "12 mm", ["10 mm"]),
    ("T thirty, no, forty", "T40", ["T30"]),
    ("T thirty. Forty. T forty, the thirty's for the side", "T40", ["T30"]),
    ("It's a talks twenty, no, sorry, twenty five.", "T25", ["T20"]),
    ("a seven mil, no, I tell a lie, it's the nine. Nine mil triangle key", "9 mm", ["7 mm"]),
    ("Three quarter, what am I saying, nothing's in inches on here. Nineteen mil.", "19 mm", ["3/4 in"]),
    ("five sixteenths screws. Three sixteenths. Sorry. Three sixteenths.", "3/16 in", ["5/16 in"]),
    ("it's not a ten mil, it's a twelve mil", "12 mm", ["10 mm"]),
    ("a twelve mil, not a ten", "12 mm", ["10 mm"]),
    ("Nineteen mil? Seventeen.", "17 mm", ["19 mm"]),
]


@pytest.mark.parametrize(("said", "stands", "taken_back"), CORRECTIONS, ids=[row[0] for row in CORRECTIONS])
def test_only_the_corrected_size_stands(said: str, stands: str, taken_back: list[str]) -> None:
    sizes = [value for value in read(said) if value.is_size]
    assert [value.quantity.normal for value in sizes] == [stands]
    assert [earlier.quantity.normal for earlier in sizes[0].corrected_from] == taken_back


@pytest.mark.parametrize(
    ("said", "normals"),
    [
        ("twelve millimetre, the ten's for the old one", ["12 mm", "10"]),
        ("Is it ten mil? No. Four bolts.", ["10 mm", "4"]),
        ("five minutes. Wait ten minutes.", ["5 min", "10 min"]),
        ("a half inch, thirteen'll do it", ["1/2 in", "13"]),
        ("four bolts, no, the ten mil is stuck", ["4", "10 mm"]),
        ("Six bolts. Four. Six was the old cab.", ["6", "4", "6"]),
        ("ten minutes. Always ten minutes.", ["10 min", "10 min"]),
    ],
)
def test_what_is_no_correction_withdraws_nothing(said: str, normals: list[str]) -> None:
    found = read(said)
    assert [value.quantity.normal for value in found] == normals
    assert not any(value.corrected_from for value in found)


def test_nobody_corrects_another_person() -> None:
    words = ["Ten", "mil.", "No.", "Twelve", "mil."]
    assert [value.quantity.normal for value in values(words)] == ["12 mm"]
    assert [value.quantity.normal for value in values(words, breaks=[2])] == ["10 mm", "12 mm"]


def test_a_denied_size_is_no_size() -> None:
    found = read("Half inch. No it ain't, half inch is the tractor. Nine sixteenths.")
    assert [as_size(value) and value.quantity.normal for value in found] == [None, None, "9/16 in"]


def test_a_limit_survives_its_correction() -> None:
    (value,) = read("at least ten, no, twelve minutes")
    assert value.quantity.normal == "\u2265 12 min"


def test_a_corrected_count_is_a_count() -> None:
    (value,) = read("four bolts, make that five")
    count = as_count(value)
    assert count is not None
    assert count.normal == "5"


@pytest.mark.parametrize(
    ("said", "normal"),
    [
        ("that's a thirteen.", "13 mm"), ("Thirteens.", "13 mm"), ("a ten", "10 mm"),
        ("two and a half, Allen", "2.5 mm"),
        ("about a ten", "10 mm (about)"), ("ten mil", "10 mm"), ("PH2", "PH2"), ("class zero", "class 0"),
        ("ten minutes", None), ("four bolts", None), ("number four", None), ("minus forty", None),
        ("four hundred", None),
        ("ten to twelve mil", None), ("not a ten", None), ("nought", None),
    ],
)  # fmt: skip
def test_as_size(said: str, normal: str | None) -> None:
    (value,) = read(said)
    size = as_size(value)
    assert (size and size.normal) == normal
    if size and value.is_bare:
        assert not size.unit_said


@pytest.mark.parametrize(
    ("said", "family", "normal"),
    [
        ("thirty", "hexalobular", "T30"), ("a number two", "cross recess", "PH2"), ("two", "pozidriv recess", "PZ2"),
        ("ten", "external hexalobular", "E10"), ("eight", "thread", "M8"), ("two and a half", "hexalobular", None),
    ],
)  # fmt: skip
def test_as_size_of_a_known_family(said: str, family: str, normal: str | None) -> None:
    (value,) = read(said)
    size = as_size(value, family)  # type: ignore[arg-type]  # the table holds the literal's words
    assert (size and size.normal) == normal


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("three bolts", 3), ("both", 2), ("half a dozen", 6), ("two of them", 2), ("four", 4), ("One bolt", 1),
        ("tens", None), ("ten mil", None), ("six or eight clips", None), ("two and a half", None), ("bank two", None),
        ("nought", None),
    ],
)  # fmt: skip
def test_as_count(said: str, count: int | None) -> None:
    (value,) = read(said)
    quantity = as_count(value)
    assert (quantity and quantity.value) == count
