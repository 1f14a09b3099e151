"""Coils, plugs, particles: coils are millimetres by centimetres."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param(
        "Coil, six by twenty. It's in, detached.",
        ["embolise done coil | count 1 {count}, diameter 6 mm, length 20 cm"],
        id="in and detached",
    ),
    pytest.param(
        "Coil, eight by twenty, is in.",
        ["embolise done coil | count 1 {count}, diameter 8 mm, length 20 cm"],
        id="in at once",
    ),
    pytest.param(
        """Eight by thirty coil, please.
        That one is in.""",
        [
            "embolise planned coil | diameter 8 mm, length 30 cm",
            "embolise done coil | count 1 {count}, diameter 8 mm, length 30 cm",
        ],
        id="asked for, then in",
    ),
    pytest.param(
        "The vascular plug, ten millimetre, is deployed.",
        ["embolise done plug | count 1 {count}, diameter 10 mm"],
        id="a plug",
    ),
    pytest.param(
        "We could put another coil, four by six.",
        ["embolise considered coil | diameter 4 mm, length 6 cm"],
        id="could",
    ),
    pytest.param("No coil here.", ["embolise negated coil"], id="ruled out"),
    pytest.param(
        "Coil one, six by twenty, is in. Coil two, five by fifteen, is in.",
        [
            "embolise done coil | count 1 {count}, diameter 6 mm, length 20 cm",
            "embolise done coil | count 1 {count}, diameter 5 mm, length 15 cm",
        ],
        id="three coils counted",
    ),
    pytest.param(
        "We might use glue.",
        ["embolise considered glue"],
        id="might glue",
    ),
    pytest.param(
        "Twelve millimetre vascular plug, please.",
        ["embolise planned plug | diameter 12 mm"],
        id="plug asked",
    ),
    pytest.param(
        "Coil please, six by twenty, sorry, seven by twenty.",
        ["embolise planned coil | diameter 7 mm, length 20 cm"],
        id="corrected",
    ),
    pytest.param(
        """Six by twenty coil is in, detached.
        Another one, same size, is in, detached.""",
        [
            "embolise done coil | count 1 {count}, diameter 6 mm, length 20 cm",
            "embolise done coil | count 1 {count}, diameter 6 mm, length 20 cm",
        ],
        id="another the same",
    ),
    pytest.param(
        "No more coils.",
        ["embolise negated coil"],
        id="refused",
    ),
    pytest.param(
        """Five by ten coil, please. It's out in the parent vessel, take it back.
        Recaptured.""",
        ["embolise planned coil | diameter 5 mm, length 10 cm"],
        id="misplaced",
    ),
    pytest.param(
        "A fourteen millimetre vascular plug was placed.",
        ["embolise done plug | count 1 {count}, diameter 14 mm"],
        id="plug placed, dictated",
    ),
    pytest.param(
        "Three hundred micron particles, please.",
        ["embolise planned particles | diameter 0.3 mm"],
        id="particles asked",
    ),
    pytest.param(
        """Two coils, six by twelve, were deployed.
        One of four by eight followed and was released.""",
        [
            "embolise done coil | count 2 {count}, diameter 6 mm, length 12 cm",
            "embolise done coil | count 1 {count}, diameter 4 mm, length 8 cm",
        ],
        id="the number before the size",
    ),
    pytest.param(
        """Then coils. Two seven by twenties, please.
        First one's in, detached.
        Second is detached too.""",
        [
            "embolise planned coil | count 2 {count}, diameter 7 mm, length 20 cm",
            "embolise done coil | count 1 {count}, diameter 7 mm, length 20 cm",
            "embolise done coil | count 1 {count}, diameter 7 mm, length 20 cm",
        ],
        id="one by one",
    ),
    pytest.param(
        """Nine by thirty, detachable, one of those.
        It's in, it's detached.""",
        [
            "embolise planned coil | count 1 {count}, diameter 9 mm, length 30 cm",
            "embolise done coil | count 1 {count}, diameter 9 mm, length 30 cm",
        ],
        id="a size, then what it is the size of",
    ),
    pytest.param("A twelve plug, please.", ["embolise planned plug | diameter 12 mm"], id="a plug by its diameter"),
    pytest.param(
        """Coil, five by ten, please.
        Right, and switch the lamp off.""",
        ["embolise planned coil | diameter 5 mm, length 10 cm"],
        id="something else is off",
    ),
    pytest.param(
        """Could put a coil in that branch, three by six.
        So no three by six, we leave it.""",
        [
            "embolise considered coil | diameter 3 mm, length 6 cm",
            "embolise negated coil | diameter 3 mm, length 6 cm",
        ],
        id="thought of, then ruled out by its size",
    ),
    pytest.param(
        """Coil please, six by twelve, sorry, no, six by fifteen.""",
        ["embolise planned coil | diameter 6 mm, length 15 cm"],
        id="a no that puts right",
    ),
    pytest.param(
        """Five hundred micron beads, two mils, please.
        Going in. Half a mil. One. One point four, stop, stasis.""",
        [
            "embolise planned particles | diameter 0.5 mm, volume 2 mL",
            "embolise done particles | diameter 0.5 mm, volume 1.4 mL",
        ],
        id="what was made ready, what went in",
    ),
    pytest.param(
        "Particles, three hundred to five hundred micron, please.",
        ["embolise planned particles | diameter 0.3 mm"],
        id="a range is its lower end",
    ),
    pytest.param(
        """Glue's ready, one to four.
        Glue going in. Point two, point three, point five. Enough.
        Saline behind it, two mils.""",
        ["embolise done glue | volume 0.5 mL"],
        id="no mixture and no saline",
    ),
    pytest.param(
        """I give the slurry now. One... two... three and a half, it stands.
        Puff, five mils.""",
        ["embolise done gelatin | volume 3.5 mL", "run done | volume 5 mL"],
        id="a puff of contrast is no embolic",
    ),
    pytest.param(
        """Glue, slowly... point four, point seven, zero point eight... stop there.
        No embolus, one small tear drop in the trunk.""",
        [
            "embolise done glue | volume 0.8 mL",
            "finding negated embolus",
        ],
        id="a figure behind the last one counted, of something else",
    ),
    pytest.param(
        """Three hundred micron, two mils, please.
        Scrap the three hundreds then.""",
        [
            "embolise planned particles | diameter 0.3 mm, volume 2 mL",
            "embolise negated particles | diameter 0.3 mm",
        ],
        id="refused by the size of its grains alone",
    ),
    pytest.param(
        "Particles, three hundred micron. One mil, two mils, three mils. Stasis.",
        ["embolise done particles | diameter 0.3 mm, volume 3 mL"],
        id="counted up with its unit, in one sentence, until it stands",
    ),
    pytest.param(
        """Particles, three hundred micron. Two mils.
        One. Two. Stasis. Three mils in total.""",
        [
            "embolise planned particles | diameter 0.3 mm, volume 2 mL",
            "embolise done particles | diameter 0.3 mm, volume 3 mL",
        ],
        id="counted up without a unit, until it stands",
    ),
    pytest.param(
        "Four by ten coil times two, please. Both in, detached.",
        ["embolise done coil | count 2 {count}, diameter 4 mm, length 10 cm"],
        id="so many times a coil",
    ),
]
test_embolics = tells(CASES)


def test_microns_are_kept_as_millimetres() -> None:
    """Whatever becomes of them: 500 micron are 0.5 mm (a micron is 0.001 mm)."""
    (event,) = [line for line in told("Particles, five hundred micron, please.") if line.startswith("embolise")]
    assert "diameter 0.5 mm" in event


COUNTED = [
    pytest.param("Two more coils for the top, four by six. ... Both in, both detached.", [2], id="two more, both"),
    pytest.param("I put three small ones here, coils, three by four. One... two... all released.", [3], id="all"),
    pytest.param("Two together, both of six by ten, coils... both are released.", [2], id="together"),
    pytest.param("Coils, five by ten, two of those.\nOne off. Two off.", [1, 1], id="counted one by one"),
    pytest.param("Two five by ten coils, please.\nFirst one's in, all of it, detached.", [1], id="all of the first"),
]


@pytest.mark.parametrize(("lines", "counts"), COUNTED)
def test_how_many_are_let_go(lines: str, counts: list[int]) -> None:
    done = [event for event in tell("Puncture, six French sheath is in.\n" + lines) if event.kind == "embolise"]
    assert [event.values["count"].value for event in done if event.status == "done"] == counts


POURED_LATE = [
    pytest.param(
        "A little gelatin between, two mils, please. ... It has been injected, two mils.",
        ["embolise done gelatin | volume 2 mL"],
        id="injected a sentence later",
    ),
    pytest.param(
        "Maybe glue if it goes on bleeding, half a mil or so.",
        ["embolise considered glue | volume 0.5 mL"],
        id="how much of what is thought of",
    ),
    pytest.param(
        "Coil, six by ten, please.\nIt's prolapsing, take it out.\nFive by ten instead. Detached.",
        [
            "embolise planned coil | diameter 6 mm, length 10 cm",
            "embolise negated coil | diameter 6 mm, length 10 cm",
            "embolise done coil | count 1 {count}, diameter 5 mm, length 10 cm",
        ],
        id="one that does not stay",
    ),
]


@pytest.mark.parametrize(("lines", "expected"), POURED_LATE)
def test_what_was_made_ready_goes_in_or_does_not(lines: str, expected: list[str]) -> None:
    assert [line for line in told("Puncture, six French sheath is in.\n" + lines) if "sheath" not in line] == expected


SERIES = [
    pytest.param(
        "A coil, three by six, please.\nThe coil's off.\nAnd another the same, in the catheter... that's off too.",
        ["done coil | count 1 {count}, diameter 3 mm, length 6 cm"] * 2,
        id="another the same",
    ),
    pytest.param(
        "Coils, four by ten and seven by fifteen, please.\nFour's off, lovely.",
        ["done coil | count 1 {count}, diameter 4 mm, length 10 cm"],
        id="the one of that size",
    ),
    pytest.param(
        "A coil, nine by thirty, please.\nIt is detached.\nI'll end with a six by twenty... and it is deployed.",
        ["done coil | count 1 {count}, diameter 6 mm, length 20 cm"],
        id="deployed among coils",
    ),
    pytest.param(
        "Foam, then, shake it up. ... One mil gone in, and a bit more, that's one and a half in all.",
        ["done foam | volume 1.5 mL"],
        id="made ready, its volume untold",
    ),
    pytest.param(
        "We could glue it, one mil, but no glue today.",
        ["negated glue | volume 1 mL"],
        id="raised and refused in one breath",
    ),
]


@pytest.mark.parametrize(("lines", "expected"), SERIES)
def test_one_after_the_other(lines: str, expected: list[str]) -> None:
    got = [line.removeprefix("embolise ") for line in told(lines)]
    assert got[-len(expected) :] == expected


@pytest.mark.parametrize(
    ("line", "size"),
    [
        pytest.param("Particles now. Four hundred micron.", 0.4, id="the size comes after"),
        pytest.param("Particles now. Five hundred micron, no, no, four hundred.", 0.4, id="put right, the unit once"),
        pytest.param("Particles, five hundred micron, sorry, four hundred.", 0.4, id="put right in one sentence"),
    ],
)
def test_particles_announced_have_the_size_that_follows(line: str, size: float) -> None:
    planned, done = tell(line + "\nSlowly, one mil, two mils, two and a half, stasis.")
    assert (planned.status, planned.values["diameter"].value) == ("planned", size)
    assert (done.status, done.values["diameter"].value, done.values["volume"].value) == ("done", size, 2.5)


def test_what_is_named_after_its_volume_goes_in() -> None:
    lines = """Particles, five hundred microns, please.
    Going in. One mil, two, three. Stop there.
    Three mils of the seven hundred micron, slowly... they're in."""
    assert "embolise done particles | diameter 0.7 mm, volume 3 mL" in told(lines)


def test_a_coil_recovered_without_detachment_is_not_in() -> None:
    lines = "First coil of four by eight was unstable, and it was recovered without detachment."
    assert told(lines) == ["embolise negated coil | diameter 4 mm, length 8 cm"]


TOLD_BEFORE = [
    pytest.param(
        "We have placed a six by twenty coil.", ["embolise done coil | diameter 6 mm, length 20 cm"], id="perfect"
    ),
    pytest.param(
        "The branch was closed with two coils, five by ten.",
        ["embolise done coil | count 2 {count}, diameter 5 mm, length 10 cm"],
        id="what was done to the vessel",
    ),
    pytest.param(
        "Five by ten coil, it was closed the last time.",
        ["embolise planned coil | diameter 5 mm, length 10 cm"],
        id="the verb stands behind",
    ),
    pytest.param("I want to have deployed a plug of eight.", ["embolise planned plug | diameter 8 mm"], id="wanted"),
    pytest.param(
        "We've deployed a stent of eight by sixty.", ["stent done stent | diameter 8 mm, length 60 mm"], id="a stent"
    ),
    pytest.param(
        "Left limb, sixteen by one hundred.",
        ["stent planned stent | diameter 16 mm, length 100 mm"],
        id="a side is no verb",
    ),
    pytest.param(
        "We've put a seven by forty stent on the table.",
        ["stent planned stent | diameter 7 mm, length 40 mm"],
        id="where it lies",
    ),
    pytest.param("It took two mils of glue.", ["embolise done glue | volume 2 mL"], id="how much it took"),
    pytest.param("Two mils of glue, please.", ["embolise planned glue | volume 2 mL"], id="how much is to be made"),
]


test_the_verb_stands_before_the_name = tells(TOLD_BEFORE)


APART = [
    pytest.param(
        "The plug has fourteen millimetres. It is unscrewed.",
        ["embolise done plug | count 1 {count}, diameter 14 mm"],
        id="has",
    ),
    pytest.param(
        "Three coils were deployed, each four millimetres in diameter and ten centimetres in length.",
        ["embolise done coil | count 3 {count}, diameter 4 mm, length 10 cm"],
        id="behind the verb",
    ),
    pytest.param(
        "Coil six millimetres in diameter, twenty centimetres long.\nDetached.",
        [
            "embolise planned coil | diameter 6 mm, length 20 cm",
            "embolise done coil | count 1 {count}, diameter 6 mm, length 20 cm",
        ],
        id="called wide and long",
    ),
    pytest.param("The coil sits five millimetres from the sac.\nDetached.", [], id="a distance"),
    pytest.param("A twelve mil plug, please.", ["embolise planned plug | diameter 12 mm"], id="mil for millimetre"),
]


test_sizes_apart_from_the_name = tells(APART)


LET_GO = [
    pytest.param("Uncoupled.", 1, id="uncoupled"),
    pytest.param("I disconnect.", 1, id="first person"),
    pytest.param("I let it go.", 1, id="let go"),
    pytest.param("And release.\nReleased.", 1, id="said again by staff"),
    pytest.param("Released.\nThe next one.\nReleased.", 2, id="one more between"),
    pytest.param("Disconnect the pump.", 0, id="something else"),
]


@pytest.mark.parametrize(("lines", "done"), LET_GO)
def test_words_of_letting_go(lines: str, done: int) -> None:
    events = tell(f"Coil, six by twenty, please.\n{lines}")
    assert sum(event.status == "done" for event in events) == done


IN_OTHER_WORDS = [
    pytest.param(
        "Two coils of two by six were then deposited.",
        ["embolise done coil | count 2 {count}, diameter 2 mm, length 6 cm"],
        id="the verb behind",
    ),
    pytest.param(
        "The beads are of one hundred micron. We have injected two and a half millilitres in total.",
        ["embolise done particles | diameter 0.1 mm, volume 2.5 mL"],
        id="injected, and no contrast",
    ),
    pytest.param(
        "The liquid embolic runs, half a mil.", ["embolise done liquid embolic | volume 0.5 mL"], id="it runs"
    ),
    pytest.param(
        "My next coil has five millimetres and a length of twelve.",
        ["embolise planned coil | diameter 5 mm, length 12 cm"],
        id="asked for by its size",
    ),
]

test_embolics_in_other_words = tells(IN_OTHER_WORDS)

LET_GO_OTHERWISE = [
    pytest.param("And it's free.", 1, id="free"),
    pytest.param("The vessel is free of thrombus.", 0, id="free of"),
    pytest.param("Off it comes.", 1, id="off it comes"),
    pytest.param("Position is nice. Deploy.", 1, id="told to deploy"),
    pytest.param("I am releasing it now. Good.", 1, id="releasing"),
    pytest.param("Ready to release?", 0, id="asked whether ready"),
]


@pytest.mark.parametrize(("lines", "done"), LET_GO_OTHERWISE)
def test_a_coil_that_waits_is_let_go(lines: str, done: int) -> None:
    events = tell(f"Coil, six by twenty, please.\n{lines}")
    assert sum(event.kind == "embolise" and event.status == "done" for event in events) == done


TOLD_BY_VERB = [
    pytest.param("Deployment of a six by twenty coil was performed.", "done", id="the deed"),
    pytest.param("Deployment of a six by twenty coil is next.", "planned", id="the deed to come"),
    pytest.param("Half a mil of glue was enough.", "done", id="it was enough"),
    pytest.param("I am injecting glue, half a mil.", "done", id="being injected"),
    pytest.param("When I am injecting glue, half a mil.", "planned", id="not yet"),
    pytest.param("Glue, please.\nI inject. Half a mil. Stop.", "done", id="inject, of glue"),
]


@pytest.mark.parametrize(("lines", "status"), TOLD_BY_VERB)
def test_an_embolic_told_by_its_verb(lines: str, status: str) -> None:
    assert [event.status for event in tell(lines)] == [status]


SEVERAL_TOLD = [
    pytest.param("A nine millimetre plug I have placed.", ["embolise done plug | diameter 9 mm"], id="the thing first"),
    pytest.param(
        "We have now two coils delivered, both of six by twenty.",
        ["embolise done coil | count 2 {count}, diameter 6 mm, length 20 cm"],
        id="the verb between name and size",
    ),
    pytest.param(
        "Next is a plug.\nHow big?\nTen.", ["embolise planned plug | diameter 10 mm"], id="how big, of what was named"
    ),
    pytest.param("A nine millimetre plug I would have placed.", ["embolise planned plug | diameter 9 mm"], id="would"),
]

test_embolics_told_in_any_order = tells(SEVERAL_TOLD)


NOT_LET_GO = [
    pytest.param("It dropped off, get a new one.", 0, id="dropped off"),
    pytest.param("I dropped it.", 0, id="dropped"),
    pytest.param("Gone. None left.", 0, id="none left"),
    pytest.param("Gone, get a new one.", 0, id="a new one is wanted"),
    pytest.param("It's parked on the table.", 0, id="parked on the table"),
    pytest.param("It stays packed.", 0, id="stays packed"),
    pytest.param("It's packed in its box.", 0, id="packed in a box"),
    pytest.param("Placed on the trolley.", 0, id="placed on the trolley"),
    pytest.param("Delivered to the store.", 0, id="delivered to the store"),
    pytest.param("Landed from abroad.", 0, id="landed from elsewhere"),
    pytest.param("I turned it off my list.", 0, id="turned off a list"),
    pytest.param("We're through.", 0, id="we are through"),
    pytest.param("Patient's gone.", 0, id="the patient is gone"),
    pytest.param("Gone.", 1, id="gone"),
    pytest.param("Parked.", 1, id="parked"),
    pytest.param("That one stays.", 1, id="stays"),
    pytest.param("And it's packed at the origin.", 1, id="packed where it should be"),
    pytest.param("I turn it off the cable.", 1, id="turned off its cable"),
]


@pytest.mark.parametrize(("lines", "done"), NOT_LET_GO)
def test_what_lies_about_is_not_let_go(lines: str, done: int) -> None:
    events = tell(f"Coil, four by ten, please.\n{lines}")
    assert sum(event.status == "done" for event in events) == done


RANGES = [
    pytest.param("Three to five hundred particles please.", 0.3, [0.5], id="hundreds"),
    pytest.param("Particles, three hundred to five hundred micron, please.", 0.3, [0.5], id="microns"),
    pytest.param("Particles five hundred to seven hundred please.", 0.5, [0.7], id="no unit"),
    pytest.param("Three to five hundreds.", 0.3, [0.5], id="called by their hundreds"),
    pytest.param("Five hundred micron particles please.", 0.5, [], id="one size"),
]


@pytest.mark.parametrize(("line", "size", "others"), RANGES)
def test_a_range_of_grains_is_looked_at(line: str, size: float, others: list[float]) -> None:
    (event,) = tell(line)
    diameter = event.values["diameter"]
    assert diameter.value == size
    assert [other.value for other in diameter.alternatives] == others
    assert diameter.review is bool(others)


POURED_AGAIN = [
    pytest.param("Gelatin slurry in. Five... eight... ten mils.\nLeft side now.\nSame slurry, six mils, stasis.",
                 ["embolise done gelatin | volume 10 mL", "embolise done gelatin | volume 6 mL"],
                 id="the same once more, until it stops"),
    pytest.param("Gelatin slurry, ten mils, in.\nNow on the left, slurry again, six mils.",
                 ["embolise done gelatin | volume 10 mL", "embolise planned gelatin | volume 6 mL"],
                 id="again, and nothing tells that it went in"),
    pytest.param("Foam, four mils, in.\nMore foam, two mils, in.",
                 ["embolise done foam | volume 4 mL", "embolise done foam | volume 2 mL"], id="more of it"),
    pytest.param("Gelatin slurry in. Five... eight... ten mils.\nTwo more coils, five by ten, please.",
                 ["embolise done gelatin | volume 10 mL",
                  "embolise planned coil | count 2 {count}, diameter 5 mm, length 10 cm"], id="more of something else"),
    pytest.param("Particles, four hundred micron, maybe.\nWe use three hundred. Here goes... stasis after two mils.",
                 ["embolise considered particles | diameter 0.4 mm",
                  "embolise done particles | diameter 0.3 mm, volume 2 mL"], id="of another size than was thought of"),
    pytest.param("Particles of five hundred micron. Two mils in.\nNow seven hundred. Two mils more in.",
                 ["embolise done particles | diameter 0.5 mm, volume 2 mL",
                  "embolise done particles | diameter 0.7 mm, volume 2 mL"], id="of another size than went in"),
    pytest.param("Particles of five hundred micron. Two mils in.\nUse three hundred of saline.",
                 ["embolise done particles | diameter 0.5 mm, volume 2 mL"], id="of something else"),
    pytest.param("Particles of five hundred micron. Two mils in.\nHe owes me seven hundred.",
                 ["embolise done particles | diameter 0.5 mm, volume 2 mL"], id="no size of particles"),
    pytest.param("Liquid embolic is shaken, good.\nNow I inject, very slowly... together four and a half millilitres.",
                 ["embolise done liquid embolic | volume 4.5 mL"], id="injected, and no contrast"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "events"), POURED_AGAIN)
def test_what_is_poured_once_more(lines: str, events: list[str]) -> None:
    assert told("Microcatheter is in the splenic.\n" + lines)[1:] == events


def test_what_is_counted_is_of_the_particles_named_last() -> None:
    lines = """Microcatheter two point four is in.
    Particles, three hundred micron: one millilitre, then two. Three together. In.
    Five hundreds: one, two, two and a half. In.
    Wait seven minutes, or eight. Make it eight.
    """
    given = [event.values for event in tell(lines) if event.kind == "embolise"]
    assert [(each["diameter"].value, each["volume"].value) for each in given] == [(0.3, 3.0), (0.5, 2.5)]
