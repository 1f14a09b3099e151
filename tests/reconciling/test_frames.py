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
    pytest.param("The shunt was ballooned in winter.\nWith what?\nSix by sixty, I believe.",
                 ["inflation past balloon | diameter 6 mm, length 60 mm"], id="asked for more of the same"),
    pytest.param("In winter they lined it with a stent.\nNine by eighty I read.",
                 ["stent past stent | diameter 9 mm, length 80 mm"], id="its size in the next breath"),
    pytest.param("Doctor Weiss had already used a six by forty balloon.",
                 ["inflation past balloon | diameter 6 mm, length 40 mm"], id="by a colleague"),
    pytest.param("I have already used a six by forty balloon.",
                 ["inflation planned balloon | diameter 6 mm, length 40 mm"], id="by who speaks"),
    pytest.param("If the plug fails, I press ten minutes.",
                 ["embolise considered plug", "closure considered | duration 10 min"], id="pressing, if need be"),
    pytest.param("They pressed for thirty minutes.", ["closure past | duration 30 min"], id="pressed by others"),
    pytest.param("At first I wanted to stent it, eight by sixty.\nLooking at it now, no, I won't.",
                 ["stent considered stent | diameter 8 mm, length 60 mm",
                  "stent negated stent | diameter 8 mm, length 60 mm"], id="thought of, then refused"),
    pytest.param("Six by forty balloon, please.\nWhat's it say for the six?\nSix point three at fourteen.",
                 ["inflation planned balloon | diameter 6 mm, length 40 mm",
                  "inflation quoted | diameter 6.3 mm, length 40 mm, pressure 14 atm"], id="asked what the chart says"),
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

# what is done in this case, beside talk of something else
test_of_this_case = tells(
    [
        pytest.param(
            "Another patient is waiting, six by forty balloon up to ten.\nDown.",
            ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm"],
            id="another waits",
        ),
        pytest.param(
            "Tell another patient to come, heparin five thousand is in.",
            ["drug done heparin | dose 5000 [iU]"],
            id="another is sent for",
        ),
        pytest.param(
            "The last patient had pain, heparin five thousand given.",
            ["drug done heparin | dose 5000 [iU]"],
            id="a report behind another patient",
        ),
        pytest.param(
            "The last patient had a bad groin.\nHeparin five thousand given.",
            ["drug done heparin | dose 5000 [iU]"],
            id="and in the next sentence",
        ),
        pytest.param("The last patient had a six by forty to fourteen.", [], id="of another"),
        pytest.param("With another patient we used a six by forty balloon at ten.", [], id="with another"),
        pytest.param(
            "First case is a fistula.\nSix French sheath in.",
            ["insert done sheath | gauge 6 [Ch]"],
            id="the first of the day",
        ),
        pytest.param(
            "The pressure had dropped, we gave ephedrine ten milligrams.",
            ["drug done ephedrine | dose 10 mg"],
            id="a pressure had dropped",
        ),
        pytest.param(
            "The vessel had closed, six by forty balloon inflated to ten.",
            ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm"],
            id="a vessel had closed",
        ),
        pytest.param(
            "He had been stented before with a six by forty.",
            ["stent past stent | diameter 6 mm, length 40 mm"],
            id="he had been stented",
        ),
        pytest.param(
            "My boss had put a six by forty stent.",
            ["stent past stent | diameter 6 mm, length 40 mm"],
            id="anybody had put",
        ),
        pytest.param(
            "Weiss had already deployed a six by forty stent.",
            ["stent past stent | diameter 6 mm, length 40 mm"],
            id="a bare name had",
        ),
        pytest.param(
            "She was ballooned in Leeds, we placed a six by sixty stent.",
            ["stent done stent | diameter 6 mm, length 60 mm"],
            id="elsewhere, then we",
        ),
        pytest.param(
            "They had put a stent in, six by forty, inflated to ten.",
            ["stent past stent | diameter 6 mm, length 40 mm, pressure 10 atm"],
            id="its size behind a comma",
        ),
        pytest.param(
            "We placed the seven by forty stent in Zone two.",
            ["stent done stent | diameter 7 mm, length 40 mm"],
            id="a zone is no town",
        ),
        pytest.param(
            "A six by forty stent was placed in Leeds.", ["stent past stent | diameter 6 mm, length 40 mm"], id="a town"
        ),
        pytest.param(
            "My colleague placed a six French sheath in the left groin.",
            ["insert done sheath | gauge 6 [Ch]"],
            id="a colleague at the table",
        ),
        pytest.param(
            "My colleague placed a six French sheath on the ward.",
            ["insert past sheath | gauge 6 [Ch]"],
            id="a colleague on the ward",
        ),
        pytest.param(
            "The team gave five thousand of heparin at ten past nine.",
            ["drug done heparin | dose 5000 [iU]"],
            id="the team",
        ),
        pytest.param(
            "The team placed a six by forty stent three years ago.",
            ["stent past stent | diameter 6 mm, length 40 mm"],
            id="the team, years ago",
        ),
        pytest.param(
            "Dr Lang deployed the seven by forty stent at ten atmospheres.",
            ["stent done stent | diameter 7 mm, length 40 mm, pressure 10 atm"],
            id="a name",
        ),
        pytest.param(
            "Dr Lang had placed a six by sixty stent.",
            ["stent past stent | diameter 6 mm, length 60 mm"],
            id="a name that had",
        ),
        pytest.param(
            "After the previous dilatation, seven by forty balloon inflated to twelve.",
            ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 12 atm"],
            id="one dilatation before",
        ),
        pytest.param(
            "Previous stent, six by forty.", ["stent past stent | diameter 6 mm, length 40 mm"], id="a previous stent"
        ),
        pytest.param(
            "First angiogram, fifteen mils at five.", ["run done | rate 5 mL/s, volume 15 mL"], id="the first run"
        ),
        pytest.param(
            "Before I started, local ten mils lidocaine given.",
            ["drug done lidocaine | dose 10 mL"],
            id="before the start",
        ),
        pytest.param(
            "First duplex shows flow, then heparin five thousand given.",
            ["drug done heparin | dose 5000 [iU]"],
            id="a duplex now",
        ),
        pytest.param(
            "There is no point in waiting, heparin five thousand is in.",
            ["drug done heparin | dose 5000 [iU]"],
            id="no point in waiting",
        ),
        pytest.param(
            "He won't tolerate much more, midazolam two milligrams given.",
            ["drug done midazolam | dose 2 mg"],
            id="what he won't tolerate",
        ),
        pytest.param(
            "We skip the predilatation, seven by forty stent deployed.",
            ["stent done stent | diameter 7 mm, length 40 mm"],
            id="a step is skipped",
        ),
        pytest.param(
            "We skip heparin, protamine, and fentanyl.",
            ["drug negated heparin", "drug negated protamine", "drug negated fentanyl"],
            id="a row is skipped",
        ),
        pytest.param("It is late, and no protamine was given.", ["drug negated protamine"], id="none was given"),
        pytest.param(
            "Normally it's tighter, six by forty balloon inflated to twelve.",
            ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"],
            id="how it normally is",
        ),
        pytest.param(
            "Depending on the angle, six by forty balloon inflated to twelve.",
            ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"],
            id="depending, and done",
        ),
        pytest.param(
            "Depending on the angle, a six by forty balloon.",
            ["inflation considered balloon | diameter 6 mm, length 40 mm"],
            id="depending",
        ),
        pytest.param(
            "If it recoils, seven by forty stent deployed at ten.",
            ["stent considered stent | diameter 7 mm, length 40 mm, pressure 10 atm"],
            id="if it recoils",
        ),
        pytest.param(
            "What about heparin?\nFive thousand given.", ["drug done heparin | dose 5000 [iU]"], id="asked, and given"
        ),
        pytest.param(
            "What about heparin?\nFive thousand to be given.",
            ["drug considered heparin | dose 5000 [iU]"],
            id="asked, and not yet given",
        ),
    ]
)
