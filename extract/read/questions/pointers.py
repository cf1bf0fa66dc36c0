"""Words that only the picture explains: "here and here", "this one and that one", "see that dial there"."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.pointed import Pointed, pointed_places
from vouchbook.extract.read.questions.raised import Findings, Raised, words_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_NOUN = r"(?:[a-z'-]+ ){0,2}[a-z'-]+"
_POINTS = words_pattern(
    # "here and here", "right here, over there"
    r"(?:right |just |up |down |over |round |in |under |behind )?here(?: ,)?(?: and)?(?: ,)?(?: and)? "
    r"(?:right |just |up |down |over )?(?:here|there)",
    # "here, and another here"
    r"here(?: ,)? and(?: ,)? (?:[a-z]+ ,? ?){0,3}(?:here|there|another)",
    # "this one and that one", "these two and those"
    r"(?:this|these) (?:one|two|three|four|ones|bit|guy|guys|fellas?|lot|pair|thing|things)(?: right|"
    r" just| over| up| down| in)? ?(?:here|there)?(?: ,)? (?:and|or) (?:the other|that|this|these|"
    r"those|another)(?: one| two| bit| guy)?(?: right| just| over| up| down)?(?: here| there)?",
    # "this bit here", "these two over here"
    r"(?:this|these) (?:one|two|ones|bit|guy|guys|fellas?|thing|things)(?: right| just| over| up| down)? here",
    # "that one there"
    r"(?:that|those) (?:one|two|ones|bit|guy|guys|fellas?|thing|things)(?: right| just| over| up| down)? there",
    # "see that dial there", "this brass valve here"; not "that is there"
    r"(?:this|that|these|those) (?!is|was|one|way|side|time)(?:[a-z'-]+ )?[a-z'-]+ (?:right |just |"
    r"over |up |down )?(?:here|there)(?! (?:'s|is|are))",
    # "behind the panel here"
    r"(?:in|on|under|behind|through|into|at|from|by) (?:the [a-z'-]+ (?:[a-z'-]+ )?)here",
    # "the water comes up to about here"
    r"(?:up|down|out|back) to (?:about )?here",
    # "cut from here down to here"
    r"from (?:about )?here (?:down |up |across |over )?to (?:about )?(?:here|there)",
    # "look at this one here"
    r"(?:see|see that|you see|look at|look ,) (?:this|that|these|those) (?:one|bit|guy|thing|little [a-z]+|"
    r"[a-z]+)(?: ,)? (?:here|there)",
    # "about that far out"
    r"(?:about )?(?:that|this) (?:far|big|long|high|wide|deep|much)(?: out| in| apart)?",
    # "turn it like so"; not "always like this", "a day like this"
    r"(?:it|them|that|hand|hands|turn|pull|push|hold|twist) like (?:this|so)(?: ,| \.|$)",
    # "that thing, it turns"
    r"that thing ,? ?(?:that|it|there|'s)|this thing (?:here|there|\w+ing)",
    # "it sits just here"; not "it's here at the back", "here we are"
    r"(?:just|right|about|right about|behind|underneath|down|up|beside|sits?|is|are|'s) (?:just |"
    r"right |about |down |up |in )?here(?! (?:'s|we|and|at|in|today|since|all|again|for|every|"
    r"with|she|he|they|you))",
    # "on the left hand plate, just here"
    rf"(?:on|in|at|under|behind|by|of|off|round|inside) (?:the|that|this|your|each) {_NOUN} ,? ?(?:right "
    rf"|just |down |up |over )?here",
    # "from there to there"
    r"from (?:here|there) ,? ?(?:\w+ )?(?:to|and) (?:here|there)",
    # "that there lever", "see those little caps"
    r"(?:that|this|them|those|these) there [a-z]+|(?:see|look at|like) (?:those|these|this|that)(?: little|"
    r" big| \w+ coloured)? (?!is|was|one|way)[a-z]+(?= ,| \.|\?| no| see)",
    # "not that one, you can leave it"
    r"not that one ,? ?(?:you can|not|no|that|there|it)|that one ,? ?(?:you can|not|no)|"
    r"(?:this|that) (?:\w+ )?one ,? (?:it|"
    r"not|here|there|that)",
    # "these black clips."
    r"these (?:\w+ )?(?:caps|bolts|screws|nuts|ones|two|clips|pipes|hoses|guys|lads|fellas)(?= ,| \.|\?|$)",
    # "one here and one up there"
    r"(?:one|two|three|four) (?:up |down |over |just |right |in )?here(?: ,)?(?: and)? (?:one|"
    r"two|three|another)(?: \w+)? (?:there|here|up|down|over)",
    # "it has a lever, there, that closes", "press the third, here, and": between two pauses
    r"(?<=, )(?:right |just |up |down |over |back |in )?(?:here|there)(?= (?:,|\.))",
    # "to here", "comes out here", "along here", "through here"
    r"(?:to|out|along|through|round|across|past) (?:about )?here(?! (?:'s|we|to|and get|for))",
    # "this one." on its own, "isolator's that one"
    r"(?:(?:^|(?<=, ))(?:not )?|(?:is|'s|are|push|press|pull|turn) )(?:this|that|these|those) "
    r"(?:one|two|ones|here|feller|fella|guy|lump|spot)(?= (?:,|\.))",
    # "held by four of these", "squeeze these two", "there's this fella"; "one of those", "out of those" name a sort
    r"(?:(?:two|three|four|five|six|eight|all|both) of|by|'s|squeeze|undo|push|pull|press|lift) "
    r"(?:these|this fella|this feller|this guy)"
    r"(?: two| three| four)?(?= (?:,|\.|and|with|at|which|that))",
    # "this one and its mate", "one of these and its sister over there"
    r"(?:this|that) one and (?:its|his|her|the) \w+",
    # "there, and there", "there and there", "over there." after a thing
    r"there (?:, )?and (?:there|here)",
    # "it's along there", "the key hangs here", "it sits back here"
    r"along (?:there|here)|back here|(?:hangs?|hanging|sits?) here",
    # "here is the nail", "and here's another"; not "here's the thing"
    r"(?:^|(?<=, )|and |but )here (?:'s|is|are) (?!the thing|what|where|why|how|we|your)[a-z]+",
    # "push this tab and hold it", "this one with the yellow band"
    r"(?:push|pull|press|turn|open|undo|lift|close|closes) this (?!way|up|down|time|one(?!\S))[a-z]+",
    r"(?:this|that) one with (?:the|a)",
    # "with this and this", "this valve and that one"
    r"this and this|this [a-z]+ and that one",
    # "where my finger is"
    r"where (?:i 'm pointing|my finger|my hand|i 've got my)(?: \w+)?",
)
_ASKS_AT = words_pattern(
    # an officer who points asks about what only the picture shows: "and this brass one here?"
    r"(?:this|that|these|those) (?:[a-z'-]+ ){1,3}(?:here|there)(?= ,| \?| \.|$)",
    r"(?:this|that) thing (?:\w+ing|here|there)",
    r"at these (?:\w+ )?[a-z]+s(?= \?)",
)
_NOT = words_pattern(
    # "he's not here, and he won't come here", "here's the thing", "here we are", "here at the depot"
    r"(?:not|come|get|stand|be|over|been|from|in|out|up|down|around|left|live|work) here (?!and|,)",
    r"here 's",
    r"here we (?:are|go)",
    r"(?:this|that) time",
    r"that side there",
    r"here (?:at|in) (?:the )?[a-z]+",
)


def pointers(findings: Findings) -> Iterator[Raised]:
    """One question for each place that is pointed at; the officer answers it from the picture or on the next visit."""
    talk = findings.talk
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        line = talk.tape(sentence.start, sentence.end)
        asks = sentence.line in talk.askers or sentence.asks
        match = (_ASKS_AT if asks else _POINTS).search(line.text)
        is_said_otherwise = _NOT.search(line.text) is not None
        if match and is_said_otherwise and " and " not in match.group(0) and "this" not in match.group(0):
            match = None
        places = [] if asks else pointed_places(talk, sentence)
        if len(places) > 1 and (match or any(place.is_plain for place in places)):
            yield from _each(talk, sentence, places)
            continue
        if match is None:
            continue
        pointing = line.token(match.start()), line.token(match.end() - 1) + 1
        start, end = _clause_of(sentence, pointing[0])
        said = text_of(talk.doc, *pointing)
        about = text_of(talk.doc, start, end)
        yield Raised(
            "pointer",
            about,
            f"Which place is meant by \u201c{said}\u201d in: \u201c{about}\u201d?",
            (words_of(talk, start, end),),
            by=(words_of(talk, *pointing),),
        )


def _each(talk: Talk, sentence: Sentence, places: Sequence[Pointed]) -> Iterator[Raised]:
    """A question for each of several places, with the words up to the next; what they are of stands in the whole."""
    start, _ = _clause_of(sentence, places[0].by[0])
    _, end = _clause_of(sentence, places[-1].by[0])
    whole = text_of(talk.doc, start, end)
    for number, place in enumerate(places, start=1):
        first = start if number == 1 else place.start
        last = end if number == len(places) else place.end
        said = text_of(talk.doc, *place.by)
        yield Raised(
            "pointer",
            text_of(talk.doc, first, last),
            f"Which place is meant by \u201c{said}\u201d ({number} of {len(places)}) in: \u201c{whole}\u201d?",
            (words_of(talk, first, last),),
            by=(words_of(talk, *place.by),),
        )


def _clause_of(sentence: Sentence, token: int) -> tuple[int, int]:
    """The clause that points with the one before it, which tells what is pointed at."""
    place = next((n for n, c in enumerate(sentence.clauses) if c.start <= token < c.end), len(sentence.clauses) - 1)
    return sentence.clauses[max(0, place - 1)].start, sentence.clauses[place].end
