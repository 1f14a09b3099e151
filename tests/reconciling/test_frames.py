"""Talk that goes on for more than a sentence: other visits, options, lessons, other patients; and what is done."""

import pytest

from .telling import tells

# fmt: off
test_what_goes_on = tells([
    pytest.param("Three weeks ago they put a six by forty stent in.\nThey took it to twelve.",
                 ["stent past stent | diameter 6 mm, length 40 mm, pressure 12 atm"],
                 id="another visit"),
    pytest.param("Three weeks ago they put a six by forty stent in.\nSeven by forty balloon is across. Up to twelve.",
                 ["stent past stent | diameter 6 mm, length 40 mm",
                  "inflation done balloon | diameter 7 mm, length 40 mm, pressure 12 atm"],
                 id="another visit, then now"),
    pytest.param("What did they do last time?\nA seven by sixty balloon, up to ten.",
                 ["inflation past balloon | diameter 7 mm, length 60 mm, pressure 10 atm"],
                 id="asked what was done"),
    pytest.param("A seven by sixty balloon, up to ten.",
                 ["inflation done balloon | diameter 7 mm, length 60 mm, pressure 10 atm"],
                 id="the same words, asked by nobody"),
    pytest.param("So what would you use here?\nA seven by sixty balloon, up to ten.",
                 ["inflation considered balloon | diameter 7 mm, length 60 mm, pressure 10 atm"],
                 id="asked what one would do"),
    pytest.param("What would you like?\nA seven by sixty balloon.",
                 ["inflation planned balloon | diameter 7 mm, length 60 mm"],
                 id="asked what one wishes"),
    pytest.param("I'd take a seven by sixty and go to ten.",
                 ["inflation considered balloon | diameter 7 mm, length 60 mm, pressure 10 atm"],
                 id="what one would do"),
    pytest.param("Suppose you have a big iliac. You'd choose a nine by forty balloon, inflate it to eight.",
                 ["inflation quoted balloon | diameter 9 mm, length 40 mm, pressure 8 atm"],
                 id="a lesson"),
    pytest.param("In the old days we'd have put a ten millimetre stent in.",
                 ["stent quoted stent | diameter 10 mm"],
                 id="what everybody did once"),
    pytest.param("I had another patient with this.\nI put in a seven by sixty stent and it thrombosed.\n"
                 "Today, six by forty balloon, please.",
                 ["inflation planned balloon | diameter 6 mm, length 40 mm"],
                 id="another patient"),
    pytest.param("Morbidity meeting. A five by hundred balloon was inflated to fourteen and the vessel perforated.",
                 ["inflation past balloon | diameter 5 mm, length 100 mm, pressure 14 atm", "finding past perforation"],
                 id="a meeting"),
    pytest.param("A five by hundred balloon was inflated to fourteen and the vessel perforated.",
                 ["inflation done balloon | diameter 5 mm, length 100 mm, pressure 14 atm", "finding done perforation"],
                 id="and no meeting"),
    pytest.param("The rep says go to twelve with these.\nSix by forty balloon is across. We go to eight.",
                 ["inflation quoted | pressure 12 atm",
                  "inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 atm"],
                 id="what makers say, and what is done"),
    pytest.param("We are not going to inflate that again.", ["inflation negated"], id="who refuses to inflate"),
    pytest.param("The nurse gave fifty of fentanyl in the holding bay.", ["drug past fentanyl | dose 50 ug"],
                 id="given elsewhere"),
    pytest.param("The nurse gave fifty of fentanyl.", ["drug done fentanyl | dose 50 ug"], id="given here"),
])

test_ways_in = tells([
    pytest.param("I'd have gone radial.", ["access considered"], id="another way would have been"),
    pytest.param("Not from the left groin.\nWe will go from the right.", ["access negated", "access planned"],
                 id="refused, and where instead"),
    pytest.param("The plan is to puncture the left femoral.", ["access planned"], id="planned"),
    pytest.param("The wire won't go from the left.", [], id="a wire has none"),
])
# fmt: on
