"""The speech act "instruct": which clause tells somebody to do something, by which verb.

Forms, each with a sentence: an order ("press the white button"), "you" with a deed ("then you turn it to zero"), a need
("the cover has to come off"), a thing that goes somewhere ("the lever goes across"), a state that is wanted ("lid off",
"windows down").
"""

import re
from dataclasses import dataclass
from typing import Literal

from spacy.tokens import Doc, Token

from vouchbook.extract.read.hazards import hazard_words
from vouchbook.extract.read.phrases import PARTICLES, noun_phrase
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.things import BODY

Form = Literal["order", "you", "need", "goes", "wanted"]


@dataclass(frozen=True, slots=True)
class Deed:
    """``verb`` is the token of the deed, ``action`` its plain words so far, ``rest`` where what follows begins.

    ``object`` is a token range that stands before the verb, if the thing does ("inner doors you just pull").
    """

    form: Form
    verb: int
    action: str
    rest: int
    object: tuple[int, int] | None = None


_NO_DEED = frozenset(
    [
        "be",
        "have",
        "know",
        "think",
        "mean",
        "see",
        "hear",
        "smell",
        "like",
        "love",
        "hate",
        "seem",
        "say",
        "guess",
        "suppose",
        "hope",
        "thank",
        "mind",
        "forget",
        "remember",
        "wonder",
        "believe",
        "understand",
        "imagine",
        "agree",
        "notice",
        "lose",
        "want",
        "need",
        "happen",
        "matter",
        "work",
        "cost",
        "sell",
        "buy",
        "talk",
        "speak",
        "answer",
        "laugh",
        "film",
        "record",
        "live",
        "last",
        "become",
        "belong",
        "contain",
        "depend",
        "die",
        "exist",
        "fail",
        "fit",
        "miss",
        "own",
        "prefer",
        "recognise",
        "recognize",
        "resemble",
        "stink",
        "stand",
        "count",
        "figure",
        "reckon",
        "call",
        "name",
        "look",
        "feel",
        "do",
        "tend",
        "used",
        "going",
        "go",
        "come",
        "sit",
        "drive",
        "ai",
        "might",
        "may",
        "can",
        "could",
        "will",
        "would",
        "should",
        "shall",
        "must",
        "let's",
        "end",
        "finish",
        "start",
        "carry",
        "run",
        "weigh",
        "hurt",
        "kill",
        "burn",
        "explode",
        "break",
        "shear",
        "crack",
        "bet",
        "swear",
        "owe",
        "win",
        "cry",
        "mention",
        "discuss",
        "promise",
        "show",
        "read",
    ]
)
"""Verbs that tell rather than instruct, unless :func:`_is_deed` finds the form in which they do instruct."""

_DEED_WITH = {
    # verb: what must follow for it to be a deed
    "look": {"for", "through", "under", "behind", "in"},
    "go": {"round", "in", "to", "for", "under", "down", "up"},
    "get": set(),
    "run": {"down", "up", "the", "his", "your", "it", "all"},
    "stand": {"it", "the", "back", "clear"},
    "sit": {"it", "the"},
    "start": {"with", "at", "from"},
    "break": {"the", "it", "that", "this", "them", "a", "one", "glass", "out"},
    "feel": {"for", "under", "behind", "along"},
    "read": {"the", "off"},
    "call": {"the", "us", "them", "your", "control", "me"},
    "crack": {"it", "the", "them", "that", "open", "off", "your"},
    "let": {"go"},
    "drive": {"it", "the", "out"},
    "tell": set(),
    "come": {"at", "in", "up", "from", "round"},
    "walk": {"out", "round", "away", "up"},
}
_SOFT = frozenset(
    [
        "just",
        "then",
        "always",
        "first",
        "simply",
        "also",
        "only",
        "really",
        "slowly",
        "gently",
        "carefully",
        "quickly",
        "straight",
        "still",
        "please",
        "both",
        "now",
        "actually",
    ]
)
_MODALS = frozenset(
    [
        "can",
        "could",
        "must",
        "should",
        "'d",
        "would",
        "might",
        "need",
        "want",
        "have",
        "'ve",
        "got",
        "gotta",
        "'re",
        "gon",
        "na",
        "gonna",
        "to",
        "better",
        "ought",
        "wan",
        "wanna",
        "'ll",
        "will",
    ]
)
_PLAIN_SUBJECTS = frozenset({"you", "we"})
_INTERJECTIONS = frozenset(
    {
        "stop",
        "wait",
        "look",
        "listen",
        "sorry",
        "come",
        "go",
        "drop it",
        "get on",
        "tell you what",
        "say again",
        "leave it",
        "put it away",
        "trust me",
        "believe me",
        "excuse me",
        "never mind",
        "carry on",
        "mind you",
        "let me see",
        "let me think",
        "let 's see",
    }
)
_MOVES = frozenset(
    [
        "go",
        "goes",
        "come",
        "comes",
        "lift",
        "lifts",
        "slide",
        "slides",
        "pull",
        "pulls",
        "pop",
        "pops",
        "unplugs",
        "unclips",
        "unscrews",
    ]
)
_MOVE_PARTICLES = frozenset(["off", "out", "away", "across", "apart", "open", "shut", "loose", "straight", "outside"])
_GOES_ON = frozenset({"on", "over", "in", "back"})
"""After "goes" alone these are an order ("the cap goes on"); after "comes" they tell what happens."""
_STATES = frozenset(
    [
        "off",
        "on",
        "out",
        "up",
        "down",
        "open",
        "shut",
        "closed",
        "back",
        "away",
        "apart",
        "over",
        "in",
        "across",
        "round",
    ]
)
_NOT_BROUGHT = frozenset(
    [
        "way",
        "hands",
        "day",
        "bit",
        "time",
        "one",
        "side",
        "power",
        "lot",
        "hang",
        "hold",
        "go",
        "come",
        "half",
        "head",
        "people",
        "times",
        "miles",
        "foot",
        "metre",
        "metres",
        "inch",
        "kettle",
        "switch",
        "thing",
        "things",
        "lap",
        "paws",
        "what",
        "years",
    ]
)
_MOVED_BY = {"off": "take off", "out": "take out", "up": "lift up", "down": "put down", "open": "open", "shut": "shut", "closed": "close",
             "on": "put on", "away": "take away", "apart": "pull apart", "in": "put in", "back": "move back", "over": "turn over",
             "across": "turn across", "round": "turn round"}  # fmt: skip


def deed(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that ``clause`` tells somebody to do, or None. The caller has made sure that it forbids nothing."""
    doc = talk.doc
    if _is_interjection(doc, clause):
        return None
    if (turned := _turned(talk, clause)) is not None:
        return turned
    if clause.end - clause.body <= 3 and (wanted := _wanted(talk, clause)):
        return wanted
    return (
        _order(talk, clause) or _you(talk, clause) or _need(doc, clause) or _goes(doc, clause) or _wanted(talk, clause)
    )


def _is_interjection(doc: Doc, clause: Clause) -> bool:
    """ "hang on", "go on", "wait" and the like speak to the other person, not to the crew."""
    words = [t.lower_ for t in doc[clause.body : clause.end]]
    return " ".join(words) in _INTERJECTIONS or (
        words[:2] in (["hang", "on"], ["hold", "on"], ["go", "on"], ["come", "on"]) and words[2:3] != ["to"]
    )


def _order(talk: Talk, clause: Clause) -> Deed | None:
    doc, at = talk.doc, clause.body
    while (
        at < clause.end - 1
        and doc[at].lower_ in _SOFT | {"to", "make"}
        and not (doc[at].lower_ == "make" and doc[at + 1].lower_ == "sure")
    ):
        if doc[at].lower_ in {"to", "make"}:
            return None
        at += 1
    if at >= clause.end:
        return None
    token, following = doc[at], doc[at + 1] if at + 1 < clause.end else None
    if token.lower_ == "make" and following is not None and following.lower_ == "sure":
        return Deed("order", at, "make sure", at + 2)
    if token.lower_ != token.lemma_.lower() and token.tag_ != "VB":
        return None
    tagged = token.tag_ in {"VB", "VBP"}
    listed = any(m.entry.kind == "verb" for m in talk.mentions_in(at, min(clause.end, at + 1))) or _is_verb_of_pack(
        talk, token
    )
    if (
        not tagged
        and not (listed and following is None and clause.start == clause.body)
        and not (
            listed
            and following is not None
            and (
                following.tag_ in {"DT", "PRP$", "PRP", "RP", "WP"}
                or following.lower_ in {"it", "that", "all", "both", "down", "out", "up", "in", "off"}
            )
        )
    ):
        return None
    if (
        following is not None
        and following.lower_ in {"you", "i", "we", "they", "he", "she"}
        and following.tag_ == "PRP"
    ):
        return None
    if not _is_deed(doc, at, clause.end) or _is_supposed(talk, clause):
        return None
    return _with_particle(doc, at, clause.end, "order")


def _you(talk: Talk, clause: Clause) -> Deed | None:
    """ "you" and a deed, the thing perhaps told first: "inner doors you just pull", "you can lift it off"."""
    doc = talk.doc
    for at in range(clause.body, min(clause.end - 1, clause.body + 8)):
        if doc[at].lower_ not in _PLAIN_SUBJECTS or doc[at].tag_ != "PRP":
            continue
        fronted = noun_phrase(doc, clause.body, at)
        if at > clause.body and fronted != at:
            if doc[at - 1].lower_ not in {"then", "so", "and", "first", ","} and at - clause.body > 2:
                return None
            fronted = clause.body
        verb, helpers = at + 1, []
        while verb < clause.end and (doc[verb].lower_ in _MODALS | _SOFT):
            if doc[verb].lower_ in _MODALS:
                helpers.append(doc[verb].lower_)
            verb += 1
        if verb >= clause.end or not _modals_instruct(helpers):
            return None
        token = doc[verb]
        if token.tag_ not in {"VB", "VBP"} and token.lower_ != token.lemma_.lower():
            return None
        if (
            not _is_deed(doc, verb, clause.end)
            or token.pos_ in {"DET", "PRON", "ADP", "NUM"}
            or _is_supposed(talk, clause)
        ):
            return None
        found = _with_particle(doc, verb, clause.end, "you")
        return (
            Deed("you", found.verb, found.action, found.rest, (clause.body, at))
            if fronted == at and at > clause.body
            else found
        )
    return None


_OUTCOME = words_pattern(
    r"(?:and |then |so |or )*(?:you|it|they|she|he|that|there)(?: 've| 'll| 'd| will| would| have|"
    r" 're| are)(?: got| just)?(?! (?:got )?(?:to|want|need|see|hear|feel|find)(?!\S)) .*",
    r"(?:and |then |so )*(?:that 's|it 's|there 's) .*",
    r"and (?:the |a |your |everything |somebody |people )?(?:\w+ ){0,4}?(?:snaps|breaks|goes|comes|"
    r"drops|falls|blows|flies|moves|rolls|tips|swings|lets|shoots|starts|burns|shifts) .*",
    r"(?:and |then |so )*(?:it|she|that|they|he) (?:goes|comes|drops|falls|blows|kicks|bites|whips|"
    r"swings|opens|starts|moves|rolls|tips|snaps|takes|lets) .*",
)


_HARM = words_pattern(
    r"(?:snaps?|breaks?|busts?|cracks?|gas|air|live|arc|sparks?|flames?|fire|whips?|lose|losing|"
    r"stuck|trapped|trap|spills?|leaks?|worse|nowhere|dead man|gone|paste|hurts?|burns?|sprays?|"
    r"goes (?:up|off|bang)|on (?:you|him|them)|in your \w+|bang|the lot)"
)


def _is_supposed(talk: Talk, clause: Clause) -> bool:
    """Whether "you poke a hole in that and you've a jet in your face" supposes the deed only to tell what comes of it.

    "Pull that and the latch lets go" is meant: what comes of it does no harm.
    """
    sentence = next((s for s in talk.sentences_of(clause.line) if s.start <= clause.start < s.end), None)
    if sentence is None or clause.end >= sentence.end:
        return False
    rest = talk.tape(clause.end, sentence.end)
    words = re.sub(r"^(?:, )+", "", rest.text)
    if words.startswith(("or ", "'cause ", "because ", "so ")):
        return False  # "hold on to it or it'll swing": the deed is meant, and this is why
    harms = bool(hazard_words(rest)) or bool(_HARM.search(words))
    if _OUTCOME.match(words) and harms:
        return True
    forbidden = any(c.end <= clause.start and prohibition(talk.doc, c.body, c.end) for c in sentence.clauses)
    return (forbidden and bool(_OUTCOME.match(words))) or (harms and bool(_GIVES.match(words)))


_GIVES = words_pattern(
    r"(?:and |then )?(?:you|you 'll|you just|you only) (?:just |only )?(?:give|let|get|have|end|lose|make|feed|set) .*"
)


def _modals_instruct(helpers: list[str]) -> bool:
    """ "you'll" alone foretells ("you'll crack the lid"); with "want" or "need" it instructs."""
    if not helpers:
        return True
    if helpers[0] in {"'ll", "will", "might"}:
        return any(h in {"want", "need", "have"} for h in helpers[1:]) and helpers[-1] == "to"
    if helpers[-1] in {"have", "'ve", "got", "need", "want", "'re"}:
        return False
    return True


def _need(doc: Doc, clause: Clause) -> Deed | None:
    """ "the cover has to come off", "that needs unplugging", "the lever wants pulling"."""
    stop = noun_phrase(doc, clause.body, clause.end)
    if stop == clause.body and doc[clause.body].lower_ in {"that", "it", "they", "this", "those", "these"}:
        stop = clause.body + 1
    if not clause.body < stop < clause.end - 1:
        return None
    words = [t.lower_ for t in doc[stop : clause.end]]
    subject = (clause.body, stop)
    if words[0] in {"needs", "need", "wants", "want", "has", "have", "'s", "must", "should", "gets", "'ve"}:
        at = stop + 1
        while at < clause.end and doc[at].lower_ in {"to", "got", "be", "all", "both", "first", "also", "just", "then"}:
            at += 1
        if at >= clause.end:
            return None
        token = doc[at]
        needs = (
            words[0] in {"needs", "need", "wants", "want"}
            or "to" in words[1:3]
            or words[0] in {"must", "should", "gets"}
        )
        if (
            token.tag_ in {"VBG", "VBN", "VB", "VBD"}
            and needs
            and (token.lemma_.lower() not in _NO_DEED or token.lower_ in {"come", "go"})
        ):
            if token.lower_ in {"come", "go"}:
                return _moved(doc, at, clause.end, subject, "need")
            found = _with_particle(doc, at, clause.end, "need")
            return Deed("need", at, found.action, found.rest, subject)
    return None


def _goes(doc: Doc, clause: Clause) -> Deed | None:
    """ "the shield comes away", "that goes across", "the cover lifts out", "this one hinges up"."""
    if clause.marker in {"if", "when", "once", "before", "after", "until", "because", "while"}:
        return None
    stop = noun_phrase(doc, clause.body, clause.end)
    if stop == clause.body and doc[clause.body].lower_ in {"that", "it", "they", "this", "those", "these"}:
        stop = clause.body + 1
    if (
        not clause.body < stop < clause.end - 1
        or doc[stop].lower_ not in _MOVES
        or doc[clause.body].lower_ in {"it", "they", "she", "this"}
    ):
        return None
    return _moved(doc, stop, clause.end, (clause.body, stop), "goes")


def _moved(doc: Doc, verb: int, end: int, subject: tuple[int, int], form: Form) -> Deed | None:
    following = doc[verb + 1].lower_ if verb + 1 < end else ""
    if following == "straight" and verb + 2 < end:
        following = doc[verb + 2].lower_
    if following not in _MOVE_PARTICLES and not (doc[verb].lower_ in {"goes", "go"} and following in _GOES_ON):
        return None
    lemma = doc[verb].lemma_.lower()
    action = _MOVED_BY.get(following, f"move {following}") if lemma in {"go", "come"} else f"{lemma} {following}"
    return Deed(form, verb, action, verb + 2, subject)


def _wanted(talk: Talk, clause: Clause) -> Deed | None:
    """ "lid off", "windows down", "gloves on": a thing and the state it is to be brought to, without a verb."""
    doc = talk.doc
    stop = noun_phrase(doc, clause.body, clause.end)
    if doc[clause.body].lower_ in _PEOPLE and stop == clause.body:
        stop = clause.body + 1
    if stop == clause.body or stop >= clause.end:
        # the tagger takes a short noun for a verb before a particle: "lid off"
        if clause.end - clause.body != 2 or not _is_noun_here(talk, clause.body):
            return None
        stop = clause.body + 1
    at = stop
    while at < clause.end - 1 and doc[at].lower_ in {"right", "straight", "all", "well", "fully", "both"}:
        at += 1
    state = doc[at].lower_
    if state not in _STATES or any(
        t.tag_ in {"VBZ", "VBP", "MD", "VBD"} for t in doc[clause.body : clause.end] if t.i >= stop
    ):
        return None
    if (
        at + 1 < clause.end
        and doc[at + 1].tag_ in {"DT", "PRP$", "NN", "NNS", "JJ", "CD"}
        and state in {"on", "in", "over", "up", "down", "off", "out", "across", "round"}
    ):
        return None  # "handle on the left": a place
    if (
        doc[stop - 1].lower_ in _NOT_BROUGHT
        or doc[clause.body].lower_ in {"no", "every", "any"}
        or doc[stop - 1].tag_ == "CD"
    ):
        return None
    head = doc[stop - 1].lower_
    action = _MOVED_BY[state]
    if head in _PEOPLE:
        action = f"get {state}"
    elif state in {"off", "on"} and head in _SWITCHED:
        action = f"turn {state}"
    return Deed("wanted", at, action, at + 1, (clause.body, stop))


_PEOPLE = frozenset(["everybody", "everyone", "people", "crew", "casualty", "patient", "passengers", "person"])
_SWITCHED = frozenset(
    [
        "key",
        "engine",
        "power",
        "ignition",
        "switch",
        "charger",
        "light",
        "lights",
        "fan",
        "gas",
        "mains",
        "breaker",
        "motor",
        "supply",
        "isolator",
        "water",
        "pump",
        "heater",
        "main",
        "hydraulics",
        "electrics",
    ]
)
_TURNED = words_pattern(
    # "down to off", "round to the left", "a quarter turn to the left", "clockwise till it stops", "straight out"
    r"(?:right |straight |all the way )?(?P<way>(?:down|up|over|round|across|back) to (?:off|zero|"
    r"nought|park|neutral|the (?:left|right|stop)|[a-z]+))",
    r"(?:it 's |that 's |then it 's |then )?(?:just )?(?:a |an |one )?(?P<turn>(?:quarter|half)(?: of)?(?: "
    r"a)? turn(?: (?:clockwise|anti ?-? ?clockwise|counter ?-? ?clockwise|left|right|to the left|"
    r"to the right|to left|to right))?)",
    r"(?:it 's |that 's )?(?P<round>(?:clockwise|anti ?-? ?clockwise|counter ?-? ?clockwise|to the left|"
    r"to left|to the right|to right))(?: (?:a )?(?:quarter|half)(?: a)? turn)?",
    r"(?P<out>straight (?:out|up|off|down|back))",
)


def _turned(talk: Talk, clause: Clause) -> Deed | None:
    """A movement told without its verb: "down to off", "a quarter turn to the left", "straight out"."""
    line = talk.tape(clause.body, clause.end)
    match = _TURNED.match(line.text)
    if match is None or (
        match.end() < len(line.text)
        and not re.match(r" (?:with|and|till|until|by|on|please)(?!\S)", line.text[match.end() :])
    ):
        return None
    verb = line.token(match.start(match.lastgroup or 0))
    end = line.token(match.end() - 1) + 1
    said = " ".join(talk.doc[verb:end].text.split()).lower()
    return Deed("wanted", verb, f"pull {said}" if match.lastgroup == "out" else f"turn {said}", end, _NOTHING_YET)


_NOTHING_YET = (-1, -1)
"""The thing is not in the clause; it is the last one told."""


def _is_noun_here(talk: Talk, at: int) -> bool:
    """Whether a word before "off" or "open" is a thing: the packs know it as one, or the tagger does and it is no verb."""
    token = talk.doc[at]
    if any(m.entry.kind in {"part", "tool", "ppe", "fastener", "material"} for m in talk.mentions_in(at, at + 1)):
        return True
    if token.lower_ in _MOVES_ITSELF:
        return False
    return token.tag_ in {"NN", "NNS", "NNP", "NNPS", "VBZ", "VB", "VBP", "JJ"} and not _is_verb_of_pack(talk, token)


_MOVES_ITSELF = frozenset(
    [
        "climb",
        "walk",
        "stand",
        "step",
        "come",
        "get",
        "move",
        "back",
        "look",
        "reach",
        "lean",
        "wind",
        "switch",
        "sit",
        "lie",
        "roll",
        "pull",
        "push",
        "turn",
        "go",
        "keep",
        "stay",
        "hop",
        "jump",
        "swing",
        "burn",
        "shut",
        "cut",
        "break",
        "run",
    ]
)


def _is_deed(doc: Doc, at: int, end: int) -> bool:
    lemma = doc[at].lemma_.lower()
    following = doc[at + 1].lower_ if at + 1 < end else ""
    if lemma == "get":
        return following in {"out", "off", "back", "under", "in"} or any(
            t.lower_ in PARTICLES | {"under", "behind", "to", "onto"} for t in doc[at + 2 : end]
        )
    if lemma == "let":
        return following in {"go"} or any(t.tag_ == "VB" for t in doc[at + 2 : min(end, at + 6)])
    if lemma == "have":
        return any(t.lower_ in {"out", "off", "open", "away"} for t in doc[at + 2 : min(end, at + 6)])
    if lemma in {"watch", "mind"}:
        return not any(t.lower_ in BODY | {"floor", "step", "edge", "out"} for t in doc[at + 1 : end])
    if lemma == "tell":
        return following in {
            "em",
            "'em",
            "them",
            "everybody",
            "people",
            "him",
            "her",
            "control",
            "the",
            "your",
            "whoever",
            "anybody",
        }
    if lemma in {"hang", "hold", "come", "carry"} and following == "on":
        return at + 2 < end and doc[at + 2].lower_ == "to"
    if lemma == "wait":
        return following in {"for", "until", "till"} or any(t.like_num for t in doc[at + 1 : end]) or following == ""
    if lemma in _DEED_WITH:
        return following in _DEED_WITH[lemma]
    return lemma not in _NO_DEED


def _with_particle(doc: Doc, verb: int, end: int, form: Form) -> Deed:
    """Takes the particle in, next to the verb or behind the thing: "push the doors in" is "push in"."""
    lemma = doc[verb].lemma_.lower() if doc[verb].tag_ != "VBN" or form != "need" else doc[verb].lemma_.lower()
    rest = verb + 1
    action = lemma
    if lemma == "let" and (
        helped := next((i for i in range(rest + 1, min(end, rest + 6)) if doc[i].tag_ == "VB"), None)
    ):
        return Deed(form, verb, f"let {doc[helped].lemma_.lower()}", helped + 1, (rest, helped))
    if (
        rest < end
        and doc[rest].lower_ in PARTICLES
        and (
            doc[rest].tag_ == "RP"
            or rest + 1 >= end
            or (
                doc[rest + 1].tag_ in {"DT", "PRP$", "PRP", "NN", "NNS", "JJ", "CC", "IN"}
                and doc[rest].tag_ in {"RP", "RB"}
            )
        )
    ):
        action, rest = f"{lemma} {doc[rest].lower_}", rest + 1
    return Deed(form, verb, action, rest)


def _is_verb_of_pack(talk: Talk, token: Token) -> bool:
    return any(m.entry.kind == "verb" for m in talk.mentions_in(token.i, token.i + 1))
