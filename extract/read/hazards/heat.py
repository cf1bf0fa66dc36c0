"""Burns, fire, explosion and poison: how talk tells them."""

from vouchbook.extract.read.hazards.rule import HazardRule, danger, told, warning

HEAT: tuple[HazardRule, ...] = (
    *told(
        "burn",
        # "you draw an arc"
        danger(r"(?:an|the) arc|arcs|arcing|arc flash"),
        # "a spanner shorts it out"
        warning(
            r"(?:welder|welds?|sparks? off|arcs? across|short(?:s|ed)? (?:it|out|across|to)|"
            r"bridge (?:it|that|them|the))"
        ),
        # "the manifold gets hot", "that gas burns with no flame you can see"
        warning(
            r"(?:burns? you|scald\w*|red hot|hot enough|hot oil|steam|very hot|gets hot|boiling|invisible flame|"
            r"burns? with no)"
        ),
        warning(r"(?:jet|flame|flames)", hint=True),
    ),
    *told(
        "explosion",
        # "there's no smell to it", "it's heavier than air"
        warning(
            r"(?:no|put no|has no|with no|ca n't put|ai n't no) (?:smell|stink|perfume|odou?r|scent)|ca n't smell|"
            r"does n't smell|odou?rless|heavier (?:than|as) air|lighter than air"
        ),
        # "that locker's full of gas"
        danger(r"(?:full of|box of|bag of|cloud of|pocket of) gas|gassing|off ?-? ?gas\w*"),
        warning(r"(?:bursts?|burst)"),
        # "the cell goes bang"
        danger(
            r"(?:explod\w+|explosion|explosive|blow up|blows up|blow off|blow out|goes? bang|go up in|goes? off with|"
            r"detonat\w+|bomb)"
        ),
        # "one spark and it goes up"
        danger(r"(?:a spark|sparks?|ignit\w+|flammable|goes? up|catch(?:es)? fire|flash over)", hint=True),
        # "hydrogen collects under the roof"
        danger(
            r"(?:hydrogen|methane|propane|petrol vapou?r|gas) (?:\w+ ){0,3}?"
            r"(?:coming off|leak\w*|builds? up|collects?|in the air|sits|settles|rises)"
        ),
    ),
    *told(
        "fire",
        # "opening it gives it all the air it wants"; not "it lets the air out"
        warning(
            r"(?:gives?|feeds?|lets?|got) (?:it )?(?:all the )?air(?! (?:out|to|line|bag|hose))(?: in| it wants)?",
            hint=True,
        ),
        # "it'll light again an hour on"; not "the lamp comes back on"
        warning(
            r"re ?-? ?ignit\w+",
            r"(?:come|comes|coming|start|starts|light|lights|go|goes|burn|burns) (?:back|again|itself|up again)"
            r"(?! (?:up|down|in|on|to))",
            hint=True,
        ),
        # "that's a fire waiting to happen", "the pack runs away"
        warning(
            r"(?:that 's|starts?|it 's|causes?) a fire",
            r"(?:sets? (?:it |the \w+ )?(?:on fire|alight))",
            r"thermal runaway",
            r"runs? away",
        ),
    ),
    *told(
        "toxic fumes",
        # "the smoke's full of acid", "you don't want to breathe it"
        warning(
            r"(?:toxic|poison(?:ous)?|acid|caustic|fumes|hydrofluoric|fluoride|choke|chokes|asphyxiat\w+|suffocat\w+|"
            r"no oxygen|carbon monoxide|cyanide|breathe (?:it|that|any)|lungs)"
        ),
    ),
)
