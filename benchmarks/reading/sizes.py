"""Sizes of tools by one pattern, for the plain readers: "ten mil", "10 mm", "T30", "#2", "half-inch"."""

import re

_NUMBERS = {
    word: str(number)
    for number, word in enumerate(
        """
        zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen
        eighteen nineteen twenty
        """.split()
    )
}
_NUMBER = rf"\d+(?:\.\d+)?|{'|'.join(_NUMBERS)}"
_FRACTIONS = {"half": "1/2", "quarter": "1/4", "three-eighths": "3/8", "three-quarter": "3/4"}
SIZE = (
    rf"(?:(?:{_NUMBER})[ -]?(?:millimet(?:er|re)s?|mils?|mm)"
    rf"|(?:\d/\d|{'|'.join(_FRACTIONS)})[ -]?inch"
    r"|t ?\d\d?|ph ?\d|p\d|# ?\d+)(?![\w/])"
)
"""A size in lower-case text, without groups."""
_FORMS = (
    (re.compile(rf"({_NUMBER})[ -]?m"), "{} mm"),
    (re.compile(rf"(\d/\d|{'|'.join(_FRACTIONS)})[ -]?i"), "{} in"),
    (re.compile(r"# ?(\d+)"), "PH{}"),
    (re.compile(r"(t|ph|p) ?(\d+)"), "{}{}"),
)


def normal(size: str) -> str:
    """The normal form of what :data:`SIZE` matched: "10 mm", "1/2 in", "T30", "PH2"."""
    for pattern, form in _FORMS:
        if match := pattern.match(size):
            parts = [_NUMBERS.get(part, _FRACTIONS.get(part, part.upper())) for part in match.groups()]
            return form.format(*parts)
    return size
