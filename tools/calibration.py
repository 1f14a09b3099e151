"""Fits the weights of lexicons/doubt.toml: how much each sign of doubt says about a value being right.

    python -m tools.calibration PAIRS.tsv [--lower 0.95] [--picture FILE.svg] [--write lexicons/doubt.toml]

A row of PAIRS is an invented case, what was heard of it, and who spoke it, parted by tabs:

    CASE.yaml  HEARD  VOICE  [LINES.json]

HEARD is a recording, or what listening made of one (``--keep FOLDER`` writes that, so that a second run needs no speech
model), or ``-`` for the case as text. LINES are the seconds in which each line is spoken, as tools/tuning/voices.py
writes them (in samples) or as pairs of seconds.

A logistic model with a small ridge, by scipy. The error of calibration is told for values that were left out of the
fit, voice by voice. ``--lower`` takes so many log odds off "always": the cases are read better than a new speaker's,
for rules were written with them at hand.
"""

import argparse
import json
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import yaml
from scipy.optimize import minimize

from extractor.lexicon import Lexicon, load
from extractor.model import Transcript
from extractor.pipeline import hear, interpret
from extractor.reading.opinions import compare
from extractor.reconciling.confidence import Signs, heard_in, signs
from tests.golden.scoring import agrees, match, read_script
from tests.speakers.narrated import as_text

RATE = 16_000
RIDGE = 2.0
BINS = 10
#: Set from the confidence itself, or from other signs: not signs of their own.
_DERIVED = {"heard-otherwise", "doubtful"}


@dataclass(frozen=True)
class Row:
    """One value of a draft: its signs, whether it is right, and who spoke it."""

    signs: Signs
    right: bool
    voice: str


def rows_of(
    case: Path, transcript: Transcript, times_s: list[tuple[float, float]], voice: str, lexicon: Lexicon
) -> list[Row]:
    """The values of a case's draft that its script has too."""
    timeline = interpret(transcript, lexicon)
    hearings = compare(transcript.words, transcript.opinions)
    rows = []
    for truth, event in match(read_script(yaml.safe_load(case.read_text("utf-8")), times_s), timeline.events):
        for key in event.values.keys() & truth.values.keys():
            value = event.values[key]
            first, past = value.words
            found = signs(
                set(value.flags) - _DERIVED,
                min(word.probability for word in transcript.words[first:past]),
                heard_in(hearings, value.words),
                bool(transcript.opinions),
            )
            rows.append(Row(found, agrees(truth.values[key], value), voice))
    return rows


def fit(rows: Sequence[Row]) -> dict[str, float]:
    """Rows -> sign -> weight in log odds, "always" first."""
    names = ["always", *sorted({name for row in rows for name in row.signs} - {"always"})]
    x, y = _matrix(rows, names), np.array([row.right for row in rows], float)

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        odds = x @ weights
        ridge = np.r_[0, weights[1:]]
        gradient = x.T @ (1 / (1 + np.exp(-odds)) - y) + RIDGE * ridge
        return float(np.sum(np.logaddexp(0, odds) - y * odds) + RIDGE * ridge @ ridge / 2), gradient

    found = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B", options={"maxiter": 500})
    return dict(zip(names, (float(each) for each in found.x), strict=True))


def predict(weights: dict[str, float], rows: Sequence[Row]) -> np.ndarray:
    """The probability of being right of each row."""
    return 1 / (1 + np.exp(-_matrix(rows, list(weights)) @ np.array(list(weights.values()))))


def calibration_error(chances: np.ndarray, right: np.ndarray) -> float:
    """Expected calibration error over ten equal bins (Naeini et al. 2015, AAAI)."""
    bins = np.minimum((chances * BINS).astype(int), BINS - 1)
    apart = [abs(chances[bins == at].sum() - right[bins == at].sum()) for at in range(BINS)]
    return float(sum(apart) / len(chances))


def _matrix(rows: Sequence[Row], names: Sequence[str]) -> np.ndarray:
    return np.array([[row.signs.get(name, 0.0) for name in names] for row in rows])


def _times_s(path: Path) -> list[tuple[float, float]]:
    lines = json.loads(path.read_text())
    return [(start / RATE, end / RATE) for start, end, _ in lines] if len(lines[0]) == 3 else [tuple(x) for x in lines]


def _read(pairs: Path, keep: Path | None) -> list[Row]:
    lexicon = load()
    rows = []
    for line in pairs.read_text().splitlines():
        case, heard, voice, *lines = line.split("\t")
        if heard == "-":
            words, times_s = as_text(Path(case))
            transcript = Transcript(recording={"sha256": "0" * 64, "duration_ms": words[-1].end_ms}, words=words)
        else:
            times_s = _times_s(Path(lines[0]))
            if heard.endswith(".json"):
                transcript = Transcript.model_validate_json(Path(heard).read_text("utf-8"))
            else:
                transcript = hear([Path(heard)], lexicon)
                if keep:
                    keep.mkdir(parents=True, exist_ok=True)
                    (keep / f"{Path(heard).stem}.json").write_text(transcript.model_dump_json(), encoding="utf-8")
        rows += rows_of(Path(case), transcript, times_s, voice, lexicon)
    return rows


def _picture(chances: np.ndarray, right: np.ndarray, path: Path) -> None:
    """Told against found, in tenths of the values, the least sure first."""
    import matplotlib

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "reliability"
    from matplotlib import pyplot

    order = np.argsort(chances, kind="stable")
    tenths = np.array_split(order, BINS)
    figure, axes = pyplot.subplots(figsize=(5, 5), layout="constrained")
    axes.plot([0.5, 1], [0.5, 1], color="0.6", linestyle="--", label="as told")
    told, found = ([each[at].mean() for at in tenths] for each in (chances, right))
    axes.plot(told, found, "o-", color="#0072b2", label="found")
    axes.set(xlabel="confidence told (mean of a tenth of the values)", ylabel="share that is right")
    axes.set(xlim=(0.5, 1.01), ylim=(0.5, 1.01))
    axes.legend()
    figure.savefig(path, metadata={"Date": None})


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("pairs", type=Path)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--lower", type=float, default=0.0)
    parser.add_argument("--picture", type=Path)
    parser.add_argument("--write", type=Path)
    given = parser.parse_args()
    rows = _read(given.pairs, given.keep)
    if not rows:
        print(f"{given.pairs}: no value is in both a draft and its script", file=sys.stderr)
        return 2
    chances, right = np.zeros(len(rows)), np.array([row.right for row in rows], float)
    for voice in sorted({row.voice for row in rows}):
        aside = [at for at, row in enumerate(rows) if row.voice == voice]
        others = [row for row in rows if row.voice != voice]
        chances[aside] = predict(fit(others or rows), [rows[at] for at in aside])
        error = calibration_error(chances[aside], right[aside])
        print(f"{voice:24} {len(aside):5} values, {right[aside].mean():.1%} right, error of calibration {error:.3f}")
    print(
        f"{'all, each left out':24} {len(rows):5} values, error of calibration {calibration_error(chances, right):.3f}"
    )
    weights = fit(rows)
    weights["always"] -= given.lower
    if given.picture:
        _picture(chances, right, given.picture)
    if given.write:
        head = re.split(r"(?m)^\[\[sign\]\]", given.write.read_text(encoding="utf-8"))[0]
        ordered = [("always", weights.pop("always")), *sorted(weights.items(), key=lambda each: each[1])]
        entries = (f'[[sign]]\nname = "{name}"\nweight = {weight:.2f}\n' for name, weight in ordered)
        given.write.write_text(head + "\n".join(entries), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
