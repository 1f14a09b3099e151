"""Figures said until one of them stands: a guess and the right one, an order and how far it went, another's answer. The
one that stands is kept; it, and whatever could be meant instead, is looked at.
"""

import pytest

from .telling import tell

SHEATH = "A six French sheath is in.\n"
ACROSS = "Six by forty balloon's across.\n"

#: (lines, kind, value key, the one that stands)
SETTLED = [
    pytest.param(
        "A stenosis here, sixty percent I would say, the machine says seventy-two, so seventy-two.",
        "finding", "stenosis", 72, id="so this one",
    ),
    pytest.param(
        "The narrowing, a stenosis, forty, forty-five, let's not argue, forty-five percent.", "finding", "stenosis", 45,
        id="the one with its unit",
    ),
    pytest.param(
        "Gelatine slurry goes in, six mils, but it stands, Ines says three, so three it is.",
        "embolise", "volume", 3, id="three it is",
    ),
    pytest.param(
        "Heparin, three thousand, is in. Was it three? Four, says Olu, so four thousand it is.", "drug", "dose", 4000,
        id="as somebody else says",
    ),
    pytest.param(
        "Verapamil, five milligrams, is in... she shakes her head... two and a half, I stand corrected.",
        "drug", "dose", 2.5, id="the speaker stands corrected",
    ),
    pytest.param(ACROSS + "Up to twenty, but we only got to sixteen. Down.", "inflation", "pressure", 16,
                 id="only got to"),
    pytest.param(
        ACROSS + "He goes up, he wants eighteen, I shout... he stops at fifteen. And down.",
        "inflation", "pressure", 15, id="stops at",
    ),
    pytest.param(ACROSS + "Ten. Up to eighteen, no further, we ended up at sixteen. Down.",
                 "inflation", "pressure", 16, id="ended up at"),
    pytest.param("Contrast, was it sixty-two? Fifty-two. Screening nine minutes.", "total", "contrast_volume", 52,
                 id="a sum asked, another answered"),
    pytest.param(
        "Contrast eighty, is that right? No, ninety. Screening time twelve minutes.", "total", "contrast_volume", 90,
        id="a sum said to be wrong",
    ),
    pytest.param(
        "She has a drain from outside, eight French, twenty-five centimetres... no, it's in the letter, ten French, "
        "thirty centimetres, it is in.", "insert", "gauge", 10, id="all sizes once more",
    ),
    pytest.param(
        SHEATH + "For the hole a seven French closure plug... it's a six in there, so a six French plug, please.",
        "closure", "gauge", 6, id="what closes, in another size",
    ),
    pytest.param(
        SHEATH + "Sheath's out, manual pressure, four minutes... oh, give it eight.", "closure", "duration", 8,
        id="pressed for longer",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "kind", "key", "stands"), SETTLED)
def test_the_figure_that_stands_is_kept_and_looked_at(lines: str, kind: str, key: str, stands: float) -> None:
    last = [event.values[key] for event in tell(lines) if event.kind == kind and key in event.values][-1]
    assert (last.value, last.review) == (stands, True)


#: (lines, kind, value key, value): nothing else stands there, so nothing is to be looked at
UNSHAKEN = [
    pytest.param(ACROSS + "Ten, twelve, fourteen, and we stop at fourteen. Down.", "inflation", "pressure", 14,
                 id="stops where it was going"),
    pytest.param("Heparin, four thousand, is in, so that is done.", "drug", "dose", 4000, id="so, and no figure"),
    pytest.param("Contrast, was it sixty? Sixty, yes. Screening nine minutes.", "total", "contrast_volume", 60,
                 id="a sum asked, the same answered"),
    pytest.param("One balloon-mounted stent, eight by thirty-eight. Yes, thirty-eight, it is an odd size.",
                 "stent", "length", 38, id="the same size again"),
    pytest.param("Run, fifteen at five, make it three frames a second, and go.", "run", "rate", 5,
                 id="frames put no rate right"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "kind", "key", "value"), UNSHAKEN)
def test_what_nothing_rivals_stands(lines: str, kind: str, key: str, value: float) -> None:
    last = [event.values[key] for event in tell(SHEATH + lines) if event.kind == kind and key in event.values][-1]
    assert (last.value, last.review) == (value, False)


def test_a_question_about_a_pressure_is_answered_also_by_the_width_of_the_balloon() -> None:
    (up,) = [
        event
        for event in tell(ACROSS + "Up to... eight? Six is enough. Six, then, and down.")
        if event.status == "done"
    ]
    assert up.values["pressure"].value == 6


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("An eight French drain, please?", [("insert", "planned", 8, False)]),
        ("Eight by forty balloon, please? Seven.", [("inflation", "planned", 7, True)]),
        ("Is it an eight French drain?", [("insert", "planned", 8, True)]),
    ],
    ids=["please", "answered with another", "asked"],
)
def test_who_asks_for_something_politely_is_in_no_doubt(line: str, told: list[tuple[str, str, float, bool]]) -> None:
    events = [(event, next(iter(event.values.values()))) for event in tell(line)]
    assert [(event.kind, event.status, value.value, value.review) for event, value in events] == told


def test_a_wire_put_right_with_its_reason_is_one_wire() -> None:
    (wire,) = tell("The wire, please, the oh one four, no, that's for the heart, the oh one eight.")
    assert (wire.values["wire_diameter"].value, wire.values["wire_diameter"].review) == (0.018, True)


def test_an_inflation_that_was_only_contemplated_gives_no_time_to_the_last_one() -> None:
    events = tell(
        "A four by sixty balloon was inflated to eight atmospheres.\n"
        "A prolonged inflation of the four by sixty balloon for five minutes was contemplated, but was not performed."
    )
    assert [(event.status, sorted(event.values)) for event in events] == [
        ("done", ["diameter", "length", "pressure"]),
        ("negated", ["diameter", "duration", "length"]),
    ]


@pytest.mark.parametrize(
    ("line", "asks"),
    [
        ("Up to ten? Eight. Eight, then, twenty seconds, and down.", False),
        ("Up to ten? Eight. Eight atmospheres, yes. And down.", False),
        ("Up to ten? Eight. And down.", True),
        ("Up to ten? Eight. Eight? And down.", True),
    ],
    ids=["then", "yes", "not said again", "asked again"],
)
def test_an_answer_said_again_by_who_asked_stands(line: str, asks: bool) -> None:
    (up,) = [event for event in tell(ACROSS + line) if event.status == "done"]
    assert (up.values["pressure"].value, up.values["pressure"].review) == (8, asks)
