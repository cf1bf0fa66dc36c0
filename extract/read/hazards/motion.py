"""What moves, falls, crushes or drops away: how talk tells it."""

from vouchbook.extract.read.hazards.rule import BODY, HURTS, SOMEBODYS_BODY, HazardRule, caution, told, warning

MOTION: tuple[HazardRule, ...] = (
    *told(
        "crush",
        # "it'll tip the load on him", "they'll have your fingers"; not "that'll let you see"
        warning(
            rf"(?:'ll|will|would|'d|can|could|might|to|'s gon na|gonna) (?:\w+ )?{HURTS} (?:(?!in )\w+ ){{0,5}}?"
            rf"(?:you|him|her|them|somebody|someone|people|anybody|{SOMEBODYS_BODY})(?! (?:know|see|hear|time))"
        ),
        # "the gate drops straight on your feet"
        warning(
            rf"(?:{HURTS}s|{HURTS}es|goes|comes|flies|falls|drops|shuts|stings|cooks|blinds|lands) "
            rf"(?:(?!in )\w+ ){{0,3}}?(?:you|him|them|people|{SOMEBODYS_BODY})"
        ),
        # "the whole lot's down on you"
        warning(
            r"(?:down|off|out|over|back|straight) (?:on|at|in|into|onto) "
            rf"(?:you|him|them|people|{SOMEBODYS_BODY})"
        ),
        # "I've seen a chain go"
        warning(
            r"i 've seen (?:a |one |it |that |them |the )?(?:\w+ ){0,2}?"
            r"(?:go|snap|drop|fall|blow|slip|jump|come down|lose|catch|roll)"
        ),
        # "when you open that the boom drops"
        warning(
            r"(?:it|she|that|cab|bag|load|seat|car|boom|blade|gate|door|mast)(?:'ll| 'll| will)? "
            r"(?:drops?|sinks?|sits down|goes down|comes down|tips|twists)",
            hint=True,
        ),
        # "it lets go all at once"
        warning(r"(?:all at once|in one go|all in one|lets? go|gives? way|can go|'ll go|goes with it)", hint=True),
        # "the ram squashes whatever's in there", "it traps your sleeve", "while his arm's under"
        warning(
            r"(?:crush(?:es|ed|ing)?|squash(?:es|ed)?|"
            r"(?:squeeze|chop|shear|trap)s? (?:you|your|his|somebody|a finger|fingers)|"
            r"mangle\w*|flatten(?:s|ed)?|"
            rf"(?:on|off|under|in) (?:your|somebody 's|someone 's|his|yer) {BODY}|{BODY} (?:'s|is|are) under)"
        ),
        # "the lid slams down"
        warning(
            r"(?:come|comes|came|coming|drop|drops|fall|falls|slam|slams|swing|swings) (?:down|off|on|over|sliding)"
            r"(?: on| off)? ?(?:you|your|top|people|somebody|the edge)?",
            hint=True,
        ),
        # "it tips over", "the trolley rolls away"
        warning(
            r"(?:drop|drops|fall|falls|tip|tips|topple|topples|collapse|collapses|roll|rolls) "
            r"(?:on|over|away|off|onto|without)",
            hint=True,
        ),
        # "that's two tonnes hanging there"
        warning(
            r"(?:ton|tons|tonne|tonnes|kilos|hundredweight|pounds) (?:\w+ )?(?:on|of|up|above|hanging|over|coming)",
            hint=True,
        ),
        # "the handle kicks back"
        # "you'll pinch your fingers": hurts, and heals
        caution(r"pinch(?:es)? (?:you|your|his|somebody|a finger|fingers)"),
        caution(r"(?:swings?|whips?|kicks?|jumps?|snaps?|springs?) (?:back|down|out|round|at you|up)", hint=True),
    ),
    *told(
        "unexpected movement",
        # "it can still roll"; not "you can roll the door"
        warning(
            r"(?:can|could|might|may|will|'ll) (?:still |just |also )?"
            r"(?:tip|topple|fall|drop|roll|swing|slip|start|fire|shift|move|creep|kneel|collapse|go off|jump|rock|tilt)"
            r"(?! (?:the|it|them|off the|out of)(?!\S))",
            hint=True,
        ),
        # "the fan starts again", "touching the pedal wakes it up"
        warning(
            r"(?:runs?|starts?|comes?|goes) (?:up )?(?:again|back on|by itself|off again)",
            r"wakes? (?:it|her|him|them)? ?up",
            r"turns? it on again",
            r"second that \w+ shows up",
            r"keeps? (?:running|turning|going)",
            hint=True,
        ),
        # "the drum coasts for a minute"
        warning(r"(?:swivels?|pivots?|rocks|wobbles|coasts?|still (?:turning|spinning|moving))"),
        # "it'll go any second", "the forks creep"; not "it jumps to the next page"
        warning(
            r"(?:on (?:its|his|her|their) own|by itself|by themselves|all by itself|without warning|no warning|"
            r"any second|any time|any moment|wakes? (?:up )?(?:again)?|creeps?|creeping|"
            r"starts? (?:up )?(?:again|itself|on its own)|move off|roll off|rolls? away|take off|lurch\w*|jumps?|"
            r"bites?|still move|can move|kneel)(?! to)",
            hint=True,
        ),
    ),
    *told(
        "fall",
        # "it's six metres straight down"
        warning(
            r"(?:metres?|meters?|feet|foot) (?:straight |sheer )?(?:down|drop|to the (?:concrete|floor|ground|bottom))|"
            r"long way down|no (?:floor|edge)|straight down"
        ),
        warning(r"(?:sheet|black) ice|icy|greasy"),
        # "you'd step into nothing", "there's no handrail"
        warning(
            r"(?:fall|falls|fell|falling|slip|slips|slippery|slipped|like ice|no (?:hand ?)?rails?|"
            r"go through the|goes through the|step into nothing|into nothing|there 's nothing|a long way down|"
            r"metres? (?:up|down)|feet (?:up|down))",
            hint=True,
        ),
    ),
)
