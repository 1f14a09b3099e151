"""The catalogue: charts beside numpy and scipy, and its checks on both sides of each border."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy.interpolate import interp1d

from extractor.reconciling.catalogue import Catalogue, Row
from extractor.reconciling.checks.site_rules import SiteRules

from .cases import checked, codes

STENT = Row(name="Stent", kind="stent", diameter_mm=7, chart=((8, 6.9), (10, 7.0), (12, 7.22), (14, 7.39)), rated=14)

READ_OFF = [
    pytest.param(12, "atm", 7.22, id="at 12 atm"),
    pytest.param(14, "atm", 7.39, id="at 14 atm"),
    pytest.param(13, "atm", 7.305, id="between"),
    pytest.param(8, "atm", 6.9, id="at the low end"),
    pytest.param(7.99, "atm", None, id="below the chart"),
    pytest.param(14.01, "atm", None, id="above the chart"),
    pytest.param(12.159, "bar", 7.22, id="12 atm in bar"),
    pytest.param(14.2, "bar", 7.39, id="the end, within what bar and atm differ by"),
    pytest.param(14.5, "bar", None, id="beyond it"),
    pytest.param(8, "bar", 6.9, id="the low end in bar"),
    pytest.param(176.35, "[psi]", 7.22, id="12 atm in psi"),
]


@pytest.mark.parametrize(("pressure", "unit", "diameter"), READ_OFF)
def test_a_chart_is_read_between_its_ends(pressure: float, unit: str, diameter: float | None) -> None:
    read = STENT.diameter_at(pressure, unit)
    assert read is None if diameter is None else read == pytest.approx(diameter, abs=0.001)


charts = st.lists(st.tuples(st.floats(0.5, 5), st.floats(0, 0.5)), min_size=2, max_size=9).map(
    lambda steps: tuple(
        zip(np.cumsum([p for p, _ in steps]).tolist(), (3 + np.cumsum([d for _, d in steps])).tolist(), strict=True)
    )
)


@given(charts, st.floats(0, 50))
def test_a_chart_reads_as_numpy_and_scipy_do(chart: tuple[tuple[float, float], ...], pressure: float) -> None:
    """numpy.interp and scipy.interpolate.interp1d, which is told to give nothing outside."""
    pressures, diameters = zip(*chart, strict=True)
    row = Row(name="x", kind="balloon", chart=chart)
    expected = float(interp1d(pressures, diameters, bounds_error=False)(pressure))
    read = row.diameter_at(pressure, "atm")
    if read is None:
        assert np.isnan(expected)
    else:
        assert read == pytest.approx(expected, abs=1e-9)
        assert read == pytest.approx(float(np.interp(pressure, pressures, diameters)), abs=1e-9)
        assert diameters[0] <= read <= diameters[-1]


REFUSED = [
    pytest.param({"chart": ((8, 7), (8, 7.1))}, "must rise", id="a pressure twice"),
    pytest.param({"chart": ((10, 7), (8, 7.1))}, "must rise", id="pressures fall"),
    pytest.param({"chart": ((8, 7.1), (10, 7))}, "must not fall", id="diameters fall"),
    pytest.param({"chart": ((8, 7),)}, "one point", id="a chart of one point"),
    pytest.param({"nominal": 16, "rated": 14}, "above the rated", id="nominal above rated"),
    pytest.param({"rated": -1}, "greater than 0", id="below zero"),
    pytest.param({"diameter_mm": float("nan")}, "finite", id="no number"),
    pytest.param({"name": ""}, "at least 1", id="no name"),
]


@pytest.mark.parametrize(("fields", "why"), REFUSED)
def test_a_row_that_cannot_be_is_refused(fields: dict[str, object], why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        Row.model_validate({"name": "x", "kind": "balloon", **fields})


def test_a_size_stands_once() -> None:
    with pytest.raises(ValidationError, match="twice"):
        Catalogue(rows=(STENT, STENT))


def balloon(**more: object) -> Row:
    plain = {
        "name": "Plain", "kind": "balloon", "spoken": ("plain balloon",), "diameter_mm": 6, "lengths_mm": (40, 80),
        "rated": 14, "chart": ((6, 5.8), (14, 6.2)), "wire_in": 0.018, "sheath_fr": 5,
    }  # fmt: skip
    return Row.model_validate({**plain, **more})


PLAIN = Catalogue(rows=(balloon(), balloon(diameter_mm=7)))
TWO = Catalogue(rows=(balloon(), balloon(name="Strong", spoken=("strong balloon",), rated=24, chart=(), sheath_fr=7)))
IN_BAR = Catalogue(rows=(balloon(rated=14, pressure_unit="bar"),))
SIX = "inflation done balloon | diameter 6 mm, length 40 mm, pressure"

CASES = [
    pytest.param(PLAIN, f"{SIX} 14 atm", ["diameter-by-chart"], id="at the rated pressure"),
    pytest.param(PLAIN, f"{SIX} 15 atm", ["above-rated-pressure", "outside-chart"], id="above it"),
    pytest.param(PLAIN, f"{SIX} 14.2 bar", ["diameter-by-chart"], id="14.2 bar are 14 atm"),
    pytest.param(
        PLAIN, f"{SIX} 14.3 bar", ["diameter-by-chart"], id="14.3 bar are 14.1 atm: within what the units differ by"
    ),
    pytest.param(PLAIN, f"{SIX} 14.5 bar", ["above-rated-pressure", "outside-chart"], id="14.5 bar are more"),
    pytest.param(IN_BAR, f"{SIX} 14 atm", ["diameter-by-chart"], id="bar read as atmospheres"),
    pytest.param(IN_BAR, f"{SIX} 14.1 bar", ["above-rated-pressure", "outside-chart"], id="the same unit has no slack"),
    pytest.param(PLAIN, f"{SIX} 5 atm", ["outside-chart"], id="below the chart"),
    pytest.param(PLAIN, f"{SIX} 12 atm".replace("done", "planned"), [], id="only planned"),
    pytest.param(PLAIN, f"{SIX} 12 mm[Hg]", ["outside-chart"], id="millimetres of mercury"),
    pytest.param(PLAIN, f"{SIX} 15 atm".replace("40", "60"), [], id="a length not listed, of no named device"),
    pytest.param(
        PLAIN, f"{SIX} 15 atm :: plain balloon".replace("40", "60"), ["size-not-made"], id="a length not made"
    ),
    pytest.param(
        PLAIN,
        f"{SIX} 12 atm :: the plain balloon".replace("diameter 6", "diameter 9"),
        ["size-not-made"],
        id="a width not made",
    ),
    pytest.param(PLAIN, "inflation done balloon | diameter 6 mm, length 4 cm", [], id="four centimetres are made"),
    pytest.param(PLAIN, "stent done stent | diameter 6 mm, length 45 mm", [], id="no stent in the catalogue"),
    pytest.param(TWO, f"{SIX} 15 atm", [], id="one of two bears it, none was named"),
    pytest.param(TWO, f"{SIX} 25 atm", ["above-rated-pressure"], id="neither bears it"),
    pytest.param(TWO, f"{SIX} 15 atm :: the strong balloon", [], id="the strong one was named"),
    pytest.param(
        TWO, f"{SIX} 15 atm :: the plain balloon", ["above-rated-pressure", "outside-chart"], id="the weak one was"
    ),
    pytest.param(
        TWO,
        f"{SIX} 15 atm".replace("done", "planned").replace(", pressure 15 atm", "")
        + f":: strong balloon\n{SIX} 15 atm",
        [],
        id="named",
    ),
    pytest.param(
        PLAIN, f"insert done wire | wire_diameter 0.018 [in_i]\n{SIX} 8 atm", ["diameter-by-chart"], id="fits"
    ),
    pytest.param(
        PLAIN,
        f"insert done wire | wire_diameter 0.035 [in_i]\n{SIX} 8 atm",
        ["wire-too-thick", "diameter-by-chart"],
        id="wire too thick",
    ),
    pytest.param(
        PLAIN,
        f"insert done wire | wire_diameter 0.035 [in_i]\nremove done wire\n{SIX} 8 atm",
        ["diameter-by-chart"],
        id="the thick wire is out",
    ),
    pytest.param(
        PLAIN,
        f"insert done wire | wire_diameter 0.035 [in_i]\ninsert done wire\n{SIX} 8 atm",
        ["diameter-by-chart"],
        id="another wire, its size not said",
    ),
    pytest.param(
        PLAIN,
        f"insert done sheath | gauge 5 [Ch]\n{SIX} 8 atm",
        ["diameter-by-chart"],
        id="through the smallest sheath",
    ),
    pytest.param(
        PLAIN,
        f"insert done sheath | gauge 4 [Ch]\n{SIX} 8 atm",
        ["sheath-too-small", "diameter-by-chart"],
        id="sheath too small",
    ),
    pytest.param(
        PLAIN,
        f"insert done sheath | gauge 4 [Ch]\ninsert done sheath | gauge 6 [Ch]\n{SIX} 8 atm",
        ["diameter-by-chart"],
        id="two sheaths in, one is wide enough",
    ),
    pytest.param(
        PLAIN,
        f"insert done sheath | gauge 6 [Ch]\ninsert done sheath | gauge 4 [Ch]\nremove done sheath | gauge 6 [Ch]\n"
        f"{SIX} 8 atm",
        ["sheath-too-small", "diameter-by-chart"],
        id="the wide one is out again",
    ),
    pytest.param(TWO, f"insert done sheath | gauge 6 [Ch]\n{SIX} 8 atm", [], id="one of two goes through"),
    pytest.param(
        Catalogue(rows=(Row(name="Sheath", kind="sheath", gauge_fr=6, outer_mm=3.0),)),
        "insert done sheath | gauge 6 [Ch]\nclosure done | gauge 9 [Ch]",
        [],
        id="the sheath's own outside, nine French",
    ),
    pytest.param(
        Catalogue(rows=(Row(name="Sheath", kind="sheath", gauge_fr=6, outer_mm=2.4),)),
        "insert done sheath | gauge 6 [Ch]\nclosure done | gauge 8 [Ch]",
        ["closure-fits-no-sheath"],
        id="the sheath's own outside is less",
    ),
]


@pytest.mark.parametrize(("catalogue", "text", "found"), CASES)
def test_what_the_catalogue_finds(catalogue: Catalogue, text: str, found: list[str]) -> None:
    assert sorted(codes(checked(text, catalogue=catalogue))) == sorted(found)


def test_a_caution_says_how_the_device_was_found() -> None:
    (unnamed, _) = checked(f"{SIX} 15 atm", catalogue=PLAIN)
    (named, _) = checked(f"{SIX} 15 atm :: plain balloon", catalogue=PLAIN)
    assert unnamed.message == "15 atm is above the rated 14 atm of Plain 6 mm (taken by kind and size)."
    assert named.message == "15 atm is above the rated 14 atm of Plain 6 mm."


def test_the_same_words_of_several_events_are_said_once() -> None:
    (check,) = checked(f"{SIX} 10 atm\n{SIX} 10 atm", catalogue=PLAIN)
    assert check.events == ("e0001", "e0002")
    assert check.message == "By the chart of Plain 6 mm (taken by kind and size) it is 6.00 mm at 10 atm."


def test_a_size_not_made_says_what_is() -> None:
    (check,) = checked(f"{SIX} 8 atm :: plain balloon".replace("40", "15"), catalogue=PLAIN)
    assert check.message == "Plain is not made in 6 × 15 mm; 6 mm is 40, 80 mm long."


LISTED = [
    pytest.param(["balloon"], ["No balloon of the catalogue is made in 6 × 15 mm; 6 mm is 40, 80 mm long."], id="all"),
    pytest.param(["stent"], [], id="only stents"),
    pytest.param([], [], id="a few"),
]


@pytest.mark.parametrize(("complete", "messages"), LISTED)
def test_a_size_of_no_named_device_is_made_by_nobody_only_where_all_are_listed(
    complete: list[str], messages: list[str]
) -> None:
    site = SiteRules.model_validate({"catalogue": {"complete": complete}})
    found = checked(f"{SIX} 8 atm".replace("40", "15"), site, PLAIN)
    assert [check.message for check in found] == messages
