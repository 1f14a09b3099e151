"""What is measured now: sizes, gradients, clotting times, pressures."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param(
        "The artery measures six point two millimetres.",
        ["measure done | diameter 6.2 mm"],
        id="vessel",
    ),
    pytest.param(
        "The lesion measures forty-five millimetres in length.",
        ["measure done | length 45 mm"],
        id="lesion length",
    ),
    pytest.param(
        "Gradient is two millimetres of mercury now.",
        ["measure done | gradient 2 mm[Hg]"],
        id="gradient zero",
    ),
    pytest.param(
        "ACT two hundred and ten.",
        ["measure done | act 210 s"],
        id="ACT without is",
    ),
    pytest.param(
        """ACT is one hundred and ninety.
        ACT is now two hundred and sixty.""",
        ["measure done | act 190 s", "measure done | act 260 s"],
        id="act twice",
    ),
    pytest.param(
        "It measures five, sorry, six millimetres.",
        ["measure done | diameter 6 mm"],
        id="corrected",
    ),
    pytest.param(
        "Portal pressure is eighteen millimetres of mercury.",
        ["measure done | pressure 18 mm[Hg]"],
        id="pressure",
    ),
    pytest.param(
        "A gradient of twenty-two millimetres of mercury was measured.",
        ["measure done | gradient 22 mm[Hg]"],
        id="dictated",
    ),
    pytest.param(
        "On the CT last week it measured five millimetres.",
        ["measure past | diameter 5 mm"],
        id="on the scan",
    ),
    pytest.param(
        "Callipers on it, four point five millimetres.",
        ["measure done | diameter 4.5 mm"],
        id="callipers",
    ),
    pytest.param(
        "As a rule the gradient should be under ten millimetres of mercury.",
        ["measure quoted | gradient 10 mm[Hg]"],
        id="a rule",
    ),
    pytest.param(
        "Common femoral measures eight millimetres, external iliac seven millimetres.",
        ["measure done | diameter 8 mm", "measure done | diameter 7 mm"],
        id="diameters of two vessels",
    ),
    pytest.param(
        "I make it a seventy percent stenosis.",
        ["finding done stenosis | stenosis 70 %"],
        id="stenosis",
    ),
    pytest.param("Reference diameter eleven point six.", ["measure done | diameter 11.6 mm"], id="name before figure"),
    pytest.param("The tibial vessel is two point seven.", ["measure done | diameter 2.7 mm"], id="no verb"),
    pytest.param("Eight point one, I measure.", ["measure done | diameter 8.1 mm"], id="verb after"),
    pytest.param("The tract length is six centimetres.", ["measure done | length 6 cm"], id="length by name"),
    pytest.param(
        "From the coeliac to the bifurcation it comes to ninety millimetres.",
        ["measure done | length 90 mm"],
        id="from and to",
    ),
    pytest.param(
        "The neck measures twenty millimetres wide and fifteen long.",
        ["measure done | diameter 20 mm, length 15 mm"],
        id="two sizes of one thing",
    ),
    pytest.param(
        "The graft measures, um, eight at the top end and six and a half at the bottom end.",
        ["measure done | diameter 8 mm", "measure done | diameter 6.5 mm"],
        id="both ends",
    ),
    pytest.param(
        """Right renal artery five millimetres.
        Left renal artery six millimetres.""",
        ["measure done | diameter 5 mm", "measure done | diameter 6 mm"],
        id="place and figure",
    ),
    pytest.param("The trunk measures six, six point three.", ["measure done | diameter 6.3 mm"], id="exact"),
    pytest.param(
        "Popliteal measures five point two, no, wrong edge, five point eight.",
        ["measure done | diameter 5.8 mm"],
        id="put right farther on",
    ),
    pytest.param("ACT? One eighty-one.", ["measure done | act 181 s"], id="ACT asked for"),
    pytest.param(
        """What is the ACT?
        It came back as two hundred and nineteen.""",
        ["measure done | act 219 s"],
        id="ACT answered in the next breath",
    ),
    pytest.param("Two hundred and ten is the ACT.", ["measure done | act 210 s"], id="ACT after the figure"),
    pytest.param(
        "ACT, one seventy, no, wrong patient, it's two sixty.",
        ["measure done | act 260 s"],
        id="ACT put right",
    ),
    pytest.param(
        "Gradient, left four, right nine.",
        ["measure done | gradient 4 mm[Hg]", "measure done | gradient 9 mm[Hg]"],
        id="gradient of two sides",
    ),
    pytest.param(
        "Pressures. Right gradient, fifteen. Open the tap. Right is five.",
        ["measure done | gradient 5 mm[Hg]"],
        id="gradient of one side told anew",
    ),
    pytest.param(
        "Pressure in the left ventricle, eighty-five.",
        ["measure done | pressure 85 mm[Hg]"],
        id="pressure in a chamber",
    ),
    pytest.param(
        "Pressures now. Atrium? Six. Wedged? Twenty. So the gradient is fourteen.",
        [
            "measure done | pressure 6 mm[Hg]",
            "measure done | pressure 20 mm[Hg]",
            "measure done | gradient 14 mm[Hg]",
        ],
        id="pressures asked for one by one",
    ),
    pytest.param(
        "Mean portal pressure was fourteen millimetres of mercury, down from thirty at the start.",
        ["measure done | pressure 14 mm[Hg]", "measure done | pressure 30 mm[Hg]"],
        id="after and before",
    ),
    pytest.param("Sheath pressure. Thirty-one, doctor.", ["measure done | pressure 31 mm[Hg]"], id="pressure label"),
    pytest.param("Blood pressure one twenty over seventy.", [], id="a vital sign"),
    pytest.param("Her creatinine is one point four.", [], id="a blood result"),
    pytest.param("His ankle index was nought point six.", [], id="an index"),
    pytest.param("She walks a distance of two hundred metres.", [], id="a walk"),
    pytest.param("Zero it. Not forty, please.", [], id="zero it"),
    pytest.param(
        "Particles are going. One... two... two and a half... stop.",
        ["embolise done particles | volume 2.5 mL"],
        id="millilitres counted",
    ),
]
test_measures = tells(CASES)


PUNCTURED = "Puncture, six French sheath is in.\n"
NAMED_OTHERWISE = [
    pytest.param("External, twelve comma four of diameter.", ["measure done | diameter 12.4 mm"], id="of diameter"),
    pytest.param("To cover, nine centimetres of length.", ["measure done | length 9 cm"], id="of length"),
    pytest.param("How long is that? Forty-one millimetres.", ["measure done | length 41 mm"], id="asked how long"),
    pytest.param("The iliac is seventeen on the ruler.", ["measure done | diameter 17 mm"], id="on the ruler"),
    pytest.param("Coagulation time? One ninety-eight.", ["measure done | act 198 s"], id="another name"),
    pytest.param("Peak to peak is fourteen.", ["measure done | gradient 14 mm[Hg]"], id="peak to peak"),
    pytest.param("Gradient, twenty over eight, so twelve.", ["measure done | gradient 12 mm[Hg]"], id="a difference"),
    pytest.param(
        "Ultrasound catheter is in. Pullback. The normal vein, thirteen point five. The pinch, three point two.",
        ["insert done ultrasound catheter", "measure done | diameter 13.5 mm", "measure done | diameter 3.2 mm"],
        id="looking from inside",
    ),
    pytest.param("It goes to the popliteal, three point five.", [], id="nothing that looks or measures"),
    pytest.param("How big's the cava here? Twenty-one, sir.", ["measure done | diameter 21 mm"], id="asked how big"),
    pytest.param("How big was he? Ninety kilos.", [], id="how big he is"),
    pytest.param("Pressure across the valve, eleven.", ["measure done | gradient 11 mm[Hg]"], id="pressure across"),
    pytest.param(
        "The probe, please... the abscess measures fifty-two millimetres.",
        ["measure done | diameter 52 mm"],
        id="what is asked for first is not measured",
    ),
    pytest.param("A limb, please, diameter sixteen.", [], id="a diameter of what is asked for"),
]


@pytest.mark.parametrize(("lines", "expected"), NAMED_OTHERWISE)
def test_measures_by_other_names(lines: str, expected: list[str]) -> None:
    other = ("done sheath", "planned")
    assert [line for line in told(PUNCTURED + lines) if not any(word in line for word in other)] == expected


@pytest.mark.parametrize(
    ("lines", "values"),
    [
        pytest.param("Zero the transducer. Catheter is up, IVC mean is five.", ["pressure 5 mm[Hg]"], id="mean"),
        pytest.param("Pull-back now. External iliac is nine, cava is six.", ["pressure 9 mm[Hg]", "pressure 6 mm[Hg]"],
                     id="pulled back"),
        pytest.param("Pulling back. Measuring. External iliac is nine.", [], id="sizes are measured"),
        pytest.param("External iliac is nine.", ["diameter 9 mm"], id="no pressure is taken"),
        pytest.param("Gradient next, and tell the two patients to wait.", [], id="patients"),
        pytest.param("I make that three coffees.", [], id="coffees"),
        pytest.param("I measure that at three.", ["diameter 3 mm"], id="no coffees"),
        pytest.param("The vein measured nine millimetres below the lesion and eleven millimetres above it.",
                     ["diameter 9 mm", "diameter 11 mm"], id="measured below and above"),
        pytest.param("The tip lies nine millimetres below the lesion.", [], id="how far below"),
        pytest.param("Measuring. To the bladder, twenty-two centimetres.", ["length 22 cm"], id="too long for a width"),
        pytest.param("The sac measures seven centimetres.", ["diameter 7 cm"], id="a wide thing"),
        pytest.param("It measures, wait, twenty... twenty-one millimetres.", ["diameter 21 mm"], id="said again"),
        pytest.param("The neck measures twenty-four... no, lower. Twenty-three.", ["diameter 23 mm"], id="anew"),
        pytest.param("The neck measures twenty-four. The iliac, twelve.", ["diameter 24 mm", "diameter 12 mm"],
                     id="of another vessel"),
        pytest.param("I'm making the loop, a wide one tears it.", [], id="one that is a thing"),
    ],
)  # fmt: skip
def test_what_is_measured(lines: str, values: list[str]) -> None:
    measured = [event for event in told(f"Wire is in.\n{lines}") if event.startswith("measure")]
    assert [event.split(" | ")[1] for event in measured] == values


#: (what is asked or called for and answered, its measures)
ASKED_FOR = [
    pytest.param("Neck diameter? Twenty-four point five. Read it again? Twenty-four point five.",
                 ["diameter 24.5 mm"], id="a diameter asked for"),
    pytest.param("Lowest renal to the right internal? One hundred and seventy-eight. Millimetres.",
                 ["length 178 mm"], id="from one place to another"),
    pytest.param("Measure, gate to the left internal. One hundred and four.", ["length 104 mm"], id="called for"),
    pytest.param("Landing to landing, thirty-one millimetres.", ["length 31 mm"], id="between two of a kind"),
    pytest.param("Renal to bifurcation, one hundred and ten millimetres.", ["length 110 mm"], id="between landmarks"),
    pytest.param("Distal reference? Three point one. Proximal? Three point four.",
                 ["diameter 3.1 mm", "diameter 3.4 mm"], id="and of another place"),
    pytest.param("Table to the left. Ten.", [], id="the table"),
    pytest.param("Neck diameter on the planning CT? Twenty-six.", [], id="another examination"),
    pytest.param("How many to the left? Three.", [], id="a number"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "values"), ASKED_FOR)
def test_a_size_asked_for_and_answered(line: str, values: list[str]) -> None:
    events = told("Puncture, sheath is in.\n" + line)
    assert [event for event in events if event.startswith("measure")] == [f"measure done | {one}" for one in values]


LOOKED_AT = "The IVUS catheter is up on the left, pulling back.\n"


@pytest.mark.parametrize(
    ("line", "sizes"),
    [
        ("Cava nineteen, common iliac four, external twelve, common femoral thirteen.", [19, 4, 12, 13]),
        ("Common iliac six.", [6]),
        ("Common femoral nine point five, external iliac eleven.", [9.5, 11]),
        ("Common iliac stent, twelve by sixty, please.", []),
        ("Common iliac two runs, please.", []),
    ],
    ids=["a row", "one", "a decimal", "a stent", "runs"],
)
def test_a_vessel_and_a_number_while_an_ultrasound_catheter_looks(line: str, sizes: list[float]) -> None:
    measured = [event.values["diameter"].value for event in tell(LOOKED_AT + line) if event.kind == "measure"]
    assert measured == sizes


def test_a_vessel_and_a_number_alone_are_no_size() -> None:
    assert [event for event in tell("Six French sheath is in.\nCommon iliac six.") if event.kind == "measure"] == []


LISTED = [
    pytest.param(
        "Let's measure. Common iliac fourteen, external thirteen.",
        ["measure done | diameter 14 mm", "measure done | diameter 13 mm"],
        id="a vessel and its size",
    ),
    pytest.param(
        "Sizes, please. Aorta twenty-one, common iliac twelve.",
        ["measure done | diameter 21 mm", "measure done | diameter 12 mm"],
        id="headed by a word for sizes",
    ),
    pytest.param("Pressures. Aorta one twenty.", ["measure done | pressure 120 mm[Hg]"], id="headed by pressures"),
    pytest.param("Common iliac fourteen, external thirteen.", [], id="nobody measures"),
    pytest.param("Diameter of the femoral artery, seven.", ["measure done | diameter 7 mm"], id="diameter of"),
    pytest.param(
        "Length of the lesion, measured with the ruler, sixty-five.", ["measure done | length 65 mm"], id="length of"
    ),
    pytest.param(
        "We measure. At the lesion two point one.", ["measure done | diameter 2.1 mm"], id="no lesion is so short"
    ),
    pytest.param(
        "Between the two renals I measure thirty-three millimetres.", ["measure done | length 33 mm"], id="between"
    ),
]

test_sizes_of_vessels_named = tells(LISTED)

ASKED_FOR = [
    pytest.param("How long is the neck?\nSeventeen.", ["measure done | length 17 mm"], id="how long"),
    pytest.param("How long was the neck pain?\nSeventeen years.", [], id="years"),
    pytest.param("What do you make the popliteal?\nFive and a half.", ["measure done | diameter 5.5 mm"], id="make"),
    pytest.param(
        "Gradient? Eighteen.\nAfter the balloon? Two.",
        ["measure done | gradient 18 mm[Hg]", "measure done | gradient 2 mm[Hg]"],
        id="asked anew",
    ),
    pytest.param("Gradient? Eighteen.\nAfter lunch? One.", ["measure done | gradient 18 mm[Hg]"], id="something else"),
]

test_sizes_and_gradients_asked_for = tells(ASKED_FOR)


SAID_OTHERWISE = [
    pytest.param("In diameter the vein gives ten and a half.", ["measure done | diameter 10.5 mm"], id="in diameter"),
    pytest.param("In diameter the vein gives a hundred times its width.", [], id="something counted"),
    pytest.param(
        "There is a distance of twenty-one millimetres from the ostium to the first branch.",
        ["measure done | length 21 mm"],
        id="a distance between two things",
    ),
    pytest.param("Keep a distance of twenty-one millimetres.", [], id="a distance to keep"),
    pytest.param(
        "Vessel on the ultrasound, five point five proximally and four point eight distally.",
        ["measure done | diameter 5.5 mm", "measure done | diameter 4.8 mm"],
        id="on the ultrasound",
    ),
]

test_sizes_in_other_words = tells(SAID_OTHERWISE)


ANY_ORDER = [
    pytest.param("On ultrasound the external iliac is seven.", ["measure done | diameter 7 mm"], id="on ultrasound"),
    pytest.param("Measure the external iliac.\nSeven.", ["measure done | diameter 7 mm"], id="called for"),
    pytest.param("Stent the external iliac.\nSeven.", [], id="something else called for"),
    pytest.param("A twelve millimetre gradient.", ["measure done | gradient 12 mm[Hg]"], id="the figure first"),
    pytest.param("Twelve millimetres beyond the gradient.", [], id="a place"),
]

test_measures_in_any_order = tells(ANY_ORDER)


VITALS_TOLD = [
    pytest.param("ACT?\nIt's running.\nHeart rate one ninety.", [], id="a heart rate while the clotting time runs"),
    pytest.param("ACT?\nIt's running.\nPressure one forty.", [], id="a blood pressure while it runs"),
    pytest.param("ACT please.\nSats ninety-nine.", [], id="a saturation while it runs"),
    pytest.param("ACT?\nIt's running.\nHe's one ninety now.", [], id="what somebody is"),
    pytest.param("ACT?\nBlood sugar one eighty.", [], id="a blood sugar"),
    pytest.param("ACT?\nOne ninety over eighty.", [], id="one over the other"),
    pytest.param("Heart rate ninety, ACT please.", [], id="a heart rate before it is asked for"),
    pytest.param("ACT is running, heart rate ninety.", [], id="a heart rate behind it"),
    pytest.param("ACT? In ninety seconds.", [], id="when it will be there"),
    pytest.param("How long for the ACT?\nOne hundred seconds.", [], id="how long it takes"),
    pytest.param("ACT?\nIt's running.\nTwo oh five.", ["measure done | act 205 s"], id="the clotting time itself"),
    pytest.param("ACT?\nIt's one ninety.", ["measure done | act 190 s"], id="the same in few words"),
    pytest.param("Pressure one twenty, ACT two forty.", ["measure done | act 240 s"], id="a pressure, then it"),
    pytest.param(
        "Systolic drops to eighty millimetres mercury, ephedrine six milligrams given.",
        ["drug done ephedrine | dose 6 mg"],
        id="a systolic that drops",
    ),
    pytest.param("His pressure drops to eighty millimetres of mercury.", [], id="his pressure drops"),
    pytest.param("Diastolic drops by twenty millimetres of mercury.", [], id="a diastolic that drops"),
    pytest.param("Pressure is lost, a drop of thirty millimetres of mercury.", [], id="a pressure of no place drops"),
    pytest.param(
        "Pressure drops to eighty millimetres of mercury in the external iliac.",
        ["measure done | pressure 80 mm[Hg]"],
        id="what is left is no gradient",
    ),
    pytest.param(
        "There's a drop of twenty millimetres of mercury across the lesion.",
        ["measure done | gradient 20 mm[Hg]"],
        id="what is lost is one",
    ),
    pytest.param(
        "Systolic gradient is forty millimetres of mercury.", ["measure done | gradient 40 mm[Hg]"], id="a systolic one"
    ),
    pytest.param("BP is one twenty millimetres of mercury.", [], id="a blood pressure with its unit"),
    pytest.param("Pressure in the iliac?\nHeart rate eighty.", [], id="a heart rate instead of a pressure"),
    pytest.param("We measured his temperature, thirty-seven point five.", [], id="a temperature"),
    pytest.param("What size is the popliteal?\nSats ninety-nine.", [], id="a saturation instead of a size"),
]

test_vitals_are_no_measures = tells(VITALS_TOLD)


ASKED_OF_WHAT = [
    pytest.param("What size gloves?\nSeven and a half.", [], id="gloves"),
    pytest.param("What size gown?\nEight.", [], id="a gown"),
    pytest.param("What size is the lead apron?\nFourteen.", [], id="an apron"),
    pytest.param("What size shoes do you wear?\nNine.", [], id="shoes"),
    pytest.param("What size is your house?\nTwenty.", [], id="a house"),
    pytest.param("How wide is the table?\nFifty.", [], id="a table"),
    pytest.param("What length is the drape?\nTwo hundred.", [], id="a drape"),
    pytest.param("How big is he?\nOne eighty.", [], id="a person"),
    pytest.param("The popliteal's clear. How big is she?\nOne sixty.", [], id="a person after a vessel"),
    pytest.param("How wide is the popliteal?\nHe's ninety.", [], id="a person in the answer"),
    pytest.param("Measure the patient's temperature.\nThirty-seven.", [], id="a temperature called for"),
    pytest.param("Wedge pillow please.\nTwo.", [], id="a wedge pillow"),
    pytest.param("Wedge cushion in.\nTwo.", [], id="a wedge cushion"),
    pytest.param("Numbers please.\nFour.", [], id="numbers of nothing"),
    pytest.param("The numbers, Petra.\nInternal carotid, five.", ["measure done | diameter 5 mm"], id="of a vessel"),
    pytest.param("What size is it?\nFive.", [], id="nothing told that it stands for"),
    pytest.param(
        "The popliteal's in view. What size is it?\nSix.", ["measure done | diameter 6 mm"], id="a vessel told before"
    ),
    pytest.param("What size is the popliteal?\nFive.", ["measure done | diameter 5 mm"], id="a vessel"),
    pytest.param("How big is the lesion?\nTwelve.", ["measure done | diameter 12 mm"], id="a lesion"),
    pytest.param("How wide's that, Maud?\nThree point eight.", ["measure done | diameter 3.8 mm"], id="asked by name"),
    pytest.param(
        "Wedge pressure?\nTwenty-four.\nFree?\nTen.",
        ["measure done | pressure 24 mm[Hg]", "measure done | pressure 10 mm[Hg]"],
        id="a wedge pressure",
    ),
    pytest.param("Zone is three.", [], id="a zone by its number"),
    pytest.param("Segment is three.", [], id="a segment by its number"),
    pytest.param("Landing is four.", [], id="a landing"),
    pytest.param(
        "Proximal landing zone, eleven point five.", ["measure done | diameter 11.5 mm"], id="a landing finely"
    ),
    pytest.param("Zone two measures twenty-eight.", ["measure done | diameter 28 mm"], id="a zone measured"),
    pytest.param("Zone two is twenty-eight millimetres.", ["measure done | diameter 28 mm"], id="a zone with its unit"),
]

test_asked_of_a_vessel_or_a_lesion = tells(ASKED_OF_WHAT)


NAMED_SHORTLY = [
    pytest.param("The segmental's two point four.", ["measure done | diameter 2.4 mm"], id="by one word"),
    pytest.param("Right gonadal, three millimetres.", ["measure done | diameter 3 mm"], id="with its unit"),
    pytest.param("Six millimetres, the ovarian.", ["measure done | diameter 6 mm"], id="named behind it"),
    pytest.param("The lower polar, two point four, one thirty.", [], id="a catheter for it"),
    pytest.param("Into the jejunal, forty-five centimetres.", [], id="how far in"),
    pytest.param("Cyst at two centimetres.", [], id="how deep it lies"),
    pytest.param("Artery is three down, two to go.", [], id="how many are done"),
    pytest.param("Feeder is two point five away.", [], id="how far away"),
    pytest.param("Third feeder, one mil, in.", [], id="what goes in it"),
    pytest.param("The stent reaches into the aorta two millimetres.", [], id="how far it reaches"),
    pytest.param("Two arteries on the left. Main one is four point eight.", ["measure done | diameter 4.8 mm"],
                 id="one of those named"),
    pytest.param("Two uterine arteries. The smaller, two millimetres, feeds it.", ["measure done | diameter 2 mm"],
                 id="by how it differs"),
    pytest.param("Main one is four point eight.", [], id="one of nothing named"),
    pytest.param("The vein's eleven up here and nine down below.",
                 ["measure done | diameter 11 mm", "measure done | diameter 9 mm"], id="in two places"),
    pytest.param("The cavity is fifty by thirty.", ["measure done | diameter 50 mm"], id="a cavity, no balloon"),
    pytest.param("Twelve by thirty, please.", ["inflation planned balloon | diameter 12 mm, length 30 mm"],
                 id="asked for"),
    pytest.param("Pleural effusion, forty-four millimetres.", ["measure done | length 44 mm"], id="how deep"),
    pytest.param("The collection's seven centimetres.", ["measure done | diameter 7 cm"], id="pus"),
    pytest.param("Distal reference two eight, proximal three four.",
                 ["measure done | diameter 2.8 mm", "measure done | diameter 3.4 mm"], id="digit by digit"),
]  # fmt: skip
test_what_is_named_by_one_word = tells(NAMED_SHORTLY)

SIDES = [
    pytest.param("Gradients now, right four, left zero.",
                 ["measure done | gradient 4 mm[Hg]", "measure done | gradient 0 mm[Hg]"], id="none left on one side"),
    pytest.param("Gradient on the right, five. And two on the left.",
                 ["measure done | gradient 5 mm[Hg]", "measure done | gradient 2 mm[Hg]"], id="the side behind"),
    pytest.param("Pull-back. Left, eleven. Right, three.",
                 ["measure done | gradient 11 mm[Hg]", "measure done | gradient 3 mm[Hg]"], id="pulled back"),
    pytest.param("Pull back. Left, please.", [], id="nothing told"),
    pytest.param("Pull back the wire. Left, eleven.", [], id="something is pulled"),
    pytest.param("Extravasation zero.", ["finding negated extravasation"], id="none there"),
]  # fmt: skip
test_gradients_of_both_sides = tells(SIDES)
