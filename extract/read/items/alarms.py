"""Signs that tell people to get away: "if the drum whistles, get out", "you hear popping, everybody back"."""

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_context import StepContext
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_WHO = r"(?P<who>everybody|everyone|people|the public|your crew|all of you|him|her|them|yourself|yourselves)"
_LEADS = r"(?:(?:so|and|then|just|right)(?: ,)? )*"
_GOES = (
    # "get out", "you run", "everybody back", "you're out of there", "get yourself away"
    rf"{_LEADS}(?:(?:you|we|they|everybody|everyone) )?(?:just |all |want to |'d better |'re |are )*"
    r"(?:get (?:the hell )?(?:right )?(?:out|away|clear|back|off)|run(?= [,.!]| for| and|$)|leave(?= [,.!]| the|$)|"
    r"clear out|back off|walk (?:out|away)|"
    r"come (?:out|away)|go out|move (?:back|away)|stand (?:back|clear)|turn round|scatter|withdraw|evacuate|"
    r"out of (?:there|here|it)|out(?= [,.!]|$)|off it)(?!\S)"
)
_SENDS = rf"{_LEADS}(?:(?:you )?(?:get|move|pull|send|keep) )?{_WHO} (?:right |well )?(?:out|back|away|off|clear)(?!\S)"
RETREAT = words_pattern(_GOES, _SENDS)
_SENDS_ONLY = words_pattern(_SENDS)
_SHOWS_ITSELF = (
    r"(?:hiss|whistl|sing|pop|crack|creak|groan|scream|roar|hum|buzz|ring|smell|stink|smok|steam|bubbl|bulg|swell|swoll|"
    r"glow|flash|leak|drip|vent|shak|jerk|slip|tilt|lean|spark|alarm|horn|siren|bell|strobe|rattl|knock|bang|squeal|fizz|"
    r"hot|pink|frost|reads?|shows?|starts?|note|noise|sound)[a-z]*"
)
SIGN_GIVEN = words_pattern(
    # "if it starts to hiss", "when the bell rings"
    rf"(?:if|when|once|whenever|soon as|minute|moment) (?:[a-z0-9'-]+ ){{0,8}}?{_SHOWS_ITSELF}",
    # "you hear the horn", "hears popping", "smell that and", "any hissing"
    r"(?:(?:you|anybody|anyone|somebody|one of you|crew) )?(?:hears?|sees?|smells?) (?!if|what|where|how|from)[a-z'-]+",
    rf"any (?:[a-z'-]+ )?{_SHOWS_ITSELF}",
)
_PLAIN = {
    "out": "get out", "out of there": "get out", "out of here": "get out", "out of it": "get out", "off it": "get off",
}  # fmt: skip
_STOPS = frozenset(
    "you we they everybody everyone so and then just right all want to 'd better 're are , the hell".split()
)


def retreat(context: StepContext) -> Found | None:
    """The step of a clause that tells people to get away on a sign that the sentence names before, or None."""
    line = context.talk.tape(context.clause.start, context.end)
    match = RETREAT.match(line.text)
    if match is None:
        return None
    before = context.talk.tape(context.sentence.start, context.clause.start)
    sign = SIGN_GIVEN.search(before.text)
    if sign is None:
        return None
    sends = _SENDS_ONLY.match(line.text)
    if sends:
        action, who = f"get {match.group(0).split()[-1]}", sends.group("who")
    else:
        said = " ".join(word for word in match.group(0).split() if word not in _STOPS)
        action, who = _PLAIN.get(said, said), ""
    condition = text_of(context.doc, before.token(sign.start()), context.clause.start).strip(" ,")
    return context.step(0.8, "said as what to do on a sign", action=action, object=who, condition=condition)


def is_alarm(talk: Talk, sentence: Sentence) -> bool:
    """Whether ``sentence`` tells a sign and, in a clause behind it, to get away."""
    line = talk.tape(sentence.start, sentence.end)
    sign = line.first(SIGN_GIVEN)
    if sign is None:
        return False
    behind = (c for c in sentence.clauses if c.start > sign[0])
    return any(RETREAT.match(talk.tape(c.start, c.end).text) for c in behind)
