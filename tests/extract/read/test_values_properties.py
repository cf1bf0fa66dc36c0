"""What holds for any words at all, and agreement with other readers of numbers."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words
from text_to_num import text2num

from vouchbook.extract.read.atoms import atoms
from vouchbook.extract.read.measures import read_at
from vouchbook.extract.read.numbers import cardinal
from vouchbook.extract.read.values import Value, as_count, as_size, values

TALK_TEXT = (
    "ten twelve thirteen five six four two one oh zero nought hundred thousand and a an half quarter three "
    "eighths sixteenths "
    "eighth third second point mil millimetre mm inch inches foot drive ratchet bolts screws bolt T E em M PH P "
    "Z class number "
    "torx phillips pozi cross head allen no, No. wait, sorry, I mean make that scratch lie, it's not or to "
    "maybe about at least "
    "under more than up of the them both pair couple dozen all volts volt D C bar psi minutes minute hour "
    "degrees turn turns "
    'clockwise percent ton minus 10 10mm 3/8 7/16" M8 T30 PH2 10-12 5.5 1,000 twenty-fives tens thirty-six '
    "o'clock bank ten, "
    "twelve. nine? — ... - ½ -8 24/7 is nine-sixteenths half-inch for"
)
TALK = TALK_TEXT.split()
words = st.lists(
    st.one_of(st.sampled_from(TALK), st.text(min_size=1, max_size=6).filter(lambda text: bool(text.split()))),
    max_size=24,
)


def _all(found: tuple[Value, ...]) -> list[Value]:
    return [each for value in found for each in (value, *_all(value.corrected_from))]


@given(words)
def test_every_value_is_said_where_it_stands(tokens: list[str]) -> None:
    found = values(tokens)
    for value in _all(found):
        assert value.quantity.said == " ".join(tokens[value.first : value.last + 1])
        assert value.quantity.said in " ".join(tokens)
    for value, following in pairwise(found):
        assert value.last < following.first


@given(words)
def test_an_open_or_denied_value_is_never_shown(tokens: list[str]) -> None:
    for value in values(tokens):
        if value.is_open or value.is_denied:
            assert as_size(value) is None
            assert as_count(value) is None


@given(words, st.lists(st.integers(min_value=-2, max_value=30)))
def test_no_value_reaches_over_a_break(tokens: list[str], breaks: list[int]) -> None:
    for value in _all(values(tokens, breaks)):
        assert not any(value.first < each <= value.last for each in breaks)


@given(words, words)
def test_a_break_makes_two_talks_of_one(first: list[str], second: list[str]) -> None:
    together = [value.quantity for value in values([*first, *second], [len(first)])]
    assert together == [value.quantity for talk in (first, second) for value in values(talk)]


def _read(text: str) -> float | None:
    cut = atoms(text.split())
    reading = read_at(cut, 0)
    return float(reading.amount) if reading and reading.end == len(text.replace("-", " ").split()) - 1 else None


def test_spoken_numbers_up_to_9999() -> None:
    for number in range(10_000):
        spoken = num2words(number)
        found = cardinal(atoms(spoken.split()), 0)
        assert found is not None
        assert found.value == number, spoken
        if number == 1:
            continue  # "one" alone is a pronoun
        assert _read(spoken) == number, spoken
        assert _read(spoken.replace(" and ", " ")) == number, spoken  # American


def test_spoken_hundreds_as_years_are_spoken() -> None:
    for number in range(1100, 10_000, 100):
        if number % 1000:
            spoken = num2words(number, to="year")
            assert _read(spoken) == number, spoken


@given(st.integers(min_value=1, max_value=9), st.integers(min_value=20, max_value=99))
def test_pair_speech(hundreds: int, rest: int) -> None:
    tens = num2words(rest)
    for spoken in (f"{num2words(hundreds)}-{tens} volts", f"{num2words(hundreds)} {tens} volts"):
        if spoken == f"{num2words(hundreds)} {tens} volts" and rest in (24, 36, 48, 80):
            continue  # "two twenty-four volts" may count batteries
        (value,) = values(spoken.split())
        assert value.quantity.normal == f"{hundreds * 100 + rest} V"


@given(st.integers(min_value=2, max_value=99_999))
def test_whole_numbers_agree_with_text2num(number: int) -> None:
    spoken = num2words(number).replace(",", "")
    assert _read(spoken) == text2num(spoken, "en") == number


@given(st.integers(min_value=2, max_value=200), st.integers(min_value=1, max_value=99))
def test_decimals(whole: int, part: int) -> None:
    spoken = f"{num2words(whole)} point {' '.join(num2words(int(figure)) for figure in str(part))} volts"
    (value,) = values(spoken.split())
    assert value.quantity.value == float(f"{whole}.{part}")


@given(st.integers(min_value=1, max_value=400).map(lambda number: number / 2))
def test_a_size_in_figures_keeps_its_value(width_mm: float) -> None:
    (value,) = values([f"{width_mm:g}mm"])
    assert value.quantity.value == width_mm
    assert value.quantity.normal == f"{width_mm:g} mm"
