"""The vocabularies that come with the program: whole, unambiguous, and saying what the trade says."""

from functools import cache

import pytest

from vouchbook.extract.packs.load import COMMON, DOMAINS, load_domains, load_pack, load_vocabulary
from vouchbook.extract.packs.recognise import choose_packs, rank_packs
from vouchbook.extract.packs.schema import Kind, normal_form
from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.models.phases import Phase

ALL = (COMMON, *DOMAINS)


@cache
def _vocabulary(*names: str) -> Vocabulary:
    return load_vocabulary(names or DOMAINS)


@pytest.mark.parametrize("name", ALL)
def test_a_shipped_pack_is_sound_and_carries_its_name(name: str) -> None:
    pack = load_pack(name)
    assert pack.name == name
    assert len(pack.entries) >= 300  # a domain of the trade is not told in fewer words
    assert len(pack.topics) >= (10 if name in DOMAINS else 3)  # the phases themselves are asked for by reading
    assert [topic.about for topic in pack.topics if "ask" not in topic.model_fields_set] == []


@pytest.mark.parametrize("phase", Phase)
def test_every_phase_has_strong_and_weak_words_in_every_pack(phase: Phase) -> None:
    for name in ALL:
        words = [e for e in load_pack(name).of_kind("topic_word") if e.phase == phase]
        assert {e.weight for e in words} == {"strong", "weak"}, name


@pytest.mark.parametrize("name", DOMAINS)
@pytest.mark.parametrize("phase", [phase for phase in Phase if phase != Phase.OTHER])
def test_every_topic_of_a_walk_through_is_due_in_every_domain(name: str, phase: Phase) -> None:
    assert any(topic.phase == phase for topic in load_pack(name).topics)


@pytest.mark.parametrize("name", DOMAINS)
def test_the_tool_that_a_fastener_asks_for_is_a_tool_of_the_vocabulary(name: str) -> None:
    vocabulary = _vocabulary(name)
    for fastener in vocabulary.of_kind("fastener"):
        if fastener.implies_tool:
            assert vocabulary.find(fastener.implies_tool, "tool")[0].match == "term", fastener.term


def test_no_domain_swallows_a_term_of_another() -> None:
    everything = _vocabulary()
    for name in DOMAINS:
        for entry in load_pack(name).entries:
            found = everything.find(entry.term, entry.kind)
            assert found[0].entry.term == entry.term, f"{name}: {entry.kind} {entry.term}"


@pytest.mark.parametrize("name", DOMAINS)
def test_a_sound_alike_means_one_thing(name: str) -> None:
    meaning: dict[tuple[Kind, str], str] = {}
    for entry in _vocabulary(name).entries:
        for sound in map(normal_form, entry.sounds_like):
            assert meaning.setdefault((entry.kind, sound), entry.term) == entry.term


SAME = [
    ("road_vehicles", "hood", "bonnet"),
    ("road_vehicles", "trunk", "boot"),
    ("road_vehicles", "frunk", "front boot"),
    ("road_vehicles", "windshield", "windscreen"),
    ("road_vehicles", "fender", "wing"),
    ("road_vehicles", "rocker panel", "sill"),
    ("road_vehicles", "firewall", "bulkhead"),
    ("road_vehicles", "cowl", "scuttle panel"),
    ("road_vehicles", "B pillar", "b-post"),
    ("road_vehicles", "the twelve volt", "12-volt battery"),
    ("road_vehicles", "auxiliary battery", "12-volt battery"),
    ("road_vehicles", "traction battery", "high-voltage battery"),
    ("road_vehicles", "manual service disconnect", "service plug"),
    ("road_vehicles", "first-responder loop", "emergency cut loop"),
    ("road_vehicles", "handbrake", "parking brake"),
    ("road_vehicles", "licence plate", "number plate"),
    ("road_vehicles", "TPRD", "thermal relief device"),
    ("road_vehicles", "lug nut", "wheel nut"),
    ("building_energy", "solar panel", "solar module"),
    ("building_energy", "optimizer", "power optimiser"),
    ("building_energy", "genset", "generator"),
    ("building_energy", "DC disconnect", "dc isolator"),
    ("building_energy", "consumer unit", "distribution board"),
    ("building_energy", "breaker panel", "distribution board"),
    ("building_energy", "firefighter switch", "rapid-shutdown switch"),
    ("building_energy", "ground rod", "earth electrode"),
    ("building_energy", "attic", "loft"),
    ("building_energy", "electrolyzer", "electrolyser"),
    ("building_energy", "explosion vent", "deflagration panel"),
    ("building_energy", "ATS", "transfer switch"),
    ("lifting_industrial", "elevator", "lift"),
    ("lifting_industrial", "hoistway", "shaft"),
    ("lifting_industrial", "hoistway door", "landing door"),
    ("lifting_industrial", "cherry picker", "mobile elevating work platform"),
    ("lifting_industrial", "safeties", "safety gear"),
    ("lifting_industrial", "fork truck", "forklift"),
    ("lifting_industrial", "pallet jack", "pallet truck"),
    ("lifting_industrial", "jib", "boom"),
    ("lifting_industrial", "auger", "screw conveyor"),
    ("lifting_industrial", "grain bin", "silo"),
    ("lifting_industrial", "triangular key", "triangle key"),
    ("building_energy", "wrench", "spanner"),
    ("building_energy", "allen key", "hex key"),
    ("building_energy", "phillips screwdriver", "cross-recess screwdriver"),
    ("building_energy", "torx bit", "hexalobular bit"),
    ("building_energy", "star bit", "hexalobular bit"),
    ("building_energy", "flat blade", "slotted screwdriver"),
    ("building_energy", "stillsons", "pipe wrench"),
    ("building_energy", "flashlight", "torch"),
    ("building_energy", "zip tie", "cable tie"),
    ("building_energy", "cotter pin", "split pin"),
    ("building_energy", "snap ring", "circlip"),
    ("building_energy", "goggles", "eye protection"),
    ("building_energy", "bunker gear", "firefighting kit"),
    ("building_energy", "sulfuric acid", "battery acid"),
]


@pytest.mark.parametrize(("pack", "said", "term"), SAME, ids=[said for _, said, _ in SAME])
def test_words_of_both_sides_of_the_ocean_and_of_the_shop_floor_meet(pack: str, said: str, term: str) -> None:
    found = [s for s in _vocabulary(pack).find(said) if s.entry.kind != "topic_word"]
    assert found[0].match in ("term", "synonym")
    assert found[0].entry.term == term


@pytest.mark.parametrize(
    ("pack", "heard", "term"),
    [
        ("road_vehicles", "chalk", "chock"),
        ("building_energy", "contact or", "contactor"),
        ("building_energy", "contact us", "contactor"),
        ("building_energy", "buzz bar", "busbar"),
        ("building_energy", "invert her", "inverter"),
        ("road_vehicles", "hand break", "parking brake"),
        ("road_vehicles", "surface plug", "service plug"),
        ("road_vehicles", "alan key", "hex key"),
        ("road_vehicles", "thermal runway", "thermal runaway"),
        ("road_vehicles", "standard energy", "stranded energy"),
        ("lifting_industrial", "traction sheaf", "traction sheave"),
        ("lifting_industrial", "hostway", "shaft"),
        ("lifting_industrial", "bailer", "baler"),
    ],
)
def test_what_recognisers_print_is_known_as_a_sound_alike(pack: str, heard: str, term: str) -> None:
    assert [(s.match, s.entry.term) for s in _vocabulary(pack).find(heard)] == [("sound", term)]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("live", "dead"),
        ("open", "closed"),
        ("switched off", "switched on"),
        ("clockwise", "anticlockwise"),
        ("switch on", "switch off"),
        ("loosen", "tighten"),
        ("left-hand side", "right-hand side"),
        ("nearside", "offside"),
        ("nearside", "passenger's side"),  # depends on the country
        ("negative terminal", "positive terminal"),
        ("connect", "disconnect"),
        ("lock", "unlock"),
    ],
)
def test_opposites_and_sides_never_meet_in_one_entry(one: str, other: str) -> None:
    vocabulary = _vocabulary()
    first = {s.entry.term for s in vocabulary.find(one)}
    assert first
    assert first.isdisjoint(s.entry.term for s in vocabulary.find(other))


@pytest.mark.parametrize(
    ("word", "phase"),
    [
        ("how do i recognise", "identify"),
        ("badge", "identify"),
        ("roll away", "immobilise"),
        ("shut it down", "disable"),
        ("isolate", "disable"),
        ("extrication", "access"),
        ("residual", "stored_energy"),
        ("burning", "fire"),
        ("smoke", "fire"),
        ("flooded", "submersion"),
        ("underwater", "submersion"),
        ("tow", "towing"),
        ("flatbed", "towing"),
        ("who do you call", "other"),
    ],
)
def test_words_that_speak_for_a_phase_do(word: str, phase: str) -> None:
    found = [s.entry for s in _vocabulary().find(word) if s.entry.phase]
    assert {entry.phase for entry in found} == {phase}
    assert "strong" in {entry.weight for entry in found}


@pytest.mark.parametrize("name", DOMAINS)
def test_no_form_speaks_for_two_phases(name: str) -> None:
    phase: dict[str, Phase] = {}
    for spelling in _vocabulary(name).spellings:
        if spelling.entry.phase and spelling.match != "sound":
            assert phase.setdefault(spelling.form, spelling.entry.phase) == spelling.entry.phase, spelling.form


def test_a_domain_moves_a_common_word_to_the_phase_that_it_has_there() -> None:
    said = "emergency stop"
    phases = {name: _vocabulary(name).find(said, "part")[0].entry.phase for name in DOMAINS}
    assert phases == {"road_vehicles": "disable", "building_energy": "disable", "lifting_industrial": "immobilise"}


CAR = "Pop the bonnet, stop the ignition, keep the smart key away. The service plug sits behind the rear seat."
SOLAR = "The DC isolator is by the string inverter in the loft. The solar panels stay live; the meter box is outside."
LIFT = "Take the drop key, open the landing door, and mind the counterweight. The lift car hangs on the governor."


@pytest.mark.parametrize(
    ("talk", "names"),
    [
        pytest.param(CAR, ("road_vehicles",), id="car"),
        pytest.param(SOLAR, ("building_energy",), id="solar"),
        pytest.param(LIFT, ("lifting_industrial",), id="lift"),
        pytest.param(
            f"{SOLAR} {LIFT} The hoistway is flooded.", ("building_energy", "lifting_industrial"), id="two-subjects"
        ),
        pytest.param("Good morning, lovely weather, shall we have some tea.", (), id="small-talk"),
        pytest.param("", (), id="nothing"),
    ],
)
def test_a_talk_finds_its_packs_with_the_best_one_on_top(talk: str, names: tuple[str, ...]) -> None:
    assert tuple(pack.name for pack in choose_packs(talk, load_domains())) == names


def test_the_ranking_names_the_words_that_it_rests_on() -> None:
    best, *_ = rank_packs("Bonnet, bonnet, and the airbags.", load_domains())
    assert (best.name, best.cues, best.times) == ("road_vehicles", ("bonnet", "airbag"), 3)
