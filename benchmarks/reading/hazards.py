"""What a warning warns of, by one word in it, for the plain readers."""

import re

_WORDS = {
    "electric shock": r"shock|live|volts?|voltage|electric\w*",
    "explosion": r"explo\w+|bang",
    "crush": r"crush\w*|trap\w*|drops?|falls? on",
    "fire": r"fire|burning|ignit\w+",
    "burn": r"burns?|hot|scald\w*",
    "toxic fumes": r"fumes?|gas|smoke|toxic|vapou?r",
    "pressure release": r"pressure|spray|bar",
}
_DEADLY = re.compile(r"\b(?:kill\w*|dead|deadly|danger\w*|high voltage|explo\w+)\b")


def hazard_of(text: str) -> str:
    """The hazard, as items name them; "other" when no word tells."""
    return next((name for name, words in _WORDS.items() if re.search(rf"\b(?:{words})\b", text.lower())), "other")


def signal_of(text: str) -> str:
    """The signal word: danger where the text speaks of death, else warning."""
    return "danger" if _DEADLY.search(text.lower()) else "warning"
