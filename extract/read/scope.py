"""What a negation covers: prohibitions, with what is prohibited, and the look-alikes that prohibit nothing.

Every rule stands with the sentence that justifies it and, where it matters, one that it must not catch. Rules read a
tape, on which "don't" is ``do n't`` and "that's" is ``that 's``; the group ``act`` is what must not be done.
"""

import re
from dataclasses import dataclass

from spacy.tokens import Doc

from vouchbook.extract.read.tape import Tape, tape, words_pattern


@dataclass(frozen=True, slots=True)
class Prohibition:
    """Tokens ``start`` to ``end`` (exclusive) are what must not be done; ``cue`` is where the negation stands.

    ``elliptic`` when the talk does not say what ("don't even think about it").
    """

    cue: int
    start: int
    end: int
    elliptic: bool = False


def _none_of(words: str) -> str:
    return rf"(?!(?:{words})(?!\S))"


STAY = r"(?:stays? |kept |must stay |are to stay |have to stay )?"
"""Between a part of the body and where it is to be: "fingers stay out"."""
_ACT = r"(?P<act>[a-z'-]+.*)"
_NOT = r"(?:n't|not)"
_NOT_NEVER = r"(?:not|n't|never)"
_ANYBODY = r"(?:nobody|no one|no-one|none of (?:you|us|them|your crew|your lot)|not one of you)"

_TELLS = _none_of(
    "need|have to|has to|got to|worry|forget|know|mind|think so|remember|see|hear|feel|smell|notice|tell you|get me|"
    "get it|matter|mean|look like|look much|seem|fit|come with|come in [a-z]+ sizes|come out|reset|work|exist|"
    "want much|care|ask|say|understand|believe|bother|realise|realize|find|lose|happen|show|get any|"
    "get (?:'em|them|it|any) after|come back|take long|get much|get that|get one|get them|"
    "get an? [a-z]+ (?:in|on|through|round|past)|have|do anything|do nothing|"
    "like|be|always|usually|really|hesitate|start|stop|help|sound|require|weigh|last|hold|make|let"
)
"""After "don't" and "you don't" these tell something and forbid nothing: "you don't need a key", "don't worry"."""

_RULES: tuple[re.Pattern[str], ...] = (
    # "don't touch it", "do not cut here", "don't you go leaning on it", "don't anybody lean on that"; not "don't worry"
    words_pattern(
        rf"(?:and |but |so |please |just )*do {_NOT} "
        rf"(?:you |anybody |anyone |nobody |no one |ever |even |go |you ever |you go |under any circumstances )*"
        rf"{_TELLS}{_ACT}"
    ),
    # "don't start the engine", "do not let anybody stand under it"; not "they don't start", "don't let me forget"
    words_pattern(
        rf"^(?:and |but |so |please |just |then )*do {_NOT} (?:you |anybody |ever |even )*"
        r"(?P<act>(?:start|stop|hold|make|let|help|show|lose)(?!\S) (?!me|us|your breath|you (?:down|forget))\w+.*)"
    ),
    # "never cut that", "you never set a boot on it", "you'd never want to lift it"; not "I never counted"
    words_pattern(
        r"(?<!i )(?<!i 've )(?<!we )(?<!it )(?<!it 's )(?<!he )(?<!that 's )(?<!they )(?<!there 's )"
        r"(?:you |you 'd |you would |you should |you must )?never (?:ever |ever ever )?(?:want to |to )?"
        + _none_of(
            "counted|seen|heard|had|been|known|did|said|dead|mind|goes|gets|is|are|the|a|quite|really|go missing"
        )
        + _ACT
    ),
    # "you don't walk on the skylight", "you mustn't open it", "you do not want to be there"; not "you don't need a key"
    words_pattern(
        rf"you (?:really |just |absolutely )?(?:do|must|should|wo|would|shall|'d better|better|'re|are) {_NOT}"
        rf"(?: ever| really| even)? (?:want to |wanna |wan na |to |going to |gon na |be )?{_TELLS}{_ACT}"
    ),
    # "you can't stand there", "you can't go in"; not "you can't see it", "you can't turn a magnet off"
    words_pattern(
        rf"you ca {_NOT} "
        r"(?P<act>(?:touch|cut|go|stand|walk|climb|lift|tow|push|use|lean|rely|trust|put|be|open|drill|jack)(?!\S).*)"
    ),
    # "nobody kneels on it", "nobody's to shake them", "nobody goes near"; not "nobody knows", "nobody told me"
    words_pattern(
        rf"{_ANYBODY} (?:ever |is |are |'s |else )*(?:to |going to |gon na )?"
        + _none_of(
            "knows?|told|tells|said|says|likes|needs|can|could|wants to know|reads|listens|sees|thinks|believes|"
            "noticed|was|were|in it|there|home|hurt"
        )
        + _ACT
    ),
    # "stay out of the arches", "keep off the catwalk", "keep well clear of the mast"; not "keep off the gas"
    words_pattern(
        r"(?P<act>(?:stay|stays|keep|keeps|steer|stand|get|hold|remain) "
        r"(?:well |right |the hell |yourself |everybody |everyone |people |back )*"
        r"(?:out of|off of|off|away from|away|clear of|clear|back from|out from under|outside)(?!\S)"
        r"(?! 's| the gas).*)"
    ),
    # "keep your hands out of the gap", "keep your blades off the left wall", "get everybody off the deck"; not
    # "get the cover off the box", which is a job
    words_pattern(
        r"(?P<act>(?:(?:keep|leave|have|hold) "
        r"(?:the |your |all |any |everybody |everyone |people |anybody |him |them |em |'em |it )"
        r"|get (?:your |everybody |everyone |people |anybody |him ))(?:[a-z'-]+ ){0,3}"
        r"(?:out of|out from|out o|off of|off|away from|away|clear of|clear)(?!\S)(?: [a-z'-]+.*))"
    ),
    # "keep your hands out until it stands still", "heads clear", "fingers well back"; not "hands up", "takes your hand
    # off"
    words_pattern(
        r"(?P<act>(?:(?:keep|leave|hold) (?:the |your |all |any |his |their )*(?:[a-z'-]+ ){0,2}|"
        r"(?<![a-z'] )|(?<=and )|(?<=so ))"
        r"(?:hands?|fingers?|thumbs?|paws|mitts|arms?|legs?|feet|foot|toes|heads?|faces?|hair|sleeves?|elbows?|tools) "
        rf"{STAY}(?:well |right |all )?"
        r"(?:out|off|away|clear|back))(?=$| (?:until|till|while|when|whenever|please)(?!\S))"
    ),
    # "leave that alone", "leave it be", "leave the lid shut", "keep its lid shut"; not "leave it on the hook"
    words_pattern(
        r"(?P<act>(?:leave|keep)s? "
        r"(?:the |that |this |those |these |its |your |it |them |em |'em |him |her |everything |all )"
        r"(?:[a-z'-]+ ){0,4}(?:alone|be|shut|closed|where (?:it|they) (?:is|'s|are))(?!\S).*)"
    ),
    # "the other one, the flat chain, leave well alone"
    words_pattern(r"^(?:(?:you|we|just|always) )*(?P<act>(?:leave|left) (?:well |strictly )?alone.*)"),
    # "hands off orange", "fingers out of there"; not "feet off the ground"
    words_pattern(
        r"(?P<act>(?:hands|fingers|paws|mitts|feet(?! off)|tools|heads?|saws?|cutters?|blades?) "
        rf"{STAY}(?:well )?"
        r"(?:off|out of|out from|out o|out|away from|clear of)(?!\S).*)"
    ),
    # "that must not be opened", "the front wheels mustn't turn"
    words_pattern(r"(?:must|should|shall|may)(?: never| not|n't| n't) (?P<act>(?:be |ever be |get )?[a-z'-]+.*)"),
    # "it's not to be lifted there"
    words_pattern(rf"(?:is|are|'s|'re) {_NOT_NEVER} to be {_ACT}"),
    # "it's not safe to stand on"
    words_pattern(rf"(?:is|are|'s|'re|was) {_NOT_NEVER} (?:safe|allowed|permitted|supposed) to {_ACT}"),
    # "the rear wheels don't turn on the ramp, ever", "it doesn't go in there until Monday"; not "it doesn't reset"
    words_pattern(
        r"(?<!you )(?<!i )(?<!they )(?<!we )"
        rf"(?:do|does) {_NOT} "
        r"(?P<act>(?:roll|turn|come|go|get|move|leave|touch|see)(?!\S) .*?"
        r"(?:ever|until|till|unless|without|before|for [a-z]+ (?:days?|hours?))(?!\S).*)"
    ),
    # "I wouldn't stand there", "you wouldn't want to touch that", "I'd never go under"; not "I wouldn't know"
    words_pattern(
        r"(?:i|you|we) (?:would|'d) (?:n't|not|never) (?:ever |even )?(?:want to |wanna |be )?"
        + _none_of("know|say|think|get|have|believe|see|call|mind|need|worry|bother")
        + _ACT
    ),
    # "five minutes before anybody's fingers go near it": a limit in time; "before you touch it, put gloves on" orders
    words_pattern(
        r"before (?P<act>(?:anybody|anyone|any ?body|somebody|your) (?:\w+ |'s ){0,4}?"
        r"(?:hands?|fingers?|go|goes|touch|touches|lay|lays|get|gets) (?:\w+ )?"
        r"(?:near|on|at|in|anything|orange|it|them|that|under)(?!\S).*)"
    ),
    # "nothing that sparks"
    words_pattern(
        r"(?:nothing|anything) that (?P<act>(?:sparks?|burns?|arcs?|glows?|lights?|turns|makes a spark)(?!\S).*)"
    ),
    # "avoid the tank", "resist pulling it", "beware of the spring", "forget about the roof"
    words_pattern(rf"(?:avoid|resist|beware of|whatever you do,? do n't|forget about) {_ACT}"),
    # "you're better off not opening it", "you'd best not lean on it"
    words_pattern(rf"(?:better off|better|best|wiser|safer) not (?:to )?{_ACT}"),
    # "it's a bad idea to cut the ram", "it's dangerous to lift it there", "it's never a good idea to go under"
    words_pattern(
        r"(?:bad idea|mistake|wrong|dangerous|lethal|deadly|madness|suicide|"
        rf"{_NOT_NEVER} (?:a |ever a |really a )?(?:good|great|clever|bright) idea) to {_ACT}"
    ),
    # "under no circumstances do you stand in its path"
    words_pattern(
        r"(?:under no circumstances?|(?:on|under) no account|in no case) (?:(?:do|should|must|can|would|may|are) "
        rf"(?:you|we|they|anybody|anyone) (?:to |ever )?)?{_ACT}"
    ),
    # "only there, nowhere else"
    words_pattern(r"(?P<act>(?:nowhere|no place|not anywhere) else.*)"),
    # "anywhere but the sills you can cut"
    words_pattern(
        r"(?P<act>(?:anywhere|everywhere|anything|everything) (?:but|except)(?: for)? (?!that|this|the once).+)"
    ),
    # "it's off limits", "a no-go"
    words_pattern(r"(?P<act>.*(?:off limits|off-limits|no-go|no go|out of bounds).*)"),
)

_NO_THINGS = words_pattern(
    # "no fingers", "no power tools on it", "no switches", "no smoking"; not "no problem", "no tail pipe"
    r"no (?P<act>(?:power |metal |more |open |naked |bare )*"
    r"(?:hands?|fingers?|feet|foot|heads?|saws?|cutters?|drills?|grinders?|drivers?|hooks?|spikes?|straps?|slings?|"
    r"chains?|jacks?|bars?|rams?|spreaders?|hammers?|holes?|cuts?|cutting|water|jets?|foam|lights?|lamps?|torches|"
    r"switch(?:es)?|phones?|radios?|sparks?|flames?|pumps?|tools?|knives|knife|blades?|steel|metal|people|person|one|"
    r"body|loads?|shortcuts?|short cuts|[a-z]{3,}ing)(?!\S).*)"
)
_NOT_THERE = words_pattern(
    # "not on the glass", "never with a chain", "so not from behind"
    r"(?:and |but |so )*(?:not|never) (?P<act>(?:on|from|by|under|at|in|with|near|through|between|over|off|to|a|an|the|"
    r"your|that|this|there|here|him|even)(?!\S).*)"
)
_NOT_THAT_BAD = words_pattern(
    # "not a lot", "not on these", "not yet"
    r"not (?:a lot|much|really|yet|sure|bad|quite|that|too|a problem|at all|the same|on this|on these|in this|like|for|"
    r"because|just)"
)
_LOOK_ALIKE = words_pattern(
    # "that's not a rail", "it isn't a step"; not "it's not a problem", "that isn't a good idea"
    rf"(?:that|this|it|those|these|they) (?:'s|is|are|'re) {_NOT_NEVER} (?P<act>(?:a|an|the|your)(?!\S) "
    + _none_of("problem|lot|bit|big|good|bad|turn|joke|question|trick|matter|rope")
    + r"[a-z'-]+.*)"
)
_ELLIPTIC = words_pattern(
    # "don't even think about it"; "don't even think about cutting there" says what
    r"do n't (?:you )?even (?:think|dream)(?: about| of)?(?P<act>(?: (?!it|that|this)[a-z'-]+.*)?)"
)
_FORBIDS_NOTHING = words_pattern(
    # "don't forget to chock it" orders; "not only the rear one", "it never fails", "never mind" tell
    r"do n't (?:you )?(?:ever )?forget (?:to )?.*",
    r"not (?:only|unless|until|unusual|unusually|uncommon|unlike|unknown).*",
    r"never (?:fails|lets you down|mind).*",
)
_ASKS_BACK = words_pattern(r"do n't (?:you|i|we|they)", r"(?:is|are|was) n't (?:it|that|there|he|she)")


_NOBODY = frozenset("nobody no-one noone nothing none".split())
""" "If nobody's near" sets a condition."""


def prohibition(doc: Doc, start: int, end: int) -> Prohibition | None:
    """What the clause of tokens ``start`` to ``end`` (exclusive) forbids, or None.

    A clause that asks for a nod ("don't you?") or tells ("it doesn't reset") forbids nothing.
    """
    line = tape(doc, start, end)
    is_condition = start > 0 and doc[start - 1].lower_ == "if" and doc[start].lower_ in _NOBODY
    if is_condition or _FORBIDS_NOTHING.search(line.text):
        return None
    if match := _ELLIPTIC.search(line.text):
        return _prohibition(line, match) or Prohibition(line.token(match.start()), start, end, elliptic=True)
    if _ASKS_BACK.fullmatch(line.text):
        return None
    if matches := [match for rule in _RULES if (match := rule.search(line.text))]:
        return _prohibition(line, min(matches, key=lambda match: match.start()))
    match = _LOOK_ALIKE.search(line.text) or _NO_THINGS.match(line.text)
    if match is None and not _NOT_THAT_BAD.match(line.text):
        match = _NOT_THERE.match(line.text)
    return _prohibition(line, match) if match else None


def is_look_alike(doc: Doc, start: int, end: int) -> bool:
    """Whether the clause says that something is not what it looks like ("that's not a rail")."""
    return _LOOK_ALIKE.search(tape(doc, start, end).text) is not None


def _prohibition(line: Tape, match: re.Match[str]) -> Prohibition | None:
    """What ``match`` forbids, without the space before it; None when it does not say what."""
    act = match.group("act")
    if not act.strip():
        return None
    begin = match.start("act") + len(act) - len(act.lstrip())
    return Prohibition(line.token(match.start()), line.token(begin), line.token(match.end("act") - 1) + 1)
