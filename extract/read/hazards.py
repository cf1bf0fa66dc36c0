"""What can hurt somebody, and how badly: the consequence decides the signal word (ANSI Z535.6), not the talker's own word.

Danger: will kill or maim if not avoided; live high voltage, gas above 100 bar and springs that can kill belong here.
Warning: could. Caution: minor or moderate injury. Notice: damage to things only.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from vouchbook.extract.read.tape import Tape
from vouchbook.models.items import Hazard, Signal


@dataclass(frozen=True, slots=True)
class HazardWord:
    """A place in the talk that tells a hazard. ``weight`` 2: enough on its own; 1: only beside a prohibition or another."""

    start: int
    end: int
    hazard: Hazard
    signal: Signal
    weight: int


_BODY = (
    r"(?:hand|hands|finger|fingers|arm|arms|foot|feet|leg|legs|head|heads|face|skull|ribs|eye|"
    r"eyes|skin|shins?|toes?|thumb|nose|neck|throat|back|knee|knees|chest|teeth|lungs|glove|wrist)"
)
_WHOSE = r"(?:your|my|his|her|a|the|somebody 's|someone 's|yer|their|whoever 's)"
_HURTS = (
    r"(?:kill|hurt|crush|squash|trap|pin|hit|catch|break|burn|cook|blind|sting|spray|splash|soak|"
    r"shock|bite|throw|knock|pull|drag|suck|wind|wrap|cut|slice|rip|tear|take|have|chop|"
    r"bounce|tip|drop|fall|fly|come|go|swing|whip|kick|roll|run|blow|shoot|spit|jump|shift|slide|"
    r"slam|snap|squeeze|poison|choke|gas|scald|fold|topple|land|push)"
)

_RULES: tuple[tuple[str, Hazard, Signal, int], ...] = (
    # Electric: "it's still live", "four hundred volts on the orange", "the caps are charged"
    (
        r"(?:still|always|stays?|remains?|is|'s|are|'re|be|being|goes|makes (?:it|them)|never) (?:\w+ ){0,2}?(?:live|"
        r"energi[sz]ed|hot wired)(?! in)",
        "electric shock",
        "danger",
        2,
    ),
    (r"(?:still|always|stay|stays|remain|remains|hold|holds) (?:\w+ ){0,2}?charged?", "electric shock", "danger", 2),
    (
        r"(?:hold|holds|holding|keep|keeps|got|have|has) (?:on to )?(?:its|their|a|the|that|enough) (?:charge|"
        r"voltage|energy)",
        "electric shock",
        "danger",
        2,
    ),
    (r"(?:caps|capacitors?|condensers?)(?! screw)", "electric shock", "danger", 1),
    (
        r"(?:electrocuted?|electrocution|electric shock|get a shock|a shock off|shock you|a belt off|"
        r"zap|zapped|fry you|fried)",
        "electric shock",
        "danger",
        2,
    ),
    (
        r"(?:never|n't ever|not|is n't|ai n't|n't) (?:really |actually |properly |truly )?(?:dead|"
        r"off|isolated|discharged)",
        "electric shock",
        "danger",
        1,
    ),
    (r"(?:volts?|v) (?:d c|dc|a c|ac)", "electric shock", "danger", 1),
    (r"(?:high voltage|high-voltage|h v|hv)", "electric shock", "danger", 1),
    (
        r"(?:that 's|it 's|becomes?|acts? as|turns? (?:it |them )?into) a (?:\w+ )?generator|(?:makes?|"
        r"making|generates?|generating|putting out|puts out) (?:volts|voltage|power|current|electric\w*)",
        "electric shock",
        "warning",
        2,
    ),
    (r"back ?-?feeds?|feeds? back", "electric shock", "danger", 2),
    (r"(?:an|the) arc|arcs|arcing|arc flash", "burn", "danger", 2),
    (
        r"(?:anything|the|that|those|any|near|touch|on) orange(?! (?:label|lever|ring|handle|flap|"
        r"button|lamp|light|plug|tag|sticker|stripe|cap|cover|box|one))",
        "electric shock",
        "danger",
        1,
    ),
    # Death and maiming by name
    (
        r"(?:kills?|killing) (?:you|him|her|them|people|somebody|someone|us|anybody|everybody|instantly|"
        r"outright)|killed|(?:will|'ll|could|can|would) kill(?! (?:it|the|that))|dies|died|lethal|"
        r"fatal|deadly|last thing you",
        "other",
        "danger",
        2,
    ),
    (rf"(?:lose|lost|losing) (?:you |your |the |a |his |people )(?:{_BODY}|people|down)", "other", "danger", 2),
    (
        rf"(?:takes?|taken|have|has|had|rips?|tears?|cuts?|chops?) (?:your|a|the|his|somebody 's|someone 's|"
        rf"yer) {_BODY} (?:off|clean off|with it)",
        "other",
        "danger",
        2,
    ),
    # What it will do to somebody: "they'll have your fingers", "it'll tip the load on him", "you'll be on your back"
    (
        rf"(?:'ll|will|would|'d|can|could|might|to|'s gon na|gonna) (?:\w+ )?{_HURTS} (?:(?!in )\w+ ){{0,5}}?(?:you|"
        rf"him|her|them|somebody|someone|people|anybody|{_WHOSE} (?:\w+ )?{_BODY})(?! (?:know|see|hear|"
        rf"time))",
        "crush",
        "warning",
        2,
    ),
    (
        rf"(?:{_HURTS}s|{_HURTS}es|goes|comes|flies|falls|drops|shuts|stings|cooks|blinds|lands) (?:(?!in )\w+ "
        rf"){{0,3}}?(?:you|him|them|people|{_WHOSE} (?:\w+ )?{_BODY})",
        "crush",
        "warning",
        2,
    ),
    (
        rf"(?:down|off|out|over|back|straight) (?:on|at|in|into|onto) (?:you|him|them|people|{_WHOSE} (?:\w+ "
        rf")?{_BODY})",
        "crush",
        "warning",
        2,
    ),
    (
        r"you (?:'d|'ll|would|will|'re|are) (?:be |just |going to be |gon na be )?(?:on your back|"
        r"under it|going for a ride|thrown|dead|gone|cooked|stood in|standing in|straight into|wearing it|"
        r"in it|the other half|next|crushed|trapped|a goner)",
        "other",
        "danger",
        2,
    ),
    # What happened to somebody: "we buried a guy", "I've seen a chain go", "a mate of mine walked into nothing"
    (
        r"(?:buried|funeral|casket|coffin|amputat\w+|in half|never walked|lost (?:a|his|two|three) (?:thumb|"
        r"finger|fingers|hand|arm|leg|toes?|eye)|lose a (?:thumb|finger|hand))",
        "other",
        "danger",
        2,
    ),
    (
        r"(?:mate|lad|guy|man|fella|bloke|lady|woman|colleagues?|feller|uncle|kid|fireman)s? (?:of mine |"
        r"of ours |at \w+ \w+ |here |once )?(?:(?:has|had|got|who|was) )?(?:\w+ )?(?:walked into|fell|"
        r"caught|trapped|burnt|broke|crushed|went under|went through|lost|had it on|went over)",
        "other",
        "danger",
        2,
    ),
    (
        r"i 've seen (?:a |one |it |that |them |the )?(?:\w+ ){0,2}?(?:go|snap|drop|fall|blow|slip|"
        r"jump|come down|lose|catch|roll)",
        "crush",
        "warning",
        2,
    ),
    (
        r"you(?: 'd| 'll| 're| are| will| would)(?: be| end up| just)* (?:paste|holding (?:six|seven|"
        r"four|three|two|\d)|sat on|wearing|in it up to|under the|inside it)",
        "other",
        "danger",
        2,
    ),
    (
        r"(?:can|could|might|may|will|'ll) (?:still |just |also )?(?:tip|topple|fall|drop|roll|swing|"
        r"slip|start|fire|shift|move|creep|kneel|collapse|go off|jump|rock|tilt)(?! (?:the|it|them|"
        r"off the|out of)(?!\S))",
        "unexpected movement",
        "warning",
        1,
    ),
    (
        r"(?:it|she|that|cab|bag|load|seat|car|boom|blade|gate|door|mast)(?:'ll| 'll| will)? (?:drops?|"
        r"sinks?|sits down|goes down|comes down|tips|twists)",
        "crush",
        "warning",
        1,
    ),
    (
        r"tears? (?:straight )?(?:out|off)|(?:whips?|lash(?:es)?|come round|comes round) (?:like|round|"
        r"back|you|across)",
        "projectile",
        "warning",
        1,
    ),
    (
        r"(?:runs?|starts?|comes?|goes) (?:up )?(?:again|back on|by itself|off again)|wakes? (?:it|"
        r"her|him|them)? ?up|turns? it on again|second that \w+ shows up|keeps? (?:running|turning|"
        r"going)",
        "unexpected movement",
        "warning",
        1,
    ),
    (
        r"(?:metres?|meters?|feet|foot) (?:straight |sheer )?(?:down|drop|to the (?:concrete|floor|"
        r"ground|bottom))|long way down|no (?:floor|edge)|straight down",
        "fall",
        "warning",
        2,
    ),
    (
        r"(?:no|put no|has no|with no|ca n't put|ai n't no) (?:smell|stink|perfume|odou?r|scent)|ca n't smell|"
        r"does n't smell|odou?rless|heavier (?:than|as) air|lighter than air",
        "explosion",
        "warning",
        2,
    ),
    (
        r"(?:gives?|feeds?|lets?|got) (?:it )?(?:all the )?air(?! (?:out|to|line|bag|hose))(?: in|"
        r" it wants)?",
        "fire",
        "warning",
        1,
    ),
    (
        r"live (?:panel|cables?|wires?|busbars?|ends?|terminals?|parts?|side|rails?|roof|metal|bits?|"
        r"conductors?)",
        "electric shock",
        "danger",
        2,
    ),
    (r"(?:sheet|black) ice|icy|greasy", "fall", "warning", 2),
    (r"(?:conducts?|conductor|conductive)", "electric shock", "warning", 2),
    (r"(?:full of|box of|bag of|cloud of|pocket of) gas|gassing|off-?gas\w*", "explosion", "danger", 2),
    (r"(?:bursts?|burst)", "explosion", "warning", 2),
    (
        r"(?:swivels?|pivots?|rocks|wobbles|coasts?|still (?:turning|spinning|moving))",
        "unexpected movement",
        "warning",
        2,
    ),
    (r"(?:all at once|in one go|all in one|lets? go|gives? way|can go|'ll go|goes with it)", "crush", "warning", 1),
    (
        r"(?:welder|welds?|sparks? off|arcs? across|short(?:s|ed)? (?:it|out|across|to)|bridge (?:it|"
        r"that|them|the))",
        "burn",
        "warning",
        2,
    ),
    # Pressure
    (r"(?:\d{3,}|hundred|thousand)(?: and \w+| \w+)? bar(?! ?s)", "pressure release", "danger", 2),
    (
        r"(?:under|at|on|full|high|stored|residual|holds?|still|got|of) pressure|pressuri[sz]ed",
        "pressure release",
        "warning",
        2,
    ),
    (r"(?:psi|bar of|p s i)", "pressure release", "warning", 1),
    (
        r"goes? (?:in )?through (?:your |the |a )?(?:skin|glove|gloves)|inject(?:s|ed|ion)?",
        "pressure release",
        "danger",
        2,
    ),
    (
        r"(?:accumulators?|gas struts?|gas springs?|relief valves?|burst disc|bottles?|cylinders?)(?! screw)",
        "pressure release",
        "warning",
        1,
    ),
    (
        r"(?:vents?|lets go|let go|blows?|spits?|dumps?|empties|squirts?)(?: (?:off|out|down|up|itself|"
        r"the lot|over|at))",
        "pressure release",
        "warning",
        1,
    ),
    # Springs and flying parts
    (r"(?:under tension|pre-?load(?:ed)?|wound up|sprung|spring ?-?loaded|spring tension)", "projectile", "warning", 2),
    (r"a spring|the spring|springs", "projectile", "warning", 1),
    (
        r"(?:flies?|fly|flying|shoots?|shooting|fires|launch(?:es)?|projectile|shrapnel|like a bullet|"
        r"through the (?:wall|roof|window))",
        "projectile",
        "warning",
        1,
    ),
    (
        r"(?:air ?bags?|inflators?|pretensioners?|pyro\w*) (?:\w+ ){0,4}?(?:go off|goes off|fire|fires|"
        r"deploy|deploys|still|live)",
        "projectile",
        "warning",
        2,
    ),
    # Fire, explosion, heat
    (
        r"(?:explod\w+|explosion|explosive|blow up|blows up|blow off|blow out|goes? bang|go up in|"
        r"goes? off with|detonat\w+|bomb)",
        "explosion",
        "danger",
        2,
    ),
    (r"(?:a spark|sparks?|ignit\w+|flammable|goes? up|catch(?:es)? fire|flash over)", "explosion", "danger", 1),
    (
        r"(?:hydrogen|methane|propane|petrol vapou?r|gas) (?:\w+ ){0,3}?(?:coming off|leak\w*|builds? up|"
        r"collects?|in the air|sits|settles|rises)",
        "explosion",
        "danger",
        2,
    ),
    (
        r"re-?ignit\w+|(?:come|comes|coming|start|starts|light|lights|go|goes|burn|burns) (?:back|"
        r"again|itself|up again)(?! (?:up|down|in|on|to))",
        "fire",
        "warning",
        1,
    ),
    (
        r"(?:that 's|starts?|it 's|causes?) a fire|(?:sets? (?:it |the \w+ )?(?:on fire|alight))|thermal runaway|"
        r"runs? away",
        "fire",
        "warning",
        2,
    ),
    (
        r"(?:burns? you|scald\w*|red hot|hot enough|hot oil|steam|very hot|gets hot|boiling|invisible flame|"
        r"burns? with no)",
        "burn",
        "warning",
        2,
    ),
    (r"(?:jet|flame|flames)", "burn", "warning", 1),
    # Toxic
    (
        r"(?:toxic|poison(?:ous)?|acid|caustic|fumes|hydrofluoric|fluoride|choke|chokes|asphyxiat\w+|"
        r"suffocat\w+|no oxygen|carbon monoxide|cyanide|breathe (?:it|that|any)|lungs)",
        "toxic fumes",
        "warning",
        2,
    ),
    # Crush, fall, movement
    (
        rf"(?:crush(?:es|ed|ing)?|squash(?:es|ed)?|(?:squeeze|pinch|chop|shear|trap)s? (?:you|your|"
        rf"his|somebody|a finger|fingers)|mangle\w*|flatten(?:s|ed)?|(?:on|off|under|in) (?:your|somebody 's|"
        rf"someone 's|his|yer) {_BODY}|{_BODY} (?:'s|is|are) under)",
        "crush",
        "warning",
        2,
    ),
    (
        r"(?:come|comes|came|coming|drop|drops|fall|falls|slam|slams|swing|swings) (?:down|off|on|"
        r"over|sliding)(?: on| off)? ?(?:you|your|top|people|somebody|the edge)?",
        "crush",
        "warning",
        1,
    ),
    (
        r"(?:drop|drops|fall|falls|tip|tips|topple|topples|collapse|collapses|roll|rolls) (?:on|over|"
        r"away|off|onto|without)",
        "crush",
        "warning",
        1,
    ),
    (
        r"(?:ton|tons|tonne|tonnes|kilos|hundredweight|pounds) (?:\w+ )?(?:on|of|up|above|hanging|"
        r"over|coming)",
        "crush",
        "warning",
        1,
    ),
    (
        r"(?:fall|falls|fell|falling|slip|slips|slippery|slipped|like ice|no (?:hand ?)?rails?|go through "
        r"the|goes through the|step into nothing|into nothing|there 's nothing|a long way down|metres? (?:up|"
        r"down)|feet (?:up|down))",
        "fall",
        "warning",
        1,
    ),
    (
        r"(?:on (?:its|his|her|their) own|by itself|by themselves|all by itself|without warning|no warning|"
        r"any second|any time|any moment|wakes? (?:up )?(?:again)?|creeps?|creeping|starts? (?:up )?(?:again|"
        r"itself|on its own)|move off|roll off|rolls? away|take off|lurch\w*|jumps?|bites?|still move|"
        r"can move|kneel)(?! to)",
        "unexpected movement",
        "warning",
        1,
    ),
    (r"(?:swings?|whips?|kicks?|jumps?|snaps?|springs?) (?:back|down|out|round|at you|up)", "crush", "caution", 1),
    # Things only
    (
        r"(?:crack|cracks|snap|snaps|shear|shears|strip|strips|break|breaks|bend|bends|scratch|scratches|"
        r"ruin|ruins|wreck|wrecks|damage|damages) (?:it|them|the|that|off|your|a|its)",
        "other",
        "notice",
        1,
    ),
    (
        rf"(?:watch|mind) (?:your|his|the) (?:{_BODY}|floor|step|edge|gap|drop)|be (?:very |really )?careful|"
        rf"watch out",
        "other",
        "warning",
        2,
    ),
    (
        r"(?:careful|watch (?:your|for|that)|mind (?:your|the|that)|beware|dangerous|danger|hazard\w*|"
        r"nasty)",
        "other",
        "warning",
        1,
    ),
    (
        r"(?:or|else|otherwise|'cause|because|and|then) (?:it|you|he|she|that|they)(?: 'll|'ll| will|"
        r" 'd| would| 've| have)(?! (?:need|want|see|find|hear|know|notice|feel|have to|be (?:fine|"
        r"ok|okay|looking|able)|get (?:to|it|at|in)))",
        "other",
        "warning",
        1,
    ),
)

_COMPILED = tuple((re.compile(rf"(?<!\S)(?:{p})(?!\S)"), h, s, w) for p, h, s, w in _RULES)

_CALM = re.compile(
    # A hazard word that tells the opposite: "that's not dangerous", "it can't hurt you", "no pressure in it"
    r"(?<!\S)(?:no (?:pressure|danger|hazard|current|volts|voltage)|(?:not|n't) (?:dangerous|hurt|"
    r"poison\w*|toxic|flammable|explosive)|harmless|perfectly safe|quite safe)(?!\S)"
)

_SEVERITY: dict[Signal, int] = {"notice": 0, "caution": 1, "warning": 2, "danger": 3}


def hazard_words(line: Tape) -> tuple[HazardWord, ...]:
    """The places on ``line`` that tell a hazard, in order; none where the talk says that it is harmless."""
    if _CALM.search(line.text):
        return ()
    found = [
        HazardWord(start, end, hazard, signal, weight)
        for pattern, hazard, signal, weight in _COMPILED
        for start, end in line.spans(pattern)
    ]
    return tuple(sorted(found, key=lambda h: (h.start, -h.weight, h.hazard)))


def judge(words: Sequence[HazardWord]) -> tuple[Hazard, Signal]:
    """The hazard that most is said about, and the signal word of the worst one.

    Without any word the hazard is "other" and the signal "warning": a prohibition whose reason was not told could hurt.
    """
    weights: dict[Hazard, float] = {}
    for word in words:
        weights[word.hazard] = weights.get(word.hazard, 0) + word.weight - (0.5 if word.hazard == "other" else 0)
    if not weights:
        return "other", "warning"
    hazard = max(weights, key=lambda h: (weights[h], h != "other"))
    signals = [w.signal for w in words if w.hazard == hazard or w.weight == 2]
    return hazard, max(signals, key=lambda s: _SEVERITY[s])
