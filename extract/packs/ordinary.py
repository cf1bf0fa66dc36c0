"""Short words of ordinary English talk, which an abbreviation had better not be spelt like.

From memory, no source: words of two to five letters that people say while they speak of anything at all.
"""

ORDINARY_WORDS = frozenset(
    """
    able about above add after again age ago ahead aid aim air all allow alone along also am amid among an and ant any
    apart apply arch are area arm army art as ash ask at ate away awful back bad bag bake ball band bang bank bar bare
    base bash bat bath be bead beam bean bear beat bed bee been beep beer begin being belt bend best bet big bike bill
    bin bird bit bite black blame blank blend blind block blow blue board boat body boil bold bolt bone book boot born
    boss both bow bowl box boy brain brave bread break brick bring brown brush bug build bulk bull burn bus bush but
    buy by bye cab cake call calm came camp can cap car card care cart case cash cat catch cause cell chain chair chap
    chat cheap check chest chief child chip city clean clear clip close cloth cloud club coal coat cod code coin cold
    come con cook cool cope copy cord core corn cost cot could count cover cow crack crew cross crowd cry cup curb cut
    dad daily dam damp dark data date dawn day dead deal dear deck deep den desk dial did die diet dig dim dip dirt
    dish do does dog done door dot down drag draw dress drill drink drip drive drop dry due dug dull dump dust duty
    each ear early earn earth ease east easy eat edge egg eight else end enjoy enter equal even ever every exact extra
    eye face fact fade fail fair fall false fan far farm fast fat fear fed feed feel feet fell felt few field fight
    fill film final find fine fire firm first fish fist fit five fix flag flame flap flat flip floor flow fly foam fog
    fold folk food foot for force form four fox free fresh from front fuel full fun gap gas gate gave gear get gift
    girl give glad glass go goal goes gold gone good got grab grass gray great green grey grid grip group grow guard
    guess guide gun guy had hair half hall hand hang happy hard has hat hate have he head hear heat heavy held hello
    help her here hey hide high hill him hint hip his hit hold hole home hood hook hop hope horse hose hot hour house
    how huge hung hurt ice idea if ill in inch inn into iron is it item its jam jar jaw job join joke jump just keen
    keep kept key kick kid kill kind king kit knee knew knob knock know lab lack lad lady lake lamp land lap large last
    late laugh law lay lead leaf leak lean learn least leave led left leg lend less let level lid lie life lift light
    like limb limit line link lip list lit live load lock log long look loop loose lose loss lost lot loud love low
    luck lunch mad made mail main make male man many map mark mask mass mat match may me meal mean meat meet melt men
    mess met metal mid might mild mile milk mill mind mine miss mist mix model mom money month mood moon more most
    mount mouse mouth move much mud mum must my nail name near neat neck need net never new news next nice night nine
    no nod noise none noon nor north nose not note now nut odd of off offer often oh oil ok okay old on once one only
    open or order other our out over own pace pack pad page paid pain paint pair pan paper park part pass past pat path
    pay peak pen per pet phone pick piece pile pin pipe pit place plain plan plate play plot plug plus pod point pole
    pool poor pop port post pot pour power press price pride print prop pull pump pure push put quick quiet quite race
    rack rail rain raise ram ran rang range rap rare rat rate raw reach read ready real rear red rely rent rest rib
    rice rich rid ride right ring rise risk road rock rod role roll roof room root rope rough round row rub rug rule
    run rush sad safe said sail salt same sand sat save saw say scale scan scene scrap sea seal seat see seen self sell
    send sense sent set seven shade shall shape share sharp she shed sheet shell shift shine ship shirt shock shoe shop
    short shot show shut sick side sight sign sin since sing sink sip sir sit site six size skin skip sky sleep slide
    slim slip slot slow small smart smell smoke snap snow so soap sock soft soil sold solid some son song soon sore
    sorry sort sound soup south space spare speak speed spell spend spin split spoke spot spray stack staff stage stain
    stair stamp stand star start state stay steel steep stem step stick still stock stone stood stop store storm story
    straw strip stuck stuff such suit sum sun sure swap sweep swim swing tab table tag tail take talk tall tan tank tap
    tape task taste tax tea teach team tear tell ten tend tent term test text than thank that the them then there these
    they thick thin thing think third this those three throw thus tick tide tidy tie tight till time tin tint tiny tip
    tire to toe told tone too took tool tooth top torn toss total touch tough tour tow town toy track trade train trap
    tray tree trip truck true trust truth try tub tube tune turn twice twin two type under union unit until up upper
    upset urge us use used usual van vast vent very vet via view visit voice wait wake walk wall want war warm warn was
    wash waste watch water wave wax way we weak wear week well went were west wet what wheel when where which while
    white who whole whose why wide wife wild will win wind wine wing wipe wire wise wish with won wood word wore work
    world worn worry worse worst worth would wrap write wrong yard year yell yes yet you young your zip zone
    """.split()
)
