"""Talk in the middle of an inflation changes nothing of it, wherever it falls."""

import pytest

from .test_phrasings import Exchange, missed

STEPS = [
    "Six by forty balloon, please.", "It's across.", "Inflate.", "Eight.", "Twelve.", "Hold for one minute.", "Down.",
    "Again, fourteen.", "Down.",
]  # fmt: skip
EVENTS = [
    "inflation planned balloon | diameter 6 mm, length 40 mm",
    "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm, duration 60 s",
    "inflation done balloon | diameter 6 mm, length 40 mm, pressure 14 atm",
]
TALK = [
    "How is the patient?", "Blood pressure one hundred twenty over seventy.", "Saturation ninety-eight.",
    "Is the next patient here?", "Two more cases after this one.", "Who has the phone?", "Lights down.",
    "Turn the music down.", "Table up.", "Did you have a good weekend?", "Five kilometres I ran yesterday.",
    "Is it painful, sir?", "Breathe normally.", "The wire is stable.", "Watch the wire tip.", "Hold the wire.",
    "It is half past ten.", "Four.", "Fluoro.", "Sorry?", "What did you say?", "Pulse sixty.", "Okay.",
    "You want to do the next one?", "Here comes the boss.", "Change the drip bag, it's empty.",
]  # fmt: skip


@pytest.mark.parametrize("talk", TALK)
@pytest.mark.parametrize("after", STEPS[:-1])
def test_talk_changes_no_inflation(talk: str, after: str) -> None:
    at = STEPS.index(after) + 1
    wrong = missed(Exchange(talk, [*STEPS[:at], talk, *STEPS[at:]], EVENTS))
    assert [what for what in wrong if "inflation" in what or "stent" in what] == []
