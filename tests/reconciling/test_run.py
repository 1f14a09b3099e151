"""Injections of contrast: volume at rate, frames, by hand, the same again."""

import pytest

from .telling import line_of, tell, tells, told

CASES = [
    pytest.param(
        "First run, eight mils at four, three frames a second... and run.",
        ["run done | frame_rate 3 /s, rate 4 mL/s, volume 8 mL"],
        id="volume at rate, with frames",
    ),
    pytest.param(
        """Run please, ten mils at five.
        Go.""",
        ["run done | rate 5 mL/s, volume 10 mL"],
        id="set up, then go",
    ),
    pytest.param("Check run, five mils by hand... and go.", ["run done | volume 5 mL"], id="by hand has no rate"),
    pytest.param(
        """Run, ten mils at five, three frames a second... go.
        Another run, same again... and go.""",
        [
            "run done | frame_rate 3 /s, rate 5 mL/s, volume 10 mL",
            "run done | frame_rate 3 /s, rate 5 mL/s, volume 10 mL",
        ],
        id="the same again",
    ),
    pytest.param(
        "Cone beam spin, forty mils at four... and go.", ["run done | rate 4 mL/s, volume 40 mL"], id="a spin"
    ),
    pytest.param(
        "Hand injection, five mils... go.",
        ["run done | volume 5 mL"],
        id="hand puff",
    ),
    pytest.param(
        "No more runs.",
        ["run negated"],
        id="no more",
    ),
    pytest.param(
        "Run please, ten, sorry, twelve mils at six... go.",
        ["run done | rate 6 mL/s, volume 12 mL"],
        id="corrected volume",
    ),
    pytest.param(
        "Aortogram, fifteen a second for thirty... and go.",
        ["run done | rate 15 mL/s, volume 30 mL"],
        id="rate for total",
    ),
    pytest.param(
        "Venogram, ten mils by hand, and go.",
        ["run done | volume 10 mL"],
        id="venogram",
    ),
    pytest.param(
        "Run at two frames a second... go.",
        ["run done | frame_rate 2 /s"],
        id="frames alone",
    ),
    pytest.param(
        """Run, ten mils at five... go.
        Check run by hand, and go.""",
        ["run done | rate 5 mL/s, volume 10 mL", "run done"],
        id="by hand after the pump",
    ),
    pytest.param(
        "Cone beam CT spin, thirty mils at three... go.",
        ["run done | rate 3 mL/s, volume 30 mL"],
        id="called spin",
    ),
    pytest.param(
        "Run, six mils at three, four frames a second... go.",
        ["run done | frame_rate 4 /s, rate 3 mL/s, volume 6 mL"],
        id="pictures and volume",
    ),
    pytest.param(
        """Run, ten mils at five.
        No, wait, don't run yet.""",
        ["run planned | rate 5 mL/s, volume 10 mL"],
        id="called off",
    ),
    pytest.param(
        "For an aortogram we usually use twenty mils at fifteen.",
        ["run quoted | rate 15 mL/s, volume 20 mL"],
        id="what is usual",
    ),
    pytest.param(
        """Aortogram, twenty at fifteen, three frames... go.
        Oblique now, same settings... go.""",
        ["run done | frame_rate 3 /s, rate 15 mL/s, volume 20 mL"] * 2,
        id="same settings",
    ),
    pytest.param(
        """Cavogram, thirty at fifteen, four frames a second... go.
        Hand run, eight mils... go.
        Cavogram once more with the same parameters, and inject.""",
        [
            "run done | frame_rate 4 /s, rate 15 mL/s, volume 30 mL",
            "run done | volume 8 mL",
            "run done | frame_rate 4 /s, rate 15 mL/s, volume 30 mL",
        ],
        id="the earlier run of that name",
    ),
    pytest.param(
        """First picture, eight at four, two frames... go.
        Now twelve at six, same frames... go.""",
        [
            "run done | frame_rate 2 /s, rate 4 mL/s, volume 8 mL",
            "run done | frame_rate 2 /s, rate 6 mL/s, volume 12 mL",
        ],
        id="only the frames are the same",
    ),
    pytest.param(
        """Run, ten at five, three frames... go.
        Ten at five, as we did earlier. Shoot.""",
        ["run done | frame_rate 3 /s, rate 5 mL/s, volume 10 mL"] * 2,
        id="as we did",
    ),
    pytest.param("Portogram, twenty mils with eight, inject.", ["run done | rate 8 mL/s, volume 20 mL"], id="with"),
    pytest.param("Run, fifteen mils over three seconds.", ["run done | rate 5 mL/s, volume 15 mL"], id="over seconds"),
    pytest.param(
        "Twelve mils at three frames a second by hand... go.",
        ["run done | frame_rate 3 /s, volume 12 mL"],
        id="frames are no flow",
    ),
    pytest.param(
        "Renal angiography, volume nine, rate three, frames two. Go.",
        ["run done | frame_rate 2 /s, rate 3 mL/s, volume 9 mL"],
        id="each called by its name",
    ),
    pytest.param(
        "Fourteen mils at seven. Frames? Two. Go.",
        ["run done | frame_rate 2 /s, rate 7 mL/s, volume 14 mL"],
        id="asked for",
    ),
    pytest.param(
        "Run, nine mils, three frames... no, make it two... go.",
        ["run done | frame_rate 2 /s, volume 9 mL"],
        id="frames put right",
    ),
    pytest.param("Three cc through the drain. Inject.", ["run done | volume 3 mL"], id="volume, then the command"),
    pytest.param(
        "Control by hand, eleven mils at the elbow and nine at the wrist.",
        ["run done | volume 11 mL", "run done | volume 9 mL"],
        id="two places",
    ),
    pytest.param(
        "Cerebral angiography, three for six on each side.",
        ["run done | rate 3 mL/s, volume 6 mL"] * 2,
        id="on each side",
    ),
    pytest.param("A venogram was then performed.", ["run done"], id="no settings told"),
    pytest.param(
        """Twenty at ten on the pump, ready when you are.
        Run.""",
        ["run done | rate 10 mL/s, volume 20 mL"],
        id="command in the next breath",
    ),
    pytest.param(
        """Micro run, four by hand. Go.
        Micro run, four again. Go.""",
        ["run done | volume 4 mL"] * 2,
        id="so much again",
    ),
    pytest.param(
        "A run, twelve mils with six, sorry, with eight per second, two pictures per second... go.",
        ["run done | frame_rate 2 /s, rate 8 mL/s, volume 12 mL"],
        id="a rate put right",
    ),
    pytest.param("The balloon goes where I let go.", [], id="let go"),
    pytest.param("By hand, nine, from the sheath... now.", ["run done | volume 9 mL"], id="by hand, then how much"),
    pytest.param("Hand run through the micro, two. Two. Go.", ["run done | volume 2 mL"], id="through a catheter"),
    pytest.param("The pictures were taken by hand in three stations.", [], id="a count is no volume"),
    pytest.param("Her left hand has three fingers numb.", [], id="a hand is no injection"),
    pytest.param(
        "We inject eighteen, at six, two images per second... go.",
        ["run done | frame_rate 2 /s, rate 6 mL/s, volume 18 mL"],
        id="a comma between volume and rate",
    ),
    pytest.param("Shoot again, nine at twelve.", ["run done | rate 12 mL/s, volume 9 mL"], id="in less than a second"),
    pytest.param(
        "Nine by hand, slowly. No, I lied, four is plenty... inject.",
        ["run done | volume 4 mL"],
        id="less, before it is injected",
    ),
    pytest.param(
        """Pump on seven at four, three frames. Shoot.
        Film again, as before. Now.
        Another projection, but nine at five, same images... go.""",
        [
            "run done | frame_rate 3 /s, rate 4 mL/s, volume 7 mL",
            "run done | frame_rate 3 /s, rate 4 mL/s, volume 7 mL",
            "run done | frame_rate 3 /s, rate 5 mL/s, volume 9 mL",
        ],
        id="as before, and only the images the same",
    ),
    pytest.param("Two mils of contrast confirm the position.", ["run done | volume 2 mL"], id="of contrast"),
    pytest.param("One ampoule in eight mils of contrast.", [], id="contrast to mix with"),
    pytest.param("Now run it up to the arch and go back a bit.", [], id="a catheter is run up"),
    pytest.param(
        """Run, six mils at three... go.
        Put the two pictures side by side... same level, I think.""",
        ["run done | rate 3 mL/s, volume 6 mL"],
        id="pictures compared",
    ),
    pytest.param(
        """Aortogram, thirty at fifteen, go.
        On that same run the iliac measured seven point six millimetres.""",
        [
            "run done | rate 15 mL/s, volume 30 mL",
            "measure done | diameter 7.6 mm",
        ],
        id="looked at once more on the same run",
    ),
    pytest.param(
        "The left internal iliac was reinjected, five for fifteen.",
        ["run done | rate 5 mL/s, volume 15 mL"],
        id="reinjected",
    ),
    pytest.param(
        "Power inject, fifteen for thirty, nine hundred psi. Fifteen for thirty. Clear. Shoot.",
        ["run done | rate 15 mL/s, volume 30 mL"],
        id="settings read back, and the pump's limit",
    ),
    pytest.param(
        "Run, twelve mils at six, four frames, och no, three frames. And go.",
        ["run done | frame_rate 3 /s, rate 6 mL/s, volume 12 mL"],
        id="frames put right in passing",
    ),
]
test_runs = tells(CASES)


@pytest.mark.parametrize(
    ("line", "values"),
    [
        pytest.param(
            "Run, speed six, volume eighteen, three pictures per second... inject.",
            "frame_rate 3 /s, rate 6 mL/s, volume 18 mL",
            id="speed is a rate",
        ),
        pytest.param(
            "Two images per second, twelve millilitres, at four per second. Inject.",
            "frame_rate 2 /s, rate 4 mL/s, volume 12 mL",
            id="pictures first",
        ),
    ],
)
def test_settings_by_other_names(line: str, values: str) -> None:
    assert told(line) == [f"run done | {values}"]


#: Two runs with different settings, told before each line below.
_TWO_RUNS = """Flush aortogram, twenty at ten, four frames... inject.
Down the leg now. Eight at four, three frames... inject.
Wire down."""
_LEG, _AORTA = "frame_rate 3 /s, rate 4 mL/s, volume 8 mL", "frame_rate 4 /s, rate 10 mL/s, volume 20 mL"


@pytest.mark.parametrize(
    ("line", "values", "asks"),
    [
        pytest.param("Same numbers as the first one... inject.", _AORTA, False, id="the first of all"),
        pytest.param("Same settings as the first leg run... inject.", _LEG, False, id="the first of the leg"),
        pytest.param("Now one just like that first leg picture, shoot.", _LEG, False, id="like that one"),
        pytest.param("Now one just like that first neck picture, shoot.", _AORTA, True, id="of what nobody took"),
        pytest.param("Run, the same as the last one... inject.", _LEG, False, id="the last"),
        pytest.param("Run. Same as before, sir? Same, yes. Armed. Inject.", _LEG, True, id="asked in between"),
        pytest.param(
            "Again. Same volume, but at six, yes, six, and same frames. Armed. Inject.",
            "frame_rate 3 /s, rate 6 mL/s, volume 8 mL",
            False,
            id="one of them changed",
        ),
        pytest.param("Same as before? No, five at two. Inject.", "rate 2 mL/s, volume 5 mL", False, id="no, others"),
    ],
)
def test_which_earlier_run(line: str, values: str, asks: bool) -> None:
    event = [event for event in tell(f"{_TWO_RUNS}\n{line}") if event.kind == "run"][-1]
    assert line_of(event) == f"run done | {values}"
    assert any("which-run" in value.flags for value in event.values.values()) is asks


@pytest.mark.parametrize(
    ("line", "values"),
    [
        pytest.param("Run, ten at four, hang on, at five, two a second... go.", "2 /s 5 mL/s 10 mL", id="then frames"),
        pytest.param("Run, ten at four, two frames, sorry, three a second... go.", "3 /s 4 mL/s 10 mL", id="frames"),
        pytest.param("Twenty at six, no, what am I saying, at five, three images... go.", "3 /s 5 mL/s 20 mL", id="at"),
        pytest.param("Run, eight for sixteen, I mean eight mils a second... go.", "8 mL/s 16 mL", id="explained"),
        pytest.param("Run, twelve at five, sorry, fourteen mils... go.", "5 mL/s 14 mL", id="the volume of a pair"),
        pytest.param("Picture, ten at five? No, six at three, two frames. Go.", "2 /s 3 mL/s 6 mL", id="answer"),
        pytest.param("Twelve at eight, four frames... no, twelve at five. Go.", "4 /s 5 mL/s 12 mL", id="the pair"),
        pytest.param("Renal run. Twenty at fifteen. Twenty mils at fifteen... go.", "15 mL/s 20 mL", id="read back"),
    ],
)  # fmt: skip
def test_settings_put_right_before_they_run(line: str, values: str) -> None:
    (event,) = tell(line)
    said = (f"{value.value:g} {value.unit}" for key, value in sorted(event.values.items()))
    assert " ".join(said) == values


@pytest.mark.parametrize(
    ("lines", "runs"),
    [
        pytest.param("Right, eight at four... go. Left, six at three... go.", 2, id="two sides"),
        pytest.param("Hand injection right, six mils. Narrow. Hand injection left, six mils. Fine.", 2, id="as much"),
        pytest.param("Puff, two mils. Down a bit. Another puff, two mils. There.", 2, id="another one"),
        pytest.param("Puff, two mils. Down a bit. Two mils. There.", 1, id="said back"),
        pytest.param("Puff, two mils. On the pump then, eighteen at six... go.", 2, id="by hand, then by pump"),
        pytest.param("Well, shoot, that is tight.", 0, id="no command"),
        pytest.param("Let's go ahead and capture the filter.", 0, id="go ahead with something else"),
        pytest.param("Alteplase, five milligrams in ten mils, by hand, slowly.", 0, id="a drug by hand"),
        pytest.param("Ten at five. Go ahead and shoot.", 1, id="go ahead and shoot"),
    ],
)
def test_how_many_runs(lines: str, runs: int) -> None:
    assert sum(event.kind == "run" for event in tell(lines)) == runs


#: A picture told by its name alone.
NAMED = """
    Control. The vessel is open.
    The control shows a good result.
    Check picture. Open.
    Little shot of contrast. In the right place.
    Angio again. Better.
    The angiogram shows the occlusion in the middle third.
    A hand injection confirms the position.
    Another series. The branch is closed.
    Final run. Three vessels.
    Make one picture. Good.
    Venogram. It's open to the cava.
    Cholangiogram, both sides fill.
    Aortogram with the pigtail. Good renals.
    Selective run in the SMA.
    Puff. Good position.
    Completion run, no leak.
    Expose. Got it.
    Contrast, ten mils, shows the occlusion.
    Ten mils, we see the branch.
"""
NO_PICTURE = """
    Run me through the plan.
    Keep the road map on.
    How much contrast so far?
    Don't inject yet.
    The control room is calling.
    Look at the picture from before.
    Repeat aortogram, I was thinking, but the contrast is plenty.
    It runs, and it has a good colour.
    The wire runs.
    Flush with ten mils, we see bubbles.
    A pseudoaneurysm, eight mil.
    The CT angiogram shows an occlusion.
"""


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.strip().splitlines()]


@pytest.mark.parametrize("line", _lines(NAMED))
def test_a_picture_told_by_its_name(line: str) -> None:
    told_now = told(f"Six French sheath is in.\n{line}")
    assert sum(event.startswith("run done") for event in told_now) == 1


@pytest.mark.parametrize("line", _lines(NO_PICTURE))
def test_no_picture(line: str) -> None:
    assert not any(event.startswith("run done") for event in told(f"Six French sheath is in.\n{line}"))


def test_what_a_picture_shows_is_no_second_picture() -> None:
    lines = "Six French sheath is in.\nTen at five, and go.\nThe angiogram shows an occlusion."
    assert sum(event.startswith("run") for event in told(lines)) == 1


def _runs(lines: str) -> list[str]:
    short = {"volume": "", "rate": "at ", "frame_rate": "frames "}
    return [
        " ".join([event.status, *(f"{short[key]}{event.values[key].value:g}" for key in short if key in event.values)])
        for event in tell(lines)
        if event.kind == "run"
    ]


#: (what is said, its runs)
IN_OTHER_WORDS = [
    pytest.param(
        "Ten at five, two pictures in the second. Run.", ["done 10 at 5 frames 2"], id="pictures in the second"
    ),
    pytest.param(
        "Cholangiogram, nine mils by hand, one picture per second, go.", ["done 9 frames 1"], id="one picture"
    ),
    pytest.param("Ten at five, one frame each second, go.", ["done 10 at 5 frames 1"], id="each second, one run"),
    pytest.param("Ten at five on each, two frames per second, go.", ["done 10 at 5 frames 2"] * 2, id="one on each"),
    pytest.param(
        "Ten at five, three frames. Go.\nBy hand, four mils, don't touch the frames, leave it at three. Go.",
        ["done 10 at 5 frames 3", "done 4 frames 3"],
        id="frames are left",
    ),
    pytest.param(
        "Ten at five, three frames. Go.\nFrames up to six. Same again. Run.",
        ["done 10 at 5 frames 3", "done 10 at 5 frames 6"],
        id="frames up",
    ),
    pytest.param(
        "Cine, ten frames, six mils at two. Injection.\nCaudal. Same settings once more. Injection... good.",
        ["done 6 at 2 frames 10", "done 6 at 2 frames 10"],
        id="same settings, then the injection",
    ),
    pytest.param(
        "Ten at five. Run.\nMy brother has the same car and runs again in it.",
        ["done 10 at 5"],
        id="the same of no run",
    ),
    pytest.param("Ten at five. Run.\nAnd the same small run... go.", ["done 10 at 5"] * 2, id="the same small run"),
    pytest.param(
        "Injector, twenty this time. Twenty, ten, two. And go.", ["done 20 at 10 frames 2"], id="three read back"
    ),
    pytest.param("Nine by hand. Run.\nDown. Same by hand.", ["done 9", "done 9"], id="same by hand"),
    pytest.param("Did we do a cavogram? We did not.", ["negated"], id="asked and denied"),
    pytest.param("The oblique run we don't need.", ["negated"], id="not needed"),
    pytest.param("Final cavogram we are omitting.", ["negated"], id="omitted"),
]


@pytest.mark.parametrize(("lines", "runs"), IN_OTHER_WORDS)
def test_settings_and_refusals_in_other_words(lines: str, runs: list[str]) -> None:
    assert _runs("Puncture, sheath is in.\n" + lines) == runs


#: (what is said in a few words each, its runs)
CLIPPED = [
    pytest.param("Right caudal. Five mils. Cine. Clean.", ["done 5"], id="a volume, then the command alone"),
    pytest.param("Straight lateral, four mils. Acquire. Patent.", ["done 4"], id="acquire"),
    pytest.param("AP, eight mils. Run. Oblique, same again. Run.", ["done 8"] * 2, id="a view, the same again"),
    pytest.param("Ten mils by hand. Film. Lateral, the same. Film.", ["done 10"] * 2, id="by hand, then the same"),
    pytest.param("Three cc by hand. Shoot. Five cc. Shoot.", ["done 3", "done 5"], id="two volumes, two commands"),
    pytest.param("Ten at five. Go. And the same. Same, armed. Inject.", ["done 10 at 5"] * 2, id="read back once"),
    pytest.param("Six, three frames, go.", ["done 6 frames 3"], id="volume, then frames"),
    pytest.param("Twenty, ten, four frames. Inject.", ["done 20 at 10 frames 4"], id="volume, rate, frames"),
    pytest.param("Now I give six mils by the catheter... now.", ["done 6"], id="by the catheter"),
    pytest.param("Four mils through the introducer. Brisk.", ["done 4"], id="through the introducer"),
    pytest.param("Ten mils by hand. Go.\nStill tight. Again ten mils, now.", ["done 10"] * 2, id="again, now"),
    pytest.param("I flush the sheath with ten mils.", [], id="flushed"),
    pytest.param("Ten mils of saline through the sheath.", [], id="saline"),
    pytest.param("I draw five mils through the drain.", [], id="drawn"),
    pytest.param("Lidocaine, five mils. In. Cine.", ["done"], id="the volume of a drug"),
    pytest.param("Three frames, six windows, go.", ["done frames 3"], id="a number of something else"),
]


@pytest.mark.parametrize(("lines", "runs"), CLIPPED)
def test_runs_of_those_who_say_little(lines: str, runs: list[str]) -> None:
    assert _runs("Puncture, sheath is in.\n" + lines) == runs


@pytest.mark.parametrize(
    ("lines", "settings"),
    [
        pytest.param("The arch, at fifteen, thirty in total, four frames... and go.", [(30, 15, 4)], id="in total"),
        pytest.param("The head, please, at four, eight in all, and three frames... run.", [(8, 4, 3)], id="in all"),
        pytest.param("Aortogram at twelve, twenty-four altogether.", [(24, 12, None)], id="altogether"),
        pytest.param("Run on the right, twenty this time... patent.", [(20, None, None)], id="this time"),
        pytest.param(
            "Final runs, twenty on the left... same on the right... it empties well.",
            [(20, None, None), (20, None, None)], id="the same on the other side",
        ),
        pytest.param(
            "Run on the left, fifteen by hand... and now the right, same fifteen... thank you.",
            [(15, None, None), (15, None, None)], id="the same number on the other side",
        ),
        pytest.param("Run on the left, twelve by hand. Same on the right.", [(12, None, None)] * 2, id="alone"),
        pytest.param(
            "Five by hand, right side... and run.\nLeft internal, same shot as we did on the right... run.",
            [(5, None, None)] * 2, id="like the other side is one",
        ),
        pytest.param(
            "Six at three, two frames, go.\n"
            "Third picture, he raises the volume to eight, the rest he leaves alone... it runs.",
            [(6, 3, 2), (8, 3, 2)], id="the rest stays",
        ),
        pytest.param(
            "Ten at five, three frames, go.\nOnce more, twelve mils, everything else unchanged. Run.",
            [(10, 5, 3), (12, 5, 3)], id="everything else unchanged",
        ),
        pytest.param(
            "Twelve at four, three frames, go.\nFifteen at five, two frames. Run.\n"
            "And that very first run again, same everything... go.",
            [(12, 4, 3), (15, 5, 2), (12, 4, 3)], id="the very first, same everything",
        ),
        pytest.param(
            "Seven by hand, and two frames a second, run.\nThe neck again, the same seven, but three frames... run.",
            [(7, None, 2), (7, None, 3)], id="the same seven",
        ),
    ],
)  # fmt: skip
def test_settings_in_whatever_order(lines: str, settings: list[tuple[float | None, ...]]) -> None:
    runs = [event.values for event in tell(f"Six French sheath is in.\n{lines}") if event.kind == "run"]
    keys = ("volume", "rate", "frame_rate")
    assert [tuple(run[key].value if key in run else None for key in keys) for run in runs] == settings


ROWS = [
    pytest.param(
        "Inject fifteen, flow of seven. Go.", ["run done | rate 7 mL/s, volume 15 mL"], id="the rate by its name"
    ),
    pytest.param("The arch at twenty, forty in total. Fire.", ["run done | rate 20 mL/s, volume 40 mL"], id="in total"),
    pytest.param("Four per second, total of eight, go.", ["run done | rate 4 mL/s, volume 8 mL"], id="total of"),
    pytest.param(
        "Injector is armed, eight on four. And go.", ["run done | rate 4 mL/s, volume 8 mL"], id="one on the other"
    ),
    pytest.param(
        "Inject fifteen, flow of seven, and film at three a second. Go.",
        ["run done | frame_rate 3 /s, rate 7 mL/s, volume 15 mL"],
        id="frames too",
    ),
    pytest.param("Eight over twenty. Go.", [], id="no rate is larger than its volume"),
    pytest.param(
        "The pump at seven mils, twenty-one in total, four frames a second. Go.",
        ["run done | frame_rate 4 /s, rate 7 mL/s, volume 21 mL"],
        id="so much a second by the pump, and in total",
    ),
    pytest.param(
        "Power injector: five per second, twenty together. Go.",
        ["run done | rate 5 mL/s, volume 20 mL"],
        id="together",
    ),
    pytest.param(
        "Injector nine and eighteen, two a second. Shoot.",
        ["run done | frame_rate 2 /s, rate 9 mL/s, volume 18 mL"],
        id="rate and volume joined, pictures behind",
    ),
    pytest.param(
        "Series, fifteen and five, three frames.",
        ["run done | frame_rate 3 /s, rate 5 mL/s, volume 15 mL"],
        id="volume and rate joined",
    ),
    pytest.param(
        "Hand run, eight mils. Nothing there but one stump, stenosis small.",
        ["run done | volume 8 mL", "finding done stenosis"],
        id="one of what is seen is no setting",
    ),
    pytest.param(
        "Hand eight. No dissection left, one small thrombus right.",
        ["run done | volume 8 mL", "finding negated dissection", "finding done thrombus"],
        id="nor behind a no",
    ),
]

test_settings_in_any_order = tells(ROWS)

IN_FEW_WORDS = [
    pytest.param("Six mils, now.", ["run done | volume 6 mL"], id="a volume, now"),
    pytest.param("Six mils left, now.", [], id="what is left"),
    pytest.param("Hand shot. Four.", ["run done | volume 4 mL"], id="a figure right after the picture"),
    pytest.param("Shooting now. That was nine mils.", ["run done | volume 9 mL"], id="told after it"),
    pytest.param(
        "Twenty-five at fifteen.\nOkay, injecting.", ["run done | rate 15 mL/s, volume 25 mL"], id="then injected"
    ),
    pytest.param("Twenty-five at fifteen.\nOkay, lunch.", [], id="and not injected"),
    pytest.param(
        "Run on the left, twenty. Go.\nSame on the right. Go.",
        ["run done | volume 20 mL", "run done | volume 20 mL"],
        id="the other side, a breath later",
    ),
    pytest.param(
        "Run, twelve at four. Go.\nThe same again, only at three. Go.",
        ["run done | rate 4 mL/s, volume 12 mL", "run done | rate 3 mL/s, volume 12 mL"],
        id="the same but for the rate",
    ),
]

test_runs_in_few_words = tells(IN_FEW_WORDS)


LIKE_THE_LAST = [
    pytest.param(
        "Fifteen at six on the pump, go.\nAnd repeat it in the oblique, unchanged. Go.",
        ["run done | rate 6 mL/s, volume 15 mL", "run done | rate 6 mL/s, volume 15 mL"],
        id="unchanged",
    ),
    pytest.param(
        "Aorta, twenty at ten, go.\nAgain, but thirty this time. Go.",
        ["run done | rate 10 mL/s, volume 20 mL", "run done | rate 10 mL/s, volume 30 mL"],
        id="again, with another volume",
    ),
    pytest.param(
        "Small test, three mils, okay it is intraluminal.", ["run done | volume 3 mL"], id="what a test shows"
    ),
]

test_runs_like_the_last = tells(LIKE_THE_LAST)


AT_A_PLACE = [
    pytest.param("Picture, eight mils at four per second.\nCheck from the aorta, fifteen for thirty.\nThank you.",
                 ["run done | rate 4 mL/s, volume 8 mL", "run done | rate 15 mL/s, volume 30 mL"],
                 id="a rate for a volume, from a vessel"),
    pytest.param("Fifteen for thirty.\nThank you.", [], id="of no vessel"),
    pytest.param("Four a second for twelve.\nThank you.", ["run done | rate 4 mL/s, volume 12 mL"],
                 id="of no vessel, a second"),
    pytest.param("In the iliac we like ten for nine.\nThank you.", [], id="no volume of some seconds"),
    pytest.param("The neck of the aorta, twenty at fifteen degrees.\nThank you.", [], id="at an angle"),
]  # fmt: skip

test_settings_at_a_place = tells(AT_A_PLACE)


def test_settings_at_a_place_alone_are_looked_at() -> None:
    *_, event = tell("Hand shot, three mils.\nLeft iliac, four for twelve.\nThank you.")
    assert event.review
