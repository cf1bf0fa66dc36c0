"""Words in one form, whoever wrote them, and which of them carry a size, a number, a side or a negation.

"Ten mil", "10mm" and "10 millimeter" are one; "don't", "do not" and "dont" are one. Numbers that follow one another
are run together ("two two oh", "220", "seven fifty", "750"), on both sides alike, so that only what was said counts and
not how it is written.
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

Sense = Literal["size", "number", "side", "negation"]

NEGATIONS = frozenset("not no never nobody nothing none nowhere neither nor without unless".split())
SIDES = frozenset(
    "left right top bottom front rear upper lower nearside offside clockwise anticlockwise counterclockwise".split()
)
_NOT_A_SIDE_BEFORE = frozenset("now so then okay yeah through away".split())
_NOT_A_SIDE_BEHIND = frozenset("all that's that thats you're youre is".split())
_UNITS = {
    "mm": "millimetre millimetres millimeter millimeters mil mils mill mills mm",
    "cm": "centimetre centimetres centimeter centimeters cm",
    "m": "metre metres meter meters m",
    "inch": "inch inches",
    "v": "volt volts v",
    "a": "amp amps ampere amperes",
    "l": "litre litres liter liters",
    "bar": "bar bars",
    "kg": "kilo kilos kilogram kilograms kg",
    "t": "ton tons tonne tonnes",
    "min": "minute minutes min",
    "s": "second seconds sec",
    "h": "hour hours",
    "deg": "degree degrees",
    "percent": "percent",
}
UNIT_OF = {word: unit for unit, words in _UNITS.items() for word in words.split()}
_LENGTHS = frozenset({"mm", "cm", "inch"})
_BITS = frozenset("t torx m e ph pz number size".split())
"""What stands before the number of a bit or a thread."""
_ONES = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen".split()
_ONES += "seventeen eighteen nineteen".split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_VALUES = {word: value for value, word in enumerate(_ONES)} | {w: 10 * n for n, w in enumerate(_TENS, 2)}
_SCALES = {"hundred": 100, "thousand": 1000}
_PARTS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "third": 3, "thirds": 3, "eighth": 8, "eighths": 8,
    "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip
_CONTRACTED = {
    "cannot": ("can", "not"), "can't": ("can", "not"), "cant": ("can", "not"), "won't": ("will", "not"),
    "ain't": ("is", "not"), "dont": ("do", "not"), "doesnt": ("does", "not"), "didnt": ("did", "not"),
    "isnt": ("is", "not"), "wasnt": ("was", "not"), "mustnt": ("must", "not"), "shouldnt": ("should", "not"),
}  # fmt: skip
_PIECE = re.compile(r"\d+/\d+|\d+(?:\.\d+)?|[a-z]+(?:'[a-z]+)*|%")
_EIGHTHS = re.compile(r"(?<!\d)(\d)-(8|16)ths?\b")
_FRACTION_BEHIND = re.compile(r"(?<=\d)(?=[\u00bc-\u00be\u2150-\u215e])")
_NUMERAL = re.compile(r"\d+(?:[./]\d+)?")


@dataclass(frozen=True, slots=True)
class Token:
    """A word or number in its one form, and the words ``first`` to ``last`` (both included) that write it."""

    text: str
    first: int
    last: int
    sense: Sense | None = None


def tokens(words: Sequence[str]) -> list[Token]:
    """The tokens of ``words``, the words of a transcript with their punctuation."""
    plain = _joined(_sides_joined(list(_pieces(words))))
    return [Token(t.text, t.first, t.last, _sense(plain, at, words)) for at, t in enumerate(plain)]


def _pieces(words: Sequence[str]) -> Iterator[Token]:
    for number, word in enumerate(words):
        # the sign for 3/8 becomes figures around a slash of its own, and may stand right behind a whole number
        apart = _FRACTION_BEHIND.sub(" ", word)
        line = unicodedata.normalize("NFKC", apart).lower().replace("\u2019", "'").replace("\u2044", "/")
        line = _EIGHTHS.sub(r"\1/\2", re.sub(r"(?<=\d),(?=\d{3})", "", line))
        for piece in _PIECE.findall(line):
            if piece in _CONTRACTED:
                yield from (Token(part, number, number) for part in _CONTRACTED[piece])
            elif piece.endswith("n't"):
                yield from (Token(part, number, number) for part in (piece[:-3], "not"))
            else:
                yield Token("percent" if piece == "%" else piece, number, number)


def _sides_joined(pieces: list[Token]) -> list[Token]:
    """ "Near side" as "nearside", "anti clock wise" as "anticlockwise"."""
    out: list[Token] = []
    for piece in pieces:
        side = piece
        while out and out[-1].text + side.text in SIDES:
            begun = out.pop()
            side = Token(begun.text + side.text, begun.first, side.last)
        out.append(side)
    return out


def _joined(pieces: list[Token]) -> list[Token]:
    out: list[Token] = []
    at = 0
    while at < len(pieces):
        value, after = _number(pieces, at)
        if pieces[at].text in ("oh", "o") and out and out[-1].text.isdecimal():
            value, after = "0", at + 1
        if value is None:
            piece = pieces[at]
            out.append(Token(UNIT_OF.get(piece.text, piece.text), piece.first, piece.last))
            at += 1
            continue
        if after < len(pieces) and pieces[after].text == "s" and after > at:
            after += 1  # "two 13s"
        token = Token(value, pieces[at].first, pieces[after - 1].last)
        if out and out[-1].text.isdecimal() and value.isdecimal():
            begun = out.pop()
            token = Token(begun.text + value, begun.first, token.last)
        out.append(token)
        at = after
    return out


def _number(pieces: list[Token], at: int) -> tuple[str | None, int]:
    """The number that begins at ``at`` as text, and the piece behind it."""
    text = pieces[at].text
    if "/" in text:
        return text, at + 1
    if text in ("half", "quarter"):
        return f"1/{_PARTS[text]}", at + 1
    whole, after = _whole(pieces, at)
    if whole is None:
        return None, at
    behind = [piece.text for piece in pieces[after : after + 2]]
    if len(behind) == 2 and behind[0] == "point" and (_value(behind[1]) is not None):
        return f"{whole}.{_value(behind[1])}", after + 2
    if behind and behind[0] in _PARTS and behind[0] not in ("half", "quarter", "third"):
        return f"{whole}/{_PARTS[behind[0]]}", after + 1
    return whole, after


def _whole(pieces: list[Token], at: int) -> tuple[str | None, int]:
    text = pieces[at].text
    if "." in text and _NUMERAL.fullmatch(text):
        return text, at + 1
    total, after = _value(text), at + 1
    if total is None:
        if text not in _SCALES:
            return None, at
        total, after = 1, at
    if 20 <= total < 100 and total % 10 == 0 and not text.isdecimal():
        ones = _value(pieces[after].text) if after < len(pieces) else None
        if ones is not None and 0 < ones < 10 and not pieces[after].text.isdecimal():
            total, after = total + ones, after + 1
    while after < len(pieces) and pieces[after].text in _SCALES:
        total, after = total * _SCALES[pieces[after].text], after + 1
        joins = after + 1 < len(pieces) and pieces[after].text == "and"
        rest, behind = _whole(pieces, after + joins) if after + joins < len(pieces) else (None, after)
        if rest is not None and rest.isdecimal() and int(rest) < total:
            total, after = total + int(rest), behind
    return str(total), after


def _value(text: str) -> int | None:
    if text.isdecimal():
        return int(text)
    singular = text.removesuffix("'s").removesuffix("s") if text not in _VALUES else text
    singular = {"sixe": "six", "twentie": "twenty", "thirtie": "thirty", "fiftie": "fifty"}.get(singular, singular)
    return _VALUES.get(singular)


def _sense(plain: list[Token], at: int, words: Sequence[str]) -> Sense | None:
    text = plain[at].text
    before = plain[at - 1].text if at else ""
    behind = plain[at + 1].text if at + 1 < len(plain) else ""
    if text in NEGATIONS:
        return "negation"
    if text in SIDES:
        return "side" if text != "right" or _is_the_side(plain[at], before, behind, words) else None
    if _NUMERAL.fullmatch(text):
        if behind in _LENGTHS or (before in _BITS and text.isdecimal()):
            return "size"
        # "one" alone is mostly a pronoun: "the other one"
        is_word = not words[plain[at].first][:1].isdecimal()
        is_loose = text == "1" and is_word and behind not in _UNITS
        # "half asleep", "the rear quarter"
        is_loose |= text in ("1/2", "1/4") and behind not in {*_UNITS, "drive", "turn", "mil"}
        return None if is_loose else "number"
    return "size" if text in _LENGTHS and _NUMERAL.fullmatch(before) else None


def _is_the_side(token: Token, before: str, behind: str, words: Sequence[str]) -> bool:
    """Not the "right" that opens a sentence ("Right, so the bonnet"), nor "right now", "that's right"."""
    opens = token.first == 0 or words[token.first - 1][-1] in ".?!"
    return not opens and before not in _NOT_A_SIDE_BEHIND and behind not in _NOT_A_SIDE_BEFORE
