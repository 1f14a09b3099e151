"""A figure without a place marks the value before it that it may have put right."""

import pytest

from extractor.lexicon import Limits, load
from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.rivalled import mark_rivalled
from extractor.reconciling.story import Draft

from .telling import tell

LIMITS = Limits(load())


def drop(value: float, at: int = 12, **more: object) -> Item:
    """A figure at a word, that no event took."""
    unit = more.pop("unit", None)
    return Item("quantity", (at, at + 1), "", figures={"value": Quantity(value, unit, (at, at + 1), "")}, **more)


def told(kind: Kind = Kind.INFLATION, key: str = "pressure", value: float = 12.0, unit: str = "atm") -> Draft:
    quantity = Quantity(value, unit, (10, 11), "")
    return Draft(kind, Status.DONE, (8, 12), "by-hand", 0, 1, values={key: quantity})


def marks(draft: Draft, *sentences: Sentence) -> tuple[float, ...]:
    """What a value is marked with."""
    mark_rivalled([draft], sentences, LIMITS)
    (value,) = draft.values.values()
    assert ("conflict" in value.flags) is bool(value.alternatives)
    return value.alternatives


#: id: (the event, the figure behind it, whether it marks)
FIGURES = {
    "could be it": (told(), drop(8), True),
    "with its unit": (told(), drop(8, unit="atm"), True),
    "in another unit": (told(), drop(8, unit="mm"), False),
    "the same again": (told(), drop(12), False),
    "three times as much": (told(value=6.0), drop(18), True),
    "more than three times": (told(value=6.0), drop(18.5), False),
    "no such pressure": (told(value=16.0), drop(45), False),
    "before it": (told(), drop(8, at=9), False),
    "counts something": (told(), drop(8, after="months"), False),
    "a clock time": (told(), drop(8, before="past"), False),
    "a place": (told(), drop(8, before="l"), False),
    "of long ago": (told(), drop(8, status=Status.PAST), False),
    "a step of a pressure": (told(), drop(8, used=True), True),
    "a step of a pressure behind a size": (told(key="diameter", value=6.0, unit="mm"), drop(8, used=True), False),
    "a volume": (told(Kind.RUN, "volume", 5.0, "mL"), drop(4, after="it"), True),
}


@pytest.mark.parametrize(("draft", "figure", "marked"), FIGURES.values(), ids=FIGURES)
def test_a_figure_behind_a_value(draft, figure, marked):
    assert marks(draft, Sentence([figure], (5, 16), 0)) == ((figure.figures["value"].value,) if marked else ())


@pytest.mark.parametrize(
    ("question", "at", "marked"),
    [
        pytest.param(True, 12, True, id="answers at once"),
        pytest.param(True, 13, False, id="later in the answer"),
        pytest.param(False, 12, False, id="nothing was asked"),
    ],
)
def test_a_figure_in_the_next_sentence(question, at, marked):
    first, second = Sentence([], (5, 12), 0, question=question), Sentence([drop(8, at=at)], (12, 18), 0)
    assert bool(marks(told(), first, second)) is marked


def test_a_figure_that_has_a_place_marks_nothing():
    draft, other = told(), told(Kind.STENT, value=8.0)
    other.values["pressure"] = Quantity(8.0, "atm", (12, 13), "")
    mark_rivalled([draft, other], [Sentence([drop(8)], (5, 16), 0)], LIMITS)
    assert not draft.values["pressure"].flags


def test_the_mark_goes_wherever_the_value_is_carried():
    draft, later = told(key="length", value=40.0, unit="mm"), told()
    later.values = {"length": draft.values["length"].flagged("carried-over")}
    mark_rivalled([draft, later], [Sentence([drop(60)], (5, 16), 0)], LIMITS)
    assert later.values["length"].flags == ("carried-over", "conflict")
    assert later.values["length"].alternatives == (60,)


def test_a_run_told_with_a_figure_nobody_can_place():
    (run,) = tell("Inject ten mils of contrast by hand, leave it at eight.")
    volume = run.values["volume"]
    assert (volume.value, volume.review, volume.flags, volume.alternatives[0].value) == (10, True, ("conflict",), 8)


#: id: (what is told, what is told later, the value marked with what)
LATER = {
    "a dose in thousands": ("Heparin, five thousand, given.", "I only had four in the syringe.", ("dose", 4000)),
    "in the end": ("Heparin, five thousand, given.", "I gave her four in the end.", ("dose", 4000)),
    "the nearest value": ("Ten mils at five. Go.", "It only gave eight.", ("volume", 8)),
    "what a display says": ("Contrast ninety mils.", "The pump says ninety-six.", ("contrast_volume", 96)),
    "what one would call it": ("Stenosis of eighty percent.", "I'd call it seventy.", ("stenosis", 70)),
    "two sentences later": ("Contrast ninety mils.", "Look. The pump says ninety-six.", ("contrast_volume", 96)),
    "three": ("Contrast ninety mils.", "Look. Here. The pump says ninety-six.", None),
    "nothing says that it is so": ("Stenosis of eighty percent.", "Seventy.", None),
    "a sum read anew is told, and marked": ("Contrast ninety mils.", "Ninety-six.", ("contrast_volume", 90)),
    "perhaps something else's": ("Contrast ninety mils.", "He is only eighty-one.", ("contrast_volume", 81)),
    "of another order": ("Contrast ninety mils.", "It is only four.", None),
}


@pytest.mark.parametrize(("before", "later", "mark"), LATER.values(), ids=LATER)
def test_what_is_told_later_to_have_been(before: str, later: str, mark: tuple[str, float] | None) -> None:
    marked = [
        (key, value.alternatives[-1].value)
        for event in tell(f"{before}\n{later}")
        for key, value in event.values.items()
        if "conflict" in value.flags
    ]
    assert marked == ([mark] if mark else [])


#: What is said, the key, the values told, and with what the first is marked.
TAKEN_BACK = [
    pytest.param(
        "Neck is twenty-four millimetres, no. Measure it outer to outer. Twenty-five.", "diameter", 25.0, id="no"
    ),
    pytest.param(
        "Six by forty balloon across. Up to ten. No. Modesty, to eight. Down.", "pressure", 8.0, id="a lone no"
    ),
    pytest.param(
        "Six by forty balloon across. Up to ten. No. Stent next, six by forty.", "pressure", None, id="no figure"
    ),
    pytest.param("Six by forty balloon across. Up to ten. No waist. To twelve.", "pressure", None, id="no waist"),
]


@pytest.mark.parametrize(("lines", "key", "mark"), TAKEN_BACK)
def test_a_figure_behind_no_may_have_taken_back_the_one_before_it(lines: str, key: str, mark: float | None) -> None:
    value = next(event.values[key] for event in tell(lines) if key in event.values and event.kind != "stent")
    told = [other.value for other in value.alternatives] if "conflict" in value.flags else []
    assert told == ([] if mark is None else [mark])
