"""Punctures, and what goes in and comes out: sheaths, wires, catheters, filters, drains."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param(
        """Four sheath. It's in. A twelve drain, please.
        Sheath of four out.""",
        [
            "insert done sheath | gauge 4 [Ch]",
            "insert planned drain | gauge 12 [Ch]",
            "remove done sheath | gauge 4 [Ch]",
        ],
        id="a bare number beside the noun",
    ),
    pytest.param("Two sheaths, please.", ["insert planned sheath"], id="a count is no gauge"),
    pytest.param(
        """Wire oh sixteen for the branch, please, and another oh sixteen for the other. I don't want to swear.""",
        ["insert planned wire | wire_diameter 0.016 [in_i]"] * 2,
        id="oh and the size right after the wire",
    ),
    pytest.param(
        "The filter is opened below the renals, and it stands straight.", ["insert done filter"], id="a filter opens"
    ),
    pytest.param(
        """A snare for the neck, eighteen millimetres, please.
        Snare is in.""",
        ["insert planned snare | diameter 18 mm", "insert done snare | diameter 18 mm"],
        id="a snare's size after what it is for",
    ),
    pytest.param("Ultrasound catheter, please.", ["insert planned ultrasound catheter"], id="please, with no size"),
    pytest.param("So give one filter, sister.", ["insert planned filter"], id="give one"),
    pytest.param(
        """The snare, of twenty millimetres, please.
        Snare is in.""",
        ["insert planned snare | diameter 20 mm", "insert done snare | diameter 20 mm"],
        id="a snare's size",
    ),
    pytest.param(
        "Wire goes easily, and I've put a six French sheath there.",
        ["insert done wire", "insert done sheath | gauge 6 [Ch]"],
        id="easily, and I've put",
    ),
    pytest.param(
        """The guide catheter is in place.
        We take off the guide catheter.""",
        ["insert done guide catheter", "remove done guide catheter"],
        id="take off",
    ),
    pytest.param(
        "Right sheath is out, clip down. Left sheath, out too.",
        ["remove done sheath", "closure done clip", "remove done sheath"],
        id="one on each side",
    ),
    pytest.param(
        """Wire, oh three five, is in. Out the wire.
        In diagnostic catheter five French over the wire. Out the sheath.""",
        [
            "insert done wire | wire_diameter 0.035 [in_i]",
            "remove done wire | wire_diameter 0.035 [in_i]",
            "insert done catheter | gauge 5 [Ch]",
            "remove done sheath",
        ],
        id="the verb first",
    ),
    pytest.param(
        """Seven French sheath is in.
        In the sheath there is thrombus.""",
        ["insert done sheath | gauge 7 [Ch]", "finding done thrombus"],
        id="in the sheath is a place",
    ),
    pytest.param(
        """Sheath, five French, is in.
        It is too small. Out the five... in the seven French.""",
        [
            "insert done sheath | gauge 5 [Ch]",
            "remove done sheath | gauge 5 [Ch]",
            "insert done sheath | gauge 7 [Ch]",
        ],
        id="the verb first, and only a size",
    ),
    pytest.param(
        """Five French sheath's in.
        Five's off, eleven's in.""",
        [
            "insert done sheath | gauge 5 [Ch]",
            "remove done sheath | gauge 5 [Ch]",
            "insert done sheath | gauge 11 [Ch]",
        ],
        id="a bare number in place of the one that came out",
    ),
    pytest.param(
        """Here stays a safety drain for some days, ten French, please.
        The drain is in.""",
        ["insert planned drain | gauge 10 [Ch]", "insert done drain | gauge 10 [Ch]"],
        id="its size later in the sentence",
    ),
    pytest.param(
        "A picture through a four French catheter, which is now in the iliac.",
        ["insert done catheter | gauge 4 [Ch]"],
        id="which is in",
    ),
    pytest.param(
        """A hydrophilic wire, oh three five, and a five French angled catheter, please.
        Both are at the occlusion.""",
        [
            "insert planned wire | wire_diameter 0.035 [in_i]",
            "insert planned catheter | gauge 5 [Ch]",
            "insert done wire | wire_diameter 0.035 [in_i]",
            "insert done catheter | gauge 5 [Ch]",
        ],
        id="both are at",
    ),
    pytest.param(
        "Now for that the angled catheter, four French, please.",
        ["insert planned catheter | gauge 4 [Ch]"],
        id="for that",
    ),
    pytest.param(
        """Eight French drain, please... it is thick. Make it twelve.
        The drain is in.""",
        ["insert planned drain | gauge 12 [Ch]", "insert done drain | gauge 12 [Ch]"],
        id="another size before it is placed",
    ),
    pytest.param(
        """Oh one eight wire, three hundred long, is in.
        Second wire, oh one four, is in too.
        First wire out. Second wire out.""",
        [
            "insert done wire | length 300 cm, wire_diameter 0.018 [in_i]",
            "insert done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | length 300 cm, wire_diameter 0.018 [in_i]",
            "remove done wire | wire_diameter 0.014 [in_i]",
        ],
        id="first and second",
    ),
    pytest.param(
        """Sheath, seven French, right, it is in.
        Now left, flash. And the same sheath goes there.""",
        ["insert done sheath | gauge 7 [Ch]", "access done", "insert done sheath | gauge 7 [Ch]"],
        id="the same on the other side",
    ),
    pytest.param(
        """The wire, oh one four, is in the peroneal.
        It goes out below, and it's away through the arch.""",
        ["insert done wire | wire_diameter 0.014 [in_i]"],
        id="out below is farther in",
    ),
    pytest.param("Right groin, needle in, flash, I'm in the artery.", ["access done"], id="flash"),
    pytest.param("Right common femoral punctured under ultrasound. Good blood back.", ["access done"], id="told twice"),
    pytest.param(
        "Needle's pointing up the arm. I see the tip, good flash, we have access.", ["access done"], id="three times"
    ),
    pytest.param("Five French sheath's in, right groin.", ["insert done sheath | gauge 5 [Ch]"], id="a sheath is in"),
    pytest.param(
        "Oh three five hydrophilic wire is down in the popliteal.",
        ["insert done wire | wire_diameter 0.035 [in_i]"],
        id="a wire is down",
    ),
    pytest.param(
        "Can I have a six French sheath, please.", ["insert planned sheath | gauge 6 [Ch]"], id="asked for is planned"
    ),
    pytest.param(
        """Can I have a seven French, forty-five centimetre sheath please.
        The sheath's in.""",
        ["insert planned sheath | gauge 7 [Ch], length 45 cm", "insert done sheath | gauge 7 [Ch], length 45 cm"],
        id="asked for, then in, with its sizes",
    ),
    pytest.param(
        """Pass me the stiff wire, oh three five.
        The stiff wire is across.""",
        ["insert planned wire | wire_diameter 0.035 [in_i]", "insert done wire | wire_diameter 0.035 [in_i]"],
        id="known by its stiffness",
    ),
    pytest.param(
        "Cobra catheter, five French, is in the renal artery.", ["insert done catheter | gauge 5 [Ch]"], id="by a name"
    ),
    pytest.param(
        "Eight French guide catheter, ninety centimetres, is in.",
        ["insert done guide catheter | gauge 8 [Ch], length 90 cm"],
        id="gauge and length",
    ),
    pytest.param(
        "A four French angled catheter and an oh three five wire, please.",
        ["insert planned catheter | gauge 4 [Ch]", "insert planned wire | wire_diameter 0.035 [in_i]"],
        id="two in one breath",
    ),
    pytest.param(
        "Microcatheter, two point seven French, is in. Microcatheter out.",
        ["insert done microcatheter | gauge 2.7 [Ch]", "remove done microcatheter | gauge 2.7 [Ch]"],
        id="in, then out, with its size",
    ),
    pytest.param(
        """Six French sheath is in.
        Eight French sheath is in.
        The six French sheath's out.""",
        [
            "insert done sheath | gauge 6 [Ch]",
            "insert done sheath | gauge 8 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
        ],
        id="of two, the one whose size is said",
    ),
    pytest.param("The pigtail is out.", ["remove done catheter"], id="out without ever being told in"),
    pytest.param("Wire out, catheter out.", ["remove done wire", "remove done catheter"], id="two out"),
    pytest.param("Filter retrieved.", ["remove done filter"], id="retrieved"),
    pytest.param("Drain is in, eight French.", ["insert done drain | gauge 8 [Ch]"], id="its size afterwards"),
    pytest.param(
        "Give me an oh one four, no, an oh one eight wire.",
        ["insert planned wire | wire_diameter 0.018 [in_i]"],
        id="a slip put right",
    ),
    pytest.param(
        "6F sheath in, 0.035 wire in.",
        ["insert done sheath | gauge 6 [Ch]", "insert done wire | wire_diameter 0.035 [in_i]"],
        id="as a recogniser writes it",
    ),
    pytest.param(
        "If this fails I would use a re-entry catheter.", ["insert considered re-entry catheter"], id="if this fails"
    ),
    pytest.param(
        "The first sheath, five French, was placed last week.", ["insert past sheath | gauge 5 [Ch]"], id="last week"
    ),
    pytest.param(
        "The wire is across the lesion.",
        ["insert done wire"],
        id="down and across",
    ),
    pytest.param(
        "We might need a microcatheter.",
        ["insert considered microcatheter"],
        id="might",
    ),
    pytest.param(
        "Next I'd like the cobra, five French.",
        ["insert planned catheter | gauge 5 [Ch]"],
        id="next",
    ),
    pytest.param(
        "A six French guide catheter was advanced over the wire.",
        ["insert done guide catheter | gauge 6 [Ch]"],
        id="dictated in the passive",
    ),
    pytest.param(
        "The catheter was withdrawn.",
        ["remove done catheter"],
        id="dictated removal",
    ),
    pytest.param(
        """Seven French sheath, please.
        Seven French sheath.""",
        ["insert planned sheath | gauge 7 [Ch]"],
        id="read back adds nothing",
    ),
    pytest.param(
        "Six French sheath please... sorry, make that seven French.",
        ["insert planned sheath | gauge 7 [Ch]"],
        id="changed mind",
    ),
    pytest.param(
        "Snare's up. Caught it. Snare's out.",
        ["insert done snare", "remove done snare"],
        id="snare in then out",
    ),
    pytest.param(
        "Is the wire across? Yes, wire's across.",
        ["insert done wire"],
        id="question answered",
    ),
    pytest.param(
        """Pigtail's up. Cobra is in.
        Pigtail's out.""",
        ["insert done catheter", "insert done catheter", "remove done catheter"],
        id="two catheters told apart by shape",
    ),
    pytest.param(
        """Stiff wire please.
        Stiff wire, please.""",
        ["insert planned wire"],
        id="asked twice",
    ),
    pytest.param(
        "Wire's out. Catheter's out. Sheath's out.",
        ["remove done wire", "remove done catheter", "remove done sheath"],
        id="everything out",
    ),
    pytest.param(
        "Microcatheter over the wire, it's in.",
        ["insert done microcatheter"],
        id="passed over the wire",
    ),
    pytest.param(
        "The sheath was exchanged for an eight French sheath.",
        ["remove done sheath", "insert done sheath | gauge 8 [Ch]"],
        id="dictated exchange",
    ),
    pytest.param(
        """Five French sheath is in.
        Exchanged the sheath for a seven French.""",
        [
            "insert done sheath | gauge 5 [Ch]",
            "remove done sheath | gauge 5 [Ch]",
            "insert done sheath | gauge 7 [Ch]",
        ],
        id="exchanged for a size",
    ),
    pytest.param(
        "Long sheath please, seven French, forty-five... sorry, fifty-five centimetre. It's in.",
        ["insert done sheath | gauge 7 [Ch], length 55 cm"],
        id="a length put right",
    ),
    pytest.param(
        "Aspiration catheter, six French, one thirty-five long, please.",
        ["insert planned aspiration catheter | gauge 6 [Ch], length 135 cm"],
        id="every kind of catheter has a length",
    ),
    pytest.param(
        """Eight French sheath is in.
        Ten French, twenty-five centimetre... eight is out, ten is in.""",
        [
            "insert done sheath | gauge 8 [Ch]",
            "insert done sheath | gauge 10 [Ch], length 25 cm",
            "remove done sheath | gauge 8 [Ch]",
        ],
        id="out speaks of the last one named, not of the one asked for before it",
    ),
    pytest.param(
        """Microcatheter, two point four French, is in. Five French cobra is in. Six French sheath is in.
        Micro, cobra and sheath all out.""",
        [
            "insert done microcatheter | gauge 2.4 [Ch]",
            "insert done catheter | gauge 5 [Ch]",
            "insert done sheath | gauge 6 [Ch]",
            "remove done microcatheter | gauge 2.4 [Ch]",
            "remove done catheter | gauge 5 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
        ],
        id="a list is out whole",
    ),
    pytest.param(
        """Five French sheath is in.
        The sheath's coming out... out. It's out.""",
        ["insert done sheath | gauge 5 [Ch]", "remove done sheath | gauge 5 [Ch]"],
        id="out is out once",
    ),
    pytest.param(
        """Pigtail, five French, please.
        Pigtail's out.""",
        ["insert planned catheter | gauge 5 [Ch]", "remove done catheter | gauge 5 [Ch]"],
        id="what comes out was in, even where nobody said so",
    ),
    pytest.param(
        """Short six French sheath is in.
        The short six is out, a six French by forty-five over the top, and it's in.
        Long sheath's out.""",
        [
            "insert done sheath | gauge 6 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
            "insert done sheath | gauge 6 [Ch], length 45 cm",
            "remove done sheath | gauge 6 [Ch], length 45 cm",
        ],
        id="of the same gauge, and another sheath all the same",
    ),
    pytest.param(
        "The microcatheter's going up on an oh one four.",
        ["insert done microcatheter", "insert done wire | wire_diameter 0.014 [in_i]"],
        id="what it goes over is in too",
    ),
    pytest.param(
        """Stiff wire, oh three five, is in.
        Seven French sheath goes in over the stiff wire.""",
        ["insert done wire | wire_diameter 0.035 [in_i]", "insert done sheath | gauge 7 [Ch]"],
        id="over what is in already: nothing new",
    ),
    pytest.param(
        """Oh one eight wire, three hundred long, and a support catheter, two point three French, please.
        These two are down.""",
        [
            "insert planned wire | length 300 cm, wire_diameter 0.018 [in_i]",
            "insert planned catheter | gauge 2.3 [Ch]",
            "insert done wire | length 300 cm, wire_diameter 0.018 [in_i]",
            "insert done catheter | gauge 2.3 [Ch]",
        ],
        id="these two",
    ),
    pytest.param(
        "Eight French sheaths went in on both sides.",
        ["insert done sheath | gauge 8 [Ch]", "insert done sheath | gauge 8 [Ch]"],
        id="one on each side",
    ),
    pytest.param(
        """Oh one four wire is in. Second oh one four wire is in.
        Both wires out.""",
        [
            "insert done wire | wire_diameter 0.014 [in_i]",
            "insert done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | wire_diameter 0.014 [in_i]",
        ],
        id="both out",
    ),
    pytest.param(
        """A multipurpose catheter, five French, please, and the stiff wire, oh three five.""",
        ["insert planned catheter | gauge 5 [Ch]", "insert planned wire | wire_diameter 0.035 [in_i]"],
        id="joined to what was asked for",
    ),
    pytest.param(
        "Angled catheter, five, with a hydrophilic oh three five, please.",
        ["insert planned catheter | gauge 5 [Ch]", "insert planned wire | wire_diameter 0.035 [in_i]"],
        id="a gauge with no unit",
    ),
    pytest.param(
        """Sheath's in, five minutes to go.""",
        ["insert done sheath"],
        id="no gauge: minutes",
    ),
    pytest.param(
        """Oh three five wire is in the aorta.
        The wire's in the aorta, nicely.""",
        ["insert done wire | wire_diameter 0.035 [in_i]"],
        id="told twice",
    ),
    pytest.param(
        """Microcatheter, two point four French, is in. Five French vertebral is in.
        The catheter's out.""",
        [
            "insert done microcatheter | gauge 2.4 [Ch]",
            "insert done catheter | gauge 5 [Ch]",
            "remove done catheter | gauge 5 [Ch]",
        ],
        id="the catheter is not the microcatheter",
    ),
    pytest.param(
        """Oh one four wire is in.
        I pulled the wire, so the wire's out.""",
        ["insert done wire | wire_diameter 0.014 [in_i]", "remove done wire | wire_diameter 0.014 [in_i]"],
        id="pulled, and so out, once",
    ),
    pytest.param(
        """Five French cobra is in.
        Pulled the cobra back into the aorta.""",
        ["insert done catheter | gauge 5 [Ch]"],
        id="pulled back is in still",
    ),
    pytest.param(
        "I let it go half an inch above the renals.",
        [],
        id="half an inch is no wire",
    ),
    pytest.param(
        """Sheath seven, please.
        Sheath seven is in. A stiff thirty-eight, please.
        The thirty-eight is through. Sheath seven is out, thirty-eight out.""",
        [
            "insert planned sheath | gauge 7 [Ch]",
            "insert done sheath | gauge 7 [Ch]",
            "insert planned wire | wire_diameter 0.038 [in_i]",
            "insert done wire | wire_diameter 0.038 [in_i]",
            "remove done sheath | gauge 7 [Ch]",
            "remove done wire | wire_diameter 0.038 [in_i]",
        ],
        id="numbers behind the noun, wires called by their number",
    ),
    pytest.param(
        """I ask for a wire twenty-five and multipurpose catheter four.
        The wire passes. A new wire, fourteen this time, is in.""",
        [
            "insert planned wire | wire_diameter 0.025 [in_i]",
            "insert planned catheter | gauge 4 [Ch]",
            "insert done wire | wire_diameter 0.025 [in_i]",
            "insert done wire | wire_diameter 0.014 [in_i]",
        ],
        id="asked for with for",
    ),
    pytest.param(
        """Oh one four wire is in.
        Bed fourteen's on the phone. We lost by fourteen, out of thirty.""",
        ["insert done wire | wire_diameter 0.014 [in_i]"],
        id="a number of something else is no wire",
    ),
    pytest.param(
        """Six French sheath is in.
        Old six out, eight already in.""",
        [
            "insert done sheath | gauge 6 [Ch]",
            "remove done sheath | gauge 6 [Ch]",
            "insert done sheath | gauge 8 [Ch]",
        ],
        id="already in",
    ),
    pytest.param(
        """Wire thirty-five is in.
        Six by forty balloon, please. It goes over the wire, fourteen, eighteen.""",
        [
            "insert done wire | wire_diameter 0.035 [in_i]",
            "inflation planned balloon | diameter 6 mm, length 40 mm",
        ],
        id="over the wire, pressures",
    ),
    pytest.param(
        "An oh fourteen pressure wire, please.",
        ["insert planned pressure wire | wire_diameter 0.014 [in_i]"],
        id="oh fourteen",
    ),
    pytest.param(
        "The big sheath, eighteen French and thirty centimetres, went up.",
        ["insert done sheath | gauge 18 [Ch], length 30 cm"],
        id="gauge and length",
    ),
    pytest.param(
        """Six French left guide is engaged.""",
        ["insert done guide catheter | gauge 6 [Ch]"],
        id="a side in its name",
    ),
    pytest.param(
        """Support catheter, two point six French, in.
        Position was confirmed with two cc through the support catheter, which was then removed.""",
        [
            "insert done catheter | gauge 2.6 [Ch]",
            "run done | volume 2 mL",
            "remove done catheter | gauge 2.6 [Ch]",
        ],
        id="which was then removed: of what was only named as the way",
    ),
    pytest.param(
        """Cobra catheter, five French, in.
        Contrast was given through the cobra catheter, which was left in place.""",
        ["insert done catheter | gauge 5 [Ch]"],
        id="which was left: of what stays",
    ),
    pytest.param(
        """The fourteen French aspiration catheter was reintroduced for another pass, and was then withdrawn.""",
        [
            "insert done aspiration catheter | gauge 14 [Ch]",
            "remove done aspiration catheter | gauge 14 [Ch]",
        ],
        id="and was subsequently withdrawn",
    ),
    pytest.param(
        """Oh one four wire in. Guide catheter, eight French, in.
        The wire was removed, then the guide catheter.""",
        [
            "insert done wire | wire_diameter 0.014 [in_i]",
            "insert done guide catheter | gauge 8 [Ch]",
            "remove done wire | wire_diameter 0.014 [in_i]",
            "remove done guide catheter | gauge 8 [Ch]",
        ],
        id="one comes out and then another",
    ),
    pytest.param(
        """Oh one four wire in. Guide catheter, eight French, in.
        The wire was removed, then the guide catheter was flushed.""",
        [
            "insert done wire | wire_diameter 0.014 [in_i]",
            "insert done guide catheter | gauge 8 [Ch]",
            "remove done wire | wire_diameter 0.014 [in_i]",
        ],
        id="one comes out and then another is flushed",
    ),
    pytest.param(
        """Micro, two point four French, please, and an oh one six wire.
        The micro is in segment five with its wire.
        Micro's out with its wire.""",
        [
            "insert planned microcatheter | gauge 2.4 [Ch]",
            "insert planned wire | wire_diameter 0.016 [in_i]",
            "insert done microcatheter | gauge 2.4 [Ch]",
            "insert done wire | wire_diameter 0.016 [in_i]",
            "remove done microcatheter | gauge 2.4 [Ch]",
            "remove done wire | wire_diameter 0.016 [in_i]",
        ],
        id="with its wire: what waits goes in, and comes out, with it",
    ),
    pytest.param(
        """The two point seven French, please.
        It's in.""",
        [
            "insert planned microcatheter | gauge 2.7 [Ch]",
            "insert done microcatheter | gauge 2.7 [Ch]",
        ],
        id="no sheath is so thin",
    ),
    pytest.param(
        """The three French, please.
        It's in.""",
        [
            "insert planned sheath | gauge 3 [Ch]",
            "insert done sheath | gauge 3 [Ch]",
        ],
        id="a sheath may be of three French",
    ),
    pytest.param(
        "Micros are on the table, two point four French? Four pieces, doctor.",
        ["insert planned microcatheter | gauge 2.4 [Ch]"],
        id="how many there are is no size",
    ),
    pytest.param(
        "Right guide, six French, over the wire, please.",
        ["insert planned guide catheter | gauge 6 [Ch]"],
        id="asked for with the way it goes",
    ),
    pytest.param(
        "The guide goes up over the wire, please hold it.",
        ["insert done guide catheter"],
        id="told with the way it went",
    ),
    pytest.param(
        "Box says the filter's good to twenty-eight.",
        ["insert quoted filter | diameter 28 mm"],
        id="how wide a vein a filter is for",
    ),
    pytest.param(
        "A four French sheath was advanced and subsequently exchanged for a six French sheath.",
        [
            "insert done sheath | gauge 4 [Ch]",
            "remove done sheath | gauge 4 [Ch]",
            "insert done sheath | gauge 6 [Ch]",
        ],
        id="put in and later exchanged, in one sentence",
    ),
    pytest.param(
        "Seven French sheath, forty-five. Seven by forty-five. Sheath is in.",
        ["insert done sheath | gauge 7 [Ch], length 45 cm"],
        id="a gauge and a length read back as one size are no balloon's",
    ),
    pytest.param(
        """Filter, please.
        Deployed. Sheath out.""",
        [
            "insert planned filter",
            "insert done filter",
            "remove done sheath",
        ],
        id="a filter asked for, then deployed",
    ),
]
test_devices = tells(CASES)


def test_what_comes_out_is_doubtful_where_two_in_the_patient_bear_its_name() -> None:
    *_, doubtful = tell("Six French sheath is in. Four French sheath is in.\nThe sheath is out.")
    *_, sure = tell("Six French sheath is in. Four French sheath is in.\nThe four French sheath is out.")
    assert "which-device" in doubtful.values["gauge"].flags
    assert doubtful.values["gauge"].review
    assert not sure.values["gauge"].review


TOLD_APART = [
    pytest.param(
        """Six French sheath is in. I'm asking for the six French, forty-five centimetre sheath.
        Short sheath's out. The long sheath is over.""",
        [
            "insert done sheath | gauge 6 [Ch]",
            "insert planned sheath | gauge 6 [Ch], length 45 cm",
            "remove done sheath | gauge 6 [Ch]",
            "insert done sheath | gauge 6 [Ch], length 45 cm",
        ],
        id="a long sheath is none that went in with no length",
    ),
    pytest.param(
        "Six French sheath, eleven centimetre, is in. The eleven centimetre sheath is out.",
        ["insert done sheath | gauge 6 [Ch], length 11 cm", "remove done sheath | gauge 6 [Ch], length 11 cm"],
        id="a short one is",
    ),
    pytest.param(
        "Wire, oh three five, is in. Wire oh one four is in. The small wire goes out. The thick wire is out.",
        [
            "insert done wire | wire_diameter 0.035 [in_i]",
            "insert done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | wire_diameter 0.035 [in_i]",
        ],
        id="a small wire and a thick one",
    ),
    pytest.param(
        "Wire, oh three five, is in. Wire oh one four is in.\nWires out, both of them.",
        [
            "insert done wire | wire_diameter 0.035 [in_i]",
            "insert done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | wire_diameter 0.014 [in_i]",
            "remove done wire | wire_diameter 0.035 [in_i]",
        ],
        id="both of them",
    ),
    pytest.param(
        "The thirty-five wire goes up, and over it the pigtail catheter of four French.\nThe pigtail is out.",
        [
            "insert done wire | wire_diameter 0.035 [in_i]",
            "insert done catheter | gauge 4 [Ch]",
            "remove done catheter | gauge 4 [Ch]",
        ],
        id="over it",
    ),
    pytest.param(
        "Thrombectomy catheter, six French, please. It's in.\nThrombectomy cath's out.",
        [
            "insert done thrombectomy catheter | gauge 6 [Ch]",
            "remove done thrombectomy catheter | gauge 6 [Ch]",
        ],
        id="said short",
    ),
    pytest.param(
        "Now you may have your oh one four wire, three hundred centimetres.",
        ["insert planned wire | length 300 cm, wire_diameter 0.014 [in_i]"],
        id="you may have",
    ),
]
test_which_of_two_is_told_by_its_size = tells(TOLD_APART)


@pytest.mark.parametrize(
    ("line", "doubtful"),
    [
        pytest.param("The cath goes back in.", True, id="any of two"),
        pytest.param("The thrombectomy cath goes back in.", False, id="one of them by its name"),
    ],
)
def test_a_catheter_that_goes_back_in_may_be_another_that_came_out(line: str, doubtful: bool) -> None:
    lines = "Five French catheter is in.\nCatheter's out.\nThrombectomy catheter, six French, is in.\nThat's out.\n"
    back = [event for event in tell(lines + line + "\nAnd it's out.") if event.kind in {"insert", "remove"}][-2:]
    assert [event.values["gauge"].review for event in back] == [doubtful, doubtful]


#: Sizes told right after what is in, and what they make of it.
TOLD_AFTER = [
    pytest.param("The sheath's up and over. Six French, ninety.", "gauge 6 [Ch], length 90 cm", id="next sentence"),
    pytest.param("The wire is in, oh one eight.", "wire_diameter 0.018 [in_i]", id="same sentence"),
    pytest.param("The three five wire is in.", "wire_diameter 0.035 [in_i]", id="digit by digit"),
]


@pytest.mark.parametrize(("lines", "values"), TOLD_AFTER)
def test_a_size_told_after_what_is_in(lines: str, values: str) -> None:
    events = told(lines)
    assert len(events) == 1
    assert events[0].endswith(f"| {values}")


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param("The wire is in. Six French sheath, please.", id="another device"),
        pytest.param("The sheath is in. Oh one eight, please.", id="asked for"),
        pytest.param("Five French sheath is in. Six French next.", id="another size"),
    ],
)
def test_a_size_of_something_else(lines: str) -> None:
    assert len(told(lines)) == 2


#: Forms of one size, said beside the word it is of.
SIZES = [
    *(
        pytest.param(f"The hydrophilic {form} is in.", ("wire_diameter", 0.035), id=form)
        for form in (
            "zero comma three five", "null comma thirty-five", "thirty-five thousandth", "null three five",
            "three five", "double zero three five", "thirty-five",
        )
    ),
    pytest.param("We change for a stiff thirty-five wire.", ("wire_diameter", 0.035), id="change for"),
    pytest.param("A sheath F six is in.", ("gauge", 6), id="F six"),
    pytest.param("Stiff wire oh three five, a metre eighty, is in.", ("length", 180), id="a metre eighty"),
    pytest.param("Oh three five by one eighty, please.", ("length", 180), id="by its length"),
    pytest.param("Sheath of six French and ninety is in.", ("length", 90), id="and"),
    pytest.param("Microcatheter two point seven, one hundred thirty, please.", ("length", 130), id="bare gauge"),
    pytest.param("Six French sheath, nine hundred millimetres, is in.", ("length", 900), id="in millimetres"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "size"), SIZES)
def test_forms_of_a_size(line: str, size: tuple[str, float]) -> None:
    key, number = size
    assert [event.values[key].value for event in tell(line) if key in event.values] == [number]


def test_a_size_told_behind_a_question_for_it_stands_in_another_sentence_than_its_device() -> None:
    lines = "What sheath do you want?\nSeven, forty-five.\nGood, and it's in."
    assert told(lines)[-1] == "insert done sheath | gauge 7 [Ch], length 45 cm"
