"""What a pump logs of one or two balloons, drawn by hand -> the inflations that are found in it."""

from collections.abc import Callable

import numpy as np
import pytest

from extractor.audit.inflations import Inflation, Samples, find_inflations

#: A trace: corners (s, atm), straight lines between them.
Corners = list[tuple[float, float]]
ONE: Corners = [(0, 0), (60, 0), (68, 14), (98, 14), (101, 0), (160, 0)]


def draw(corners: Corners, rate_hz: float = 4) -> tuple[np.ndarray, np.ndarray]:
    at = np.arange(corners[0][0], corners[-1][0], 1 / rate_hz)
    times, levels = zip(*corners, strict=True)
    return at, np.interp(at, times, levels)


def found_in(corners: Corners, change: Callable[..., None] | None = None, rate_hz: float = 4) -> list[Inflation]:
    at, atm = draw(corners, rate_hz)
    if change:
        change(at, atm)
    keep = ~np.isnan(atm)
    return find_inflations(Samples(at[keep], atm[keep]), [])[0]


def noisy(at: np.ndarray, atm: np.ndarray) -> None:
    atm += np.random.default_rng(1).normal(0, 0.2, len(at))


def spiky(at: np.ndarray, atm: np.ndarray) -> None:
    atm[[40, 290, 320, 500]] += [5, 6, -9, 4]


def zero_drifts(at: np.ndarray, atm: np.ndarray) -> None:
    atm += np.linspace(-0.1, 0.5, len(at))


def counts_from_vacuum(at: np.ndarray, atm: np.ndarray) -> None:
    atm += 1


def silent_while_held(at: np.ndarray, atm: np.ndarray) -> None:
    atm[(at > 75) & (at < 90)] = np.nan


def silent_on_the_way_up(at: np.ndarray, atm: np.ndarray) -> None:
    atm[(at > 62) & (at < 67)] = np.nan


def every_third_lost(at: np.ndarray, atm: np.ndarray) -> None:
    atm[::3] = np.nan


SHAPES = [
    pytest.param(ONE, None, [(67.8, 14.0, 31.5)], id="up, held, down"),
    pytest.param([(0, 0), (60, 0), (66, 12), (72, 0), (120, 0)], None, [(65.5, 11.5, 3)], id="a peak that is not held"),
    pytest.param(
        [(0, 0), (60, 0), (63, 6), (70, 6), (72, 10), (80, 10), (82, 14), (112, 14), (114, 0), (160, 0)],
        None, [(82, 14.0, 31)], id="steps on the way up",
    ),
    pytest.param(
        [(0, 0), (60, 0), (68, 14), (188, 9), (191, 0), (240, 0)], None, [(68, 13.9, 121)], id="a leak",
    ),
    pytest.param(
        [(0, 0), (60, 0), (68, 14), (90, 12.5), (92, 14), (120, 14), (123, 0), (160, 0)],
        None, [(68, 14, 54)], id="a leak and a top-up",
    ),
    pytest.param(
        [(0, 0), (60, 0), (68, 14), (88, 14), (91, 2), (94, 2), (100, 10), (120, 10), (123, 0), (160, 0)],
        None, [(68, 14, 21), (100, 10, 22)], id="two, with hardly a rest between",
    ),
    pytest.param(
        [(0, 0), (60, 0), (68, 14), (98, 14), (101, -0.9), (140, -0.9), (148, 8), (158, 8), (160, -0.9), (190, -0.9)],
        None, [(68, 14, 31), (148, 8, 11)], id="a vacuum between",
    ),
    pytest.param(
        [(0, 0), (60, 0), (63, 3), (68, 8), (80, 8), (95, 6), (110, 6), (113, 0), (160, 0)],
        None, [(68, 8, 43)], id="down in two steps",
    ),
    pytest.param([(0, 0), (60, 0), (61, 1.2), (70, 1.2), (71, 0), (120, 0)], None, [], id="a test of the line"),
    pytest.param([(0, 0), (200, 0)], noisy, [], id="nothing but noise"),
    pytest.param(ONE, noisy, [(68, 14.0, 31)], id="noise"),
    pytest.param(ONE, spiky, [(68, 14.0, 31)], id="spikes"),
    pytest.param(ONE, zero_drifts, [(68, 14.0, 31)], id="a zero that drifts"),
    pytest.param(ONE, counts_from_vacuum, [(68, 14.0, 31)], id="a gauge that counts from a vacuum"),
    pytest.param(ONE, silent_while_held, [(68, 14.0, 31)], id="silent while held"),
    pytest.param(ONE, silent_on_the_way_up, [(68, 14.0, 31)], id="silent on the way up"),
    pytest.param(ONE, every_third_lost, [(68, 14.0, 31)], id="every third sample lost"),
]  # fmt: skip


@pytest.mark.parametrize(("corners", "change", "wanted"), SHAPES)
def test_inflations_are_found(
    corners: Corners, change: Callable[..., None] | None, wanted: list[tuple[float, float, float]]
) -> None:
    found = found_in(corners, change)
    assert [(each.peak_ms / 1000, each.atm, each.hold_s) for each in found] == [
        (pytest.approx(peak, abs=1.0), pytest.approx(atm, abs=0.25), pytest.approx(hold, abs=2.0))
        for peak, atm, hold in wanted
    ]


@pytest.mark.parametrize("rate_hz", [0.2, 0.5, 1, 10, 50], ids="{} Hz".format)
def test_any_rate_will_do(rate_hz: float) -> None:
    (one,) = found_in(ONE, rate_hz=rate_hz)
    assert one.atm == pytest.approx(14, abs=0.2)
    assert one.peak_ms / 1000 == pytest.approx(68, abs=0.5 + 1 / rate_hz)
    assert one.hold_s == pytest.approx(31, abs=1 + 2 / rate_hz)


CUTS = [
    pytest.param(ONE[2:], True, id="up when the log begins"),
    pytest.param(ONE[:4], True, id="up when the log ends"),
    pytest.param(ONE, False, id="whole"),
]


@pytest.mark.parametrize(("corners", "cut"), CUTS)
def test_what_may_be_more_says_so(corners: Corners, cut: bool) -> None:
    (one,) = found_in(corners)
    assert one.cut == cut


def test_a_silence_within_is_told() -> None:
    (one,) = found_in(ONE, silent_while_held)
    assert one.cut


REPAIRS = [
    pytest.param(zero_drifts, "the sensor's zero, taken off", id="drift"),
    pytest.param(counts_from_vacuum, "the gauge counts from a vacuum", id="vacuum"),
]


@pytest.mark.parametrize(("change", "said"), REPAIRS)
def test_what_is_taken_off_is_said(change: Callable[..., None], said: str) -> None:
    at, atm = draw(ONE)
    change(at, atm)
    repairs: list[str] = []
    find_inflations(Samples(at, atm), repairs)
    assert said in " ".join(repairs)


def test_silences_are_told() -> None:
    at, atm = draw(ONE)
    keep = (at < 110) | (at > 130)
    _, silences = find_inflations(Samples(at[keep], atm[keep]), [])
    assert silences == ((109_750, 130_250),)
