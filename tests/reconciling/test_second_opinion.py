"""What becomes of the second reader's opinions, on both sides of each border. No network: what it says is made up."""

from collections.abc import Mapping

import pytest

from extractor.lexicon import Limits
from extractor.model import Event, Status
from extractor.reading.statements import reader_of
from extractor.reconciling.second_opinion import take_second_opinion
from extractor.reconciling.second_reader import Opinion, Reading
from extractor.reconciling.story import Draft
from extractor.reconciling.timeline import reconcile, story_of

from .telling import shipped, words_of

BALLOON = "Six by forty balloon please.\nNice weather today.\n"


def told(
    text: str,
    events: Mapping[tuple[str, int], float] | None = None,
    figures: Mapping[str, tuple[str, float, str]] | None = None,
) -> list[Draft]:
    """Lines, how likely the second reader thinks that sentence n tells a thing done, and what it takes figures for
    (as heard -> of what, how likely, status) -> the events. What it is not asked about it believes.
    """
    words = words_of(text)
    sentences, _ = reader_of(shipped()).read(words)
    drafts = story_of(sentences, words)
    labels = {("inflation", Status.DONE): 0, ("run", Status.DONE): 1, ("drug", Status.DONE): 2,
              ("insert sheath", Status.DONE): 3, ("remove sheath", Status.DONE): 4,
              ("finding waist", Status.DONE): 5, ("measure", Status.DONE): 6}  # fmt: skip
    likely = [[0.3] * len(labels) for _ in sentences]
    for (name, number), share in (events or {}).items():
        likely[number][labels[name, Status.DONE]] = share
    heard = {
        figure.words: Reading(place, share, Status(status), 0.9)
        for sentence in sentences
        for item in sentence.items
        for figure in item.figures.values()
        for place, share, status in [(figures or {}).get(figure.heard, ("", 0.9, "done"))]
    }
    return take_second_opinion(drafts, sentences, Opinion(heard, likely, labels), Limits(shipped()))


def lines(drafts: list[Draft]) -> list[str]:
    """Events -> kind, status, what, sizes, and what the second reader has to do with it."""
    return [
        " ".join(
            filter(
                None,
                (
                    draft.kind,
                    draft.status,
                    draft.device or draft.drug or draft.finding,
                    *(f"{key} {value.value:g}" for key, value in sorted(draft.values.items())),
                    *sorted(draft.flags & {"read-alone", "read-as-done", "read-otherwise", "second-reading"}),
                ),
            )
        )
        for draft in drafts
    ]


@pytest.mark.parametrize(
    ("likely", "doubted"), [pytest.param(0.01, True, id="no"), pytest.param(0.2, False, id="maybe")]
)
def test_a_thing_told_as_done_that_it_does_not_believe_is_doubted(likely: float, doubted: bool) -> None:
    everywhere = {("run", number): likely for number in range(2)}
    assert lines(told("Run please, eight mils at four.\nThank you.", everywhere)) == [
        "run done rate 4 volume 8" + " read-otherwise" * doubted
    ]


@pytest.mark.parametrize(
    ("text", "likely", "event"),
    [
        pytest.param(BALLOON, 0.98, "inflation done balloon diameter 6 length 40 read-as-done", id="sure of it"),
        pytest.param(BALLOON, 0.9, "inflation done balloon diameter 6 length 40 second-reading", id="likely"),
        pytest.param(BALLOON, 0.8, "inflation planned balloon diameter 6 length 40", id="unlikely"),
        pytest.param("We won't balloon it.\n", 0.98, "inflation negated balloon", id="what is denied stays so"),
        pytest.param("Shall I have the six by forty balloon?\n", 0.98, None, id="a question is none"),
    ],
)
def test_a_plan_that_it_takes_for_done_is_told_as_done(text: str, likely: float, event: str | None) -> None:
    assert lines(told(text, {("inflation", 0): likely})) == [event or lines(told(text))[0]]


@pytest.mark.parametrize(
    ("likely", "marked"), [pytest.param(0.94, True, id="unsure"), pytest.param(0.96, False, id="sure")]
)
def test_what_nobody_said_went_in_is_not_marked_where_it_is_sure_too(likely: float, marked: bool) -> None:
    text = "Right groin, seven French sheath.\nHand run, eight mils.\n"
    [sheath, _] = told(text, {("insert sheath", 0): likely})
    assert (sheath.status, "not-said-in" in sheath.flags) == (Status.DONE, marked)


def test_a_plan_carried_out_nearby_stays_a_plan() -> None:
    text = "Six by forty balloon please.\nInflating now, to ten atmospheres.\n"
    assert lines(told(text, {("inflation", 0): 0.98})) == lines(told(text))


def test_a_plan_is_not_doubted() -> None:
    nothing = {(name, 0): 0.0 for name in ("inflation", "run", "drug")}
    assert lines(told(BALLOON, nothing)) == ["inflation planned balloon diameter 6 length 40"]


@pytest.mark.parametrize(
    ("likely", "events"),
    [
        pytest.param(0.9, ["inflation done diameter 6 length 40 second-reading"], id="likely, with the size asked for"),
        pytest.param(0.99, ["inflation done diameter 6 length 40 read-alone"], id="as sure as a rule"),
        pytest.param(0.6, [], id="unlikely"),
    ],
)
def test_what_no_rule_reads_is_told_and_marked(likely: float, events: list[str]) -> None:
    text = BALLOON + "My sister paints.\nWhoosh it goes.\n"
    assert lines(told(text, {("inflation", 3): likely})) == ["inflation planned balloon diameter 6 length 40", *events]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("Run please, eight mils at four.\nThank you.\nThank you.\n", id="a sentence before"),
        pytest.param("Thank you.\nThank you.\nRun please, eight mils at four.\n", id="a sentence behind"),
    ],
)
def test_what_is_told_near_is_not_told_twice(text: str) -> None:
    assert lines(told(text, {("run", 1): 0.9})) == ["run done rate 4 volume 8"]


def test_a_drug_nobody_named_is_not_told() -> None:
    assert lines(told("She got some of it.", {("drug", 0): 0.9})) == []
    assert lines(told("Heparin, well.", {("drug", 0): 0.9})) == ["drug done heparin second-reading"]


def test_what_is_said_to_be_gone_is_not_found() -> None:
    assert lines(told("There goes the waist, well.", {("finding waist", 0): 0.9})) != []
    assert lines(told("Pop, and the waist is gone.", {("finding waist", 0): 0.9})) == []


def test_what_is_put_right_later_is_no_second_one() -> None:
    text = (
        "The six by forty was inflated to ten atmospheres.\nNice weather today.\nMy sister paints.\nShe does.\n"
        "Going back, the first inflation was to nine atmospheres, not ten.\n"
    )
    assert lines(told(text, {("inflation", 0): 0.9, ("inflation", 4): 0.99})) == [
        "inflation done balloon diameter 6 length 40 pressure 9"
    ]


@pytest.mark.parametrize(
    ("event", "figure", "flags"),
    [
        pytest.param(0.99, 0.94, ("read-alone", "read-alone"), id="sure of both"),
        pytest.param(0.99, 0.9, ("read-alone", "second-reading"), id="not of the figure"),
        pytest.param(0.97, 0.94, ("second-reading", "second-reading"), id="not of the event"),
    ],
)
def test_what_it_alone_tells_is_not_marked_where_it_is_sure(
    event: float, figure: float, flags: tuple[str, str]
) -> None:
    [run] = told("We had forty-five there.", {("run", 0): event}, {"forty five": ("run volume", figure, "done")})
    assert ({flags[0]}, (flags[1],)) == (run.flags, run.values["volume"].flags[-1:])


def test_a_size_it_carries_over_is_marked_however_sure_it_is_of_the_event() -> None:
    text = BALLOON + "My sister paints.\nWhoosh it goes.\n"
    _, inflation = told(text, {("inflation", 3): 0.99})
    assert [set(value.flags) for value in inflation.values.values()] == [{"carried-over", "second-reading"}] * 2


@pytest.mark.parametrize(
    ("text", "likely", "marked"),
    [
        pytest.param("Seven French sheath? In.\n", {("insert sheath", 1): 0.96}, True, id="unsure"),
        pytest.param("Seven French sheath? In.\n", {("insert sheath", 1): 0.98}, False, id="sure"),
        pytest.param("Heparin is in, five thousand?\n", {("drug", 0): 0.98}, True, id="a dose"),
        pytest.param("Run. Was that eight mils?\n", {("run", 0): 0.98}, True, id="a volume"),
    ],
)
def test_a_size_nobody_confirmed_is_not_marked_where_the_thing_was_surely_used(
    text: str, likely: dict[tuple[str, int], float], marked: bool
) -> None:
    [event] = told(text, likely)
    assert any("asked" in value.flags for value in event.values.values()) is marked


def test_a_measure_is_taken_anew() -> None:
    text = "I measure three point one millimetres.\nNice day.\nMy sister paints.\nShe does.\nTrust me, the vessel.\n"
    before = lines(told(text))
    assert lines(told(text, {("measure", 4): 0.9})) == [*before, "measure done second-reading"]


def test_what_comes_out_has_the_size_it_went_in_with() -> None:
    text = "Seven French sheath is in.\nNice weather today.\nMy sister paints.\nThe sheath, then.\n"
    assert lines(told(text, {("remove sheath", 3): 0.9, ("insert sheath", 0): 0.9})) == [
        "insert done sheath gauge 7",
        "remove done sheath gauge 7 second-reading",
    ]


@pytest.mark.parametrize(
    ("of", "likely", "events"),
    [
        pytest.param("run volume", 0.92, ["run done volume 45 second-reading"], id="likely"),
        pytest.param("run volume", 0.8, [], id="unlikely"),
        pytest.param("", 0.99, [], id="nothing"),
        pytest.param("closure duration", 0.99, [], id="told of something that is not there"),
        pytest.param("drug dose", 0.99, [], id="a dose without its unit"),
        pytest.param("run rate", 0.99, [], id="implausible"),
    ],
)
def test_a_figure_without_a_place_finds_one(of: str, likely: float, events: list[str]) -> None:
    assert lines(told("We had forty-five there.", figures={"forty five": (of, likely, "done")})) == events


def test_a_figure_goes_to_the_event_beside_it_that_has_none_such() -> None:
    text = "Run please, four mils a second.\nWe had eight there.\n"
    assert lines(told(text, figures={"eight": ("run volume", 0.92, "done")})) == ["run done rate 4 volume 8"]


@pytest.mark.parametrize(
    ("likely", "more"),
    [pytest.param(0.99, ["run done volume 45 second-reading"], id="sure"), pytest.param(0.93, [], id="likely")],
)
def test_beside_an_event_that_has_such_a_value_another_is_told_where_it_is_sure(likely: float, more: list[str]) -> None:
    text = "Run please, eight mils at four.\nWe had forty-five there.\n"
    told_there = {"eight mils": ("run volume", 0.93, "done"), "forty five": ("run volume", likely, "done")}
    assert lines(told(text, figures=told_there)) == ["run done rate 4 volume 8", *more]


@pytest.mark.parametrize(
    ("there", "likely", "told_as"),
    [
        pytest.param(0.0, 0.8, (4, True, [8]), id="does not hold with the one that is there"),
        pytest.param(0.7, 0.8, (8, True, [4]), id="holds with both, with the other more"),
        pytest.param(0.8, 0.8, (8, False, []), id="holds with the one that is there as much"),
        pytest.param(0.0, 0.4, (8, False, []), id="is not sure"),
    ],
)
def test_of_two_figures_for_one_place_it_has_a_say(
    there: float, likely: float, told_as: tuple[float, bool, list[float]]
) -> None:
    figures = {"eight mils": ("run volume", there, "done"), "four": ("run volume", likely, "done")}
    (run,) = told("Run please, eight mils.\nThe syringe had four.\n", figures=figures)
    volume = run.values["volume"]
    assert (volume.value, "conflict" in volume.flags, list(volume.alternatives)) == told_as


@pytest.mark.parametrize(
    ("there", "told_as"),
    [
        pytest.param(0.0, [(5, True, [6])] * 3, id="the one it does not hold with"),
        pytest.param(0.7, [(6, True, [5])] * 3, id="the one that is as likely"),
    ],
)
def test_what_is_carried_to_later_events_changes_with_it(there: float, told_as: list[tuple[float, bool, list]]) -> None:
    text = "Six millimetre balloon please.\nThe box has five.\nUp to eight.\nAgain, up to ten.\n"
    figures = {
        "six millimetre": ("inflation diameter", there, "planned"), "five": ("inflation diameter", 0.8, "planned"),
    }  # fmt: skip
    sizes = [draft.values["diameter"] for draft in told(text, figures=figures) if "diameter" in draft.values]
    assert [(size.value, "conflict" in size.flags, list(size.alternatives)) for size in sizes] == told_as
    assert ["carried-over" in size.flags for size in sizes] == [False, True, True]


def test_a_figure_far_off_is_no_rival() -> None:
    text = "Run please, eight mils.\nThank you.\nLovely.\nHow is he?\nThe syringe had four.\n"
    (run,) = told(text, figures={"four": ("run volume", 0.8, "done")})
    assert (run.values["volume"].value, "conflict" in run.values["volume"].flags) == (8, False)


@pytest.mark.parametrize(
    ("likely", "events"),
    [
        pytest.param(0.6, ["insert done sheath gauge 14 second-reading"], id="called by what it takes it for"),
        pytest.param(0.4, [], id="nobody knows what it is"),
    ],
)
def test_a_thing_nobody_named_is_called_by_what_it_takes_it_for(likely: float, events: list[str]) -> None:
    told_there = {"fourteen": ("insert gauge", 0.93, "done")}
    assert lines(told("We had fourteen there.", {("insert sheath", 0): likely}, told_there)) == events


def test_a_bare_length_of_what_goes_in_is_in_centimetres() -> None:
    (sheath,) = told("We had ninety there.", {("insert sheath", 0): 0.6}, {"ninety": ("insert length", 0.93, "done")})
    assert (sheath.values["length"].value, sheath.values["length"].unit) == (90, "cm")


@pytest.mark.parametrize(
    ("likely", "moved"), [pytest.param(0.96, True, id="sure"), pytest.param(0.88, False, id="likely")]
)
def test_a_figure_it_is_sure_belongs_elsewhere_is_told_there_too_and_both_are_marked(
    likely: float, moved: bool
) -> None:
    drafts = told("Run please, eight mils at four.", figures={"eight mils": ("embolise volume", likely, "done")})
    assert lines(drafts) == ["run done rate 4 volume 8", *["embolise done volume 8 second-reading"] * moved]
    assert ("read-otherwise" in drafts[0].values["volume"].flags) is moved


def test_a_figure_told_again_is_no_other() -> None:
    text = "Run please, eight mils at four.\nWe had eight there.\n"
    assert lines(told(text, figures={"eight": ("run volume", 0.92, "done")})) == ["run done rate 4 volume 8"]


def test_both_flags_ask_for_a_look() -> None:
    words = words_of("Run please, eight mils at four.\nWe had forty-five there.\n")
    sentences, corrections = reader_of(shipped()).read(words)
    figures = {
        figure.words: Reading("measure length", 0.9, Status.DONE, 0.9)
        for item in sentences[1].items
        for figure in item.figures.values()
    }
    opinion = Opinion(figures, [[0.0]] * len(sentences), {("run", Status.DONE): 0})

    class Second:
        def read(self, sentences: object, drafts: object, people: object = ()) -> Opinion:
            return opinion

    run, measure = reconcile(sentences, words, corrections, shipped(), second=Second())
    assert isinstance(run, Event)
    assert (run.review, run.flags) == (True, ("read-otherwise",))
    assert measure.review
    assert measure.values["length"].review
    assert "second-reading" in measure.values["length"].flags
