"""Every way to ask for something crossed with every way to say that it is done: coils, what is poured, drugs, runs."""

import pytest

from .telling import tell

ORDERED = {
    "drug": [
        "Heparin five thousand please.", "Can I have five thousand of heparin?", "Five thousand heparin.",
        "Heparin, please. Five thousand.", "I want now five thousand heparin.", "Heparin. / Five thousand.",
    ],
    "coil": [
        "Five by fifteen coil, please.", "Coil of five millimetres by fifteen centimetres.",
        "Now a coil. Five by fifteen.",
        "Coil goes in, five, fifteen.", "I close it with a coil. / Five millimetres, fifteen centimetres.",
        "The coil has five millimetres and fifteen centimetres.",
    ],
    "poured": [
        "Glue, please. Two mils.", "Two mils of glue.", "Gelatine slurry, two mils, please.", "Foam, two mils.",
        "Glue is mixed, two mils in the syringe.", "Can I have two mils of the slurry?",
    ],
    "pump": [
        "Twelve at six.", "Rate six, volume twelve.", "Six for twelve.", "Six per second, twelve in all.",
        "Twelve mils over two seconds.", "Twelve at six. / Twelve at six is set.", "Volume? / Twelve. / Rate? / Six.",
        "Let's shoot that. / Volume? / Twelve. / Rate? / Six.", "Aortogram. / Settings? / Twelve at six.",
        "Ten for six? / No, twelve at six.",
    ],
    "hand": [
        "By hand, six.", "A squirt, six mils.", "Small injection of six.", "Run by hand with six.",
        "Six cc's through the sheath.",
    ],
}  # fmt: skip
DONE = {
    "drug": [
        "In.", "That's in.", "Given.", "Done.", "Gone in.", "On board.", "Five thousand in.",
        "Heparin five thousand, done.",
        "She's had it.", "That's her had it.", "Pushed.", "It's through.", "That's flushed in.", "He has got it.",
        "Heparin on board.",
        "Five thousand units on board.", "I give it myself.", "Heparin's gone in.", "Patient has received it.",
    ],
    "coil": [
        "Detached.", "And that's off.", "It's away.", "Gone.", "Coil's down.", "I let it go.",
        "Loop, loop... and it is free.",
        "Cut.", "I leave it there.", "That one stays.", "It is placed.", "Parked.", "And drop.", "Deposited.",
        "I turn it off the cable.", "Click, off.",
    ],
    "poured": [
        "In.", "Injected.", "Two mils went in.", "All in.", "The full two mils.", "I push... and in.", "Everything in.",
        "Injecting. Stop. Two mils.", "One mil... two mils, stop.", "Two mils, and it stops.", "The syringe is empty.",
    ],
    "pump": ["Go.", "Shoot.", "Now.", "Please.", "Inject.", "Ready? Ready. Go.", "Don't breathe... go.", "X-ray."],
    "hand": ["Go.", "Shoot.", "And run.", "Okay.", "It's open.", "Breath hold... go."],
}  # fmt: skip
GIVES = {
    "drug": ("drug", {"dose": 5000.0}),
    "coil": ("embolise", {"diameter": 5.0, "length": 15.0}),
    "poured": ("embolise", {"volume": 2.0}),
    "pump": ("run", {"volume": 12.0, "rate": 6.0}),
    "hand": ("run", {"volume": 6.0}),
}
#: A second run told by the first, of twelve mils at six, and what it has.
ALIKE = [
    ("Same again. Go.", 12, 6), ("And again. Go.", 12, 6), ("Repeat. Go.", 12, 6), ("Same on the left. Go.", 12, 6),
    ("Half the volume. Go.", 6, 6), ("Double the rate. Go.", 12, 12), ("Half of that on the left. Go.", 6, 6),
    ("Same rate, volume eight. Go.", 8, 6), ("Same volume, rate four. Go.", 12, 4), ("Rate down to four. Go.", 12, 4),
    ("Volume up to fifteen. Go.", 15, 6), ("A bit more, fifteen. Go.", 15, 6), ("One more like that. Go.", 12, 6),
    ("With the same volume, but four per second. Go.", 12, 4), ("Same, but eight mils. Go.", 8, 6),
]  # fmt: skip


def _told(lines: str, kind: str) -> list[dict[str, float]]:
    """The values of what was done of a kind."""
    events = [event for event in tell(lines.replace(" / ", "\n")) if event.status == "done"]
    assert {event.kind for event in events} <= {kind}
    return [{key: value.value for key, value in event.values.items() if key != "count"} for event in events]


@pytest.mark.parametrize(("what", "done"), [(what, done) for what, said in DONE.items() for done in said])
def test_however_it_is_asked_for(what: str, done: str) -> None:
    kind, values = GIVES[what]
    for ordered in ORDERED[what]:
        assert _told(f"{ordered} / {done}", kind) == [values], ordered


@pytest.mark.parametrize(("said", "volume", "rate"), ALIKE)
def test_a_run_like_the_one_before(said: str, volume: float, rate: float) -> None:
    assert _told(f"Twelve at six. Go. / {said}", "run")[1:] == [{"volume": volume, "rate": rate}]


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param("Can I have five thousand of heparin on board?", id="asked for"),
        pytest.param("Heparin five thousand please. / The needle is in the sac.", id="the needle is in"),
        pytest.param("Five by fifteen coil, please. / The blush is gone.", id="the blush is gone"),
        pytest.param("Five by fifteen coil, please. / Table down.", id="the table is down"),
        pytest.param("Two mils of glue. / The microcatheter is in.", id="the catheter is in"),
    ],
)
def test_what_is_said_of_something_else(lines: str) -> None:
    events = tell(lines.replace(" / ", "\n"))
    assert not [event for event in events if event.status == "done" and event.kind in {"drug", "embolise"}]
