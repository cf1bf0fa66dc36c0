"""What others wrote, on one line and without what could steer a terminal."""


def plain(text: str) -> str:
    """``text`` as it may be printed: what was imported or tampered with may hold anything."""
    return "".join(letter if letter.isprintable() else "?" for letter in " ".join(text.split()))
