"""The end of a case: how the hole was closed, and the sums."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param(
        "Band on wrist, sheath out, no oozing.", ["closure done compression band", "remove done sheath"], id="a band"
    ),
    pytest.param(
        "Closing device of six French is put in the groin... it holds, dry.",
        ["closure done closure device | gauge 6 [Ch]"],
        id="closing device",
    ),
    pytest.param(
        """Wire is out. We close with a plug, seven French, please.
        The plug is on, and it's dry.""",
        ["remove done wire", "closure planned plug | gauge 7 [Ch]", "closure done plug | gauge 7 [Ch]"],
        id="a plug asked for, then on",
    ),
    pytest.param(
        "Eight French sheath's out. Sewing... the artery's closed, nice pulse.",
        ["remove done sheath | gauge 8 [Ch]", "closure done | gauge 8 [Ch]"],
        id="sewn",
    ),
    pytest.param(
        """Both groins open. Nine French out.
        Right artery is sutured... and left is sutured.""",
        ["remove done sheath | gauge 9 [Ch]", "closure done | gauge 9 [Ch]", "closure done | gauge 9 [Ch]"],
        id="each side sewn",
    ),
    pytest.param("The graft is sutured in, that's the vein it's sewn to.", [], id="sewn in closes no hole"),
    pytest.param("For the closure a clip, six French.", ["closure planned clip | gauge 6 [Ch]"], id="for the closure"),
    pytest.param("Clip the drape there.", [], id="a clip for something else"),
    pytest.param(
        "Sheath's out, I'm holding. Somebody take over... eleven minutes in all... dry.",
        ["remove done sheath", "closure done | duration 11 min"],
        id="a hand that holds",
    ),
    pytest.param(
        "Sheath's out, closure device is down, three minutes of pressure... and it's dry.",
        ["remove done sheath", "closure done closure device | duration 3 min"],
        id="a device, and three minutes",
    ),
    pytest.param(
        """Six French sheath is in.
        Sheath out, I'm pressing, ten minutes.
        Dry.""",
        [
            "insert done sheath | gauge 6 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
            "closure done | duration 10 min, gauge 6 [Ch]",
        ],
        id="by hand, of the hole the sheath left",
    ),
    pytest.param(
        "Contrast eighty mils. Screening nine minutes. DAP eighteen gray centimetres squared.",
        ["total done | contrast_volume 80 mL, dap 18 Gy.cm2, fluoro_time 9 min"],
        id="three sums are one total",
    ),
    pytest.param(
        "Fluoro time twelve point four minutes, air kerma two hundred and ten milligray.",
        ["total done | air_kerma 210 mGy, fluoro_time 12.4 min"],
        id="time and air kerma",
    ),
    pytest.param("Air kerma one point two gray.", ["total done | air_kerma 1200 mGy"], id="gray as milligray"),
    pytest.param("Total contrast eighty-five mils.", ["total done | contrast_volume 85 mL"], id="contrast alone"),
    pytest.param(
        "Closure device deployed.",
        ["closure done closure device"],
        id="device down",
    ),
    pytest.param(
        "Compression band is on.",
        ["closure done compression band"],
        id="band",
    ),
    pytest.param(
        "We'll use a closure device.",
        ["closure planned closure device"],
        id="planned",
    ),
    pytest.param(
        "Sheath's out, and pressing for ten minutes.",
        ["remove done sheath", "closure done | duration 10 min"],
        id="pressure ten",
    ),
    pytest.param(
        "Screening time was seven point five minutes. Total dose area product was twenty-one gray centimetre squared.",
        ["total done | dap 21 Gy.cm2, fluoro_time 7.5 min"],
        id="dictated totals",
    ),
    pytest.param(
        "Fluoro eleven minutes.",
        ["total done | fluoro_time 11 min"],
        id="bare fluoro",
    ),
    pytest.param(
        "Air kerma eighty-five milligray.",
        ["total done | air_kerma 85 mGy"],
        id="kerma in words",
    ),
    pytest.param(
        """Numbers please. Contrast sixty mils, screening five minutes,
        kerma ninety milligray, DAP ten gray centimetres squared.""",
        ["total done | air_kerma 90 mGy, contrast_volume 60 mL, dap 10 Gy.cm2, fluoro_time 5 min"],
        id="all of them",
    ),
    pytest.param(
        "One stitch, and it's dry.",
        ["closure done stitch"],
        id="stitch",
    ),
    pytest.param(
        "What's the fluoro time? Eight minutes.",
        ["total done | fluoro_time 8 min"],
        id="question",
    ),
    pytest.param(
        """Contrast in total seventy mils.
        Screening time six point two minutes.""",
        ["total done | contrast_volume 70 mL, fluoro_time 6.2 min"],
        id="over two lines",
    ),
    pytest.param(
        "Contrast? Seventy-one. Screening? Twelve point one. Dose? Two hundred and forty milligray.",
        ["total done | air_kerma 240 mGy, contrast_volume 71 mL, fluoro_time 12.1 min"],
        id="each asked for, the dose told by its unit",
    ),
    pytest.param(
        "Air kerma. Four hundred and twelve. DAP. Thirty-one.",
        ["total done | air_kerma 412 mGy, dap 31 Gy.cm2"],
        id="in sentences of their own",
    ),
    pytest.param(
        "Contrast one ten, doctor, that is for both sides. Screening, six point one.",
        ["total done | contrast_volume 110 mL, fluoro_time 6.1 min"],
        id="contrast first, sums after",
    ),
    pytest.param(
        "Total contrast eighty, sorry, ninety.", ["total done | contrast_volume 90 mL"], id="contrast put right"
    ),
    pytest.param(
        "She had sixty-two of contrast and nine minutes of fluoroscopy.",
        ["total done | contrast_volume 62 mL, fluoro_time 9 min"],
        id="figure before its name",
    ),
    pytest.param(
        "Eighty-five mils on the contrast, eight point two on the fluoro.",
        ["total done | contrast_volume 85 mL, fluoro_time 8.2 min"],
        id="figure on its name",
    ),
    pytest.param(
        """Contrast eighty mils, fluoro ten minutes.
        Addendum. Correction, contrast was ninety.""",
        ["total done | contrast_volume 90 mL, fluoro_time 10 min"],
        id="amended later",
    ),
    pytest.param(
        "Kerma three sixteen... sixty, three hundred and sixty.", ["total done | air_kerma 360 mGy"], id="trailing off"
    ),
    pytest.param(
        "Contrast one seventeen, was that seventeen or seventy? Seventeen. Fluoro four minutes.",
        ["total done | contrast_volume 117 mL, fluoro_time 4 min"],
        id="only the end said again",
    ),
    pytest.param("Contrast so far sixty mils.", [], id="a running sum"),
    pytest.param("He had radiotherapy, sixty gray to the neck.", [], id="radiotherapy"),
    pytest.param(
        "A six French closure device, please.",
        ["closure planned closure device | gauge 6 [Ch]"],
        id="asked for is planned",
    ),
    pytest.param(
        """Six French sheath is in.
        Sheath's out, my fingers are on it. Fifteen minutes, by the clock.""",
        [
            "insert done sheath | gauge 6 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
            "closure done | duration 15 min, gauge 6 [Ch]",
        ],
        id="a hand now, the minutes after",
    ),
    pytest.param(
        """Ten French sheath is in.
        Ten French is out of the neck, I held eight minutes. Flat in bed for two hours.""",
        [
            "insert done sheath | gauge 10 [Ch]",
            "remove done sheath | gauge 10 [Ch]",
            "closure done | duration 8 min, gauge 10 [Ch]",
        ],
        id="held, and bed rest is no pressing",
    ),
    pytest.param(
        """Eight French sheath is in. Six French sheath is in.
        Eight's out, plug closure device down. Six is out, and four minutes of pressure.""",
        [
            "insert done sheath | gauge 8 [Ch]",
            "insert done sheath | gauge 6 [Ch]",
            "remove done sheath | gauge 8 [Ch]",
            "closure done closure device | gauge 8 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
            "closure done | duration 4 min, gauge 6 [Ch]",
        ],
        id="two holes, each its own closure",
    ),
    pytest.param(
        """Nine French sheath is in.
        Purse-string round the sheath, sheath's out, tied. Hold for five minutes.""",
        [
            "insert done sheath | gauge 9 [Ch]",
            "closure done stitch | duration 5 min, gauge 9 [Ch]",
            "remove done sheath | gauge 9 [Ch]",
        ],
        id="the stitch before the sheath is out",
    ),
    pytest.param(
        """Seven French sheath is in.
        Six French out, eight French sheath in. Balloon's up, hold two minutes.""",
        ["insert done sheath | gauge 7 [Ch]", "remove done sheath | gauge 6 [Ch]", "insert done sheath | gauge 8 [Ch]"],
        id="exchanged: no hole to close",
    ),
    pytest.param(
        """Closure device? No, we're not using one.""",
        ["closure negated closure device"],
        id="asked about and refused",
    ),
    pytest.param(
        "Six French sheath is out. Ten minutes pressure.",
        [
            "remove done sheath | gauge 6 [Ch]",
            "closure done | duration 10 min, gauge 6 [Ch]",
        ],
        id="minutes of pressure, in three words",
    ),
]
test_the_end_of_a_case = tells(CASES)


def test_minutes_and_loose_seconds_are_one_time() -> None:
    lines = "Numbers. Screening nine minutes thirty, contrast ninety, eleven point two for the product."
    assert "total done | contrast_volume 90 mL, dap 11.2 Gy.cm2, fluoro_time 9.5 min" in told(lines)


@pytest.mark.parametrize(
    ("lines", "others"),
    [
        pytest.param("Screening fourteen minutes two.", [14.033333, 14.2], id="seconds or tenths"),
        pytest.param(
            "Screening time?\nFourteen minutes two.\nTwo seconds?\nNo, point two.", [14.033333, 14.2], id="argued about"
        ),
        pytest.param("Screening fourteen minutes, two stents.", [], id="another thing counted"),
        pytest.param("Fluoro fourteen minutes, twelve point five on the dap.", [], id="another sum"),
    ],
)
def test_a_loose_figure_behind_minutes_asks_for_a_look(lines: str, others: list[float]) -> None:
    (time,) = (event.values["fluoro_time"] for event in tell(lines))
    assert (time.value, [other.value for other in time.alternatives]) == (14, others)
    assert time.review is bool(others)


@pytest.mark.parametrize(
    ("later", "contrast", "asks"),
    [
        pytest.param("Contrast should read one forty mils, some was left out.", [140], True, id="put right"),
        pytest.param("Contrast ended up at one hundred and forty mils in total.", [110, 140], True, id="another sum"),
        pytest.param("Contrast, to repeat it, one hundred and ten mils.", [110], False, id="said again"),
    ],
)
def test_a_sum_told_twice(later: str, contrast: list[float], asks: bool) -> None:
    first = "Totals. Contrast one hundred and ten mils. Screening fourteen minutes, kerma nine hundred milligray."
    sums = [event.values["contrast_volume"] for event in tell(f"{first}\nAspirin from tomorrow.\n{later}") if
            "contrast_volume" in event.values]  # fmt: skip
    assert [value.value for value in sums] == contrast
    assert all(value.review is asks for value in sums)


def test_a_sum_asked_and_answered_asks_for_a_look() -> None:
    line = (
        "Total contrast, what have you got, forty-four? Forty-six, she says. And three point nine minutes of screening."
    )
    (total,) = [event for event in tell("Puncture, sheath is in.\n" + line) if event.kind == "total"]
    assert (total.values["contrast_volume"].value, total.values["contrast_volume"].review) == (46, True)


PRESSED = [
    pytest.param("How long did you press?\nTwelve minutes, dry.", ["closure done | duration 12 min"], id="asked"),
    pytest.param("We pressed on the chest for two minutes.", [], id="no hole"),
    pytest.param(
        "Closed with a seven French device and two minutes of compression.",
        ["closure done closure device | duration 2 min, gauge 7 [Ch]"],
        id="a device by its gauge",
    ),
    pytest.param("Compression, a quarter of an hour.", ["closure done | duration 15 min"], id="a quarter of an hour"),
    pytest.param(
        "Contrast one hundred twenty, with eighteen minutes of X-ray.",
        ["total done | contrast_volume 120 mL, fluoro_time 18 min"],
        id="minutes of x-ray",
    ),
]

test_pressing_told_alone = tells(PRESSED)


ASKED_IN_TURN = [
    pytest.param(
        "Contrast used?\nOne ten.\nAnd the time?\nSixteen minutes.",
        ["total done | contrast_volume 110 mL, fluoro_time 16 min"],
        id="the time of x-rays",
    ),
    pytest.param("And the time?\nSixteen minutes.", [], id="any other time"),
    pytest.param(
        "Device closure, eight French, plus three minutes of pressure.",
        ["closure done closure device | duration 3 min, gauge 8 [Ch]"],
        id="device closure",
    ),
]

test_sums_and_closures_asked_and_listed = tells(ASKED_IN_TURN)


BESIDE = [
    pytest.param(
        "Contrast eighty, time twelve minutes.",
        ["total done | contrast_volume 80 mL, fluoro_time 12 min"],
        id="time beside contrast",
    ),
    pytest.param(
        "Haemostasis with a six French closure device.", ["closure done | gauge 6 [Ch]"], id="what it was reached with"
    ),
]

test_sums_and_gauges_beside_others = tells(BESIDE)


@pytest.mark.parametrize(
    "line",
    [
        "Three minutes for the coffee.",
        "Next case in ten minutes.",
        "Next case in ten minutes, phone is on hold.",
        "Hold the lift, two minutes.",
        "He's twelve minutes late.",
    ],
)
def test_a_time_of_something_else_is_no_time_of_pressing(line: str) -> None:
    assert told(f"Sheath removed, pressing.\n{line}") == ["remove done sheath"]


@pytest.mark.parametrize(
    "line", ["Ten minutes.", "Ten minutes for the groin.", "Hold the groin ten minutes.", "Dry in ten minutes."]
)
def test_a_time_of_the_hole_is_one(line: str) -> None:
    assert told(f"Sheath removed, pressing.\n{line}") == ["remove done sheath", "closure done | duration 10 min"]


@pytest.mark.parametrize(
    ("said", "gauge", "marked"),
    [
        pytest.param("Plug in the groin. Six.", 6, True, id="its own"),
        pytest.param("Plug in the groin. Five.", 5, False, id="that of the sheath"),
        pytest.param("Plug in the groin. Six minutes on it.", 5, False, id="minutes"),
        pytest.param("Plug in the groin. Six?", 5, False, id="a question"),
    ],
)
def test_the_gauge_of_a_plug_right_behind_it(said: str, gauge: float, marked: bool) -> None:
    value = tell(f"Five French sheath in.\n{said}")[-1].values["gauge"]
    assert (value.value, value.review) == (gauge, marked)


PRESSED = [
    pytest.param("Sheath out, hold ten.",
                 ["remove done sheath | gauge 6 [Ch]", "closure done | duration 10 min, gauge 6 [Ch]"],
                 id="bare minutes"),
    pytest.param("That one's gone from the groin, compress nine minutes.",
                 ["closure done | duration 9 min, gauge 6 [Ch]"],
                 id="what came out has no name"),
    pytest.param("Press the button for two minutes.", [], id="a button"),
    pytest.param("Wire out, hold ten.", ["remove done wire"], id="no hole"),
    pytest.param("Sheath out, band on, two hours.",
                 ["remove done sheath | gauge 6 [Ch]",
                  "closure done compression band | duration 120 min, gauge 6 [Ch]"],
                 id="a band for hours"),
    pytest.param("The rubber band snapped.", [], id="a rubber band"),
    pytest.param("A black band on the screen.", [], id="a band on a screen"),
    pytest.param("She plays in a band on Fridays.", [], id="a band that plays"),
    pytest.param("Sheath's out, will hold ten.", ["remove done sheath | gauge 6 [Ch]"], id="to be held"),
    pytest.param("Usually band on for two hours.", [], id="a band as a rule"),
    pytest.param("Press pause, ten minutes.", [], id="pause"),
    pytest.param("I press my shirts, ten minutes each.", [], id="shirts"),
    pytest.param("Press conference in ten minutes.", [], id="a conference"),
    pytest.param("Let's press on, ten minutes left.", [], id="pressing on"),
    pytest.param("Press the arm, one minute, for the venogram.", [], id="for pictures"),
    pytest.param("Sheath's out, blood pressure twelve.", ["remove done sheath | gauge 6 [Ch]"], id="blood pressure"),
    pytest.param("Total iodine thirty grams.", [], id="weighed"),
    pytest.param("We use iodine three twenty.", [], id="how strong it is"),
]  # fmt: skip
IN = "insert done sheath | gauge 6 [Ch]"
test_how_long_a_hole_is_pressed = tells(PRESSED, before="Six French sheath is in.\n", first=[IN])
