"""Talk that is no event: vital signs, gantry angles, clock times, biscuits; and whole stories put together."""

import pytest

from .telling import told

TALK = [
    pytest.param("Good morning everybody, is the tea made?", id="greeting"),
    pytest.param("Heart rate eighty, blood pressure one forty over eighty.", id="vital signs"),
    pytest.param("Rotate to thirty degrees left anterior oblique.", id="gantry angle"),
    pytest.param("It's ten past nine. Music up a bit, please. Room temperature is nineteen.", id="clock and music"),
    pytest.param("Can somebody turn the lights down.", id="lights"),
    pytest.param("There are fourteen biscuits in the tin.", id="biscuits"),
    pytest.param("He weighs eighty kilos and he is seventy-two.", id="weight and age"),
    pytest.param("Breathe in, and hold your breath.", id="breath hold"),
]


@pytest.mark.parametrize("lines", TALK)
def test_no_event(lines: str) -> None:
    assert told(lines) == []


#: (what is said, the status of each event)
STATUS = [
    pytest.param("Heparin we do not give.", ["negated"], id="refused behind the thing"),
    pytest.param("Heparin we give not.", ["negated"], id="in another order"),
    pytest.param("A seven by forty balloon at the groin, this we don't put.", ["negated"], id="after a comma"),
    pytest.param("We do not put a stent there.", ["negated"], id="before the thing"),
    pytest.param(
        "We won't balloon that. A stent, seven by forty, is deployed.", ["negated", "done"], id="one sentence"
    ),
    pytest.param("On Friday a seven by forty stent went in.", ["past"], id="a weekday"),
    pytest.param("If it fails we put a seven by forty stent on Friday.", ["considered"], id="a weekday to come"),
    pytest.param("In two thousand and six a stent, seven by forty, was placed.", ["past"], id="a year in words"),
    pytest.param("Heparin, two thousand units, was given.", ["done"], id="two thousand is no year"),
    pytest.param("May, a ureteric stent, six French, long gone.", ["past"], id="read from the notes"),
    pytest.param("A seven by forty stent was requested.", ["planned"], id="requested"),
    pytest.param("It was elected to place a stent, seven by forty.", ["planned"], id="elected"),
    pytest.param("A seven by forty balloon was called for and inflated to ten bar.", ["done"], id="and done at once"),
    pytest.param("Eventually a seven by forty balloon afterwards.", ["considered"], id="eventually"),
    pytest.param("A seven by forty balloon, something like that.", ["considered"], id="something like that"),
    pytest.param("A seven by forty stent, should the top end be short.", ["considered"], id="should the"),
    pytest.param("Balloon first, seven by forty, it's on the form.", ["planned"], id="on the form"),
    pytest.param(
        "If we can't get through we might stent, seven by forty.", ["considered"], id="a no ends at the next subject"
    ),
    pytest.param("The dissection is larger than last week.", ["done"], id="compared with what was"),
    pytest.param("Dissection, last week.", ["past"], id="what was"),
    pytest.param("CT at three a.m. called a dissection.", ["past"], id="a dot that ends no sentence"),
    pytest.param("Heparin, two thousand, had been drawn up, but it was not given.", ["negated"], id="over a but"),
    pytest.param("Heparin, two thousand, please. Cancel the heparin.", ["negated"], id="cancelled"),
    pytest.param("A seven by forty balloon please. I don't want cry later.", ["planned"], id="no refusal of it"),
    pytest.param("Look if the dissection is there.", ["done"], id="an if that asks"),
]


@pytest.mark.parametrize(("lines", "status"), STATUS)
def test_status_of_what_is_told(lines: str, status: list[str]) -> None:
    assert [line.split()[1] for line in told(lines)] == status


def test_a_short_case_from_puncture_to_totals() -> None:
    case = """Right common femoral punctured under ultrasound. Good blood back.
    Six French sheath is in.
    Five thousand of heparin, please.
    Heparin's in.
    Oh three five wire is down in the popliteal.
    The six by forty balloon's across. Going up, four, eight, ten atmospheres.
    Hold for one minute.
    And down.
    Check run, five mils by hand... and go.
    No dissection.
    Wire's out. Sheath's out, I'm pressing, ten minutes.
    Total contrast forty mils, screening six minutes."""
    assert told(case) == [
        "access done",
        "insert done sheath | gauge 6 [Ch]",
        "drug planned heparin | dose 5000 [iU]",
        "drug done heparin | dose 5000 [iU]",
        "insert done wire | wire_diameter 0.035 [in_i]",
        "inflation done balloon | diameter 6 mm, duration 1 min, length 40 mm, pressure 10 atm",
        "run done | volume 5 mL",
        "finding negated dissection",
        "remove done wire | wire_diameter 0.035 [in_i]",
        "remove done sheath | gauge 6 [Ch]",
        "closure done | duration 10 min, gauge 6 [Ch]",
        "total done | contrast_volume 40 mL, fluoro_time 6 min",
    ]


def test_the_same_case_dictated() -> None:
    case = """A five French sheath was placed in the right common femoral artery.
    The stenosis was dilated with a six by forty balloon to ten atmospheres for one minute.
    Five thousand units of heparin were given.
    The sheath was removed and manual pressure was applied for ten minutes."""
    happened = [line for line in told(case) if not line.startswith("finding")]
    assert happened == [
        "insert done sheath | gauge 5 [Ch]",
        "inflation done balloon | diameter 6 mm, duration 1 min, length 40 mm, pressure 10 atm",
        "drug done heparin | dose 5000 [iU]",
        "remove done sheath | gauge 5 [Ch]",
        "closure done | duration 10 min, gauge 5 [Ch]",
    ]


def test_what_stands_under_a_dictated_history_was_before() -> None:
    case = """Clinical history, colon. One, thrombus of the left femoral vein. Two, a seven French sheath was placed.
    Technique, colon. A six French sheath was placed. The wire was advanced. Five thousand units of heparin were given.
    The sheath was removed. Ten minutes of pressure were held."""
    assert told(case)[:4] == [
        "finding past thrombus",
        "insert past sheath | gauge 7 [Ch]",
        "insert done sheath | gauge 6 [Ch]",
        "insert done wire",
    ]


def test_the_puncture_ends_a_history_that_no_heading_ended() -> None:
    case = """Indication, stenosis of the fistula. The outflow was dilated elsewhere.
    The cephalic vein was punctured. A six French sheath was placed. The wire was advanced. The sheath was flushed.
    The sheath was removed."""
    assert "insert done sheath | gauge 6 [Ch]" in told(case)


@pytest.mark.parametrize(
    ("refusal", "status"),
    [
        pytest.param("but we're not gonna do that", "negated", id="gonna"),
        pytest.param("but no, I think not, we won't", "negated", id="I think not"),
        pytest.param("and I shan't use it", "negated", id="shan't"),
        pytest.param("but let's not, eh", "negated", id="let's not"),
        pytest.param("but I'd rather not", "negated", id="rather not"),
        pytest.param("but we shall not risk one", "negated", id="shall not risk"),
        pytest.param("and it was not pursued", "negated", id="not pursued"),
        pytest.param("but that was thought better of", "negated", id="thought better of"),
        pytest.param("and I think we will", "considered", id="not refused"),
    ],
)
def test_refusals(refusal: str, status: str) -> None:
    (line,) = told(f"One might be tempted to put a stent in there, eight by forty, {refusal}.")
    assert line.split()[:2] == ["stent", status]


@pytest.mark.parametrize(
    ("line", "status"),
    [
        pytest.param("Now you may have your stent, eight by forty.", "planned", id="you may have"),
        pytest.param("You may need a stent, eight by forty.", "considered", id="you may need"),
        pytest.param("An eight by forty stent, if you'd be kind enough.", "planned", id="kind enough"),
        pytest.param("If it recoils, an eight by forty stent.", "considered", id="if it recoils"),
        pytest.param("Gimme the eight by forty stent.", "planned", id="gimme"),
        pytest.param("The eight by forty stent goes back.", "negated", id="goes back"),
        pytest.param("The eight by forty stent goes back in its box.", "negated", id="back in its box"),
    ],
)
def test_polite_orders_and_what_goes_back(line: str, status: str) -> None:
    assert [told_line.split()[1] for told_line in told(line)] == [status]


@pytest.mark.parametrize(
    ("line", "event"),
    [
        pytest.param("Heparin please, given she's so slight, two thousand.", "drug planned heparin | dose 2000 [iU]",
                     id="given as because"),
        pytest.param("Heparin given, two thousand.", "drug done heparin | dose 2000 [iU]", id="given"),
        pytest.param("There's the dissection, flow-limiting, no, I take that back.", "finding negated dissection",
                     id="taken back"),
        pytest.param("There's a dissection, long, no, I take that back, a short one.", "finding done dissection",
                     id="a part of it taken back"),
        pytest.param("There is a dissection, we don't touch it.", "finding done dissection", id="seen and left"),
    ],
)  # fmt: skip
def test_status_at_its_border(line: str, event: str) -> None:
    assert told(f"Catheter is in.\n{line}")[1:] == [event]


@pytest.mark.parametrize(
    ("line", "status"),
    [
        pytest.param("The plan. Six French sheath in, oh three five down the left.", ["planned"] * 2, id="after it"),
        pytest.param("The plan is simple. Six French sheath in.", ["done"], id="not the heading of one"),
        pytest.param("Outpatient CT, stenosis of the left iliac, eighty percent.", ["past"], id="an outpatient scan"),
        pytest.param("Stenosis of the left iliac, eighty percent.", ["done"], id="seen now"),
    ],
)
def test_plans_and_earlier_scans(line: str, status: list[str]) -> None:
    assert [event.split()[1] for event in told(line)] == status


def test_a_plan_ends_with_its_breath() -> None:
    assert [event.split()[1] for event in told("So the plan. A six French sheath.\nSheath is in.")] == [
        "planned",
        "done",
    ]
