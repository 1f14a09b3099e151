"""Events and values in the words a person reads."""

import pytest

from extractor.handover.wording import clock, doubts, event_name, plain, site_text, value_texts
from extractor.model import Alternative, Event, Kind, Site, Status, Value
from extractor.units import figure


def event(kind: Kind, status: Status = Status.DONE, **more: object) -> Event:
    fixed = {"id": "e0001", "start_ms": 0, "end_ms": 1, "confidence": 1, "words": (0, 1), "rule": "by-hand"}
    return Event.model_validate({"kind": kind, "status": status, **fixed, **more})


def value(number: float, unit: str, **more: object) -> Value:
    return Value.model_validate({"value": number, "unit": unit, "confidence": 0.9, "words": (0, 1), **more})


@pytest.mark.parametrize(
    ("ms", "text"),
    [
        pytest.param(0, "0:00", id="zero"),
        pytest.param(59_999, "0:59", id="never-ahead-of-the-sound"),
        pytest.param(81_230, "1:21", id="minutes"),
        pytest.param(3_723_000, "1:02:03", id="hours"),
    ],
)
def test_clock(ms: int, text: str) -> None:
    assert clock(ms) == text


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        pytest.param(14.0, "atm", "14 atm", id="no-zero-after-the-point"),
        pytest.param(0.018, "[in_i]", "0.018 in", id="zero-before-the-point"),
        pytest.param(2.5, "mm", "2.5 mm", id="decimal"),
        pytest.param(5000, "[iU]", "5,000 units", id="thousands-and-units-in-full"),
        pytest.param(200, "ug", "200 micrograms", id="micrograms-in-full"),
        pytest.param(6, "[Ch]", "6 Fr", id="french"),
        pytest.param(3, "{count}", "3", id="plain-count"),
        pytest.param(7, None, "7", id="no-unit"),
    ],
)
def test_figure(number: float, unit: str | None, text: str) -> None:
    assert figure(number, unit) == text


@pytest.mark.parametrize(
    ("made", "name"),
    [
        pytest.param(event(Kind.INFLATION, device="balloon"), "Balloon inflation", id="inflation"),
        pytest.param(event(Kind.INFLATION), "Balloon inflation", id="nobody-said-which"),
        pytest.param(event(Kind.INSERT, device="sheath"), "Sheath in", id="insert"),
        pytest.param(event(Kind.REMOVE, device="wire"), "Wire out", id="remove"),
        pytest.param(event(Kind.DRUG, drug="heparin"), "Heparin", id="drug"),
        pytest.param(event(Kind.FINDING, finding="dissection"), "Dissection", id="finding"),
        pytest.param(event(Kind.FINDING, Status.NEGATED, finding="dissection"), "No dissection", id="ruled-out"),
        pytest.param(event(Kind.STENT, Status.NEGATED), "Not done: stent deployment", id="not-done"),
        pytest.param(event(Kind.CLOSURE, device="plug"), "Closure, plug", id="closure-with-device"),
        pytest.param(event(Kind.DRUG, drug="a\x1b[31m\nb"), "A\ufffd[31m b", id="no-control-characters"),
    ],
)
def test_event_name(made: Event, name: str) -> None:
    assert event_name(made) == name


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("status", list(Status))
def test_every_kind_and_status_has_a_name(kind: Kind, status: Status) -> None:
    assert event_name(event(kind, status)).isprintable()


CARRIED = {"flags": ("carried-over",)}


@pytest.mark.parametrize(
    ("values", "texts"),
    [
        pytest.param({"diameter": value(6, "mm"), "length": value(80, "mm")}, ("6 × 80 mm",), id="one-size"),
        pytest.param({"diameter": value(4, "mm"), "length": value(10, "cm")}, ("4 mm × 10 cm",), id="mm-by-cm"),
        pytest.param({"diameter": value(6, "mm", **CARRIED)}, ("(6 mm)",), id="said-earlier"),
        pytest.param({"pressure": value(14, "atm", review=True)}, ("14 atm?",), id="wants-a-look"),
        pytest.param(
            {"diameter": value(6, "mm"), "length": value(80, "mm", **CARRIED)}, ("6 × (80 mm)",), id="half-said-earlier"
        ),
        pytest.param(
            {"diameter": value(6, "mm", **CARRIED), "length": value(80, "mm", review=True, **CARRIED)},
            ("(6 × 80 mm)?",),
            id="said-earlier-and-doubtful",
        ),
        pytest.param({"contrast_volume": value(85, "mL")}, ("contrast 85 mL",), id="named"),
        pytest.param(
            {"pressure": value(14, "atm"), "duration": value(2, "min")}, ("14 atm", "for 2 min"), id="several"
        ),
    ],
)
def test_value_texts(values: dict[str, Value], texts: tuple[str, ...]) -> None:
    assert tuple(text for text, _ in value_texts(event(Kind.INFLATION, values=values))) == texts


@pytest.mark.parametrize(
    ("made", "sentences"),
    [
        pytest.param(event(Kind.RUN), (), id="nothing"),
        pytest.param(event(Kind.RUN, review=True), ("Is this what happened?",), id="event-without-a-reason"),
        pytest.param(event(Kind.RUN, review=True, flags=("odd-code",)), ("odd-code.",), id="code-without-a-sentence"),
        pytest.param(
            event(
                Kind.INSERT,
                values={
                    "gauge": value(6, "[Ch]", review=True, flags=("unsure-word",)),
                    "length": value(45, "cm", review=True, flags=("carried-over", "unsure-word")),
                },
            ),
            ("6 Fr, 45 cm: The recogniser was unsure of a word this rests on.",),
            id="one-reason-for-two",
        ),
        pytest.param(
            event(Kind.INSERT, values={"gauge": value(6, "[Ch]", review=True, flags=("carried-over",))}),
            ("6 Fr: Said earlier in the case, not here.",),
            id="said-earlier-is-the-only-reason",
        ),
        pytest.param(
            event(Kind.RUN, values={"volume": value(8, "mL", review=True)}),
            ("8 mL: Is this right?",),
            id="value-without-a-reason",
        ),
        pytest.param(
            event(
                Kind.INFLATION,
                values={
                    "duration": value(
                        90, "s", review=True, alternatives=(Alternative(value=19), Alternative(value=9, log_ratio=-8))
                    )
                },
            ),
            ("for 90 s or 19 s?",),
            id="close-rivals-only",
        ),
    ],
)
def test_doubts(made: Event, sentences: tuple[str, ...]) -> None:
    assert doubts(made) == sentences


def test_brief_doubts_name_the_flags() -> None:
    made = event(Kind.RUN, values={"volume": value(8, "mL", review=True, flags=("unsure-word", "unit-assumed"))})
    assert doubts(made, brief=True) == ("8 mL: unsure word, unit assumed",)


@pytest.mark.parametrize(
    ("site", "text"),
    [
        pytest.param(None, "", id="unsaid"),
        pytest.param(Site(name="iliac artery", side="both"), "left and right iliac artery", id="both-sides"),
        pytest.param(Site(name="femoral artery", side="left", part="mid"), "left femoral artery, mid", id="all"),
        pytest.param(Site(side="left"), "left", id="side-alone"),
    ],
)
def test_site_text(site: Site | None, text: str) -> None:
    assert site_text(site) == text


def test_plain_keeps_one_line() -> None:
    assert plain(" a\n\nb\tc\x07 ") == "a b c\ufffd"
