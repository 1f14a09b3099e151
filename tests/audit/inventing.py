"""Invented cases for the cross-check: what happened in the balloon, what was said of it, and what a pump logged.

Written without a look at how inflations and clocks are found: it imports nothing of ``extractor.audit``. A case is
inflations in a balloon; the operator speaks of most of them, late or early by up to five seconds and in whole
atmospheres; the pump logs most of them, as a stream with everything that sensors do, on a clock of its own.
"""

import math
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from extractor.model import (
    Event,
    Kind,
    MadeBy,
    Recording,
    Status,
    Timeline,
    Value,
    Word,
)

PER_ATM = {"atm": 1.0, "bar": 1.01325, "kPa": 101.325, "psi": 14.69595, "mmHg": 760.0}


@dataclass(frozen=True)
class Balloon:
    """One inflation as it was: it reaches ``atm`` at ``peak_s`` and is let down ``hold_s`` later."""

    peak_s: float
    atm: float
    hold_s: float
    rise_s: float
    fall_s: float
    leak: float  # share lost a second
    said_atm: int | None  # None: nobody spoke of it
    logged: bool
    planted: bool


@dataclass(frozen=True)
class Case:
    """Everything that is true of it. ``log = recording * (1 + drift) + offset``."""

    balloons: tuple[Balloon, ...]
    offset_s: float
    drift_ppm: float
    seed: int
    unit: str
    form: str  # seconds, clock, iso
    rate_hz: float
    noise_atm: float
    drift_atm: float
    vacuum: bool
    dropped: float
    delays: str
    extras: dict[str, float] = field(default_factory=dict)

    @property
    def said(self) -> list[tuple[int, Balloon]]:
        """(number of its event, what was) for each inflation somebody spoke of."""
        return list(enumerate((each for each in self.balloons if each.said_atm is not None), 1))

    @property
    def end_s(self) -> float:
        return self.balloons[-1].peak_s + self.balloons[-1].hold_s + 240


def invent(
    seed: int,
    *,
    fewest: int = 8,
    most: int = 20,
    delays: str = "usual",
    jitter_atm: float = 0.3,
    unsaid: float | None = None,
    unlogged: float | None = None,
) -> Case:
    """A seed -> a case. ``delays``: usual (most within two seconds, most afterwards) or even (anything up to five)."""
    random = np.random.default_rng([seed, 7])
    shares = random.uniform(0, 0.3, 2)
    unsaid, unlogged = shares[0] if unsaid is None else unsaid, shares[1] if unlogged is None else unlogged
    habits = random.choice([6, 8, 10, 12, 14, 16, 18, 20, 24], size=random.integers(2, 5), replace=False)
    balloons: list[Balloon] = []
    at = float(random.uniform(90, 600))
    for _ in range(int(random.integers(fewest, most + 1))):
        target = int(random.choice(habits))
        hold = float(random.choice([5, 10, 15, 20, 30, 45, 60, 90, 120])) * random.uniform(0.95, 1.05)
        rise, fall = float(random.uniform(0.3, 1.2) * target), float(random.uniform(1.5, 6))
        at += rise
        atm = target + float(random.normal(0, jitter_atm))
        said: int | None = target if random.random() >= unsaid else None
        planted = said is not None and random.random() < 0.12
        if planted and said is not None:
            # At least one atmosphere from what was in the balloon: misread, misspoken, or a teen heard as a -ty.
            options = [other for other in (*range(3, 31), 40, 60) if 1 <= abs(other - atm) <= 6 or other in (40, 60)]
            said = int(random.choice(options))
        balloons.append(
            Balloon(at, atm, hold, rise, fall, float(random.choice([0, 0, 0, 0.0005, 0.002])), said,
                    bool(random.random() >= unlogged), planted)
        )  # fmt: skip
        at += hold + fall + float(random.gamma(2, 45)) + 12
    return Case(
        balloons=tuple(balloons),
        offset_s=float(random.uniform(-7200, 7200)),
        drift_ppm=float(random.uniform(-200, 200)),
        seed=seed,
        unit=str(random.choice(["atm", "bar", "bar", "kPa", "psi"])),
        form=str(random.choice(["seconds", "clock", "iso"])),
        rate_hz=float(random.choice([1, 2, 4, 10])),
        noise_atm=float(random.uniform(0.02, 0.2)),
        drift_atm=float(random.uniform(-0.3, 0.3)),
        vacuum=bool(random.random() < 0.3),
        dropped=float(random.choice([0, 0.01, 0.05])),
        delays=delays,
    )


def delay(random: np.random.Generator, habit: str) -> float:
    """How long after (before, where negative) a thing happens it is said, s."""
    if habit == "even":
        return float(random.uniform(0, 5) * random.choice([-1, 1]))
    return float(min(5.0, random.gamma(2, 0.8)) * (1 if random.random() < 0.65 else -1))


def timeline_of(case: Case) -> Timeline:
    """What was said -> a draft timeline, with talk in between that is no inflation of this case."""
    random = np.random.default_rng([case.seed, 11])
    words: list[Word] = []
    events: list[Event] = []

    def say(text: str, at_s: float) -> int:
        # Words never overlap: what was said a moment too early waits for the word before.
        start = max(round(at_s * 1000), words[-1].end_ms if words else 0)
        words.append(Word(text=text, start_ms=start, end_ms=start + 300))
        return len(words) - 1

    for number, balloon in case.said:
        heard = balloon.peak_s + delay(random, case.delays)
        first = say("up", heard - 0.8)
        figure = say(str(balloon.said_atm), heard - 0.3)
        unit = say("atmospheres", heard)
        values = {"pressure": Value(value=balloon.said_atm, unit="atm", confidence=0.95, words=(figure, unit + 1))}
        last = unit
        if balloon.hold_s > 12 and random.random() < 0.6:
            held = say(str(round(balloon.hold_s / 5) * 5), heard + 1.5)
            last = say("seconds", heard + 1.9)
            values["duration"] = Value(
                value=round(balloon.hold_s / 5) * 5, unit="s", confidence=0.95, words=(held, last + 1)
            )
        if random.random() < 0.5:
            last = say("down", max(heard + 2.5, balloon.peak_s + balloon.hold_s + delay(random, case.delays)))
        events.append(
            Event(
                id=f"e{number:04}", kind=Kind.INFLATION, status=Status.DONE, start_ms=words[first].start_ms,
                end_ms=words[last].end_ms, values=values, confidence=0.9, words=(first, last + 1), rule="by-hand",
            )
        )  # fmt: skip
    for number in range(3):
        at = say("rated to thirty", words[-1].end_ms / 1000 + 5)
        events.append(
            Event(
                id=f"e9{number:03}", kind=Kind.INFLATION, status=Status.QUOTED, start_ms=words[at].start_ms,
                end_ms=words[at].end_ms, confidence=0.9, words=(at, at + 1), rule="by-hand",
                values={"pressure": Value(value=30, unit="atm", confidence=0.9, words=(at, at + 1))},
            )
        )  # fmt: skip
    return Timeline(
        recording=Recording(sha256="00" * 32, duration_ms=round(case.end_s * 1000)),
        made_by=MadeBy(extractor="0", speech_model=None, lexicons={}),
        words=tuple(words),
        events=tuple(events),
    )


def stream_of(case: Case) -> tuple[np.ndarray, np.ndarray]:
    """What the pump's sensor gave: times on the log's clock in s, pressures in atm, NaN where the cell is empty."""
    random = np.random.default_rng([case.seed, 13])
    at = np.arange(-60, case.end_s, 1 / case.rate_hz) + random.uniform(-0.1, 0.1) / case.rate_hz
    atm = np.zeros(len(at))
    for each in case.balloons:
        if not each.logged:
            continue
        # A pump is wound: pressure comes in steps, each with a small overshoot.
        steps = max(2, round(each.rise_s / 1.5))
        wound = np.clip((at - each.peak_s + each.rise_s) / each.rise_s, 0, 1)
        level = each.atm * np.minimum(1, np.ceil(wound * steps) / steps * 0.3 + wound * 0.7)
        held = each.atm * np.exp(-each.leak * np.maximum(0, at - each.peak_s))
        level = np.where(at < each.peak_s, level, held)
        down = at - each.peak_s - each.hold_s
        rest = -0.85 if case.vacuum else 0.0
        level = np.where(down > 0, np.maximum(rest, level - (each.atm + 1) * down / each.fall_s), level)
        active = (at >= each.peak_s - each.rise_s) & (down < each.fall_s + (20 if case.vacuum else 3))
        atm = np.where(active, level, atm)
    atm = atm + np.linspace(0, case.drift_atm, len(at)) + random.normal(0, case.noise_atm, len(at))
    spikes = random.random(len(at)) < 0.0005
    atm = np.where(spikes, atm + random.uniform(-3, 3, len(at)), atm)
    atm = np.where(random.random(len(at)) < 0.002, np.nan, np.maximum(atm, -1.0))
    kept = random.random(len(at)) >= case.dropped
    for start in random.uniform(0, case.end_s, 2 if case.dropped else 0):
        kept &= (at < start) | (at > start + random.uniform(1, 6))
    log = at * (1 + case.drift_ppm * 1e-6) + case.offset_s
    return log[kept], atm[kept]


def time_text(form: str, seconds: float) -> str:
    if form == "seconds":
        return f"{seconds:.3f}"
    # Half past ten, so that two hours either way stay within the day.
    when = datetime(2026, 3, 4, 10, 30) + timedelta(seconds=seconds)
    return when.isoformat(timespec="milliseconds") if form == "iso" else when.strftime("%H:%M:%S.%f")[:-3]


def zero_s(form: str) -> float:
    """What a log's own clock shows, s, at the 0 of ``Case.offset_s``."""
    return 0.0 if form == "seconds" else 10.5 * 3600


def write_log(case: Case, path: Path) -> Path:
    """The case's log as CSV."""
    at, atm = stream_of(case)
    lines = [f"time{'_s' if case.form == 'seconds' else ''},pressure_{case.unit}"]
    for seconds, pressure in zip(at.tolist(), (atm * PER_ATM[case.unit]).tolist(), strict=True):
        lines.append(f"{time_text(case.form, seconds)},{'' if math.isnan(pressure) else f'{pressure:.3f}'}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
