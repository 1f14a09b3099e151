"""What a size with no noun before it is of: by its length, and by a balloon said right behind it."""

import pytest

from .telling import tells

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"

SIZES = [
    pytest.param("Eight by thirty-seven, please.", ["stent planned stent | diameter 8 mm, length 37 mm"],
                 id="no balloon is thirty-seven long"),
    pytest.param("Eight by forty, please.", ["inflation planned balloon | diameter 8 mm, length 40 mm"],
                 id="forty may be a balloon's"),
    pytest.param("Three by thirteen, please.", ["stent planned stent | diameter 3 mm, length 13 mm"],
                 id="thirteen is a stent's"),
    pytest.param("Three by twelve, please.", ["inflation planned balloon | diameter 3 mm, length 12 mm"],
                 id="twelve may be a short balloon's"),
    pytest.param("A six by eighteen was placed and expanded to ten.",
                 ["stent done stent | diameter 6 mm, length 18 mm, pressure 10 atm"], id="placed and expanded"),
    pytest.param("It was dilated with a five by eighteen.",
                 ["inflation done balloon | diameter 5 mm, length 18 mm"], id="unless it was dilated with it"),
    pytest.param("A coil, four by fourteen, please. Then a five by eighteen.",
                 ["embolise planned coil | diameter 4 mm, length 14 cm",
                  "embolise planned coil | diameter 5 mm, length 18 cm"], id="coils are so long in centimetres"),
    pytest.param("Eight by twenty, on a balloon, please.", ["stent planned stent | diameter 8 mm, length 20 mm"],
                 id="a stent comes on a balloon"),
    pytest.param("Five by eighteen balloon up to ten.",
                 ["inflation done balloon | diameter 5 mm, length 18 mm, pressure 10 atm"],
                 id="a balloon by name, whatever its length"),
    pytest.param("We won't use a stent, six by forty balloon inflated to ten.",
                 ["stent negated stent", "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm"],
                 id="right before a balloon, and not of the stent before it"),
    pytest.param("Stent, six by forty, please. And the balloon.",
                 ["stent planned stent | diameter 6 mm, length 40 mm"], id="behind the stent, nothing behind it"),
    pytest.param("So not the drug balloon; I place a self-expanding six by eighty there.",
                 ["inflation negated balloon", "stent done stent | diameter 6 mm, length 80 mm"],
                 id="what the size itself is called is no balloon"),
    pytest.param("I want two balloon-expandables, each eight by thirty.",
                 ["stent planned stent | count 2 {count}, diameter 8 mm, length 30 mm"], id="balloon-expandables"),
    pytest.param("We'll put a six by one hundred self-expander there.",
                 ["stent planned stent | diameter 6 mm, length 100 mm"], id="self-expander"),
    pytest.param("Ten by forty stent, maybe. Ten by forty balloon goes up to twelve.",
                 ["stent considered stent | diameter 10 mm, length 40 mm",
                  "inflation done balloon | diameter 10 mm, length 40 mm, pressure 12 atm"],
                 id="a balloon by name, where a stent of that size was thought of"),
]  # fmt: skip
test_what_a_size_is_of = tells(SIZES, before=SHEATH, first=[IN])
