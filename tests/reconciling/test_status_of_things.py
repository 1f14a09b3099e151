"""What is told of a thing, crossed with the things it is told of: the status is the same for all of them."""

import pytest

from .telling import tell
from .test_phrasings import _is, _same, parsed

#: What a thing is called -> as a noun, to do it, did it, it was done, doing it, and the event with its values.
THINGS = {
    "stent": (
        "a seven by forty stent",
        "put a seven by forty stent",
        "put a seven by forty stent",
        "a seven by forty stent was placed",
        "putting a seven by forty stent",
        "stent", "diameter 7 mm, length 40 mm",
    ),
    "stentv": (
        "a stent of seven by forty",
        "stent it with a seven by forty",
        "stented it with a seven by forty",
        "it was stented with a seven by forty",
        "stenting it with a seven by forty",
        "stent", "diameter 7 mm, length 40 mm",
    ),
    "balloon": (
        "a six by sixty balloon",
        "dilate with a six by sixty balloon to ten",
        "dilated with a six by sixty balloon to ten",
        "it was dilated with a six by sixty balloon to ten",
        "dilating with a six by sixty balloon to ten",
        "inflation", "diameter 6 mm, length 60 mm",
    ),
    "heparin": (
        "five thousand of heparin",
        "give five thousand of heparin",
        "gave five thousand of heparin",
        "five thousand of heparin was given",
        "giving five thousand of heparin",
        "drug", "dose 5000 U",
    ),
    "protamine": (
        "thirty milligrams of protamine",
        "give thirty milligrams of protamine",
        "gave thirty milligrams of protamine",
        "thirty milligrams of protamine was given",
        "giving thirty milligrams of protamine",
        "drug", "dose 30 mg",
    ),
    "access": (
        "a brachial puncture",
        "puncture the brachial",
        "punctured the brachial",
        "the brachial was punctured",
        "puncturing the brachial",
        "access", "",
    ),
    "closure": (
        "a six French closure device",
        "close with a six French closure device",
        "closed with a six French closure device",
        "it was closed with a six French closure device",
        "closing with a six French closure device",
        "closure", "gauge 6 Fr",
    ),
    "press": (
        "manual compression for fifteen minutes",
        "press for fifteen minutes",
        "pressed for fifteen minutes",
        "it was pressed for fifteen minutes",
        "pressing for fifteen minutes",
        "closure", "duration 15 min",
    ),
    "sheath": (
        "an eight French sheath",
        "put in an eight French sheath",
        "put in an eight French sheath",
        "an eight French sheath was placed",
        "putting in an eight French sheath",
        "insert", "gauge 8 Fr",
    ),
    "coil": (
        "a six by twenty coil",
        "coil it with a six by twenty",
        "coiled it with a six by twenty",
        "it was coiled with a six by twenty",
        "coiling it with a six by twenty",
        "embolise", "diameter 6 mm, length 20 cm",
    ),
    "plug": (
        "a ten millimetre plug",
        "plug it with a ten millimetre plug",
        "plugged it with a ten millimetre plug",
        "it was plugged with a ten millimetre plug",
        "plugging it with a ten millimetre plug",
        "embolise", "diameter 10 mm",
    ),
    "particles": (
        "five hundred micron particles",
        "use five hundred micron particles",
        "used five hundred micron particles",
        "five hundred micron particles were used",
        "using five hundred micron particles",
        "embolise", "diameter 0.5 mm",
    ),
}  # fmt: skip
#: What is told, and the status it gives.
TALK = {
    "Three weeks ago they {VD}.": "past",
    "At her last visit {P}.": "past",
    "In Ghent {P} two years ago.": "past",
    "Last year somebody {VD}.": "past",
    "They had already {VD} in the other hospital.": "past",
    "In the first session, in May, {P}.": "past",
    "What happened last time? / They {VD}.": "past",
    "My colleague {VD} yesterday.": "past",
    "According to the letter {P}.": "past",
    "In two thousand eighteen {P}.": "past",
    "Before transfer {P}.": "past",
    "On Monday they {VD}, without success.": "past",
    "If it fails we could {V}.": "considered",
    "Maybe we {V}.": "considered",
    "I'd {V}.": "considered",
    "One might {V}.": "considered",
    "We may have to {V}.": "considered",
    "Unless it opens we {V}.": "considered",
    "{X} would be an option.": "considered",
    "We were thinking of {G}.": "considered",
    "I would {V}, if he were younger.": "considered",
    "Perhaps {X} later.": "considered",
    "Had I the choice I would {V}.": "considered",
    "What would you do? / {X}.": "considered",
    "You could {V}.": "considered",
    "Should it fail, {X}.": "considered",
    "I'm not sure whether to {V}.": "considered",
    "{X}, if need be.": "considered",
    "Otherwise we {V}.": "considered",
    "He may need {X}.": "considered",
    "We discussed {G}.": "considered",
    "As a rule we {V}.": "quoted",
    "The book says {V}.": "quoted",
    "In our department everybody gets {X}.": "quoted",
    "Normally one would {V}.": "quoted",
    "In the old days we would {V}.": "quoted",
    "The guidelines recommend {X}.": "quoted",
    "In this situation you always {V}.": "quoted",
    "We won't {V}.": "negated",
    "We are not going to {V}.": "negated",
    "{X} is not necessary.": "negated",
    "We decided against {X}.": "negated",
    "We did not {V}.": "negated",
    "There's no need to {V}.": "negated",
    "No need for {X}.": "negated",
    "I don't want to {V}.": "negated",
    "I would not {V}.": "negated",
    "I refuse to {V}.": "negated",
    "We'd better not {V}.": "negated",
    "Don't {V}.": "negated",
    "He does not get {X}.": "negated",
    "We never {VD}.": "negated",
    "We wanted to {V} but we didn't.": "negated",
    "I was going to {V}, but no.": "negated",
    "Tomorrow we {V}.": "planned",
    "The plan is to {V}.": "planned",
    "The plan: {X}.": "planned",
    "Next week we will {V}.": "planned",
    "We intend to {V}.": "planned",
    "He is booked for {X}.": "planned",
    "We are going to {V} in a moment.": "planned",
    "At the end we'll {V}.": "planned",
}
#: Not understood yet.
NOT_YET = {
    "We were thinking of {G}.": ("stentv",),
    "We discussed {G}.": ("stentv",),
    "We decided against {X}.": ("access",),
    "We did not {V}.": ("sheath",),
    "No need for {X}.": ("sheath",),
    "We never {VD}.": (
        "particles",
        "sheath",
    ),
    "We wanted to {V} but we didn't.": ("access",),
    "I was going to {V}, but no.": ("access",),
    "The plan: {X}.": (
        "access",
        "closure",
        "press",
    ),
    "Next week we will {V}.": ("access",),
    "We intend to {V}.": ("access",),
    "He is booked for {X}.": (
        "access",
        "sheath",
    ),
    "We are going to {V} in a moment.": (
        "access",
        "press",
        "sheath",
    ),
    "At the end we'll {V}.": (
        "access",
        "balloon",
        "press",
    ),
}


def _line(talk: str, thing: tuple[str, ...]) -> str:
    for sign, words in zip(("{X}", "{V}", "{VD}", "{P}", "{G}"), thing, strict=False):
        talk = talk.replace(sign, words)
    return talk.replace(" / ", "\n")


def _told(talk: str, name: str) -> bool:
    thing = THINGS[name]
    head, _, values = parsed(f"{thing[5]} {TALK[talk]} | {thing[6]}")
    given = [event for event in tell(_line(talk, thing)) if event.kind == thing[5]]
    return len(given) == 1 and _is(given[0], head, "", {}) and all(_same(given[0], k, v) for k, v in values.items())


@pytest.mark.parametrize("talk", TALK)
def test_the_status_of_things(talk: str) -> None:
    assert {name for name in THINGS if not _told(talk, name)} == set(NOT_YET.get(talk, ()))
