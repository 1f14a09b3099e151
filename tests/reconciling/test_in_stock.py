"""What is taken because it is what there is; and talk of what there is that changes nothing."""

import pytest

from .telling import tell, tells

TAKEN = [
    pytest.param(
        'Long sheath, eight French. / "We only have a seven, sir." / Then seven.', "insert gauge 7", id="only, then"
    ),
    pytest.param(
        'Microcatheter, two point seven. "Two four is what was in the drawer." Fine, then two four is it.',
        "insert gauge 2.4",
        id="what was in the drawer",
    ),
    pytest.param(
        'Infusion catheter, five French, thirty centimetres. What is on the shelf? "Fifty only." Then fifty it is.',
        "insert length 50",
        id="the length and not the width",
    ),
    pytest.param(
        'Heparin, six thousand please. "I have five thousand drawn." Then five, that is in.',
        "drug dose 5000",
        id="thousands said once",
    ),
    pytest.param("Twelve French drain please. Ten only, doctor. Ten French will do.", "insert gauge 10", id="will do"),
    pytest.param("Plug of ten millimetres. The biggest is eight. Eight then.", "embolise diameter 8", id="behind it"),
    pytest.param(
        'Covered stent, eight by forty. "Only sixty in stock." So sixty.', "stent length 60", id="of two the nearer"
    ),
    pytest.param(
        "Oh three five wire, one fifty. One eighty. Whatever is there. / It's one eighty. / One eighty, up.",
        "insert length 180",
        id="said alone, and again",
    ),
    pytest.param(
        "Catheter, five French, sixty-five. Or is it eighty? / Eighty. / Catheter in.",
        "insert length 80",
        id="asked and answered by size alone",
    ),
    pytest.param(
        "Oh one eight wire. Two sixty. / Three hundred's all that's left. / Three hundred in, and past it.",
        "insert length 300",
        id="goes in by its size",
    ),
    pytest.param(
        "Oh three five wire, one hundred eighty, not enough from the wrist. Two sixty, yes. It is in.",
        "insert length 260",
        id="too short",
    ),
]


@pytest.mark.parametrize(("lines", "value"), TAKEN)
def test_what_there_is_is_taken(lines: str, value: str) -> None:
    kind, key, number = value.split()
    events = [event for event in tell(lines.replace(" / ", "\n")) if event.kind == kind]
    assert [event.values[key].value for event in events if key in event.values] == [float(number)] * len(events)
    assert events


def test_it_is_marked_where_it_was_told_and_carried_on_without() -> None:
    lines = 'Six French sheath please. "Only five in the box." Then five.\nSheath is in.\nSheath out.'
    values = [event.values["gauge"] for event in tell(lines)]
    assert {value.value for value in values} == {5.0}
    assert [value.review for value in values][0::2] == [True, False]


test_what_changes_nothing = tells(
    [
        pytest.param(
            "Six French sheath is in. Only five minutes now. Then five of lidocaine.",
            ["insert done sheath | gauge 6 [Ch]", "drug planned lidocaine | dose 5 mL"],
            id="another thing spoken of",
        ),
        pytest.param(
            "Six French sheath is in. We had only five people today. Fine.",
            ["insert done sheath | gauge 6 [Ch]"],
            id="nothing is taken",
        ),
        pytest.param(
            "Five French catheter is in. Gradient before was twenty. So four only now.",
            ["insert done catheter | gauge 5 [Ch]", "measure done | gradient 20 mm[Hg]"],
            id="a gradient",
        ),
        pytest.param(
            "Six French sheath is in. Then seven at four, two frames.",
            ["insert done sheath | gauge 6 [Ch]", "run done | frame_rate 2 /s, rate 4 mL/s, volume 7 mL"],
            id="an injection",
        ),
        pytest.param(
            "Oh three five wire, one fifty. One eighty? One fifty. One fifty in.",
            ["insert done wire | length 150 cm, wire_diameter 0.035 [in_i]"],
            id="asked back, and the first said again",
        ),
        pytest.param(
            'Six French sheath please. "Seven is on the shelf as well." Six.',
            ["insert planned sheath | gauge 6 [Ch]"],
            id="offered and not taken",
        ),
    ]
)
