"""Lines that say nothing about the subject: greetings, sales talk, what happens around the camera."""

from collections.abc import Sequence

from vouchbook.extract.read.hazards.judge import hazard_words
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_SOCIAL = words_pattern(
    # "the kettle's on", "did you see the match"; "thanks for that"
    r"(?:a |the )?(?:kettle|coffee|tea|biscuits?|cakes?|sandwich\w*|lunch|breakfast|dinner|pub|football|match|weather|"
    r"holiday|birthday|missus|wife|husband)(?: \w+)?",
    r"(?:thank you|thanks|cheers|brilliant|smashing|lovely|ta|see you|nice to meet|good morning|morning|welcome|"
    r"bless you)",
    # "are we rolling", "the camera's off", "testing one two"; not "the motor's running"
    r"(?:we 're |that 's |are we |is that |is it )(?:recording|rolling|filming|running|live now)|recording now",
    r"camera 's (?:on|off|rolling)|testing one two|can you hear me|say that again",
    # "that's my phone", "hang on a sec", "watch your head"
    r"my phone|the phone 's|your phone 's|somebody 's phone|hang on a (?:sec|second|minute|tick)|one sec|excuse me",
    r"watch your head|mind your head on",
    # "what's he doing over there", "he's reversing", "ignore him"
    r"(?:what|where) 's he doing|he 's (?:reversing|parking)|not now|go on then|shut up|ignore (?:him|it|that|them)",
)
_SALES = words_pattern(
    # "four hundred a month on a lease", "heated seats thrown in"
    r"(?:a month|per month|deal|deals|lease|leasing|finance|warranty|discount|price|prices|cheaper|cheap|bargain|sell|"
    r"selling|sold|sales|salesman|customers?|brochure|test drive|trade-?in|range on|mileage|mpg|best seller|offer|"
    r"thrown in|a good buy|on offer|upgrade|award|heated seats|cup ?holders?|subscription|quote you|nothing down)"
)
_SALES_WEIGHT = 1.5
"""A word of selling against one of small talk."""
_OUTRIGHT = 2
"""Weight of a hazard that needs nothing beside it."""
_NEVER_SELLS = frozenset({"voltage", "pressure"})


def chatter_lines(talk: Talk) -> frozenset[int]:
    """The lines in which small talk or selling outweighs what the packs know; such a line gives no item.

    A line that forbids something, or tells a hazard, is never one of them: no thanks may drown a warning. Against each
    word of small talk two things or hazards of the packs are enough, or one size, voltage or pressure.
    """
    return frozenset(number for number in range(len(talk.transcript.lines)) if _is_chatter(talk, number))


def _is_chatter(talk: Talk, line: int) -> bool:
    sentences = talk.sentences_of(line)
    if not sentences:
        return False
    start, end = sentences[0].start, sentences[-1].end
    text = talk.tape(start, end).text
    social = len(_SOCIAL.findall(text)) + _SALES_WEIGHT * len(_SALES.findall(text))
    if not social or _warns(talk, sentences):
        return False
    things = {m.entry.term for m in talk.mentions_in(start, end, "part", "tool", "fastener", "ppe", "hazard")}
    values = [v for v in talk.values_in(start, end) if v.is_size or v.quantity.dimension in _NEVER_SELLS]
    return social * 2 > len(things) + 3 * len(values)


def _warns(talk: Talk, sentences: Sequence[Sentence]) -> bool:
    """Whether a sentence forbids something or tells a hazard outright."""
    return any(
        any(prohibition(talk.doc, c.body, c.end) for c in s.clauses)
        or any(h.weight >= _OUTRIGHT for h in hazard_words(talk.tape(s.start, s.end)))
        for s in sentences
        if not s.asks
    )
