"""The little words and signs at the joints of talk: where a thing begins, ends, or hangs on to another."""

SENTENCE_END = frozenset({".", "?", "!", "…", "..."})
PAUSE = frozenset({",", ";", ":", "-", "--", "\u2013", "\u2014"})

LEADS = frozenset(
    """
    and so then okay ok right now well first but oh yeah yes yep just please also next or again look listen see sorry
    alright aye like still always only obviously anyway and/or plus finally secondly lastly maybe actually
    """.split()
)
"""Words before the point: "so then you just turn it" is about turning."""

MARKERS = frozenset(
    """
    if when once until till unless because cause 'cause cos 'cos since before after while whenever where whether though
    although which who as
    """.split()
)
"""Words that tie a clause to another one: condition, time or reason."""

SAME_MARKER = {"till": "until", "cause": "because", "'cause": "because", "cos": "because", "'cos": "because"}
"""Markers that say the same, by the one that stands for them in a clause."""

JOINERS = frozenset("and but or so then".split())
"""Words that may open a clause of its own beside the one before."""

PERSONS = frozenset("i you we they he she it there nobody everybody".split())
"""Subjects that begin a clause wherever a verb follows, even in captions without punctuation."""

SUBJECTS = PERSONS | frozenset("everyone anybody somebody what that this these those".split())
"""Subjects that begin a clause after a joiner: "and that comes off"."""

FORBIDS = frozenset("do never nobody no".split())
"""How what follows a joiner may begin to forbid: "and don't pull", "but never there"."""

HOLDS_ON = MARKERS | frozenset(
    "that and or but so than to do does did can could will would should what how why".split()
)
"""Words after which nothing can end: a clause that starts right behind one of them would tear it off."""

ORDERS = frozenset("press push pull turn lift twist squeeze slide open undo unplug hold".split())
"""Verbs that the tagger takes for nouns behind a joiner: "lean in and press park"."""
