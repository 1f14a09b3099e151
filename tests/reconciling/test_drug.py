"""Drugs: an order is planned until somebody says it is in."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param("Heparin, three thousand, please.", ["drug planned heparin | dose 3000 [iU]"], id="ordered"),
    pytest.param("Five thousand units of heparin given.", ["drug done heparin | dose 5000 [iU]"], id="given"),
    pytest.param(
        """Heparin, three thousand, please.
        Heparin's in.""",
        ["drug planned heparin | dose 3000 [iU]", "drug done heparin | dose 3000 [iU]"],
        id="ordered, then in, with its dose",
    ),
    pytest.param(
        """A hundred micrograms of GTN, please.
        GTN is in.""",
        ["drug planned GTN | dose 100 ug", "drug done GTN | dose 100 ug"],
        id="micrograms",
    ),
    pytest.param(
        "Ten mils of one percent lidocaine in.",
        ["drug done lidocaine | dose 10 mL"],
        id="a concentration is no dose",
    ),
    pytest.param(
        "Midazolam two milligrams and fentanyl fifty micrograms given.",
        ["drug done midazolam | dose 2 mg", "drug done fentanyl | dose 50 ug"],
        id="two in one sentence",
    ),
    pytest.param("Give a gram of cefazolin, please.", ["drug planned cefazolin | dose 1 g"], id="a gram"),
    pytest.param("No heparin today.", ["drug negated heparin"], id="ruled out"),
    pytest.param(
        "The maximum dose of lidocaine is twenty mils.", ["drug quoted lidocaine | dose 20 mL"], id="a rule of dosing"
    ),
    pytest.param(
        "Clopidogrel seventy-five milligrams daily from tomorrow.",
        ["drug planned clopidogrel | dose 75 mg"],
        id="from tomorrow",
    ),
    pytest.param(
        "Heparin, five thousand, given.",
        ["drug done heparin | dose 5000 [iU]"],
        id="given, afterwards",
    ),
    pytest.param(
        "He had aspirin this morning at home.",
        ["drug past aspirin"],
        id="at home this morning",
    ),
    pytest.param(
        "Heparin four, no, five thousand please.",
        ["drug planned heparin | dose 5000 [iU]"],
        id="corrected",
    ),
    pytest.param(
        "We may need protamine later.",
        ["drug considered protamine"],
        id="may need",
    ),
    pytest.param(
        "Fentanyl fifty micrograms was given.",
        ["drug done fentanyl | dose 50 ug"],
        id="dictated",
    ),
    pytest.param(
        "Another twenty-five of fentanyl given.",
        ["drug done fentanyl | dose 25 ug"],
        id="another",
    ),
    pytest.param(
        "We're not giving heparin.",
        ["drug negated heparin"],
        id="not giving",
    ),
    pytest.param(
        "Half a milligram of midazolam is in.",
        ["drug done midazolam | dose 0.5 mg"],
        id="half a milligram",
    ),
    pytest.param(
        "Local going in, ten mils.",
        ["drug done lidocaine | dose 10 mL"],
        id="local going in",
    ),
    pytest.param(
        """Three thousand of heparin given.
        A further two thousand of heparin given.""",
        ["drug done heparin | dose 3000 [iU]", "drug done heparin | dose 2000 [iU]"],
        id="two doses",
    ),
    pytest.param(
        "Protamine? No, no protamine.",
        ["drug negated protamine"],
        id="refused",
    ),
    pytest.param(
        "Protamine twenty-five milligrams given.",
        ["drug done protamine | dose 25 mg"],
        id="milligrams",
    ),
    pytest.param(
        "Enoxaparin on the ward tonight.",
        ["drug planned enoxaparin"],
        id="on the ward",
    ),
    pytest.param(
        "Heparin five thousand in. Another two thousand of heparin given.",
        ["drug done heparin | dose 5000 [iU]", "drug done heparin | dose 2000 [iU]"],
        id="a second dose in one breath",
    ),
    pytest.param(
        "Heparin, five thousand, make that three thousand, given.",
        ["drug done heparin | dose 3000 [iU]"],
        id="a dose put right",
    ),
    pytest.param(
        "Protamine, twenty milligrams, only if he bleeds.",
        ["drug considered protamine | dose 20 mg"],
        id="only if",
    ),
    pytest.param("Hold the protamine.", ["drug negated protamine"], id="hold the drug"),
    pytest.param("Protamine was withheld.", ["drug negated protamine"], id="withheld"),
    pytest.param("Cefazolin, two grams, never given.", ["drug negated cefazolin | dose 2 g"], id="never given"),
    pytest.param(
        "Paracetamol, a gram, was given and tramadol wasn't needed.",
        ["drug done paracetamol | dose 1 g", "drug negated tramadol"],
        id="what is said behind one drug is not said of the other",
    ),
    pytest.param(
        "Heparin and protamine were withheld.",
        ["drug negated heparin", "drug negated protamine"],
        id="two share one verb",
    ),
    pytest.param(
        "Heparin, four thousand, was given in the ambulance.",
        ["drug past heparin | dose 4000 [iU]"],
        id="before she came",
    ),
    pytest.param("Aspirin eighty-one lifelong.", ["drug planned aspirin | dose 81 mg"], id="lifelong"),
    pytest.param(
        "Two hundred micrograms of GTN down the sheath. Two hundred GTN, done.",
        ["drug done GTN | dose 200 ug"],
        id="read back by its name: one",
    ),
    pytest.param(
        """Heparin, five thousand, please. Heparin, five thousand.
        Heparin's in.""",
        ["drug planned heparin | dose 5000 [iU]", "drug done heparin | dose 5000 [iU]"],
        id="read back in the same breath, then given once",
    ),
    pytest.param(
        "Ten mils of lidocaine, please... no, he's small, seven is plenty. Seven in.",
        ["drug done lidocaine | dose 7 mL"],
        id="less is plenty",
    ),
    pytest.param(
        "Heparin, six thousand? Five thousand then, please. Given.",
        ["drug done heparin | dose 5000 [iU]"],
        id="asked, and another dose ordered",
    ),
    pytest.param(
        "Heparin, four thousand units, was given, and then two thousand more was given.",
        ["drug done heparin | dose 4000 [iU]", "drug done heparin | dose 2000 [iU]"],
        id="more, without its name",
    ),
    pytest.param(
        """Three hundred units of thrombin was injected.
        The needle was tilted and two hundred units more went in.""",
        ["drug done thrombin | dose 300 [iU]", "drug done thrombin | dose 200 [iU]"],
        id="more, in the next line",
    ),
    pytest.param(
        "Ten of lidocaine... and another five, fifteen in all, they are in.",
        ["drug done lidocaine | dose 15 mL"],
        id="parts and their sum",
    ),
    pytest.param(
        "Lidocaine, ten mils, right side, is in. Left the same.",
        ["drug done lidocaine | dose 10 mL", "drug done lidocaine | dose 10 mL"],
        id="the other side the same",
    ),
    pytest.param(
        "Has the protamine gone in? Yes, twenty-five.",
        ["drug done protamine | dose 25 mg"],
        id="asked, answered with a dose",
    ),
    pytest.param(
        "Fentanyl twenty-five? No, no fentanyl.", ["drug negated fentanyl | dose 25 ug"], id="asked and refused"
    ),
    pytest.param(
        """Fentanyl, fifty? Saturation ninety-one, doctor. So no fentanyl.""",
        ["drug negated fentanyl | dose 50 ug"],
        id="a vital sign answers no question of doses",
    ),
    pytest.param("We usually give seventy units a kilo of heparin.", ["drug quoted heparin"], id="a rule by weight"),
    pytest.param(
        "Heparin, eighty a kilo, says the sheet. He gets five thousand. … Five thousand, that's in.",
        ["drug quoted heparin", "drug done heparin | dose 5000 [iU]"],
        id="a rule by weight, and what this one gets",
    ),
    pytest.param(
        "Heparin, seventy a kilo, so five thousand please.",
        ["drug planned heparin | dose 5000 [iU]"],
        id="a rate is no dose",
    ),
    pytest.param(
        "Heparin four hundred units an hour, that's started.", ["drug done heparin"], id="an infusion has no dose"
    ),
    pytest.param(
        """Heparin, five thousand, please.
        I see him in six weeks.""",
        ["drug planned heparin | dose 5000 [iU]"],
        id="in six weeks is not in",
    ),
    pytest.param(
        """Heparin, five thousand, please.
        Nine mils of lidocaine, that's in.""",
        ["drug planned heparin | dose 5000 [iU]", "drug done lidocaine | dose 9 mL"],
        id="what is in is the one just named",
    ),
    pytest.param("The lines were locked with citrate.", ["drug done citrate"], id="a verb before it"),
    pytest.param("Atropine, nought point six, given.", ["drug done atropine | dose 0.6 mg"], id="the unit it must be"),
    pytest.param("Five of heparin given.", ["drug done heparin | dose 5000 [iU]"], id="five means thousands"),
    pytest.param("Glass of heparin on the table, two vials in twenty cc.", [], id="vials are no dose"),
    pytest.param(
        """Five mils of lidocaine, please.
        The five's in.""",
        ["drug planned lidocaine | dose 5 mL", "drug done lidocaine | dose 5 mL"],
        id="called by its number",
    ),
    pytest.param(
        """GTN, two hundred micrograms, please. In.
        Another GTN, same dose, please.
        Two hundred's gone in.""",
        ["drug done GTN | dose 200 ug", "drug planned GTN | dose 200 ug", "drug done GTN | dose 200 ug"],
        id="another of the same",
    ),
]
test_drugs = tells(CASES)


#: Orders put right before they are given: the dose that is given, and whether it is looked at.
REWRITTEN = [
    pytest.param("Heparin, four thousand, please.\nWait, three.\nHeparin's in.", 3000, True, id="wait, three"),
    pytest.param("Heparin, four thousand, please.\nThree thousand is in.", 3000, True, id="another dose is in"),
    pytest.param(
        "Heparin, four thousand, please.\nMake it two and a half thousand.\nIt's in.", 2500, True, id="make it"
    ),
    pytest.param("Heparin, four thousand, please. Five, then.\nHeparin's in.", 5000, False, id="five, then, at once"),
    pytest.param(
        "Heparin, four thousand, please.\nThere are only three thousand in this one.\nHeparin's in.",
        4000,
        True,
        id="another dose spoken of: doubted",
    ),
    pytest.param("Heparin, four thousand, please.\nTable to ninety.\nHeparin's in.", 4000, False, id="the table"),
    pytest.param("Heparin, four thousand, please.\nFour thousand.\nHeparin's in.", 4000, False, id="read back"),
    pytest.param("Heparin, four thousand, please.\nFour thousand is in.", 4000, False, id="the dose is in"),
]


@pytest.mark.parametrize(("lines", "dose", "review"), REWRITTEN)
def test_an_order_put_right_before_it_is_given(lines: str, dose: float, review: bool) -> None:
    events = tell("Puncture, six French sheath is in.\n" + lines)
    (given,) = [event for event in events if event.kind == "drug" and event.status == "done"]
    assert (given.values["dose"].value, given.values["dose"].review) == (dose, review)


APART = [
    pytest.param(
        "Heparin, the gentleman is ninety kilos, so I say eight thousand.\nIt has passed.",
        ["drug planned heparin | dose 8000 [iU]", "drug done heparin | dose 8000 [iU]"],
        id="after his weight",
    ),
    pytest.param(
        "Cefuroxime first. One and a half grams. It is in.",
        ["drug done cefuroxime | dose 1.5 g"],
        id="a sentence later",
    ),
    pytest.param(
        "Heparin please.\nHow much?\nSix thousand.\nHeparin's in.",
        ["drug planned heparin | dose 6000 [iU]", "drug done heparin | dose 6000 [iU]"],
        id="asked how much",
    ),
    pytest.param("Heparin's in. Table to ninety, thank you.", ["drug done heparin"], id="no dose of it"),
]
test_a_dose_said_apart_from_its_drug = tells(APART)


FRONTED = [
    pytest.param("Protamine we do not give.", ["drug negated protamine"], id="the drug first"),
    pytest.param("So protamine we give not.", ["drug negated protamine"], id="the no last"),
    pytest.param(
        "Protamine I thought about, and we are not giving it.",
        ["drug negated protamine"],
        id="only named, then refused",
    ),
    pytest.param(
        "Protamine, twenty milligrams. No, cancel the protamine.",
        ["drug negated protamine | dose 20 mg"],
        id="cancelled at once",
    ),
    pytest.param(
        "Fentanyl, fifty micrograms, please, we are not monsters.",
        ["drug planned fentanyl | dose 50 ug"],
        id="not of the drug",
    ),
    pytest.param(
        "Atropine, half a milligram, but do not give yet.", ["drug planned atropine | dose 0.5 mg"], id="not yet"
    ),
    pytest.param(
        "I'd consider another two of alteplase if it stays.", ["drug considered alteplase | dose 2 mg"], id="considered"
    ),
]
test_ruled_out_in_any_order_of_words = tells(FRONTED)


@pytest.mark.parametrize(
    "said", ["is passed", "has gone", "is done, doctor", "it's all in", "give already, doctor", "already in"]
)
def test_ways_to_say_that_it_is_in(said: str) -> None:
    assert told(f"Nimodipine, two hundred micrograms by the introducer, slowly. ... {said.capitalize()}.") == [
        "drug done nimodipine | dose 200 ug"
    ]


SHOWN = [
    pytest.param("That's nine mils of lidocaine into the groin.", "done", id="into the groin"),
    pytest.param("There's four mils of lidocaine in under the rib.", "done", id="in under the rib"),
    pytest.param("There's nine mils of lidocaine in the gallipot.", "planned", id="still in its pot"),
    pytest.param("That's nine mils of lidocaine to go in.", "planned", id="to go in"),
]


@pytest.mark.parametrize(("line", "status"), SHOWN)
def test_a_dose_pointed_at_is_in(line: str, status: str) -> None:
    assert told(line) == [f"drug {status} lidocaine | dose {('four' in line and 4) or 9} mL"]


def test_already_in_of_something_else() -> None:
    assert told("Heparin, four thousand, please.\nThe wire already in the cava.")[0].startswith("drug planned")


def test_a_dose_no_one_gives_is_looked_at() -> None:
    (usual,) = tell("Midazolam, two milligrams, given.")
    (odd,) = tell("Midazolam, fifty milligrams, given.")
    assert not usual.values["dose"].review
    assert odd.values["dose"].flags == ("implausible",)


@pytest.mark.parametrize(
    ("line", "events"),
    [
        pytest.param("Heparin, three thousand in, and a further one thousand units given later.",
                     ["done 3000", "done 1000"], id="a further"),
        pytest.param("Heparin, three thousand in, then three thousand again, given.", ["done 3000", "done 3000"],
                     id="again"),
        pytest.param("Heparin, five thousand? No, three is enough. Three in.", ["done 3000"], id="no, another dose"),
        pytest.param("Heparin, five thousand? No, no heparin.", ["negated 5000"], id="no"),
        pytest.param("She's on heparin, five thousand twice daily.", ["past 5000"], id="taken before"),
    ],
)  # fmt: skip
def test_doses_answered_and_told_again(line: str, events: list[str]) -> None:
    drugs = [event for event in tell(f"Wire is in.\n{line}") if event.kind == "drug"]
    assert [f"{event.status} {event.values['dose'].value:g}" for event in drugs] == events


def test_a_loose_figure_after_an_order_puts_its_dose_in_doubt() -> None:
    order = tell("Wire is in.\nGive her two of midazolam along with it, or one, she's tiny.")[-1]
    assert order.values["dose"].flags == ("conflict", "unit-assumed")


#: (what is said, its drugs)
IN_OTHER_WORDS = [
    pytest.param("I have put in nine mils of lidocaine.", ["done lidocaine 9"], id="put in"),
    pytest.param("Put in nine mils of lidocaine, please.", ["planned lidocaine 9"], id="put in, please"),
    pytest.param("Adenosine, six milligrams... goes in now.", ["done adenosine 6"], id="goes in now"),
    pytest.param("Inject papaverine, thirty milligrams... papaverine finished.", ["done papaverine 30"], id="finished"),
    pytest.param(
        "Heparin, four thousand, please.\nHeparin done.", ["planned heparin 4000", "done heparin 4000"], id="done"
    ),
    pytest.param("Heparin, four thousand. That's four thousand away.", ["done heparin 4000"], id="away"),
    pytest.param("Fentanyl, fifty. Take that syringe away.", ["planned fentanyl 50"], id="something else goes away"),
    pytest.param("Fentanyl fifty, please. I go in the next branch.", ["planned fentanyl 50"], id="I go in somewhere"),
    pytest.param(
        "Papaverine, thirty milligrams down the sheath, if you'd be so kind.",
        ["planned papaverine 30"],
        id="a courtesy",
    ),
    pytest.param("Ketamine? He is asleep, we're not giving him any.", ["negated ketamine"], id="asked and refused"),
    pytest.param(
        "You want more heparin. We are not giving another dose.", ["negated heparin"], id="another dose refused"
    ),
    pytest.param("Atropine, point five of a milligram, given.", ["done atropine 0.5"], id="point five of a milligram"),
    pytest.param("Heparin, he's used to the stuff, four thousand, given.", ["done heparin 4000"], id="used to it"),
    pytest.param(
        "Heparin, six thousand. What does he weigh? Fifty. Ah, then four thousand.",
        ["planned heparin 4000"],
        id="ah, then",
    ),
    pytest.param(
        "Heparin, six thousand. Maybe four is enough? Good. Four thousand, not six.",
        ["planned heparin 4000"],
        id="not six",
    ),
    pytest.param("Lidocaine, nine mils, tell a lie, eight, given.", ["done lidocaine 8"], id="tell a lie"),
    pytest.param("Protamine we skip.", ["negated protamine"], id="skipped"),
    pytest.param("And protamine, I'm not giving her that.", ["negated protamine"], id="not giving her that"),
    pytest.param(
        "Lidocaine, nine right, in, and now the left, also nine.", ["done lidocaine 9"] * 2, id="the other side"
    ),
    pytest.param(
        "Lidocaine, nine right, in. And nine left, please.",
        ["done lidocaine 9", "planned lidocaine 9"],
        id="other side asked",
    ),
    pytest.param(
        "Right groin, lidocaine nine, in. Left groin, another nine, in.", ["done lidocaine 9"] * 2, id="another nine"
    ),
    pytest.param(
        "The textbook has two milligrams of alteplase, others give six. I ask you to draw up four.",
        ["quoted alteplase 2", "quoted alteplase 6", "planned alteplase 4"],
        id="what others give",
    ),
    pytest.param(
        "The local's in, seven mils of lidocaine... the nurse says eight. Eight then.",
        ["done lidocaine 8"],
        id="put right by another",
    ),
    pytest.param("Heparin, eight thousand. He is small. Six, then.", ["planned heparin 6000"], id="in thousands, then"),
    pytest.param(
        "Give three of midazolam, em, two, she's tiny, just the two milligrams.",
        ["planned midazolam 2"],
        id="just the two",
    ),
    pytest.param(
        "Fentanyl, a hundred, please.\nFentanyl's gone in, only she gave seventy-five.",
        ["planned fentanyl 100", "done fentanyl 75"],
        id="another dose was given",
    ),
]


@pytest.mark.parametrize(("lines", "drugs"), IN_OTHER_WORDS)
def test_given_asked_and_refused_in_other_words(lines: str, drugs: list[str]) -> None:
    said = [event for event in tell(lines) if event.kind == "drug"]
    assert [
        " ".join([event.status, event.drug or "", *(f"{value.value:g}" for value in event.values.values())])
        for event in said
    ] == drugs


def test_what_another_gave_asks_for_a_look() -> None:
    *_, given = tell("Fentanyl, a hundred, please.\nFentanyl's gone in, only she gave seventy-five.")
    assert given.values["dose"].review


def test_a_drug_that_is_injected_is_no_run() -> None:
    assert [event.kind for event in tell("Ten mils by hand, run.\nInject two hundred of GTN.")] == ["run", "drug"]


BEING_GIVEN = [
    pytest.param("I'm giving now heparin, five thousand.", ["done"], id="being given now"),
    pytest.param("We inject alteplase, four milligrams, in the thrombus.", ["done"], id="first person"),
    pytest.param("When the sheath is in I'm giving heparin, five thousand.", ["planned"], id="not yet"),
    pytest.param("Ondansetron four, hydrocortisone one hundred, both given.", ["done", "done"], id="both of a row"),
    pytest.param("Ondansetron four, hydrocortisone one hundred, please.", ["planned", "planned"], id="a row asked for"),
]


@pytest.mark.parametrize(("line", "statuses"), BEING_GIVEN)
def test_what_is_being_given(line: str, statuses: list[str]) -> None:
    assert [event.status for event in tell(line) if event.kind == "drug"] == statuses


ON_TOP = [
    pytest.param(
        "Heparin, five thousand given, I want two thousand on top.\nTwo thousand on top, in.",
        [
            "drug done heparin | dose 5000 [iU]",
            "drug planned heparin | dose 2000 [iU]",
            "drug done heparin | dose 2000 [iU]",
        ],
        id="on top of what was given",
    ),
    pytest.param("He takes aspirin seventy-five.", ["drug past aspirin | dose 75 mg"], id="taken at home"),
    pytest.param("Take heparin, five thousand.", ["drug planned heparin | dose 5000 [iU]"], id="to be taken"),
]

test_doses_on_top_and_at_home = tells(ON_TOP)


TOLD_OTHERWISE = [
    pytest.param(
        "Did the antibiotics go in?\nYes, two grams of cefazolin.",
        ["drug done cefazolin | dose 2 g"],
        id="asked, and yes",
    ),
    pytest.param(
        "Do we give antibiotics?\nYes, two grams of cefazolin.", ["drug planned cefazolin | dose 2 g"], id="to be given"
    ),
    pytest.param(
        "Administration of forty milligrams of pantoprazole was carried out.",
        ["drug done pantoprazole | dose 40 mg"],
        id="administration of",
    ),
    pytest.param(
        "Fifty more fentanyl, if she moves.", ["drug considered fentanyl | dose 50 ug"], id="only if something happens"
    ),
    pytest.param(
        "One thousand units of thrombin into the sac.", ["drug done thrombin | dose 1000 [iU]"], id="where it goes"
    ),
]

test_doses_in_other_words = tells(TOLD_OTHERWISE)


IN_SHORT = [
    pytest.param("Giving it now.", id="being given"),
    pytest.param("She's had it.", id="she has had it"),
    pytest.param("Injected.", id="injected, and no picture taken"),
]


@pytest.mark.parametrize("line", IN_SHORT)
def test_an_order_carried_out_in_few_words(line: str) -> None:
    assert told(f"Heparin, five thousand, please.\n{line}") == [
        "drug planned heparin | dose 5000 [iU]",
        "drug done heparin | dose 5000 [iU]",
    ]


SAID_OF_WHAT = [
    pytest.param("We're through.", False, id="we are through"),
    pytest.param("We're done.", False, id="we are done"),
    pytest.param("Patient's through to recovery later.", False, id="the patient goes through"),
    pytest.param("All done here.", False, id="all is done"),
    pytest.param("The case is done.", False, id="the case is done"),
    pytest.param("Time's passed.", False, id="time passed"),
    pytest.param("Patient's away.", False, id="the patient is away"),
    pytest.param("He's gone.", False, id="somebody is gone"),
    pytest.param("We've gone through the list.", False, id="gone through a list"),
    pytest.param("Everyone's on board.", False, id="people on board"),
    pytest.param("Five thousand units are on board the trolley.", False, id="on board the trolley"),
    pytest.param("Through.", False, id="through, of nobody knows what"),
    pytest.param("Flushed.", False, id="flushed, of nobody knows what"),
    pytest.param("The line is flushed through.", False, id="a line is flushed through"),
    pytest.param("It's through.", True, id="it is through"),
    pytest.param("That's flushed in.", True, id="that is flushed in"),
    pytest.param("Heparin's through.", True, id="the drug is through"),
    pytest.param("Five thousand units are on board.", True, id="its dose is on board"),
    pytest.param("On board.", True, id="on board, in answer"),
]


@pytest.mark.parametrize(("said", "given"), SAID_OF_WHAT)
def test_through_and_on_board_are_said_of_the_drug(said: str, given: bool) -> None:
    events = tell(f"Heparin five thousand please.\n{said}")
    assert [event.status for event in events] == ["planned", "done"][: 1 + given]


BESIDE_IT = [
    pytest.param("Heparin five thousand, line is flushed.", "planned", id="the line is flushed"),
    pytest.param("Heparin five thousand, sheath flushed through.", "planned", id="the sheath is flushed through"),
    pytest.param("Heparin five thousand is through.", "done", id="it is through"),
    pytest.param("Heparin five thousand, flushed in.", "done", id="it is flushed in"),
]


@pytest.mark.parametrize(("line", "status"), BESIDE_IT)
def test_what_is_flushed_beside_a_drug(line: str, status: str) -> None:
    assert told(line) == [f"drug {status} heparin | dose 5000 [iU]"]


@pytest.mark.parametrize(
    ("before", "marked"),
    [
        pytest.param("Heparin, five thousand, given.\n", False, id="named in this case"),
        pytest.param("", True, id="named by nobody"),
    ],
)
def test_a_drug_that_nobody_named_is_looked_at(before: str, marked: bool) -> None:
    drugs = [
        event for event in tell(f"{before}ACT is two oh nine.\nTwo thousand more.\nTwo thousand in.") if event.drug
    ]
    assert drugs[-1].drug == "heparin"
    assert drugs[-1].values["dose"].review is marked
    assert ("drug-assumed" in drugs[-1].values["dose"].flags) is marked


test_given_before_ordered_or_not = tells(
    [
        pytest.param(
            "Cefazolin two grams went in before you came.", ["drug past cefazolin | dose 2 g"], id="before the case"
        ),
        pytest.param(
            "Lidocaine ten mils, given beforehand.",
            ["drug done lidocaine | dose 10 mL"],
            id="before the puncture",
        ),
        pytest.param("Ceftriaxone two grams is ordered.", ["drug planned ceftriaxone | dose 2 g"], id="ordered"),
        pytest.param(
            "Midazolam two milligrams was given, and pethidine was not.",
            ["drug done midazolam | dose 2 mg", "drug negated pethidine"],
            id="one and not the other",
        ),
    ]
)
