"""Speakers who think aloud: what was thought of and is not used, doses beside the one given, balloons by number."""

import pytest

from .telling import tell, tells, told

SHEATH = "Six French sheath is in, right groin.\n"
IN = "insert done sheath | gauge 6 [Ch]"

DOSES = [
    pytest.param("Apixaban from Thursday, two point five milligrams and not the five.",
                 ["drug planned apixaban | dose 2.5 mg", "drug negated apixaban | dose 5 mg"], id="and not the five"),
    pytest.param("Heparin two thousand units was given and the full five thousand I refused her.",
                 ["drug done heparin | dose 2000 [iU]", "drug negated heparin | dose 5000 [iU]"], id="the full dose"),
    pytest.param("So heparin, three thousand, and not the usual five.",
                 ["drug planned heparin | dose 3000 [iU]", "drug negated heparin | dose 5000 [iU]"], id="in thousands"),
    pytest.param("Heparin, three thousand, not five.", ["drug planned heparin | dose 3000 [iU]"],
                 id="a slip put right rules nothing out"),
    pytest.param("Perhaps fifty of fentanyl too, if he'd like it.\nNo fentanyl, thank you.",
                 ["drug considered fentanyl | dose 50 ug", "drug negated fentanyl | dose 50 ug"],
                 id="what was thought of is what is refused"),
    pytest.param("Thrombin was mixed and the usual teaching is never more than one thousand units in one sitting.",
                 ["drug quoted thrombin | dose 1000 [iU]"], id="a rule of a drug only named"),
    pytest.param("Balloon, five by eighty, please.\nFive more of lidocaine, please.\nThe five's in.",
                 ["inflation planned balloon | diameter 5 mm, length 80 mm", "drug planned lidocaine | dose 5 mL",
                  "drug done lidocaine | dose 5 mL"], id="a number is the dose that waits"),
]  # fmt: skip
test_doses_beside_the_one_given = tells(DOSES, before=SHEATH, first=[IN])


BALLOONS = [
    pytest.param("The vein measures fifteen, so we might end up at a fourteen.",
                 ["measure done | diameter 15 mm", "inflation considered balloon | diameter 14 mm"],
                 id="thought of, by its number"),
    pytest.param("The vein measures five. Some folk would tell you a four every time.",
                 ["measure done | diameter 5 mm", "inflation considered balloon | diameter 4 mm"], id="others would"),
    pytest.param("We might be here until a quarter to four, or it might be a five.", [],
                 id="no vessel measured, no balloon spoken of"),
    pytest.param("Five by eighty balloon is in. Twelve atmospheres, a minute, and down.\n"
                 "Then the same balloon, up to the thigh narrowing, and sixteen there as well, thirty seconds.",
                 ["inflation done balloon | diameter 5 mm, duration 1 min, length 80 mm, pressure 12 atm",
                  "inflation done balloon | diameter 5 mm, duration 30 s, length 80 mm, pressure 16 atm"],
                 id="no share of a narrowing it goes to"),
    pytest.param("There is a stenosis, sixty.", ["finding done stenosis | stenosis 60 %"], id="a share right after it"),
]  # fmt: skip
test_balloons_by_number = tells(BALLOONS, before=SHEATH, first=[IN])


DEVICES = [
    pytest.param("Twenty-one gauge needle, floppy oh one eight, and a light while you're in that drawer.\n"
                 "So the floppy one stays in its hoop.",
                 ["insert planned wire | wire_diameter 0.018 [in_i]",
                  "insert negated wire | wire_diameter 0.018 [in_i]"],
                 id="left in its hoop"),
    pytest.param("So the plan. Right wire, oh one eight, then a balloon.\nWire, please, oh one eight.\nThat's in.",
                 ["insert planned wire | wire_diameter 0.018 [in_i]"] * 2
                 + ["insert done wire | wire_diameter 0.018 [in_i]"], id="asked for after it was in the plan"),
    pytest.param("Wire, please, oh one eight. The oh one eight, yes.",
                 ["insert planned wire | wire_diameter 0.018 [in_i]"], id="asked for twice, without a plan"),
]  # fmt: skip
test_what_is_asked_for_and_stays_in_its_packet = tells(DEVICES, before=SHEATH, first=[IN])


def test_waiting_is_no_pressing() -> None:
    lines = SHEATH + "Needle is out.\nI waited five minutes and looked again with four mils by hand."
    assert not [event for event in tell(lines) if event.kind == "closure"]


@pytest.mark.parametrize("line", ["No clot, and run-off, two vessels.", "It opens, and run-off is three vessels."])
def test_and_before_a_finding_is_no_command(line: str) -> None:
    events = tell(SHEATH + line)
    assert any(event.finding == "run-off" and event.status == "done" for event in events)
    assert not [event for event in events if event.kind == "run"]


def test_the_second_inflation_is_counted_among_all() -> None:
    lines = (
        "First inflation, a three by one hundred, eight atmospheres, a minute.\n"
        "Second inflation, a five by eighty, sixteen atmospheres, two minutes.\n"
        "Third, the same balloon, and sixteen there as well, thirty seconds.\n"
        "The second inflation, the five by eighty, I had that at sixteen and it was only six."
    )
    inflations = [event for event in tell(SHEATH + lines) if event.kind == "inflation"]
    assert [event.values["pressure"].value for event in inflations] == [8, 6, 16]


COILS = [
    pytest.param("Four by eight, detachable, please. In... no, wait, it's backing out. Not letting that go.",
                 ["embolise negated coil | count 1 {count}, diameter 4 mm, length 8 cm"], id="in, and not left there"),
    pytest.param("Coil, four by eight, please. It's in, and off. Now the patient is backing out.",
                 ["embolise done coil | count 1 {count}, diameter 4 mm, length 8 cm"], id="let go, and who else moves"),
    pytest.param("Coil, six by twenty, please. That's in, off. And one more the same behind it... off as well.",
                 ["embolise done coil | count 1 {count}, diameter 6 mm, length 20 cm"] * 2, id="one more the same"),
    pytest.param("Coil, five by fifteen, please. It's off.\nTwo more fives, short ones, the ten centimetre.\n"
                 "First one's in, off. Second... it's kinked in the hub. Bin it.",
                 ["embolise done coil | count 1 {count}, diameter 5 mm, length 15 cm",
                  "embolise planned coil | count 2 {count}, diameter 5 mm, length 10 cm",
                  "embolise done coil | count 1 {count}, diameter 5 mm, length 10 cm",
                  "embolise negated coil | diameter 5 mm, length 10 cm"], id="called by their width, one thrown away"),
    pytest.param("Glue? Half a mil would do it. On my own, four in the morning? No.",
                 ["embolise negated glue | volume 0.5 mL"], id="only asked about"),
    pytest.param("Gelatin slurry, though. Two mil syringe... dribble... one... one and a half, stop.\n"
                 "One last coil on the doorstep, six by twelve, please.",
                 ["embolise done gelatin | volume 1.5 mL", "embolise planned coil | diameter 6 mm, length 12 cm"],
                 id="one last coil is no volume"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "events"), COILS)
def test_embolics_that_are_not_left(lines: str, events: list[str]) -> None:
    micro = "Microcatheter's in the splenic.\n"
    assert told(micro + lines)[1:] == events


TOLD = [
    pytest.param("Graft ballooned last year, five by eighty, burst at sixteen.",
                 ["inflation past balloon | diameter 5 mm, length 80 mm, pressure 16 atm"],
                 id="the size of what it was ballooned with"),
    pytest.param("There's a narrowing, do we line it, seven by forty? No, we're not lining it.",
                 ["finding done stenosis", "stent negated stent | diameter 7 mm, length 40 mm"],
                 id="what would line it"),
    pytest.param("A stent, self-expanding, six by forty, was asked for and never deployed.\n"
                 "A six by sixty went in instead, opened well, and a five by forty up inside it, ten atmospheres.",
                 ["stent negated stent | diameter 6 mm, length 40 mm", "stent done stent | diameter 6 mm, length 60 mm",
                  "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm"],
                 id="one instead, and a balloon inside it"),
    pytest.param("Five French catheter and the oh three five wire, please.\nCatheter's down, wire's out the end of it.",
                 ["insert planned catheter | gauge 5 [Ch]", "insert planned wire | wire_diameter 0.035 [in_i]",
                  "insert done catheter | gauge 5 [Ch]", "insert done wire | wire_diameter 0.035 [in_i]"],
                 id="out of the catheter's end is in"),
    pytest.param("The femoral has a stenosis of thirty percent.\nThe thirty percent stenosis I left alone.",
                 ["finding done stenosis | stenosis 30 %"], id="one told before, by its share"),
    pytest.param("The femoral has a stenosis of thirty percent.\nAnd a fifty percent stenosis at the knee.",
                 ["finding done stenosis | stenosis 30 %", "finding done stenosis | stenosis 50 %"],
                 id="another one"),
    pytest.param("The box says a six French is two point seven on the outside.",
                 ["insert quoted sheath | gauge 6 [Ch]"],
                 id="what a box says, of the outside"),
    pytest.param("Drug coated, five by one-fifty, please. Eight by forty stent, please.\n"
                 "The stent goes back unopened, and so does the drug coated, still unopened.",
                 ["inflation planned balloon | diameter 5 mm, length 150 mm",
                  "stent planned stent | diameter 8 mm, length 40 mm",
                  "stent negated stent | diameter 8 mm, length 40 mm",
                  "inflation negated balloon | diameter 5 mm, length 150 mm"],
                 id="what goes back unopened"),
]  # fmt: skip
test_what_a_size_or_a_share_is_of = tells(TOLD, before=SHEATH, first=[IN])


NUMBERED = [
    pytest.param("Five French sheath is in too.\nBalloon, six by forty, is in, up to eight. That's the five, deflate.",
                 ["insert done sheath | gauge 5 [Ch]",
                  "inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 atm"],
                 id="minutes that are up are no sheath"),
    pytest.param("Cobra catheter, five French, is in. Microcatheter, two point seven French, is in.\n"
                 "Micro's out, the big catheter's back in the renal.",
                 ["insert done catheter | gauge 5 [Ch]", "insert done microcatheter | gauge 2.7 [Ch]",
                  "remove done microcatheter | gauge 2.7 [Ch]"], id="the big one is not the small one again"),
    pytest.param("Covered stents are lovely things.\nSix out. Straight up? Via a nine, I like him — nine French, in.",
                 ["remove done sheath | gauge 6 [Ch]", "insert done sheath | gauge 9 [Ch]"], id="via another sheath"),
]  # fmt: skip
test_what_a_number_or_a_size_word_means = tells(NUMBERED, before=SHEATH, first=[IN])


WAYS = [
    pytest.param("Could we go in on the left, pointing down? Four French sheath, oh one eight.",
                 ["access considered", "insert considered sheath | gauge 4 [Ch]",
                  "insert considered wire | wire_diameter 0.018 [in_i]"], id="and what it would take"),
    pytest.param("Could we go in on the left? Four French sheath, please.",
                 ["access considered", "insert planned sheath | gauge 4 [Ch]"], id="and what is asked for"),
    pytest.param("Could we go in on the left?\nSo not the brachial.", ["access considered", "access negated"],
                 id="a site ruled out"),
    pytest.param("So not the brachial.", [], id="no way in was thought of"),
    pytest.param("The surgeons could cut down on it, I suppose.", ["access considered"], id="somebody else's way"),
]  # fmt: skip
test_ways_in_thought_of_and_refused = tells(WAYS, before=SHEATH, first=[IN])


BEFORE = [
    pytest.param("Five days ago they went in by the left groin with a seven French sheath and pressed for ten minutes.",
                 ["insert past sheath | gauge 7 [Ch]", "closure past | duration 10 min, gauge 7 [Ch]"],
                 id="pressed days ago"),
    pytest.param("Yesterday the sonographer squeezed it with the probe for twenty minutes.",
                 ["closure past | duration 20 min"], id="squeezed yesterday"),
    pytest.param("Sheath's out. I'm pressing, ten minutes.",
                 ["remove done sheath | gauge 6 [Ch]", "closure done | duration 10 min, gauge 6 [Ch]"],
                 id="pressed now"),
    pytest.param("And a gram of tranexamic acid on the ward. We're not giving that again.",
                 ["drug past tranexamic acid | dose 1 g", "drug negated tranexamic acid | dose 1 g"],
                 id="given on the ward, and not again"),
    pytest.param("Heparin, five thousand. No, we're not giving that.", ["drug negated heparin | dose 5000 [iU]"],
                 id="ordered, and not given"),
]  # fmt: skip
test_what_was_before_this_case = tells(BEFORE, before=SHEATH, first=[IN])


SLIPS = [
    pytest.param("Run, twelve mils at six, four frames, och no, three frames. And go.",
                 "run done | frame_rate 3 /s, rate 6 mL/s, volume 12 mL", id="frames, och no"),
    pytest.param("An occlusion, five centimetres, ach no, four and a half.",
                 "finding done occlusion | length 4.5 cm", id="a length, ach no"),
    pytest.param("Balloon six by forty is up, twelve, aw no, fourteen atmospheres. Down.",
                 "inflation done balloon | diameter 6 mm, length 40 mm, pressure 14 atm", id="a pressure, aw no"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "event"), SLIPS)
def test_a_slip_with_a_sigh_is_put_right(line: str, event: str) -> None:
    assert told(SHEATH + line) == [IN, event]
