"""Patterns of inflations by hand -> a clock, or a sentence why none can be trusted."""

import numpy as np
import pytest

from extractor.audit.clock import Clock, Mark, find_clock

#: Seconds and atmospheres of one case's inflations.
CASE = ((120, 8), (205, 12), (410, 14), (466, 14), (700, 10), (951, 18), (1080, 12))


def marks(inflations: tuple[tuple[float, float | None], ...], offset_s: float = 0, drift: float = 0) -> list[Mark]:
    return [Mark(at * (1 + drift) + offset_s, atm) for at, atm in inflations]


FOUND = [
    pytest.param(CASE, CASE, 0, id="the same"),
    pytest.param(CASE, CASE, 7000, id="two hours on"),
    pytest.param(CASE, CASE, -7000, id="two hours back"),
    pytest.param(CASE[::-1], CASE, 55, id="in any order"),
    pytest.param(CASE[:5], CASE[1:], 300, id="some missing on both sides"),
    pytest.param((*CASE, (300, 20), (800, 6)), CASE, 300, id="some nobody logged"),
    pytest.param(CASE, (*CASE, (300, 20), (800, 6), (2000, 8)), 300, id="some nobody spoke of"),
    pytest.param(tuple((at, None if at == 410 else atm) for at, atm in CASE), CASE, 300, id="one without a pressure"),
    pytest.param(tuple((at, 40 if at == 466 else atm) for at, atm in CASE), CASE, 300, id="one misheard"),
    pytest.param(tuple((at + (-1) ** at * 3, atm) for at, atm in CASE), CASE, 300, id="said late and early"),
]


@pytest.mark.parametrize(("spoken", "logged", "offset_s"), FOUND)
def test_a_clock_is_found(spoken: tuple[tuple[float, float], ...], logged: tuple[tuple[float, float], ...],
                          offset_s: float) -> None:  # fmt: skip
    clock = find_clock(marks(spoken), marks(logged, offset_s))
    assert isinstance(clock, Clock)
    assert clock.offset_s == pytest.approx(offset_s, abs=2)
    assert abs(clock.offset_s - offset_s) < 3 * clock.offset_error_s + 0.1


def test_drift_is_measured_where_times_are_sharp() -> None:
    long = tuple((at * 6, atm) for at, atm in CASE)
    clock = find_clock(marks(long), marks(long, 300, 200e-6))
    assert isinstance(clock, Clock)
    assert clock.drift_ppm == pytest.approx(200, abs=3 * clock.drift_error_ppm)
    assert clock.drift_error_ppm < 100
    assert clock.on_recording(300) == pytest.approx(0, abs=1)


REFUSED = [
    pytest.param((), CASE, "0 inflations were spoken", id="nothing spoken"),
    pytest.param(CASE, (), "0 are in the log", id="nothing logged"),
    pytest.param(CASE[:2], CASE, "at least 3", id="two"),
    pytest.param(((118, 8), (207, 12), (413, 14)), CASE, "chance", id="three in a longer log"),
    pytest.param(CASE, ((0, 9), (333, 16), (360, 11), (800, 7), (1500, 20)), "chance", id="another case"),
    pytest.param(CASE, tuple((10 * number, 12) for number in range(400)), "", id="a log full of inflations"),
    pytest.param(
        tuple((90 * number, 12) for number in range(6)), tuple((90 * number, 12) for number in range(9)),
        "repeats", id="the same again and again",
    ),
    pytest.param(tuple((90 * number, None) for number in range(5)), CASE, "chance", id="no pressure spoken"),
]  # fmt: skip


@pytest.mark.parametrize(("spoken", "logged", "why"), REFUSED)
def test_no_clock_is_better_than_a_wrong_one(
    spoken: tuple[tuple[float, float | None], ...], logged: tuple[tuple[float, float], ...], why: str
) -> None:
    answer = find_clock(marks(spoken), marks(logged, 1234))
    assert isinstance(answer, str)
    assert why in answer


def drill(seed: int) -> tuple[list[Mark], list[Mark]]:
    """Balloons every so many seconds to hardly different pressures, some missing on either side: offset 0."""
    random = np.random.default_rng([seed, 17])
    step, levels = float(random.choice([45, 60, 90])), random.choice([10, 12, 14], size=random.integers(1, 3))
    spoken, logged = [], []
    for number in range(int(random.integers(5, 16))):
        at, atm = 300 + number * step + random.normal(0, random.choice([1, 4])), int(random.choice(levels))
        if random.random() > 0.2:
            spoken.append(Mark(at + random.uniform(-3, 3), atm))
        if random.random() > 0.2:
            logged.append(Mark(at, atm + random.normal(0, 0.3)))
    return spoken, logged


@pytest.mark.parametrize(
    "seeds", [range(40), pytest.param(range(1000), marks=pytest.mark.slow)], ids=["a few", "a thousand"]
)
def test_patterns_that_repeat_are_never_taken_for_one_another(seeds: range) -> None:
    believed = [clock for clock in (find_clock(*drill(seed)) for seed in seeds) if isinstance(clock, Clock)]
    assert [clock.offset_s for clock in believed if abs(clock.offset_s) > 6] == []
    foreign = [find_clock(drill(seed)[0], drill(seed + 5000)[1]) for seed in seeds]
    assert [clock for clock in foreign if isinstance(clock, Clock)] == []
