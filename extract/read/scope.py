"""What a negation covers: prohibitions, with what is prohibited, and the look-alikes that prohibit nothing.

Every rule stands with the sentence that justifies it and, where it matters, one that it must not catch.
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


_NOT_ACTS = (
    "need|have to|has to|got to|worry|forget|know|mind|think so|remember|see|hear|feel|smell|"
    "notice|tell you|get me|get it|"
    "matter|mean|look like|look much|seem|fit|come with|come in [a-z]+ sizes|come out|reset|work|"
    "exist|want much|care|ask|say|"
    "understand|believe|bother|realise|realize|find|lose|happen|show|get any|get ('em|them|it|"
    "any) after|come back|take long|get much|get that|get one|get them|have|do anything|"
    "do nothing|like|be|always|usually|really|hesitate|start|stop|help|sound|require|weigh|last|hold|make|let|take long"
)
"""After "don't" and "you don't" these tell something and forbid nothing: "you don't need a key", "don't worry"."""

_ANYBODY = r"(?:nobody|no one|no-one|none of (?:you|us|them|your crew|your lot)|not one of you)"
_MODAL = r"(?:do|does|must|should|would|could|wo|ca|shall|may|might|need|are|is|'re|'s)"

_RULES: tuple[re.Pattern[str], ...] = (
    # "don't touch it", "do not cut here", "don't you go trusting it", "don't anybody lean on that"; not "don't worry"
    words_pattern(
        rf"(?:and |but |so |please |just )*do (?:n't|not) (?:you |anybody |anyone |nobody |no one |"
        rf"ever |even |go |you ever |you go |under any circumstances )*"
        rf"(?!(?:{_NOT_ACTS})(?!\S))(?P<act>[a-z'-]+.*)"
    ),
    # "never cut that", "you never put a foot over", "you'd never want to open it"; not "I never counted"
    words_pattern(
        r"(?<!i )(?<!i 've )(?<!we )(?<!it )(?<!it 's )(?<!he )(?<!that 's )(?<!they )(?<!there 's )(?:you "
        r"|you 'd |you would |you should |you must )?never (?:ever |ever ever )?"
        r"(?:want to |to )?(?!(?:counted|seen|heard|had|been|known|did|said|dead|mind|goes|gets|is|"
        r"are|the|a|quite|really|go missing)(?!\S))(?P<act>[a-z'-]+.*)"
    ),
    # "you don't walk on the glass", "you mustn't open it", "you do not want to be there"; not "you don't need a key"
    words_pattern(
        rf"you (?:really |just |absolutely )?(?:do|must|should|wo|would|shall|'d better|better|'re|"
        rf"are)(?: (?:n't|not))(?: ever| really| even)? "
        rf"(?:want to |wanna |wan na |to |going to |gon na |be )?(?!(?:{_NOT_ACTS})(?!\S))(?P<act>[a-z'-]+.*)"
    ),
    # "you can't stand there", "you can't go in"; not "you can't see it", "you can't switch a battery off"
    words_pattern(
        r"you ca (?:n't|not) (?P<act>(?:touch|cut|go|stand|walk|climb|lift|tow|push|use|lean|rely|"
        r"trust|put|be|open|drill|jack)(?!\S).*)"
    ),
    # "nobody climbs on it", "nobody's to force them", "nobody goes near"; not "nobody knows", "nobody told me"
    words_pattern(
        rf"{_ANYBODY} (?:ever |is |are |'s |else )*(?:to |going to |gon na )?"
        r"(?!(?:knows?|told|tells|said|says|likes|needs|can|could|wants to know|reads|listens|sees|"
        r"thinks|believes|noticed|was|were|in it|there|home|hurt)(?!\S))(?P<act>[a-z'-]+.*)"
    ),
    # "stay out of the sills", "keep off the bulkhead", "keep well clear of the mast", "get away from the door"
    words_pattern(
        r"(?P<act>(?:stay|stays|keep|keeps|steer|stand|get|hold|remain) (?:well |right |the hell |"
        r"yourself |everybody |everyone |people |back )*"
        r"(?:out of|off of|off|away from|away|clear of|clear|back from|out from under|outside)(?!\S)(?! 's| the gas).*)"
    ),
    # "keep your hands out of the gap", "leave your saws off the south side", "keep people away from it"
    words_pattern(
        r"(?P<act>(?:keep|leave|have|get|hold) (?:the |your |all |any |everybody |everyone |people |"
        r"anybody |him |them |em |'em |it )(?:[a-z'-]+ ){0,3}"
        r"(?:out of|out from|out o|off of|off|away from|away|clear of|clear)(?!\S)(?: [a-z'-]+.*))"
    ),
    # "leave that alone", "leave it be"
    words_pattern(
        r"(?P<act>leaves? (?:the |that |this |those |these |it |them |em |'em |him |her |everything |"
        r"all )(?:[a-z'-]+ ){0,4}(?:alone|be|shut|closed|where (?:it|they) (?:is|'s|are))(?!\S).*)"
    ),
    # "hands off orange", "fingers out of there", "feet off the step"
    words_pattern(
        r"(?P<act>(?:hands|fingers|paws|mitts|feet(?! off)|tools|heads?|saws?|cutters?|blades?) (?:off|"
        r"out of|out from|out o|out|away from|clear of)(?!\S).*)"
    ),
    # "that must not be opened", "the front wheels mustn't turn", "it's not to be lifted there"
    words_pattern(r"(?:must|should|shall|may)(?: never| not|n't| n't) (?P<act>(?:be |ever be |get )?[a-z'-]+.*)"),
    words_pattern(r"(?:is|are|'s|'re) (?:not|n't|never) to be (?P<act>[a-z'-]+.*)"),
    words_pattern(
        r"(?:is|are|'s|'re|was) (?:not|n't|never) (?:safe|allowed|permitted|supposed) to (?P<act>[a-z'-]+.*)"
    ),
    # "the front wheels don't roll on the road, ever", "it doesn't come in here until Monday"; not "it doesn't reset"
    words_pattern(
        r"(?<!you )(?<!i )(?<!they )(?<!we )(?:do|does) (?:n't|not) (?P<act>(?:roll|turn|come|go|get|"
        r"move|leave|touch|see)(?!\S) .*?(?:ever|until|till|unless|without|before|for [a-z]+ (?:days?|"
        r"hours?))(?!\S).*)"
    ),
    # "I wouldn't stand there", "you wouldn't want to touch that", "I'd never go under"
    words_pattern(
        r"(?:i|you|we) (?:would|'d) (?:n't|not|never) (?:ever |even )?(?:want to |wanna |be |go )?(?!(?:know|"
        r"say|think|get|have|believe|see|call|mind|need|worry|bother)(?!\S))(?P<act>[a-z'-]+.*)"
    ),
    # "five minutes before anybody's hands go near it", "before you touch anything orange": a limit in time
    words_pattern(
        r"before (?P<act>(?:anybody|anyone|any ?body|somebody|your|you|they|any) (?:\w+ |'s ){0,4}?(?:hands?|"
        r"fingers?|go|goes|touch|touches|lay|lays|get|gets) (?:\w+ )?(?:near|on|at|in|anything|orange|"
        r"it|them|that|under)(?!\S).*)"
    ),
    # "nothing that sparks"
    words_pattern(
        r"(?:nothing|anything) that (?P<act>(?:sparks?|burns?|arcs?|glows?|lights?|turns|makes a spark)(?!\S).*)"
    ),
    # "avoid the tank", "forget the roof", "resist pulling it", "beware of the spring"
    words_pattern(
        r"(?:avoid|resist|beware of|under no circumstances|whatever you do,? do n't|forget about) (?P<act>[a-z'-]+.*)"
    ),
    # "it's off limits", "a no-go"
    words_pattern(r"(?P<act>.*(?:off limits|off-limits|no-go|no go|out of bounds).*)"),
)

_FRAGMENT = words_pattern(
    # "no fingers", "no power tools on it", "no switches", "no smoking"; not "no problem", "no tail pipe"
    r"no (?P<act>(?:power |metal |more |open |naked |bare )*(?:hands?|fingers?|feet|foot|heads?|"
    r"saws?|cutters?|drills?|grinders?|drivers?|hooks?|spikes?|straps?|slings?|chains?|"
    r"jacks?|bars?|rams?|spreaders?|hammers?|holes?|cuts?|cutting|water|jets?|foam|lights?|lamps?|"
    r"torches|switch(?:es)?|phones?|radios?|sparks?|flames?|pumps?|tools?|knives|knife|blades?|"
    r"steel|metal|people|person|one|body|loads?|shortcuts?|short cuts|[a-z]{3,}ing)(?!\S).*)"
)
_NOT_FRAGMENT = re.compile(
    r"^(?:and |but |so )*(?:not|never) (?P<act>(?:on|from|by|under|at|in|with|near|through|between|"
    r"over|off|to|a|an|the|your|that|this|there|here|him|even)(?!\S).*)"
)
_NOT_LOOKALIKE = re.compile(
    r"^not (?:a lot|much|really|yet|sure|bad|quite|that|too|a problem|at all|the same|on this|"
    r"on these|in this|like|for|because|just)(?!\S)"
)
_LOOKALIKE = words_pattern(
    # "that's not a handle", "it isn't a step"
    r"(?:that|this|it|those|these|they)(?:(?: 's| is| are| 're) (?:not|n't|never)) (?P<act>(?:a|"
    r"an|the|your)(?!\S) (?!(?:problem|lot|bit|big|good|bad|turn|joke|question|trick|matter|rope)(?!\S))[a-z'-]+.*)"
)
_ELLIPTIC = words_pattern(
    r"do n't (?:you )?even (?:think|dream)(?: about| of)?(?P<act>(?: (?!it|that|this)[a-z'-]+.*)?)"
)
_DOUBLE = words_pattern(
    r"do n't (?:you )?(?:ever )?forget (?:to )?.*", r"not (?:un|only).*", r"never (?:fails|lets you down|mind).*"
)
_QUESTION_BACK = words_pattern(r"do n't (?:you|i|we|they)", r"(?:is|are|was) n't (?:it|that|there|he|she)")


def prohibition(doc: Doc, start: int, end: int) -> Prohibition | None:
    """What the clause of tokens ``start`` to ``end`` (exclusive) forbids, or None.

    Raises nothing; a clause that asks ("don't you?") or tells ("it doesn't reset") gives None.
    """
    line = tape(doc, start, end)
    if _DOUBLE.search(line.text):
        return None
    if match := _ELLIPTIC.search(line.text):
        return (
            _found(line, match, "act")
            if match.group("act").strip()
            else Prohibition(line.token(match.start()), start, end, elliptic=True)
        )
    if _QUESTION_BACK.fullmatch(line.text):
        return None
    matches = [m for rule in _RULES if (m := rule.search(line.text))]
    if matches:
        return _found(line, min(matches, key=lambda m: m.start()), "act")
    if match := _LOOKALIKE.search(line.text):
        return _found(line, match, "act")
    if (match := _FRAGMENT.match(line.text)) or (
        not _NOT_LOOKALIKE.match(line.text) and (match := _NOT_FRAGMENT.match(line.text))
    ):
        return _found(line, match, "act")
    return None


def is_look_alike(doc: Doc, start: int, end: int) -> bool:
    """Whether the clause says that something is not what it looks like ("that's not a handle")."""
    return _LOOKALIKE.search(tape(doc, start, end).text) is not None


def _found(line: Tape, match: re.Match[str], group: str) -> Prohibition:
    begin = match.start(group) + len(match.group(group)) - len(match.group(group).lstrip())
    return Prohibition(line.token(match.start()), line.token(begin), line.token(match.end(group) - 1) + 1)
