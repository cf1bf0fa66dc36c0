"""What becomes of people or things, where talk does not say by what: death and maiming, damage, calls for care."""

from vouchbook.extract.read.hazards.rule import BODY, HazardRule, danger, notice, told, warning

OUTCOME: tuple[HazardRule, ...] = (
    *told(
        "other",
        # "that'll kill you", "it's lethal"; not "that will kill the engine"
        danger(
            r"(?:kills?|killing) (?:you|him|her|them|people|somebody|someone|us|anybody|everybody|instantly|outright)",
            r"killed",
            r"(?:will|'ll|could|can|would) kill(?! (?:it|the|that))",
            r"dies|died|lethal|fatal|deadly|last thing you",
        ),
        # "you lose a finger in it"
        danger(rf"(?:lose|lost|losing) (?:you |your |the |a |his |people )(?:{BODY}|people|down)"),
        # "it takes your arm off"
        danger(
            r"(?:takes?|taken|have|has|had|rips?|tears?|cuts?|chops?) (?:your|a|the|his|somebody 's|someone 's|yer) "
            rf"{BODY} (?:off|clean off|with it)"
        ),
        # "you'll be on your back", "you're dead"
        danger(
            r"you (?:'d|'ll|would|will|'re|are) (?:be |just |going to be |gon na be )?"
            r"(?:on your back|under it|going for a ride|thrown|dead|gone|cooked|stood in|standing in|straight into|"
            r"wearing it|in it|the other half|next|crushed|trapped|a goner)"
        ),
        # what happened to somebody: "we buried a man"
        danger(
            r"(?:buried|funeral|casket|coffin|amputat\w+|in half|never walked|"
            r"lost (?:a|his|two|three) (?:thumb|finger|fingers|hand|arm|leg|toes?|eye)|lose a (?:thumb|finger|hand))"
        ),
        # "a mate of mine walked into nothing"
        danger(
            r"(?:mate|lad|guy|man|fella|bloke|lady|woman|colleagues?|feller|uncle|kid|fireman)s? "
            r"(?:of mine |of ours |at \w+ \w+ |here |once )?(?:(?:has|had|got|who|was) )?(?:\w+ )?"
            r"(?:walked into|fell|caught|trapped|burnt|broke|crushed|went under|went through|lost|had it on|went over)"
        ),
        # "you'd be holding four ton", "you end up wearing it"
        danger(
            r"you(?: 'd| 'll| 're| are| will| would)(?: be| end up| just)* "
            r"(?:paste|holding (?:six|seven|four|three|two|\d)|sat on|wearing|in it up to|under the|inside it)"
        ),
        # "you'll crack the trim", "it strips the thread"
        notice(
            r"(?:crack|cracks|snap|snaps|shear|shears|strip|strips|break|breaks|bend|bends|scratch|scratches|ruin|ruins|"
            r"wreck|wrecks|damage|damages) (?:it|them|the|that|off|your|a|its)",
            hint=True,
        ),
        # "you'll trip the alarm"
        notice(r"(?:trips?|sets? off|tripping) (?:the|an|that|your) alarms?"),
        # "you'll wish you hadn't"
        warning(r"you(?: 'll|'ll| will| 'd| would) (?:wish you (?:had|did) n't|regret it|be sorry)"),
        # "mind your head", "be careful"
        warning(
            rf"(?:watch|mind) (?:your|his|the) (?:{BODY}|floor|step|edge|gap|drop)",
            r"be (?:very |really )?careful",
            r"watch out",
        ),
        warning(
            r"(?:careful|watch (?:your|for|that)|mind (?:your|the|that)|beware|dangerous|danger|hazard\w*|nasty)",
            hint=True,
        ),
        # "or it'll have you"; not "and you'll need a ten mil", "then you'll hear it click"
        warning(
            r"(?:or|else|otherwise|'cause|because|and|then) (?:it|you|he|she|that|they)"
            r"(?: 'll|'ll| will| 'd| would| 've| have)"
            r"(?! (?:need|want|see|find|hear|know|notice|feel|have to|be (?:fine|ok|okay|looking|able)|"
            r"get (?:to|it|at|in)))",
            hint=True,
        ),
    ),
)
