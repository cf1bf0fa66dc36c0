"""Spoken forms and the normal form of each; wordings are common practice, names are those of the standards."""

import pytest

from vouchbook.extract.read.values import Value, as_size, as_unit, values

# said, normal forms of all values in it ("drive", "count" and "label" stand before those), UCUM codes
ROWS = [
    ("ten mil", ["10 mm"], ["mm"]),
    ("ten millimetre", ["10 mm"], ["mm"]),
    ("ten millimeter", ["10 mm"], ["mm"]),
    ("10-mm", ["10 mm"], ["mm"]),
    ("10mm", ["10 mm"], ["mm"]),
    ("five and a half mil", ["5.5 mm"], ["mm"]),
    ("em eight", ["M8"], [None]),
    ("a ten-mil bolt", ["10 mm"], ["mm"]),
    ("ten, no, twelve millimetre", ["12 mm"], ["mm"]),
    ("three-eighths", ["3/8 in"], ["[in_i]"]),
    ("three eighths drive", ["drive 3/8 in"], ["[in_i]"]),
    ("half inch", ["1/2 in"], ["[in_i]"]),
    ("half-inch gun", ["drive 1/2 in"], ["[in_i]"]),
    ("nine sixteenths", ["9/16 in"], ["[in_i]"]),
    ("seven sixteenths", ["7/16 in"], ["[in_i]"]),
    ("thirteen sixteenths", ["13/16 in"], ["[in_i]"]),
    ("five-eighths", ["5/8 in"], ["[in_i]"]),
    ("three-quarter", ["3/4 in"], ["[in_i]"]),
    ("quarter-inch", ["1/4 in"], ["[in_i]"]),
    ("inch and an eighth", ["1 1/8 in"], ["[in_i]"]),
    ("inch and a half", ["1 1/2 in"], ["[in_i]"]),
    ("T thirty", ["T30"], [None]),
    ("torx thirty", ["T30"], [None]),
    ("star thirty", ["T30"], [None]),
    ("T twenty-five security", ["T25, with pin"], [None]),
    ("E ten", ["E10"], [None]),
    ("number two phillips", ["PH2"], [None]),
    ("pozi two", ["PZ2"], [None]),
    ("cross-head", [], []),
    ("six-mil allen", ["6 mm"], ["mm"]),
    ("six-mil hex key", ["6 mm"], ["mm"]),
    ("flat blade, about six mil", ["6 mm (about)"], ["mm"]),
    ("three twelve-mil bolts", ["count 3", "12 mm"], ["1", "mm"]),
    ("four of the tens", ["count 4", "10"], ["1", None]),
    ("both bolts", ["count 2"], ["1"]),
    ("half a dozen clips", ["count 6"], ["1"]),
    ("a couple of bolts", ["count about 2"], ["1"]),
    ("two-oh-one volts", ["201 V"], ["V"]),
    ("two hundred one volts", ["201 V"], ["V"]),
    ("three hundred fifty volts", ["350 V"], ["V"]),
    ("three-fifty volts", ["350 V"], ["V"]),
    ("an eight-hundred-volt system", ["800 V"], ["V"]),
    ("twelve volt", ["12 V"], ["V"]),
    ("forty-eight volt", ["48 V"], ["V"]),
    ("two-eighty-eight", ["288"], [None]),
    ("three point seven volts", ["3.7 V"], ["V"]),
    ("six-fifty, seven hundred volts", ["650\u2013700 V"], ["V"]),
    ("fifteen hundred volts DC", ["1500 V DC"], ["V"]),
    ("four-eighty three-phase", ["480 V AC, 3 phases"], ["V"]),
    ("under sixty volts", ["< 60 V"], ["V"]),
    ("zero volts", ["0 V"], ["V"]),
    ("two-hundred-amp fuse", ["200 A"], ["A"]),
    ("seventy-seven kilowatt hours", ["77 kWh"], ["kW.h"]),
    ("sixty amp-hours", ["60 Ah"], ["A.h"]),
    ("class double-oh gloves", ["class 00"], [None]),
    ("class zero", ["class 0"], [None]),
    ("class oh", ["class 0"], [None]),
    ("class nought", ["class 0"], [None]),
    ("seven hundred bar", ["700 bar"], ["bar"]),
    ("three-fifty bar", ["350 bar"], ["bar"]),
    ("thirty-six hundred psi", ["3600 psi"], ["[psi]"]),
    ("one and a half turns", ["1.5 turns"], ["circ"]),
    ("quarter turn", ["1/4 turn"], ["circ"]),
    ("half a turn clockwise", ["1/2 turn, clockwise"], ["circ"]),
    ("turn it ninety", ["90\u00b0"], ["deg"]),
    ("ninety seconds", ["90 s"], ["s"]),
    ("ten minutes", ["10 min"], ["min"]),
    ("a minute and a half", ["90 s"], ["s"]),
    ("five to ten minutes", ["5\u201310 min"], ["min"]),
    ("at least ten minutes", ["\u2265 10 min"], ["min"]),
    ("a couple of minutes", ["about 2 min"], ["min"]),
    ("half an hour", ["30 min"], ["min"]),
    ("twenty-four hours", ["24 h"], ["h"]),
    ("twenty-four newton metres", ["24 N\u00b7m"], ["N.m"]),
    ("eighteen foot-pounds", ["18 ft\u00b7lbf"], ["[ft_i].[lbf_av]"]),
    ("a hundred and ten degrees", ["110 \u00b0"], ["deg"]),
    ("minus forty", ["-40"], [None]),
    ("a foot and a half", ["1.5 ft"], ["[ft_i]"]),
    ("six foot six", ["6 ft 6 in"], ["[ft_i]"]),
    ("fifteen thou", ["0.015 in"], ["[in_i]"]),
    ("two and a half tonnes", ["2.5 t"], ["t"]),
    ("three-ton jack", ["3 ton"], ["[ston_av]"]),
    ("sixty percent", ["60 %"], ["%"]),
    ("nineteen ninety-eight", ["label 1998"], [None]),
    ("oh-five to oh-nine", ["label 2005\u20132009"], [None]),
    ("at two o'clock", ["label clock position 2"], [None]),
    ("bank two", ["label 2"], [None]),
    ("number four", ["label 4"], [None]),
]


def shown(value: Value) -> str:
    kind = "label" if value.is_label else value.quantity.dimension
    return f"{kind} {value.quantity.normal}" if kind in ("drive", "count", "label") else value.quantity.normal


@pytest.mark.parametrize(("said", "normals", "units"), ROWS, ids=[row[0] for row in ROWS])
def test_normal_form(said: str, normals: list[str], units: list[str | None]) -> None:
    found = values(said.split())
    assert [shown(value) for value in found] == normals
    assert [value.quantity.unit for value in found] == units
    assert not any(value.is_open for value in found)


@pytest.mark.parametrize(
    ("said", "normal"),
    [
        ("ten or twelve mil", "10 or 12 mm"),
        ("six or eight clips", "6 or 8"),
        ("eight mil? nine?", "8 or 9 mm"),
        ("a ten, maybe a twelve", "10 or 12"),
        ("T twenty or twenty-five", "T20 or T25"),
        ("a half inch or a thirteen", "1/2 in or 13"),
        ("six, seven bolts", "6 or 7"),
        ("four or five minutes", "4 or 5 min"),
    ],
)
def test_alternatives_give_no_usable_value(said: str, normal: str) -> None:
    (value,) = values(said.split())
    assert value.is_open
    assert value.quantity.normal == normal
    assert value.quantity.value is None
    assert len(value.alternatives) == 2
    assert as_size(value) is None


@pytest.mark.parametrize(
    ("said", "ucum", "normal"),
    [
        ("four hundred", "V", "400 V"),
        ("thirty-six hundred pounds", "[psi]", "3600 psi"),
        ("at least three fifty", "bar", "\u2265 350 bar"),
        ("ten or twelve", "V", None),
        ("ten minutes", "V", None),
    ],
)
def test_a_bare_number_takes_the_unit_that_the_talk_is_about(said: str, ucum: str, normal: str | None) -> None:
    (value,) = values(said.split())
    quantity = as_unit(value, ucum)
    assert (quantity and quantity.normal) == normal
    assert quantity is None or not quantity.unit_said


FURTHER = [
    ('a 7/16" socket', ["7/16 in"]),
    ("3/8 in socket", ["3/8 in"]),
    ("half-inch drive ten mil socket", ["drive 1/2 in", "10 mm"]),
    ("a ten and a half-inch ratchet", ["10", "drive 1/2 in"]),
    ("six inch extension", ["6 in"]),
    ("three quarter-inch bolts", ["count 3", "1/4 in"]),
    ("three M eight bolts", ["count 3", "M8"]),
    ("four little black ten mil screws", ["count 4", "10 mm"]),
    ("two twelve volt batteries", ["count 2", "12 V"]),
    ("two five litre cans", ["count 2", "5 L"]),
    ("all six", ["count 6"]),
    ("they're all ten mil", ["10 mm"]),
    ("just the one.", ["count 1"]),
    ("a pair of clips", ["count 2"]),
    ("six hundred bolts D C", ["count 600"]),  # never repaired to volts
    ("400V DC", ["400 V DC"]),
    ("3,600 psi", ["3600 psi"]),
    ("10-12 mm", ["10\u201312 mm"]),
    ("eight ten metres", ["8\u201310 m"]),
    ("between five and ten minutes", ["5\u201310 min"]),
    ("no more than ten minutes", ["\u2264 10 min"]),
    ("ten minutes minimum", ["\u2265 10 min"]),
    ("ten minutes or so", ["about 10 min"]),
    ("a quarter of an hour", ["15 min"]),
    ("three quarters of a tonne", ["0.75 t"]),
    ("a fortnight", ["14 d"]),
    ("a foot away", ["1 ft"]),
    ("half a turn anti-clockwise", ["1/2 turn, anticlockwise"]),
    ("two full turns", ["2 turns"]),
    ("twelve hundred kilo on one bolt", ["1200 kg", "1"]),
    ("tee thirty", ["T30"]),
    ("thirty Torx", ["T30"]),
    ("ten Torx screws", ["count 10"]),
    ("T twenty fives", ["T25"]),
    ("torques thirty", ["T30"]),
    ("torques thirty newton metres", ["30 N\u00b7m"]),
    ("P Z two", ["PZ2"]),
    ("A number two cross-head.", ["PH2"]),
    ("M10x1.5", ["M10"]),
    ("-8 mm", ["-8 mm"]),
    ("a twelve point five mil socket", ["12.5 mm"]),
    ("15/16ths", ["15/16 in"]),
    ("five ninths of an inch", ["5/9 in"]),
    ("three twelve psi", ["312 psi"]),
    ("four-bolt flange", ["label 4"]),
    ("one, two, three, pull", ["label 2", "label 3"]),
    ("in 2019", ["label 2019"]),
    ("by a week", ["1 week"]),
]


@pytest.mark.parametrize(("said", "normals"), FURTHER, ids=[row[0] for row in FURTHER])
def test_further_wordings(said: str, normals: list[str]) -> None:
    assert [shown(value) for value in values(said.split())] == normals


@pytest.mark.parametrize(
    "said",
    [
        "one moment", "that's the one", "this one and that one and the other one", "for the", "to be", "won",
        "a second",
        "wait a second", "two of you?", "one of them", "first second third", "the twenty-first", "twenty eighth",
        "half past two", "ten in the morning", "a hand's width", "quarter panel and the half shafts", "half full",
        "three quarters of the way", "give it a minute", "a pair of pliers", "nine times out of ten",
        "tea for two of us",
        "class A", "put a foot on it", "in the yard", "the red one goes in", "no one", "24/7",
    ],
)  # fmt: skip
def test_look_alikes_are_no_values(said: str) -> None:
    assert values(said.split()) == ()
