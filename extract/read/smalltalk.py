"""Lines that say nothing about the subject: greetings, sales talk, what happens around the camera."""

from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern

_SOCIAL = words_pattern(
    r"(?:a |the )?(?:kettle|coffee|tea|biscuits?|cakes?|sandwich\w*|lunch|breakfast|dinner|pub|"
    r"football|match|weather|holiday|birthday|missus|wife|husband)(?: \w+)?",
    r"(?:thank you|thanks|cheers|brilliant|smashing|lovely|ta|see you|nice to meet|good morning|"
    r"morning|welcome|bless you)",
    r"(?:we 're |that 's |are we |is that |is it )(?:recording|rolling|filming|running|live now)|"
    r"recording now|camera 's (?:on|off|rolling)|testing one two|can you hear me|say that again",
    r"my phone|the phone 's|your phone 's|somebody 's phone|hang on a (?:sec|second|minute|tick)|"
    r"one sec|excuse me|watch your head|mind your head on",
    r"(?:what|where) 's he doing|he 's (?:reversing|parking)|not now|go on then|shut up|ignore (?:him|it|that|them)",
)
_SALES = words_pattern(
    r"(?:a month|per month|deal|deals|lease|leasing|finance|warranty|discount|price|prices|cheaper|"
    r"cheap|bargain|sell|selling|sold|sales|salesman|customers?|brochure|test drive|trade-?in|"
    r"range on|mileage|mpg|best seller|offer|"
    r"thrown in|a good buy|on offer|upgrade|award|heated seats|cup ?holders?|subscription|quote you|nothing down)"
)


def chatter_lines(talk: Talk) -> frozenset[int]:
    """The lines in which small talk or selling outweighs what the packs know; such a line gives no item.

    A line that holds a size, an order about a part, or a hazard of the packs is never set aside.
    """
    found: set[int] = set()
    for number in range(len(talk.transcript.lines)):
        sentences = talk.sentences_of(number)
        if not sentences:
            continue
        start, end = sentences[0].start, sentences[-1].end
        line = talk.tape(start, end)
        social = len(list(_SOCIAL.finditer(line.text))) + 1.5 * len(list(_SALES.finditer(line.text)))
        if not social:
            continue
        things = {m.entry.term for m in talk.mentions_in(start, end, "part", "tool", "fastener", "ppe", "hazard")}
        values = [v for v in talk.values_in(start, end) if v.is_size or v.quantity.dimension in {"voltage", "pressure"}]
        if social * 2 > len(things) + 3 * len(values):
            found.add(number)
    return frozenset(found)
