"""What the tagger tells of each word, and what it is told of it beside the word itself.

A label that begins with ``B-`` opens a stretch, one that begins with ``I-`` carries it on.
"""

HEADS: dict[str, tuple[str, ...]] = {
    # the deed, its thing and its place; a thing that somebody does something to without saying what is done
    "step": ("O", "B-deed", "I-deed", "B-thing", "I-thing", "B-place", "I-place", "B-alone", "I-alone"),
    "location": ("O", "B-part", "I-part", "B-place", "I-place"),
    "warning": ("O", "B-", "I-"),
    "cue": ("O", "B-", "I-"),
    # a tool by its name, or by its size alone
    "tool": ("O", "B-name", "I-name", "B-size", "I-size"),
    "phase": (
        "identify", "immobilise", "disable", "access", "stored_energy", "fire", "submersion", "towing", "other",
    ),
    "hazard": (
        "electric shock", "burn", "toxic fumes", "fire", "explosion", "crush", "fall", "pressure release",
        "projectile", "unexpected movement", "other",
    ),
    "signal": ("danger", "warning", "caution", "notice"),
    "chatter": ("no", "yes"),
    "pointer": ("no", "yes"),
    "borrowed": ("no", "yes"),
}  # fmt: skip
"""The questions that are answered for each word, with the answers in the order of the network's columns.

One more, ``deed``, has its answers in the card: the plain verb of a step whose words do not hold it.
"""

SAID = "said"
"""The answer of ``deed`` where the words hold the verb."""

FEATURES = (
    "tag", "dependency", "asks", "chatter", "named", "speaks_for", "value", "forbids",
    "step", "tool", "location", "warning", "cue", "topic", "turn",
)  # fmt: skip
"""What the rules of reading know of a word, in the order of the network's columns."""
