"""What a quick sum cannot answer it refuses with one sentence that says what would be right, and with no number."""

from __future__ import annotations

import pytest

from tests.reckon.told import refusal_of

BALL = "diameter=2mm particle_density=7.8g/mL liquid_density=1.26g/mL distance=100mm time=11.5s"
GRAIN = "diameter=70um particle_density=2.6g/mL liquid_density=1g/mL"

REFUSED = (
    # of no size that a bench has
    (f"falling-ball {BALL.replace('2mm', '3km')} tube_diameter=30mm", "3.000 km is not one of the bench"),
    (f"settling {GRAIN} viscosity=1mPa.s height=1e9m", "look at the unit"),
    (f"suspend {GRAIN.replace('70um', '3km')}", "3.000 km is not one of the bench"),
    (f"settling {GRAIN.replace('70um', '400mm')} viscosity=1mPa.s", "no drag law"),
    # nought and below, and no number at all
    (f"settling {GRAIN} viscosity=0mPa.s", "viscosity must be above nought"),
    (f"settling {GRAIN} viscosity=-1mPa.s", "viscosity must be above nought"),
    (f"settling {GRAIN} viscosity=nan", "does not begin with a number"),
    (f"settling {GRAIN.replace('70um', '0um')} viscosity=1mPa.s", "diameter must be above nought"),
    (f"settling {GRAIN} viscosity=5", "has no unit"),
    (f"settling {GRAIN} viscosity=5mm", "is a length, but a viscosity is needed"),
    (f"settling {GRAIN}", "settling needs viscosity"),
    (f"settling {GRAIN} viscosity=1mPa.s viscosity_error=-5%", "without a sign"),
    (f"settling {GRAIN} viscosity=1mPa.s diameter_error=1s", "diameter_error"),
    # nothing that would move
    (f"settling {GRAIN.replace('2.6', '1')} viscosity=1mPa.s", "equally dense"),
    (f"suspend {GRAIN.replace('2.6', '1')}", "equally dense"),
    (f"falling-ball {BALL.replace('7.8', '1.26')}", "equally dense"),
    (f"clear-layer layer=4mm time=7days {GRAIN.replace('2.6', '1')}", "equally dense"),
    # a ball and its tube
    (f"falling-ball {BALL} tube_diameter=1mm", "does not go through"),
    (f"falling-ball {BALL} tube_diameter=2mm", "does not go through"),
    (f"falling-ball {BALL} tube_diameter=4mm", "held too much by the wall"),
    (f"falling-ball {BALL.replace('11.5s', '0.2s')} time_error=1%", "Reynolds number above 0.25"),
    # slump and spread
    ("slump height=50mm slump=50mm density=1g/mL", "leaves nothing standing"),
    ("slump height=50mm slump=60mm density=1g/mL", "leaves nothing standing"),
    ("slump height=50mm slump=0mm density=1g/mL", "holds its own weight"),
    ("slump height=50mm slump=30mm density=1g/mL diameter=100mm", "outside the range of the test"),
    ("slump height=50mm slump=0.5mm density=1g/mL", "leaves nothing of a slump"),
    ("spread volume=1mL density=1g/mL diameter=46mm time=60s reading_error=7mm", "leave nothing of the answer"),
    ("spread volume=1mL density=1g/mL diameter=15mm time=60s", "Surface tension"),
    ("spread volume=20mL density=1g/mL diameter=46mm time=60s", "tenth of its radius"),
    ("spread volume=1mL mass=1g density=1g/mL diameter=46mm", "either the volume"),
    ("spread density=1g/mL diameter=46mm", "either the volume"),
    ("spread volume=1mL diameter=46mm time=60s", "spread needs density"),
    # cups
    ('flow-cup cup="Ford 4" time=10s', "a smaller hole"),
    ('flow-cup cup="Ford 4" time=200s', "a larger hole"),
    ('flow-cup cup="Ford 9" time=80s', "There is no flow cup"),
    ('flow-cup cup="Ford 4" time=80s cup_error=-3%', "cup_error is a share"),
    # grains and packing
    ("suspend d50=20um d90=10um particle_density=2g/mL liquid_density=1g/mL", "less than half"),
    (f"settling {GRAIN} viscosity=1mPa.s solids=64%", "a paste"),
    (f"settling {GRAIN} viscosity=1mPa.s solids=45% packing=40%", "a paste"),
    (f"settling {GRAIN} viscosity=1mPa.s solids=5% packing=90%", "up to 64 %"),
    (f"settling {GRAIN} viscosity=1mPa.s solids=101%", "below 100 %"),
    (f"settling {GRAIN} viscosity=1mPa.s solids=5% solids_by_mass=5%", "not both"),
    (f"settling {GRAIN.replace('70um', '500um')} viscosity=1mPa.s solids=5%", "leave out solids"),
    # a tube that stood
    (f"clear-layer layer=60mm time=7days {GRAIN} height=50mm", "no room for the grains"),
    (f"clear-layer layer=45mm time=7days {GRAIN} height=50mm solids=10%", "all arrived"),
    (f"clear-layer layer=100mm time=1s {GRAIN.replace('70um', '300um')} time_error=1%", "past Stokes' law"),
    ("clear-layer held=200um sunk=100um particle_density=2g/mL liquid_density=1g/mL", "must be larger"),
    ("clear-layer held=200um particle_density=2g/mL liquid_density=1g/mL", "needs sunk"),
    ("centrifuge radius=10cm rotation=100000rpm", "No centrifuge of a bench"),
    # sieves
    ('grain-by-sieve retained="150um 1.2g"', "no sieve with its mass"),
    ('grain-by-sieve retained="150um: 1.2g, 75um: 3g"', "through the finest sieve"),
    ('grain-by-sieve retained="150um: 1.2g, 150um: 3g, pan: 1g"', "stands once"),
    ('grain-by-sieve retained="No. 101: 1.2g, 75um: 3g, pan: 1g"', "no sieve"),
    ('grain-by-sieve retained="150um: 0g, 75um: 3g, pan: 1g"', "Two sieves at least"),
    ('grain-by-sieve retained="150um: 0g, 75um: 0g, pan: 0g"', "Nothing was sieved"),
    ('grain-by-sieve retained="3km: 1g, 75um: 3g, pan: 1g"', "no test sieve"),
    # heat
    ('mix-temperature parts="80 g aqua 25 C"', "two phases at least"),
    ('mix-temperature parts="80 g 25 C, 20 g 75 C 2 kJ/kg/K"', "not on the shelf"),
    ('mix-temperature parts="80 g aqua 4.2 kJ/kg/K, 20 g oil 75 C 2 kJ/kg/K"', "one mass and one temperature"),
    ('mix-temperature parts="80 g aqua 900 C 4.2 kJ/kg/K, 20 g oil 75 C 2 kJ/kg/K"', "look at the unit"),
    ('mix-temperature parts="80 g aqua 25 C 4.2 kJ/kg/K melts 63 C, 20 g oil 75 C 2 kJ/kg/K"', "how it melts"),
    ("cooling start=75C later=80C time=10min ambient=20C to=40C", "between the first and the surroundings"),
    ("cooling start=75C later=60C time=10min ambient=20C to=15C", "never gets to"),
    ("cooling start=75C later=60C time=10min ambient=20C to=20C", "never gets to"),
    ("cooling start=75C later=60C time=10min ambient=20C", "cooling needs to"),
    # packs and containers
    ('fill-check weights="30.1 x" nominal=30g', "Write grams with blanks between"),
    ('fill-check weights="30.1" nominal=2g', "5 g or mL to 10 kg or L"),
    ('fill-check weights="30.1" nominal=30mL', "fill-check needs density"),
    ('fill-check weights="30.1" nominal=30g tare=31g', "leaves nothing inside"),
    ('fill-check weights="30.1" nominal=30C', "a mass or a volume"),
    ('container shape="jar 51 mL"', 'Did you mean "jar 50 mL"'),
    ('container shape="jar 50 mL" fills=70mL', "does not go in"),
    ('container shape="jar 50 mL" daily=0.5g', "container needs density"),
    ('container shape="jar 50 mL" density=1g/mL use="shoe polish"', "No daily amount is known"),
    # the syringe
    ("density-by-syringe full=5g empty=6g volume=10mL", "heavier than the empty one"),
    ("density-by-syringe mass=9g", "either the volume at the mark or the mass of water"),
    ("density-by-syringe mass=9g full=10g volume=10mL", "not both"),
    ("density-by-syringe mass=9g volume=10mL to=25C", "needs expansion"),
    ("density-by-syringe mass=9g volume=10mL to=25C expansion=7%", "No liquid grows by that much"),
    ("density-by-syringe mass=9g water=9g temperature=105C", "from 0 to 100 °C"),
    ("density-by-syringe mass=9kg volume=10mL", "not one of the bench"),
)


@pytest.mark.parametrize(
    ("line", "words"), REFUSED, ids=[f"{line.split()[0]}-{i}" for i, (line, _) in enumerate(REFUSED)]
)
def test_it_is_refused_with_a_sentence(line: str, words: str) -> None:
    sentence = refusal_of(line)
    assert words in sentence
    assert "\n" not in sentence
