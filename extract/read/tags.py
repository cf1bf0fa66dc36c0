"""Tags of the Penn Treebank that several rules ask for, as the language model gives them (``Token.tag_``)."""

NOUNS = frozenset({"NN", "NNS", "NNP", "NNPS"})
PLURAL_NOUNS = frozenset({"NNS", "NNPS"})

BASE_VERBS = frozenset({"VB", "VBP"})
"""How an order is said: "press", and "you press"."""
FINITE_VERBS = frozenset({"VBZ", "VBP", "VBD", "MD"})
"""Verbs that state something: "holds", "hold", "held", "will"."""
VERBS = FINITE_VERBS | BASE_VERBS
"""Verbs that make words a statement or an order; "hanging" and "bolted" do not, they describe a thing."""

DETERMINERS = frozenset({"DT", "PRP$"})
"""What opens a noun phrase: "the", "a", "that", "your"."""
