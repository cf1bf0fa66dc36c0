"""The series against the standards' tables; they raise questions only."""

from fractions import Fraction

import pytest

from vouchbook.extract.read.series import (
    HEX_HEAD_IN,
    HEX_HEAD_MM,
    SPANNER_IN,
    SPANNER_MM,
    Subject,
    fits_thread,
    is_plausible,
    is_usual,
)
from vouchbook.extract.read.values import as_size, values
from vouchbook.models.quantities import Quantity


def quantity(said: str) -> Quantity:
    (value,) = values(said.split())
    return value.quantity


HEADS = [
    # Thread and width across flats.
    *[("ISO 4014", *row) for row in (("M3", "5.5"), ("M4", "7"), ("M5", "8"), ("M6", "10"), ("M8", "13"), ("M10", "16"),
      ("M12", "18"), ("M14", "21"), ("M16", "24"), ("M18", "27"), ("M20", "30"), ("M22", "34"), ("M24", "36"))],
    *[("DIN 933", *row) for row in (("M10", "17"), ("M12", "19"), ("M14", "22"), ("M22", "32"))],
    *[("ISO 15071", *row) for row in (("M5", "7"), ("M6", "8"), ("M8", "10"), ("M10", "13"), ("M12", "15"),
    ("M14", "18"),
      ("M16", "21"))],
    *[("EN 1665", *row) for row in (("M5", "8"), ("M6", "10"), ("M8", "13"), ("M10", "16"), ("M12", "18"),
    ("M20", "30"))],
    ("ISO 4161", "M10", "15"), ("EN 1662", "M12", "16"),
    *[("JIS, from memory", *row) for row in (("M8", "12"), ("M10", "14"), ("M12", "17"), ("M14", "19"), ("M16", "22"),
      ("M18", "24"), ("M20", "27"), ("M22", "30"), ("M24", "32"))],
]  # fmt: skip


@pytest.mark.parametrize(("standard", "thread", "width"), HEADS, ids=[" ".join(row) for row in HEADS])
def test_a_standard_head_raises_no_question(standard: str, thread: str, width: str) -> None:
    assert Fraction(width) in HEX_HEAD_MM[thread], standard
    assert is_usual(quantity(f"{width}mm")), standard
    assert fits_thread(quantity(f"{width}mm"), quantity(thread)), standard


USUAL = [
    ("ISO 2936", "2.5 mm"), ("ISO 2936", "14 mm"), ("ISO 2936", "1.5 mm"), ("ISO 2380", "6.5 mm"), ("ISO 10664", "T30"),
    ("ISO 10664", "T100"), ("suppliers' lists", "T27"), ("suppliers' lists", "T47"), ("from memory", "E10"),
    ("ISO 4757", "PH2"), ("ISO 8764", "PZ2"), ("ISO 1174", "3/8 drive"), ("ISO 1174", "three-quarter drive"),
    ("ISO 1174", "inch drive"), ("ASME B18.2.1", "nine sixteenths"), ("ASME B18.2.1", "fifteen sixteenths"),
    ("ASME B18.2.1", "inch and an eighth"), ("common practice", "5/16 in"), ("IEC 60903", "class double oh"),
    ("IEC 60903", "class four"), ("wheel nuts, common practice", "33 mm"), ("no size", "ten minutes"),
    ("no size", "400 volts"), ("variant of T25", "T25 security"),
]  # fmt: skip


@pytest.mark.parametrize(("standard", "said"), USUAL, ids=[" ".join(row) for row in USUAL])
def test_usual(standard: str, said: str) -> None:
    assert is_usual(quantity(said)), standard


@pytest.mark.parametrize(
    "said",
    [
        "10.2 mm", "12.5 mm socket", "31 mm", "T33", "T43", "T65", "E9", "E13", "PH7", "PZ9", "31/64 inch",
        "5/9 in hole",
        "three tenths of an inch", "7/8 drive", "5/8 drive", "M13", "M15", "M9", "class seven", "100 mm socket",
        "0 mm", "-8 mm",
    ],
)  # fmt: skip
def test_unusual_sizes_are_read_and_raise_a_question(said: str) -> None:
    (value,) = values(said.split())
    assert not is_usual(value.quantity)
    assert as_size(value) == value.quantity, "kept as heard"


def test_the_inch_heads_of_asme_b18_2_1_are_inch_sockets() -> None:
    assert set(HEX_HEAD_IN.values()) <= SPANNER_IN


def test_the_metric_heads_are_metric_sockets() -> None:
    assert frozenset[Fraction]().union(*HEX_HEAD_MM.values()) <= SPANNER_MM


@pytest.mark.parametrize(("width", "thread", "fits"), [("13 mm", "M8", True), ("14 mm", "M8", True),
("19 mm", "M8", False),
                         ("8 mm", "M8", False), ("1/2 inch", "M8", True), ("13 mm", "M27", True)])  # fmt: skip
def test_only_a_head_far_from_every_column_does_not_fit(width: str, thread: str, *, fits: bool) -> None:
    assert fits_thread(quantity(width), quantity(thread)) is fits


@pytest.mark.parametrize(
    ("said", "subject", "plausible"),
    [
        ("four hundred volts", "high-voltage pack", True), ("1200 volts", "high-voltage pack", False),
        ("12 volts", "high-voltage pack", False), ("1500 volts", "", True), ("1600 volts", "", False),
        ("fourteen volts", "12 V net", True), ("24 volts", "12 V net", False), ("700 bar", "hydrogen", True),
        ("900 bar", "hydrogen", False), ("3600 psi", "natural gas", True), ("4500 psi", "natural gas", False),
        ("ten minutes", "", True), ("ninety minutes", "", False), ("zero minutes", "", False),
        ("five to ninety minutes", "", False), ("108 degrees Celsius", "thermal relief", True),
        ("140 degrees Celsius", "thermal relief", False), ("ten mil", "", True),
    ],
)  # fmt: skip
def test_plausible(said: str, subject: Subject, *, plausible: bool) -> None:
    assert is_plausible(quantity(said), subject) is plausible
