"""Electricity, pressure and springs: how talk tells that energy is there."""

from vouchbook.extract.read.hazards.rule import HazardRule, danger, told, warning

ENERGY: tuple[HazardRule, ...] = (
    *told(
        "electric shock",
        # "it's still live", "the rail stays energised"; not "we're live in five"
        danger(
            r"(?:still|always|stays?|remains?|is|'s|are|'re|be|being|goes|makes (?:it|them)|never) (?:\w+ ){0,2}?"
            r"(?:live|energi[sz]ed|hot wired)(?! in)"
        ),
        # "the rack stays fully charged", "that one holds its charge"
        danger(r"(?:still|always|stay|stays|remain|remains|hold|holds) (?:\w+ ){0,2}?charged?"),
        danger(
            r"(?:hold|holds|holding|keep|keeps|got|have|has) (?:on to )?(?:its|their|a|the|that|enough) "
            r"(?:charge|voltage|energy)"
        ),
        # "there are two capacitors in there"; not "two cap screws"
        danger(r"(?:caps|capacitors?|condensers?)(?! screw)", hint=True),
        # "you'll get a belt off that"
        danger(
            r"(?:electrocuted?|electrocution|electric shock|get a shock|a shock off|shock you|a belt off|zap|zapped|"
            r"fry you|fried)"
        ),
        # "it's never really off", "the string isn't isolated"
        danger(
            r"(?:never|n't ever|not|is n't|ai n't|n't) (?:really |actually |properly |truly )?"
            r"(?:dead|off|isolated|discharged)",
            hint=True,
        ),
        danger(r"(?:volts?|v) (?:d c|dc|a c|ac)", hint=True),
        danger(r"(?:high voltage|high-voltage|h v|hv)", hint=True),
        # "roll it and it's a generator", "the blades make volts in any wind"
        warning(
            r"(?:that 's|it 's|becomes?|acts? as|turns? (?:it |them )?into) a (?:\w+ )?generator",
            r"(?:makes?|making|generates?|generating|putting out|puts out) (?:volts|voltage|power|current|electric\w*)",
        ),
        # "the house backfeeds it"
        danger(r"back ?-? ?feeds?|feeds? back"),
        # "stay off anything orange" (the colour of ISO 6469-3); not "the orange label"
        danger(
            r"(?:anything|the|that|those|any|near|touch|on) orange"
            r"(?! (?:label|lever|ring|handle|flap|button|lamp|light|plug|tag|sticker|stripe|cap|cover|box|one))",
            hint=True,
        ),
        # "there's a live busbar behind it"
        danger(
            r"live (?:panel|cables?|wires?|busbars?|ends?|terminals?|parts?|side|rails?|roof|metal|bits?|conductors?)"
        ),
        # "wet cardboard conducts"
        warning(r"(?:conducts?|conductor|conductive)"),
    ),
    *told(
        "pressure release",
        # "three hundred bar in that bottle": gas above 100 bar; not "thirty bar", "four hundred bars"
        danger(r"(?:\d{3,}|hundred|thousand)(?: and \w+| \w+)? bar(?! ?s)"),
        # "the line's under pressure"
        warning(r"(?:under|at|on|full|high|stored|residual|holds?|still|got|of) pressure|pressuri[sz]ed"),
        warning(r"(?:psi|bar of|p s i)", hint=True),
        # "it goes through your glove": oil injected under the skin
        danger(r"goes? (?:in )?through (?:your |the |a )?(?:skin|glove|gloves)|inject(?:s|ed|ion)?"),
        # "the accumulator sits behind the pump"; not "cylinder screws"
        warning(
            r"(?:accumulators?|gas struts?|gas springs?|relief valves?|burst disc|bottles?|cylinders?)(?! screw)",
            hint=True,
        ),
        # "it vents down the side", "she dumps the lot"
        warning(
            r"(?:vents?|lets go|let go|blows?|spits?|dumps?|empties|squirts?) "
            r"(?:off|out|down|up|itself|the lot|over|at)",
            hint=True,
        ),
    ),
    *told(
        "projectile",
        # "the eye tears straight out", "the strap lashes back"
        warning(
            r"tears? (?:straight )?(?:out|off)",
            r"(?:whips?|lash(?:es)?|come round|comes round) (?:like|round|back|you|across)",
            hint=True,
        ),
        # "that arm's spring-loaded", "it's under tension"
        warning(r"(?:under tension|pre ?-? ?load(?:ed)?|wound up|sprung|spring ?-? ?loaded|spring tension)"),
        warning(r"a spring|the spring|springs", hint=True),
        # "the cap shoots off"
        warning(
            r"(?:flies?|fly|flying|shoots?|shooting|fires|launch(?:es)?|projectile|shrapnel|like a bullet|"
            r"through the (?:wall|roof|window))",
            hint=True,
        ),
        # "the inflators in the pillar can still go off"
        warning(
            r"(?:air ?bags?|inflators?|pretensioners?|pyro\w*) (?:\w+ ){0,4}?"
            r"(?:go off|goes off|fire|fires|deploy|deploys|still|live)"
        ),
    ),
)
