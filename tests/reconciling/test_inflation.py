"""Balloons: what is said over one line or several -> the inflations of the case."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param(
        "Five by forty balloon, please.", ["inflation planned balloon | diameter 5 mm, length 40 mm"], id="asked for"
    ),
    pytest.param(
        "The six by eighty balloon's across. Going up, six, eight, ten... twelve atmospheres.",
        ["inflation done balloon | diameter 6 mm, length 80 mm, pressure 12 atm"],
        id="counted up to its peak",
    ),
    pytest.param(
        """Five by forty balloon, please.
        Balloon's across. Inflating to ten atmospheres.
        Hold for one minute.
        And down.""",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
            "inflation done balloon | diameter 5 mm, duration 1 min, length 40 mm, pressure 10 atm",
        ],
        id="asked for, then told over three lines",
    ),
    pytest.param(
        "Five by forty balloon is across. Six. Eight. Fourteen is what I want. … Twelve, it won't take more. Down.",
        ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 12 atm"],
        id="aimed at, and how far it went",
    ),
    pytest.param(
        "Five by forty balloon is across. I wanted fourteen. Eight, ten, twelve, fourteen. Down.",
        ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 14 atm"],
        id="aimed at, and reached in steps",
    ),
    pytest.param(
        "Five by forty balloon. Four, six, seven. Hold for ten. … Ten. … Down.",
        ["inflation done balloon | diameter 5 mm, duration 10 s, length 40 mm, pressure 7 atm"],
        id="held for ten, said back",
    ),
    pytest.param(
        "Five by forty balloon to seven atmospheres. Leave it one minute, no, ninety seconds. Down.",
        ["inflation done balloon | diameter 5 mm, duration 90 s, length 40 mm, pressure 7 atm"],
        id="a time put right in another unit",
    ),
    pytest.param(
        """Six by sixty balloon is across. Going up. Four, six, eight, ten.
        Holding at ten for two minutes.
        Deflate.""",
        ["inflation done balloon | diameter 6 mm, duration 2 min, length 60 mm, pressure 10 atm"],
        id="bare numbers while it goes up are atmospheres",
    ),
    pytest.param(
        """Six by sixty balloon is across. Up to eight.
        Down.
        Up again to twelve bar.
        Down. And up to ten.
        Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 8 bar",
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 12 bar",
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 10 bar",
        ],
        id="bare pressures are in the unit the speaker says",
    ),
    pytest.param(
        """Six by sixty balloon is across. Up to eight atmospheres.
        Down.
        Up again to twelve atmospheres.
        Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 8 atm",
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 12 atm",
        ],
        id="down and up again is a second one of the same size",
    ),
    pytest.param(
        """The seven by forty balloon is up to fourteen atmospheres.
        And down.
        Same balloon, again, up to sixteen.
        Down.""",
        [
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 14 atm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 16 atm",
        ],
        id="same balloon again",
    ),
    pytest.param(
        """Five by forty balloon's across. Up to ten. Down.
        Same balloon, same pressure, further down. Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        ],
        id="same balloon and same pressure",
    ),
    pytest.param(
        """The five by forty balloon's across. Inflating to ten atmospheres.
        Deflate. Balloon out.
        The six by forty balloon's across. Inflating to twelve atmospheres.
        Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm",
        ],
        id="two balloons, one after the other",
    ),
    pytest.param(
        "Seven by forty balloon is across. Up to fourteen, sorry, sixteen atmospheres, and down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 16 atm"],
        id="a slip put right at once",
    ),
    pytest.param(
        "Seven by forty balloon, going up to fifteen, one five, atmospheres.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 15 atm"],
        id="the figure again, digit by digit",
    ),
    pytest.param(
        "Six by forty across. Up to nine. Nine atmospheres, yes nine. And down.",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 9 atm"],
        id="a figure repeated adds nothing",
    ),
    pytest.param(
        "The five by forty balloon's across. Up to ten atmospheres, thirty seconds, and down.",
        ["inflation done balloon | diameter 5 mm, duration 30 s, length 40 mm, pressure 10 atm"],
        id="a hold in seconds",
    ),
    pytest.param(
        "Five by one hundred drug coated balloon, up to eight atmospheres for three minutes.",
        ["inflation done balloon | diameter 5 mm, duration 3 min, length 100 mm, pressure 8 atm"],
        id="a hold in minutes",
    ),
    pytest.param(
        "The eight by forty balloon goes up to three hundred psi.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 300 [psi]"],
        id="psi stay psi",
    ),
    pytest.param(
        "The eight by forty balloon goes up to twelve bar.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 12 bar"],
        id="bar stay bar",
    ),
    pytest.param(
        "6x80 balloon, up to 14 atm, 60 s, down.",
        ["inflation done balloon | diameter 6 mm, duration 60 s, length 80 mm, pressure 14 atm"],
        id="as a recogniser writes it",
    ),
    pytest.param(
        "Inflate to twelve atmospheres.", ["inflation done balloon | pressure 12 atm"], id="of no balloon anybody named"
    ),
    pytest.param(
        "The label gives eight point one at twenty atmospheres.",
        ["inflation quoted | diameter 8.1 mm, pressure 20 atm"],
        id="a label",
    ),
    pytest.param(
        "The chart gives seven point two at eighteen.",
        ["inflation quoted | diameter 7.2 mm, pressure 18 atm"],
        id="a chart",
    ),
    pytest.param("Rated burst is sixteen atmospheres.", ["inflation quoted | pressure 16 atm"], id="a rated pressure"),
    pytest.param(
        "Three years ago he had a five by sixty balloon.",
        ["inflation past balloon | diameter 5 mm, length 60 mm"],
        id="years ago",
    ),
    pytest.param(
        "We might come back with a drug coated balloon, five by one hundred.",
        ["inflation considered balloon | diameter 5 mm, length 100 mm"],
        id="might",
    ),
    pytest.param("We are not going to balloon that.", ["inflation negated balloon"], id="not going to"),
    pytest.param(
        "Six by forty balloon's across. Up to eight atmospheres, hold it... and on up to twelve. Down.",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"],
        id="two pressures, topped up",
    ),
    pytest.param(
        "Seven by forty balloon's across. Up to twelve, sorry, fourteen atmospheres. Down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 14 atm"],
        id="corrected",
    ),
    pytest.param(
        "Five by forty, no, five by sixty balloon, please.",
        ["inflation planned balloon | diameter 5 mm, length 60 mm"],
        id="size corrected",
    ),
    pytest.param(
        """Six by sixty balloon's across. Up to ten atmospheres. Down.
        Same again to twelve. Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 12 atm",
        ],
        id="same again higher",
    ),
    pytest.param(
        "Six by sixty balloon's across. Ten atmospheres. Hold it for a minute and a half. Down.",
        ["inflation done balloon | diameter 6 mm, duration 1.5 min, length 60 mm, pressure 10 atm"],
        id="hold in words",
    ),
    pytest.param(
        "The lesion was dilated with a four by eighty balloon to eight atmospheres for two minutes.",
        ["inflation done balloon | diameter 4 mm, duration 2 min, length 80 mm, pressure 8 atm"],
        id="dictated",
    ),
    pytest.param(
        "No balloon today.",
        ["inflation negated balloon"],
        id="no balloon",
    ),
    pytest.param(
        "High pressure balloon, eight by forty, is in. Twenty... twenty-four atmospheres. Down.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 24 atm"],
        id="high pressure balloon",
    ),
    pytest.param(
        "We could always balloon it again in six months.",
        ["inflation considered balloon"],
        id="could come back",
    ),
    pytest.param(
        "Five by forty balloon's across. Two, four, six, stop there. Hold. Down.",
        ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 6 atm"],
        id="counting to nominal, stopped",
    ),
    pytest.param(
        """Six by sixty balloon's across. Up to ten atmospheres. Thirty seconds. Down.
        Up again to ten atmospheres. Ninety seconds. Down.""",
        [
            "inflation done balloon | diameter 6 mm, duration 30 s, length 60 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 90 s, length 60 mm, pressure 10 atm",
        ],
        id="interrupted",
    ),
    pytest.param(
        """Give me the six by sixty balloon.
        No, we don't need that balloon.""",
        [
            "inflation planned balloon | diameter 6 mm, length 60 mm",
            "inflation negated balloon | diameter 6 mm, length 60 mm",
        ],
        id="retracted",
    ),
    pytest.param(
        """Seven by twenty balloon is across. Up to eighteen atmospheres. Waist is still there.
        Up to twenty-two. It's gone. Down.""",
        ["inflation done balloon | diameter 7 mm, length 20 mm, pressure 22 atm", "finding done waist"],
        id="fails to give",
    ),
    pytest.param(
        "Six by sixty balloon's across. Up we go. What are we at? Ten atmospheres. Down.",
        ["inflation done balloon | diameter 6 mm, length 60 mm, pressure 10 atm"],
        id="asked, answered",
    ),
    pytest.param(
        "Six by sixty balloon's across. Up to fourteen atmospheres. Balloon's burst.",
        ["inflation done balloon | diameter 6 mm, length 60 mm, pressure 14 atm"],
        id="burst",
    ),
    pytest.param(
        "The six by sixty balloon goes up to one thousand kilopascals.",
        ["inflation done balloon | diameter 6 mm, length 60 mm, pressure 1000 kPa"],
        id="kilopascal",
    ),
    pytest.param(
        """Seven by forty balloon, please.
        Going up, twelve... sixteen... twenty-six atmospheres, and pop, the waist is gone. And down.""",
        [
            "inflation planned balloon | diameter 7 mm, length 40 mm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 26 atm",
        ],
        id="what is gone is the waist",
    ),
    pytest.param(
        "Never go above twenty atmospheres with that one.", ["inflation quoted | pressure 20 atm"], id="a limit"
    ),
    pytest.param(
        """The five by sixty balloon is across. Going up, four, seven, nine.
        Hold it there, and count for me.
        Eighteen, nineteen, twenty. Down.""",
        [
            "inflation done balloon | diameter 5 mm, duration 20 s, length 60 mm, pressure 9 atm",
        ],
        id="counted to its peak, then seconds counted aloud",
    ),
    pytest.param(
        """Six by forty balloon is across. Inflating to eight.
        Ten, twenty, thirty, and down.""",
        [
            "inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 8 atm",
        ],
        id="seconds counted in tens are no pressures",
    ),
    pytest.param(
        "Six by forty balloon is across. Inflating to twelve. Twenty-eight, twenty-nine, thirty seconds. Deflate.",
        [
            "inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 12 atm",
        ],
        id="the count ends in its unit",
    ),
    pytest.param(
        """Five by sixty balloon is across. Four atmospheres. Ten pulses now.
        Five, ten, fifteen, twenty, twenty-five, thirty pulses done.
        Now six, twenty seconds, and down.""",
        [
            "inflation done balloon | diameter 5 mm, duration 20 s, length 60 mm, pressure 6 atm",
        ],
        id="pulses are counted, and are no seconds",
    ),
    pytest.param(
        """Seven by forty balloon is across. Up.
        Thirty, sixty, ninety, what scale is that?
        Twelve atmospheres. Down.""",
        [
            "inflation planned balloon | diameter 7 mm, length 40 mm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 12 atm",
        ],
        id="numbers that pass what a gauge in atmospheres shows are none",
    ),
    pytest.param(
        """Five by one hundred balloon is across. Up to eight.
        One minute.
        Two minutes.
        Three minutes, and down.""",
        [
            "inflation done balloon | diameter 5 mm, duration 3 min, length 100 mm, pressure 8 atm",
        ],
        id="time called out as it passes",
    ),
    pytest.param(
        """Ten by forty balloon is across. Up to sixteen atmospheres. Two minutes, please.
        She has pain, down, down. How long was that? Forty seconds.""",
        [
            "inflation done balloon | diameter 10 mm, duration 40 s, length 40 mm, pressure 16 atm",
        ],
        id="the hold is over before its time",
    ),
    pytest.param(
        """Six by forty balloon is across. Up to ten, for one minute.
        That's two minutes, so down.""",
        [
            "inflation done balloon | diameter 6 mm, duration 2 min, length 40 mm, pressure 10 atm",
        ],
        id="a longer hold than ordered",
    ),
    pytest.param(
        """Five by eighty balloon is across. Up to seven. One minute.
        It is sagging, top it up, eight... nine.
        Down.""",
        [
            "inflation done balloon | diameter 5 mm, duration 1 min, length 80 mm, pressure 9 atm",
        ],
        id="topped up without coming down",
    ),
    pytest.param(
        """Twelve by forty balloon is across. Going up, six, ten, twelve, it is holding its own.
        Fourteen, and that's the last of it. Down.""",
        [
            "inflation done balloon | diameter 12 mm, length 40 mm, pressure 14 atm",
        ],
        id="higher in the next breath while it is held",
    ),
    pytest.param(
        "Six by forty balloon is across. Up to eight. Don't come down yet, up to ten. And down.",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
        ],
        id="don't come down yet",
    ),
    pytest.param(
        """Five by forty balloon's across. Up to ten. Down.
        Same again. Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        ],
        id="same again, and down",
    ),
    pytest.param(
        """Five by forty balloon's across. Up to ten. Down.
        Seven by sixty, same pressure. Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 7 mm, length 60 mm, pressure 10 atm",
        ],
        id="another balloon, same pressure",
    ),
    pytest.param(
        """The lesion was dilated with a five by sixty balloon to nine atmospheres for ninety seconds.
        The upper part was then dilated with a five by eighty balloon to the same pressure for the same time.
        The result was good.""",
        [
            "inflation done balloon | diameter 5 mm, duration 90 s, length 60 mm, pressure 9 atm",
            "inflation done balloon | diameter 5 mm, duration 90 s, length 80 mm, pressure 9 atm",
        ],
        id="dictated: to the same pressure for the same time",
    ),
    pytest.param(
        """The segment was dilated with a four by eighty balloon at eight atmospheres for sixty seconds,
        and a second time at eleven atmospheres for thirty seconds.
        The balloon was removed.
        The result was good.""",
        [
            "inflation done balloon | diameter 4 mm, duration 60 s, length 80 mm, pressure 8 atm",
            "inflation done balloon | diameter 4 mm, duration 30 s, length 80 mm, pressure 11 atm",
        ],
        id="dictated: a second and a third time",
    ),
    pytest.param(
        "Nine by twenty balloon is in place. Balloon up... it is kissing the wall, and down.",
        [
            "inflation done balloon | diameter 9 mm, length 20 mm",
        ],
        id="up and down, no pressure told",
    ),
    pytest.param(
        "The twelve millimetre occlusion balloon is in the cava. Balloon up, two millilitres. Two minutes. Down.",
        [
            "inflation done balloon | diameter 12 mm, duration 2 min",
        ],
        id="occlusion balloon, filled by volume",
    ),
    pytest.param(
        """Nine by twenty balloon for the left, eight by twenty balloon for the right, please.
        Left one up, three... and down. Right one up, four... and down.""",
        [
            "inflation planned balloon | diameter 9 mm, length 20 mm",
            "inflation planned balloon | diameter 8 mm, length 20 mm",
            "inflation done balloon | diameter 9 mm, length 20 mm, pressure 3 atm",
            "inflation done balloon | diameter 8 mm, length 20 mm, pressure 4 atm",
        ],
        id="two by their sides, one after the other",
    ),
    pytest.param(
        """Nine by forty balloon for the left, eight by forty balloon for the right, please.
        Both up together. Left nine, right eight. Thirty seconds. Both down.""",
        [
            "inflation planned balloon | diameter 9 mm, length 40 mm",
            "inflation planned balloon | diameter 8 mm, length 40 mm",
            "inflation done balloon | diameter 8 mm, duration 30 s, length 40 mm, pressure 8 atm",
            "inflation done balloon | diameter 9 mm, duration 30 s, length 40 mm, pressure 9 atm",
        ],
        id="two together, each to its pressure",
    ),
    pytest.param(
        """Eight by forty balloon for the left, seven by forty balloon for the right, please.
        Both up to six. Now take the left one on to eight. Both down.""",
        [
            "inflation planned balloon | diameter 8 mm, length 40 mm",
            "inflation planned balloon | diameter 7 mm, length 40 mm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 6 atm",
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 8 atm",
        ],
        id="one of two goes higher on its own",
    ),
    pytest.param(
        """Five by one hundred balloon for the upper part, five by eighty balloon for the lower part, please.
        Upper one, eight atmospheres, three minutes. Down.
        Lower one, nine atmospheres, three minutes. Down.""",
        [
            "inflation planned balloon | diameter 5 mm, length 100 mm",
            "inflation planned balloon | diameter 5 mm, length 80 mm",
            "inflation done balloon | diameter 5 mm, duration 3 min, length 100 mm, pressure 8 atm",
            "inflation done balloon | diameter 5 mm, duration 3 min, length 80 mm, pressure 9 atm",
        ],
        id="the one for the upper part first",
    ),
    pytest.param(
        "Six by forty balloon is across. Up, four bar, six, eight. Down.",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 bar",
        ],
        id="bar go on in bar",
    ),
    pytest.param(
        "Twelve by forty balloon is across. Up we go, sixty psi, ninety, a hundred and twenty. Down.",
        [
            "inflation done balloon | diameter 12 mm, length 40 mm, pressure 120 [psi]",
        ],
        id="psi go on in psi",
    ),
    pytest.param(
        "Eight by forty balloon is across. One hundred and fifty psi, down. Up again to fourteen. Down.",
        [
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 150 [psi]",
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 14 atm",
        ],
        id="psi, then atmospheres again",
    ),
    pytest.param(
        """Six by sixty balloon's across. Up to ten atmospheres. Down.
        Pulled it back and went to twelve, for thirty seconds. Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 30 s, length 60 mm, pressure 12 atm",
        ],
        id="a figure, and how long",
    ),
    pytest.param(
        """Moulding balloon next, the thirty-two millimetre.
        Up, ten seconds, and down.""",
        [
            "inflation planned balloon | diameter 32 mm",
            "inflation done balloon | diameter 32 mm, duration 10 s",
        ],
        id="its size comes after its name",
    ),
    pytest.param(
        """Seven by forty balloon is across. Up to two atmospheres, and while it was up
        three hundred units of thrombin over ten seconds.
        Down.""",
        [
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 2 atm",
            "drug planned thrombin | dose 300 [iU]",
        ],
        id="a drug over some seconds is no hold",
    ),
    pytest.param(
        "Five by eighty balloon. Thirty seconds from sheath to lesion. Across, up to eight. Two minutes. Down.",
        [
            "inflation done balloon | diameter 5 mm, duration 2 min, length 80 mm, pressure 8 atm",
        ],
        id="how long to the lesion is no hold",
    ),
    pytest.param(
        """Six by forty balloon is across. Up to ten. Down.
        He stays in bed nine, his three children were here, and he is up at six tomorrow.""",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
        ],
        id="another count is no pressure",
    ),
    pytest.param(
        "Five by forty balloon's across. Up to ten. Down. Same balloon, a bit further down, now twelve. Down.",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 12 atm",
        ],
        id="further down is no coming down",
    ),
    pytest.param(
        """A five by forty balloon, please.
        I don't think it is holding anything up. They crush down here.""",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
        ],
        id="anything up is no balloon",
    ),
    pytest.param(
        """Six by forty balloon is across. Up to ten. Down.
        The tract was dilated with twelve, then with fourteen French.""",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "insert done dilator | gauge 12 [Ch]",
            "insert done dilator | gauge 14 [Ch]",
        ],
        id="a dilator is no balloon",
    ),
    pytest.param(
        "Six by forty balloon, please. What is the rated burst of this one? The label says sixteen.",
        [
            "inflation planned balloon | diameter 6 mm, length 40 mm",
            "inflation quoted | diameter 6 mm, length 40 mm, pressure 16 atm",
        ],
        id="rated, asked and answered",
    ),
    pytest.param(
        "Five by forty balloon, please. The chart: eight gives you five flat, twelve gives five point two.",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
            "inflation quoted | diameter 5 mm, length 40 mm, pressure 8 atm",
            "inflation quoted | diameter 5.2 mm, length 40 mm, pressure 12 atm",
        ],
        id="a chart the other way round",
    ),
    pytest.param(
        "Six by twenty balloon, please. In the chart six atmospheres is five point eight millimetres.",
        [
            "inflation planned balloon | diameter 6 mm, length 20 mm",
            "inflation quoted | diameter 5.8 mm, length 20 mm, pressure 6 atm",
        ],
        id="a chart in words with units",
    ),
    pytest.param(
        "Eight by forty balloon is across. Dilated to eight millimetres at ten atmospheres. Down.",
        [
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 10 atm",
        ],
        id="done to a size at a pressure",
    ),
    pytest.param(
        """Nine by twenty balloon is across. Inflate. Ten, twelve, fourteen, and the balloon's burst.
        Another one of those. Across. Up to twelve. Thirty seconds. Down.""",
        [
            "inflation done balloon | diameter 9 mm, length 20 mm, pressure 14 atm",
            "inflation done balloon | diameter 9 mm, duration 30 s, length 20 mm, pressure 12 atm",
        ],
        id="burst, then another one",
    ),
    pytest.param(
        "Four by eight balloon is across. Up, twenty-two. Twenty then. Ten seconds, down.",
        [
            "inflation done balloon | diameter 4 mm, duration 10 s, length 8 mm, pressure 20 atm",
        ],
        id="lower after all",
    ),
    pytest.param(
        """The five by twenty balloon was inflated once, to six atmospheres for four seconds.
        A second inflation was not performed.
        The result was good.""",
        [
            "inflation done balloon | diameter 5 mm, duration 4 s, length 20 mm, pressure 6 atm",
            "inflation negated",
        ],
        id="a second inflation ruled out",
    ),
    pytest.param(
        """Six by forty balloon is across. Up, four, seven, ten, twenty seconds, down.
        Once more, up, pressure like before, fifteen seconds, down.
        And again, up, twelve, time as before, down.""",
        [
            "inflation done balloon | diameter 6 mm, duration 20 s, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 15 s, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 15 s, length 40 mm, pressure 12 atm",
        ],
        id="as high, as long as before; the last pressure is no second counted",
    ),
    pytest.param(
        """Six by forty balloon is across. Up, six, nine. Stop at nine, one minute.
        Already down. Once more, fifteen seconds. Down.""",
        [
            "inflation done balloon | diameter 6 mm, duration 1 min, length 40 mm, pressure 9 atm",
            "inflation done balloon | diameter 6 mm, duration 15 s, length 40 mm",
        ],
        id="once more, with a time alone",
    ),
    pytest.param(
        """Six by forty balloon is across. Up, six, nine, twelve already.
        Give me sixteen. And down.""",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 16 atm"],
        id="give me so much, while it is up",
    ),
    pytest.param(
        "Soft balloon for moulding, thirty by fifty, please.",
        ["inflation planned balloon | diameter 30 mm, length 50 mm"],
        id="called by its kind, then sized",
    ),
    pytest.param(
        "A balloon, diameter six, length forty, please.",
        ["inflation planned balloon | diameter 6 mm, length 40 mm"],
        id="each size by its name",
    ),
    pytest.param(
        """Perhaps a nine by forty later.
        Okay, that nine by forty, open it now.""",
        [
            "inflation considered balloon | diameter 9 mm, length 40 mm",
            "inflation planned balloon | diameter 9 mm, length 40 mm",
        ],
        id="thought of, and now to be used",
    ),
    pytest.param(
        """Kissing balloons at the bifurcation, nine by forty on the right and eight by forty on the left, please.
        Both balloons are up, right to seven atmospheres, left to five. And both down.""",
        [
            "inflation planned balloon | diameter 9 mm, length 40 mm",
            "inflation planned balloon | diameter 8 mm, length 40 mm",
            "inflation done balloon | diameter 9 mm, length 40 mm, pressure 7 atm",
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 5 atm",
        ],
        id="named together, then each sized for its side",
    ),
    pytest.param(
        """Six by forty balloon is across. Up to ten. Down.
        Fentanyl, fifty micrograms, is in.
        Same balloon, eighteen this time, and a full ninety he says... seventy, eighty, ninety. Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "drug done fentanyl | dose 50 ug",
            "inflation done balloon | diameter 6 mm, duration 90 s, length 40 mm, pressure 18 atm",
        ],
        id="the same balloon by name and how far, after other talk",
    ),
    pytest.param(
        """Six by forty balloon is across. Up to ten. Down.
        Fentanyl, fifty micrograms, is in.
        Same balloon back on the table, eighteen patients on the list today.""",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "drug done fentanyl | dose 50 ug",
        ],
        id="the same balloon by name and no word of how far",
    ),
    pytest.param(
        """Six by twenty balloon is across. Up to eight, down.
        Eight by twenty balloon is across. Up to nine, down.
        Rinse the six by twenty and give it me back.
        Across. Inflating, four, six, nine. Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 20 mm, pressure 8 atm",
            "inflation done balloon | diameter 8 mm, length 20 mm, pressure 9 atm",
            "inflation planned balloon | diameter 6 mm, length 20 mm",
            "inflation done balloon | diameter 6 mm, length 20 mm, pressure 9 atm",
        ],
        id="a used balloon called back goes up next",
    ),
    pytest.param(
        """Six by twenty balloon is across. Up to eight, down.
        Did the six by twenty burst?
        No, it's fine.""",
        ["inflation done balloon | diameter 6 mm, length 20 mm, pressure 8 atm"],
        id="a used balloon only asked about stays where it is",
    ),
    pytest.param(
        """Coil, three by five, is in, detached.
        Five by twenty balloon, please.
        Balloon is across the old coil, inflate, five... seven... eight. Down.""",
        [
            "embolise done coil | count 1 {count}, diameter 3 mm, length 5 cm",
            "inflation planned balloon | diameter 5 mm, length 20 mm",
            "inflation done balloon | diameter 5 mm, length 20 mm, pressure 8 atm",
        ],
        id="what it lies across does not take its pressure",
    ),
    pytest.param(
        """Stent, fourteen by forty, deployed.
        Twelve by forty balloon, please. Or shall we take fourteen by forty? Maybe afterwards.""",
        [
            "stent done stent | diameter 14 mm, length 40 mm",
            "inflation planned balloon | diameter 12 mm, length 40 mm",
            "inflation considered balloon | diameter 14 mm, length 40 mm",
        ],
        id="another size thought of for a balloon, though a stent had it",
    ),
    pytest.param(
        "Six by forty balloon is across. Up to twelve. Hold for a count of thirty. Down.",
        ["inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 12 atm"],
        id="a count of so many is a time, and no pressure",
    ),
    pytest.param(
        """Six by forty balloon is across. Up, six, eight, ten, twelve. Ten counts... eight, nine, ten. Deflate.""",
        ["inflation done balloon | diameter 6 mm, duration 10 s, length 40 mm, pressure 12 atm"],
        id="so many counts, counted from the end",
    ),
    pytest.param(
        """Five by eighty balloon is across. Up to eight, down.
        The five by sixty balloon now. Across, up she goes, same as the last one. Two minutes. Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 80 mm, pressure 8 atm",
            "inflation done balloon | diameter 5 mm, duration 2 min, length 60 mm, pressure 8 atm",
        ],
        id="as high as the last one, of another balloon",
    ),
    pytest.param(
        """Fourteen by forty balloon is across. Up to nine, down.
        Bottom edge, gently, six and no more. Straight down.""",
        [
            "inflation done balloon | diameter 14 mm, length 40 mm, pressure 9 atm",
            "inflation done balloon | diameter 14 mm, length 40 mm, pressure 6 atm",
        ],
        id="at another place, gently, with no word of going up",
    ),
    pytest.param(
        """Eight by forty balloon is across. Up to eight. There are people who'd take that to twenty atmospheres.""",
        [
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 8 atm",
            "inflation quoted | pressure 20 atm",
        ],
        id="what people do elsewhere takes no balloon higher",
    ),
    pytest.param(
        """Eight by forty high pressure balloon is across. Up to twenty atmospheres. Down.
        Stent graft, nine by fifty, deployed.
        It was moulded with the previously used high pressure balloon, fourteen atmospheres.""",
        [
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 20 atm",
            "stent done stent | diameter 9 mm, length 50 mm",
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 14 atm",
        ],
        id="the previously used one, by its kind",
    ),
    pytest.param(
        "Should the stent narrow, a five by thirty drug coated balloon might be used.",
        ["inflation considered balloon | diameter 5 mm, length 30 mm"],
        id="what might be used, should it be needed",
    ),
    pytest.param(
        "Six by forty balloon is in, up to fourteen atmospheres for thirty seconds, then eighteen at the outer edge.",
        [
            "inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 14 atm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 18 atm",
        ],
        id="then another figure at a place no lexicon knows",
    ),
    pytest.param(
        """Six by forty balloon is in. It was inflated to fourteen atmospheres for thirty seconds, then to eighteen.""",
        ["inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 18 atm"],
        id="then another figure at no other place is how far it went",
    ),
    pytest.param(
        """Scoring balloon, please. Five by, what have you got, forty? Forty.
        Up, two, four, six. Down.""",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 6 atm",
        ],
        id="a size broken off to ask how long there is",
    ),
    pytest.param(
        """Five by sixty balloon is across. Up to six, ten seconds, and down. Slide up five, back to four, and down.""",
        [
            "inflation done balloon | diameter 5 mm, duration 10 s, length 60 mm, pressure 6 atm",
            "inflation done balloon | diameter 5 mm, length 60 mm, pressure 4 atm",
        ],
        id="down, moved, and back to how far",
    ),
    pytest.param(
        "Five by sixty balloon is across. Up to six, ten seconds, and down. Zoom back to four, please.",
        ["inflation done balloon | diameter 5 mm, duration 10 s, length 60 mm, pressure 6 atm"],
        id="down, and something else back to how much",
    ),
    pytest.param(
        """Predilate three by twenty, ten.
        Post-dilate with a six by forty, one minute. Down.""",
        [
            "inflation done balloon | diameter 3 mm, length 20 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 1 min, length 40 mm",
        ],
        id="the verb, then with what and how far",
    ),
    pytest.param(
        "We will dilate with a five by forty, ten seconds at most.",
        ["inflation planned balloon | diameter 5 mm, length 40 mm"],
        id="the verb of what is to come, then with what",
    ),
    pytest.param(
        """The last patient had a six by forty to fourteen.
        Today, five by forty balloon, please.""",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
        ],
        id="another patient's balloon",
    ),
    pytest.param(
        """Five by forty balloon is across. Up to six, down.
        The five by eighty. Across. Up to eight. Ninety seconds.
        Blame the balloon, you're halfway home.
        Three minutes, down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 6 atm",
            "inflation done balloon | diameter 5 mm, duration 3 min, length 80 mm, pressure 8 atm",
        ],
        id="the balloon that is up is the balloon, though others were spoken of by that name",
    ),
    pytest.param(
        """A seven by forty balloon was inflated to eighteen atmospheres.
        Without deflation the pressure was raised to twenty-six, and it was held for two minutes.""",
        ["inflation done balloon | diameter 7 mm, duration 2 min, length 40 mm, pressure 26 atm"],
        id="raised without coming down is one inflation",
    ),
    pytest.param(
        """Six by forty balloon is across. Up to eighteen, down.
        One correction. For that one I told eighteen, but the gauge was on nineteen.""",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 19 atm"],
        id="I told so many, but the gauge had another",
    ),
]
test_inflations = tells(CASES)


WHICH = [
    pytest.param(
        """Five by twenty balloon's across. Up to eight atmospheres. Down.
        Balloon-mounted stent, seven by twenty-four, please.
        It's across. Going up, six, eight, ten atmospheres, deployed. Down.
        The same balloon a touch lower, up to twelve atmospheres. Down.""",
        "inflation done balloon | diameter 7 mm, length 24 mm, pressure 12 atm",
        id="the same balloon is the stent's own, which went up last",
    ),
    pytest.param(
        """Five by sixty balloon's across. Up to nine atmospheres. Down.
        Six by sixty, please.
        Same balloon first, once more, up to eleven atmospheres. Down.""",
        "inflation done balloon | diameter 5 mm, length 60 mm, pressure 11 atm",
        id="the same balloon is none that was asked for since",
    ),
    pytest.param(
        """Seven by thirty for the left, please, and five by thirty for the right.
        The right one is up to six atmospheres. Down.
        Same on the left, nine atmospheres. Down.""",
        "inflation done balloon | diameter 5 mm, length 30 mm, pressure 9 atm",
        id="the same in another place",
    ),
    pytest.param(
        "We will predilate with a four by thirty, so that the stent passes.",
        "inflation planned balloon | diameter 4 mm, length 30 mm",
        id="dilated with, though a stent is named",
    ),
    pytest.param(
        "To dilate after the stent, six by thirty, please.",
        "inflation planned balloon | diameter 6 mm, length 30 mm",
        id="after the stent",
    ),
    pytest.param(
        "High pressure, seven by forty, please.",
        "inflation planned balloon | diameter 7 mm, length 40 mm",
        id="what stands for it, then its size",
    ),
    pytest.param(
        """Twelve millimetre plug, please.
        Now balloons, ten by forty on the right and, Anna, twelve by forty on the left, please.""",
        "inflation planned balloon | diameter 12 mm, length 40 mm",
        id="named as balloons, though a plug of that width waits",
    ),
    pytest.param(
        """Stent, four by twenty, please. It's across. Inflate, ten atmospheres, deployed. Down.
        Balloon, five by twelve, please.
        The upper end of the stent is dilated with it, seventeen atmospheres. Down.""",
        "inflation done balloon | diameter 5 mm, length 12 mm, pressure 17 atm",
        id="an end of the stent is a place",
    ),
    pytest.param(
        """Stent, four by twenty, please. It's across. Inflate, ten atmospheres, deployed. Down.
        Five by twelve balloon's across. Up to fifteen atmospheres. Down.
        Stent balloon once more, up to eleven atmospheres. Down.""",
        "inflation done balloon | diameter 4 mm, length 20 mm, pressure 11 atm",
        id="the balloon the stent came on",
    ),
    pytest.param(
        """Moulding balloon, thirty by fifty, please. Up, ten seconds. Down.
        Seven by forty balloon's across. Up to nine atmospheres. Down.
        The moulding balloon once more, up, twenty seconds. Down.""",
        "inflation done balloon | diameter 30 mm, duration 20 s, length 50 mm",
        id="the one called by its kind",
    ),
]


@pytest.mark.parametrize(("lines", "event"), WHICH)
def test_which_balloon_is_meant(lines: str, event: str) -> None:
    assert event in told(lines)


DOWN = [
    pytest.param("Eight atmospheres, twenty seconds... and off.", id="off"),
    pytest.param("Eight atmospheres, twenty seconds, close the balloon.", id="close the balloon"),
    pytest.param("Eight atmospheres, twenty seconds. Close.", id="close"),
    pytest.param("Eight atmospheres, twenty seconds. Desufflate.", id="desufflate"),
]


@pytest.mark.parametrize("words", DOWN)
def test_what_comes_down_is_over(words: str) -> None:
    lines = f"Six by forty balloon is across. Going up. {words}\nAgain, twelve atmospheres. Down."
    assert told(lines) == [
        "inflation done balloon | diameter 6 mm, duration 20 s, length 40 mm, pressure 8 atm",
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm",
    ]


STAYS = [
    pytest.param("Light off, please. Now twelve atmospheres.", id="another thing is off"),
    pytest.param("We are close to it. Twelve atmospheres.", id="close to"),
]


@pytest.mark.parametrize("words", STAYS)
def test_what_is_said_of_other_things_ends_no_inflation(words: str) -> None:
    lines = f"Six by forty balloon is across. Going up, eight atmospheres. {words}"
    assert told(lines) == ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"]


UNSIZED = [
    pytest.param("Soft balloon to the neck, gently... ten seconds, and deflate the balloon.", id="deflated by name"),
    pytest.param("Soft balloon to the neck. Up, ten seconds. Down.", id="up and down"),
]


@pytest.mark.parametrize("lines", UNSIZED)
def test_a_balloon_called_by_its_kind_alone_has_no_other_ones_size(lines: str) -> None:
    before = "Iliac limb, sixteen by eighty, please.\nLimb is in. Deployed.\n"
    assert "inflation done balloon | duration 10 s" in told(before + lines)


LOWER = [
    pytest.param("twelve, no, stay at ten.", id="stay at"),
    pytest.param("twelve, no, that was too much for it, ten.", id="and why"),
    pytest.param("twelve. No, with these old eyes, ten.", id="a no of its own"),
]


@pytest.mark.parametrize("words", LOWER)
def test_a_lower_pressure_after_a_slip_is_looked_at(words: str) -> None:
    events = tell(f"Six by forty balloon is across. Up, six, eight, {words}")
    assert events[-1].values["pressure"].value == 10
    assert events[-1].values["pressure"].review


LABELS = [
    pytest.param("What does the label say? Nominal nine bar, burst twenty-two bar.", 2, id="asked for, two told"),
    pytest.param("What is it rated for? Fourteen, doctor.", 1, id="asked for, told bare"),
    pytest.param("On the sheet rated burst is sixteen.", 1, id="read out"),
    pytest.param("What says the booklet? Six at eight, maximum sixteen.", 2, id="from its papers"),
]


@pytest.mark.parametrize(("words", "number"), LABELS)
def test_what_a_label_says_raises_no_balloon(words: str, number: int) -> None:
    events = told(f"Six by forty balloon, please.\n{words}\nGo up, six, eight bar. Down.")
    assert sum(line.startswith("inflation quoted") for line in events) == number
    assert events[-1] == "inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 bar"


def test_a_chart_may_name_the_diameter_first() -> None:
    events = told("Six by forty balloon, please.\nThe table says six point three for twelve bar.")
    assert "inflation quoted | diameter 6.3 mm, length 40 mm, pressure 12 bar" in events


def test_going_up_to_what_is_rated_is_no_label() -> None:
    events = told("Six by forty balloon is across. Rated burst is fourteen, so go up to twelve atmospheres. Down.")
    assert "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm" in events


CALLED_OFF = [
    pytest.param("Cancel the seven by sixty.", id="cancel"),
    pytest.param("Scrap the seven.", id="by its width alone"),
    pytest.param("The seven by sixty we don't use.", id="we don't use"),
    pytest.param("That balloon, no, we do not take.", id="by name, then no"),
]


@pytest.mark.parametrize("words", CALLED_OFF)
def test_what_was_asked_for_and_is_refused_is_ruled_out(words: str) -> None:
    events = told(f"Seven by sixty balloon, please.\n{words}")
    assert "inflation negated balloon | diameter 7 mm, length 60 mm" in events


def test_as_long_as_before_in_a_bare_number() -> None:
    lines = """Five by forty balloon is across. Up to ten bar, twenty seconds. Down.
    The same lower, up to eight bar, also twenty. Down."""
    assert told(lines)[-1] == "inflation done balloon | diameter 5 mm, duration 20 s, length 40 mm, pressure 8 bar"


def test_the_two_of_them_is_no_pressure() -> None:
    lines = "Post-dilate, nine by forty for the top, eight by forty for the bottom, the two please."
    assert not [line for line in told(lines) if "pressure" in line]


ASKED = [
    pytest.param("Six by forty, ten atmospheres, please.", "planned", id="asked for with its pressure"),
    pytest.param("Six by forty, ten atmospheres, please, and down.", "done", id="and down"),
    pytest.param("Six by forty is across, ten atmospheres, please.", "done", id="it is there"),
]


@pytest.mark.parametrize(("lines", "status"), ASKED)
def test_a_pressure_asked_for_with_its_balloon_is_not_reached_yet(lines: str, status: str) -> None:
    assert told(lines) == [f"inflation {status} balloon | diameter 6 mm, length 40 mm, pressure 10 atm"]


def test_two_balloons_of_one_size_are_two() -> None:
    events = told("Two balloons, six by forty, please.\nBoth up to eight bar. Down.")
    assert events == [
        *["inflation planned balloon | diameter 6 mm, length 40 mm"] * 2,
        *["inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 bar"] * 2,
    ]


def test_down_before_its_time_is_looked_at() -> None:
    lines = "Six by sixty balloon is across. Up to eight atmospheres. Three minutes, please.\nTwo minutes gone. Down."
    duration = tell(lines)[-1].values["duration"]
    assert (duration.value, duration.unit, duration.review) == (2, "min", True)


@pytest.mark.parametrize(
    ("line", "values"),
    [
        pytest.param("Across. Up to eight, five seconds, and down.", {"pressure": 8, "duration": 5}, id="with a comma"),
        pytest.param("Up, ten atmospheres for fifteen, and down.", {"pressure": 10, "duration": 15}, id="for so long"),
        pytest.param("Up, ten atmospheres, no, fifteen, and down.", {"pressure": 15}, id="put right"),
    ],
)
def test_a_pressure_and_a_time_right_after_it_are_two(line: str, values: dict[str, float]) -> None:
    done = [event for event in tell("Five by forty balloon, please.\n" + line) if event.status == "done"]
    assert [{key: done[0].values[key].value for key in values}] == [values]
    assert ("duration" in values) == ("duration" in done[0].values)


@pytest.mark.parametrize(
    ("line", "done"),
    [
        pytest.param("The catheter is up to the cava. Seven, that is low.", 0, id="another device is up"),
        pytest.param("Five French catheter in again, up to the cava. Seven now.", 0, id="again, of a catheter"),
        pytest.param("The balloon is up to seven, and down.", 1, id="the balloon"),
    ],
)
def test_up_to_a_place_is_no_pressure(line: str, done: int) -> None:
    first = "Five by forty balloon, please.\nAcross. Up. Six, eight, ten, and down.\nA stenosis is left.\n"
    told_done = [event for event in tell(first + line) if event.kind == "inflation" and event.status == "done"]
    assert len(told_done) == 1 + done


@pytest.mark.parametrize(
    ("line", "length"),
    [
        pytest.param("The longer of the two is across.", 150, id="longer"),
        pytest.param("The shorter one is across.", 80, id="shorter"),
        pytest.param("The bigger of the two is across.", 80, id="bigger"),
    ],
)
def test_one_of_two_is_told_by_its_size_and_looked_at(line: str, length: float) -> None:
    lines = (
        f"A two and a half by one fifty and a three by eighty balloon, please.\n{line}\nUp, two, four, six, and down."
    )
    (done,) = (event for event in tell(lines) if event.status == "done")
    assert (done.values["length"].value, done.values["length"].review) == (length, True)


@pytest.mark.parametrize(
    "line",
    [
        "Could hit it with a nine by forty. Nah, not doing that.",
        "Some folks would go in there with a nine by forty, but we're not going to do that.",
        "One might put a drug-coated balloon there, nine by forty, but no, I think not, we won't.",
        "Some people would put a balloon in here, nine by forty, and go home. I'm not doing that.",
        "I was thinking of a nine by forty balloon... I'll pass.",
    ],
    ids=["nah", "some folks", "I think not", "some people", "I'll pass"],
)
def test_what_was_thought_of_and_is_then_refused_is_ruled_out_once(line: str) -> None:
    assert [(event.kind, event.status) for event in tell(line)] == [("inflation", "negated")]


def test_a_question_answered_with_its_own_figure_changes_no_other_value() -> None:
    events = tell("Balloon six by forty? Six you will break him.")
    assert [(value.value, value.review) for value in events[0].values.values()] == [(6, True), (40, True)]


def test_a_plug_nobody_put_in_does_not_take_the_balloon_away() -> None:
    (done,) = tell("Six by forty, to rake the plug. Up, ten, and down.")
    assert (done.kind, done.values["diameter"].value, done.values["pressure"].value) == ("inflation", 6, 10)


def test_what_is_put_right_after_scratch_that_is_not_taken_back() -> None:
    lines = "Six by forty balloon's up, sixteen atmospheres. Down.\nScratch that, it was fourteen, not sixteen."
    (done,) = tell(lines)
    assert (done.status, done.values["pressure"].value, done.values["pressure"].review) == ("done", 14, True)


BEFORE = [
    pytest.param(
        "In June they took the vein to fourteen atmospheres with a twelve by forty.",
        "inflation past balloon | diameter 12 mm, length 40 mm, pressure 14 atm",
        id="the pressure first",
    ),
    pytest.param(
        "Two years ago they did the iliac with an eight by forty up to ten and it has come back.",
        "inflation past balloon | diameter 8 mm, length 40 mm, pressure 10 atm",
        id="up to",
    ),
    pytest.param(
        "Back in March they ballooned it, eight by forty, took it to twenty-two.",
        "inflation past balloon | diameter 8 mm, length 40 mm, pressure 22 atm",
        id="took it to",
    ),
    pytest.param(
        "Friday they took a four by twenty up to fourteen.",
        "inflation past balloon | diameter 4 mm, length 20 mm, pressure 14 atm",
        id="Friday they",
    ),
    pytest.param(
        "Last time it was dilated with a six by forty at eighteen atmospheres.",
        "inflation past balloon | diameter 6 mm, length 40 mm, pressure 18 atm",
        id="last time it was",
    ),
]


@pytest.mark.parametrize(("lines", "event"), BEFORE)
def test_how_far_a_balloon_went_before_this_case(lines: str, event: str) -> None:
    assert told(lines) == [event]


CHARTED = [
    pytest.param(
        "Stent, three by thirty-three. The compliance table?\nThree at ten atmospheres. Three point two at sixteen.",
        "stent quoted | diameter 3.2 mm, length 33 mm, pressure 16 atm",
        id="read out in the next breath",
    ),
    pytest.param(
        "Stent, six by eighteen. By the table six point one at ten atmospheres, and six point four at fourteen.",
        "stent quoted | diameter 6.4 mm, length 18 mm, pressure 14 atm",
        id="the second pair",
    ),
    pytest.param(
        "Balloon, five by forty. If we had gone to sixteen, we would have had five point four.",
        "inflation quoted | diameter 5.4 mm, length 40 mm, pressure 16 atm",
        id="if we had gone to",
    ),
    pytest.param(
        "Balloon twelve by forty, to eight atmospheres, with the compliance sheet giving twelve point two at ten.",
        "inflation quoted | diameter 12.2 mm, length 40 mm, pressure 10 atm",
        id="is no run",
    ),
]


@pytest.mark.parametrize(("lines", "event"), CHARTED)
def test_what_a_chart_says_in_passing(lines: str, event: str) -> None:
    assert event in told(lines)
    assert not [line for line in told(lines) if line.startswith("run")]


def test_a_chart_named_makes_no_chart_of_a_run() -> None:
    lines = "Balloon, six by forty. The chart says six at eight.\nUp to ten, down.\nPigtail, ten at five, go."
    assert "run done | rate 5 mL/s, volume 10 mL" in told(lines)


SAID_AGAIN = [
    pytest.param(
        """Balloon four by twenty was inflated to ten atmospheres for thirty seconds.
        Second inflation was carried out at twelve atmospheres, and third at fourteen, each thirty seconds.""",
        [
            "inflation done balloon | diameter 4 mm, duration 30 s, length 20 mm, pressure 10 atm",
            "inflation done balloon | diameter 4 mm, duration 30 s, length 20 mm, pressure 12 atm",
            "inflation done balloon | diameter 4 mm, duration 30 s, length 20 mm, pressure 14 atm",
        ],
        id="counted in one sentence",
    ),
    pytest.param(
        """Balloon four by twenty, up to ten, thirty seconds, down.
        Pulled back, same fella, twelve, thirty seconds. Did I say twelve? Make it fourteen. And down.""",
        [
            "inflation done balloon | diameter 4 mm, duration 30 s, length 20 mm, pressure 10 atm",
            "inflation done balloon | diameter 4 mm, duration 30 s, length 20 mm, pressure 14 atm",
        ],
        id="make it fourteen is the pressure, though the time was told last",
    ),
    pytest.param(
        """Balloon six by forty, up, eight bar, half a minute, and empty.
        Why not more? On the paper stands fourteen bar as maximum.""",
        [
            "inflation done balloon | diameter 6 mm, duration 0.5 min, length 40 mm, pressure 8 bar",
            "inflation quoted | diameter 6 mm, length 40 mm, pressure 14 bar",
        ],
        id="emptied, and what the paper says",
    ),
    pytest.param(
        "Balloon six by forty. Up to ten, down. Like a bar of soap, that. Up to twelve, down.",
        [
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm",
        ],
        id="a bar of soap is no unit",
    ),
    pytest.param(
        "Two balloons, eight by forty for the left and seven by forty for the right.",
        [
            "inflation planned balloon | diameter 8 mm, length 40 mm",
            "inflation planned balloon | diameter 7 mm, length 40 mm",
        ],
        id="two balloons, each with its size",
    ),
    pytest.param(
        "We could go to a twelve balloon.",
        ["inflation considered balloon | diameter 12 mm"],
        id="a balloon by one number",
    ),
]
test_inflations_counted_put_right_and_named_by_a_number = tells(SAID_AGAIN)


#: (what those say who name a small balloon by its digits and let it down in one word, its events)
IN_DIGITS = [
    pytest.param(
        "Two oh balloon and a two seven five balloon, please.",
        ["inflation planned balloon | diameter 2 mm", "inflation planned balloon | diameter 2.75 mm"],
        id="a size in digits before its noun",
    ),
    pytest.param(
        "NC three oh by ten. And NC three five by eight.\nThree oh, distal. Eighteen. Down. Three five. Twenty. Down.",
        [
            "inflation planned balloon | diameter 3 mm, length 10 mm",
            "inflation planned balloon | diameter 3.5 mm, length 8 mm",
            "inflation done balloon | diameter 3 mm, length 10 mm, pressure 18 atm",
            "inflation done balloon | diameter 3.5 mm, length 8 mm, pressure 20 atm",
        ],
        id="called by its digits",
    ),
    pytest.param(
        "Two five by twenty balloon. It's there. Ten. Down.\nThe two five at sixteen. Up. Twenty seconds. Down.",
        [
            "inflation done balloon | diameter 2.5 mm, length 20 mm, pressure 10 atm",
            "inflation done balloon | diameter 2.5 mm, duration 20 s, length 20 mm, pressure 16 atm",
        ],
        id="called by its digits, at its pressure",
    ),
    pytest.param(
        "Stent, three five by eighteen. Label says three five at ten, three seven at sixteen.",
        [
            "stent planned stent | diameter 3.5 mm, length 18 mm",
            "stent quoted | diameter 3.5 mm, length 18 mm, pressure 10 atm",
            "stent quoted | diameter 3.7 mm, length 18 mm, pressure 16 atm",
        ],
        id="a label in digits",
    ),
    pytest.param(
        "Two oh by fifteen balloon. It's there. Up. Sixteen. Two oh. Down.",
        ["inflation done balloon | diameter 2 mm, length 15 mm, pressure 20 atm"],
        id="a pressure in digits while it is up",
    ),
    pytest.param(
        "Six by forty balloon, eight by forty balloon.\nThe six is in. Up. Ten. Down.\nThe eight at twelve. Up. Down.",
        [
            "inflation planned balloon | diameter 6 mm, length 40 mm",
            "inflation planned balloon | diameter 8 mm, length 40 mm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 8 mm, length 40 mm, pressure 12 atm",
        ],
        id="two balloons by one number each",
    ),
    pytest.param(
        "Six by forty balloon.\nProximal. Six, eight, ten. Down. Middle. Ten, twelve. Down. Distal. Nine. Down.",
        [
            "inflation planned balloon | diameter 6 mm, length 40 mm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 9 atm",
        ],
        id="figures, then down, place by place",
    ),
    pytest.param(
        "Six by forty balloon. It's across. Up. Ten. Down.\nTwelve. Down a bit with the table, please.",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm"],
        id="the table goes down",
    ),
    pytest.param(
        "Stent, three by thirty. It is across.\nDeploy. Eight, eleven... twelve. Hold... nineteen, twenty, sir. Down.",
        [
            "stent planned stent | diameter 3 mm, length 30 mm",
            "stent done stent | diameter 3 mm, duration 20 s, length 30 mm, pressure 12 atm",
        ],
        id="the last seconds counted",
    ),
    pytest.param(
        "Scoring balloon, six by forty, perhaps. Let's look first.",
        ["inflation considered balloon | diameter 6 mm, length 40 mm"],
        id="a hedge behind",
    ),
    pytest.param(
        "Second stent, six by forty. Maybe.",
        ["stent considered stent | diameter 6 mm, length 40 mm"],
        id="a hedge alone",
    ),
    pytest.param(
        "Six by forty balloon, please. Maybe the lights down.",
        ["inflation planned balloon | diameter 6 mm, length 40 mm"],
        id="a hedge of something else",
    ),
]
test_balloons_and_stents_said_in_digits = tells(IN_DIGITS)


PAIRS = [
    pytest.param(
        "Two twelve by forties for the limbs. Two, twelve by forty, both on inflators.\nBoth up, six in each. Down.",
        ["inflation planned balloon | diameter 12 mm, length 40 mm"] * 2
        + ["inflation done balloon | diameter 12 mm, length 40 mm, pressure 6 atm"] * 2,
        id="two twelve is a count and a width",
    ),
    pytest.param(
        "Two ten by forty balloons, please.\nBoth in. Together up, eight bar, twenty seconds, both down.",
        ["inflation planned balloon | diameter 10 mm, length 40 mm"] * 2
        + ["inflation done balloon | diameter 10 mm, duration 20 s, length 40 mm, pressure 8 bar"] * 2,
        id="two of one size go up together",
    ),
    pytest.param(
        "Give me two eight by thirty balloons.\nKissing now, eight on the right, ten on the left, fifteen seconds.",
        ["inflation planned balloon | diameter 8 mm, length 30 mm"] * 2
        + [
            "inflation done balloon | diameter 8 mm, duration 15 s, length 30 mm, pressure 8 atm",
            "inflation done balloon | diameter 8 mm, duration 15 s, length 30 mm, pressure 10 atm",
        ],
        id="each side has its pressure, both the time",
    ),
    pytest.param(
        "They were kissed with a nine by twenty and an eight by twenty, eight atmospheres in each, for ten seconds.",
        [
            "inflation done balloon | diameter 9 mm, duration 10 s, length 20 mm, pressure 8 atm",
            "inflation done balloon | diameter 8 mm, duration 10 s, length 20 mm, pressure 8 atm",
        ],
        id="kissed, so much in each",
    ),
    pytest.param(
        "Two balloons were inflated side by side, seven by forty and six by forty, to ten and eight bar respectively.",
        [
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 10 bar",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 bar",
        ],
        id="respectively",
    ),
    pytest.param(
        "Two covered stents were deployed, on the right a nine by fifty and on the left an eight by fifty, at ten and "
        "nine atmospheres respectively.\n"
        "I have the inflation sheet here, and I must correct the right stent, which went in at eleven and not at ten.",
        [
            "stent done stent | diameter 9 mm, length 50 mm, pressure 11 atm",
            "stent done stent | diameter 8 mm, length 50 mm, pressure 9 atm",
        ],
        id="two stents by their sizes, one put right by its side",
    ),
    pytest.param(
        "Three five by twelve stents, please.",
        ["stent planned stent | diameter 3.5 mm, length 12 mm"],
        id="a half is no count",
    ),
    pytest.param(
        "Six by forty balloon, please.\nAcross, up to ten, down. Again, twelve, fifteen seconds each time, down.",
        [
            "inflation planned balloon | diameter 6 mm, length 40 mm",
            "inflation done balloon | diameter 6 mm, duration 15 s, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 15 s, length 40 mm, pressure 12 atm",
        ],
        id="each time, but one balloon",
    ),
]
test_two_at_once = tells(PAIRS)


HOW_MUCH = [
    pytest.param("It's across, up we go, four, six, eight, and for how long? Twenty seconds, and down.", 8, 20),
    pytest.param("Over the lesion now, inflating, six, eight, and how long do we hold it? Twenty seconds.", 8, 20),
    pytest.param("How high? Twelve. How long? Two minutes. And down.", 12, 2),
    pytest.param("And how high do I go? Ten atmospheres, how long for? One minute, and we're down.", 10, 1),
]


@pytest.mark.parametrize(("line", "pressure", "duration"), HOW_MUCH)
def test_one_who_asks_and_answers_himself(line: str, pressure: float, duration: float) -> None:
    *_, event = tell(f"Five by forty balloon, please.\n{line}")
    assert event.values["pressure"].value == pressure
    assert event.values["duration"].value == duration
    assert "asked" not in event.values["pressure"].flags


@pytest.mark.parametrize("line", ["Up to eight atmospheres?", "Up, six, eight atmospheres, was it?"])
def test_a_pressure_that_is_asked_for_stays_in_doubt(line: str) -> None:
    *_, event = tell(f"Five by forty balloon, please.\n{line}\nThank you.")
    assert "asked" in event.values["pressure"].flags


@pytest.mark.parametrize(
    ("said", "duration"),
    [
        ("half the time", "0.5 min"),
        ("for half as long", "0.5 min"),
        ("and twice as long", "2 min"),
        ("for double the time", "2 min"),
        ("for the same length of time", "1 min"),
        ("for a whole minute", "1 min"),
        ("for two further minutes", "2 min"),
    ],
)
def test_a_time_told_by_the_last_one(said: str, duration: str) -> None:
    lines = (
        f"Six by forty balloon's across. Up to eight. One minute... down.\nSame balloon, up to ten, {said}... and down."
    )
    assert [line for line in told(lines) if "pressure 10 " in line] == [
        f"inflation done balloon | diameter 6 mm, duration {duration}, length 40 mm, pressure 10 atm"
    ]


def test_the_pressure_it_ruptures_at_was_not_reached() -> None:
    lines = "Seven by forty balloon across. Up, eight, twelve, sixteen. The rupture pressure is twenty. Down."
    assert [event.values["pressure"].value for event in tell(lines) if event.status == "done"] == [16]


def test_a_pressure_aimed_at_and_not_reached_is_marked_and_shown() -> None:
    (event,) = tell(
        "Five by forty balloon is across. Six. Eight. I'd like to see fourteen. … Twelve, and it stops. Down."
    )
    pressure = event.values["pressure"]
    assert (pressure.value, pressure.review, [each.value for each in pressure.alternatives]) == (12, True, [14])
