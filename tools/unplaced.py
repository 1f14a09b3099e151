"""Fits the weights of lexicons/unplaced.toml: what around a figure tells that it belongs in the record.

    python -m tools.unplaced [CASE.yaml...] [--without PREFIX...] [--write lexicons/unplaced.toml]

From the invented cases that rules were written by: tests/speakers/read, and CASEs of the same form. ``--without``
leaves out speakers whose files begin so. A figure belongs if an event told in its line or right beside it has it as a
value. A logistic model that keeps few weights (L1), by scipy. Printed is what it tells of speakers it was not fitted
on, a fifth of them at a time.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import yaml
from scipy import sparse

from extractor.model import Quantity
from extractor.reading.statements import reader_of
from extractor.reconciling.timeline import reconcile
from extractor.reconciling.unplaced import Figures, likelihood
from extractor.units import VALUE_UNITS
from tests.golden.scoring import Expected, agrees, read_script
from tests.reconciling.telling import shipped
from tests.speakers.narrated import READ, as_text
from tools.lasso import few_weights, write_table

#: A clue seen fewer times tells nothing.
FEWEST = 4
#: Price of a weight in log odds: the higher, the fewer are kept.
LASSO = 2.0
#: A figure may be said so long before the lines of its event, or after them.
SLACK_MS = 3_000
FOLDS = 5


@dataclass(frozen=True)
class Row:
    """A figure that was said: who by, what stands around it, whether an event of the script has it, whether a draft
    left it without a place.
    """

    speaker: str
    clues: tuple[str, ...]
    belongs: bool
    without_place: bool


def rows_of(path: Path) -> list[Row]:
    """A case's file -> its figures."""
    lexicon = shipped()
    words, times_s = as_text(path)
    script = read_script(yaml.safe_load(path.read_text(encoding="utf-8")), times_s)
    sentences, corrections = reader_of(lexicon).read(words)
    told = Figures(sentences, reconcile(sentences, words, corrections, lexicon))
    loose = {figure.quantity.words for figure in told.without_place()}
    speaker = path.stem.split("-")[0]
    return [
        Row(
            speaker,
            told.clues(figure),
            _belongs(figure.quantity, words[figure.quantity.words[0]].start_ms, script),
            figure.quantity.words in loose,
        )
        for figure in told.said
    ]


def _belongs(figure: Quantity, at_ms: int, script: Sequence[Expected]) -> bool:
    near = (each for each in script if each.start_ms - SLACK_MS <= at_ms <= each.end_ms + SLACK_MS)
    return any(can_be(figure, key, truth) for each in near for key, truth in each.values.items())


def can_be(figure: Quantity, key: str, truth: tuple[float, str]) -> bool:
    """Whether a figure can be a value: in its own unit, or bare in any unit of the key."""
    units = [figure.unit] if figure.unit else VALUE_UNITS[key]
    numbers = {figure.value, figure.value / 1000} if key == "wire_diameter" else {figure.value}
    return any(agrees(truth, replace(figure, value=number, unit=unit)) for number in numbers for unit in units)


def fit(rows: Sequence[Row]) -> dict[str, float]:
    """Figures -> clue -> weight in log odds, those of no weight left out."""
    seen = Counter(clue for row in rows for clue in row.clues)
    names = [clue for clue, times in seen.items() if times >= FEWEST]
    places = {name: place for place, name in enumerate(names)}
    found = [(number, places[clue]) for number, row in enumerate(rows) for clue in row.clues if clue in places]
    x = sparse.csr_matrix((np.ones(len(found)), tuple(zip(*found, strict=True))), (len(rows), len(names)))
    y = np.array([row.belongs for row in rows], float)

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        odds = x @ weights
        return float(np.sum(np.logaddexp(0, odds) - y * odds)), x.T @ (1 / (1 + np.exp(-odds)) - y)

    return few_weights(names, loss, LASSO)


def told(rows: Sequence[Row], chances: Sequence[float]) -> str:
    """What would be shown of figures without a place, and how much of it belongs, at some borders."""
    loose = [(chance, row.belongs) for row, chance in zip(rows, chances, strict=True) if row.without_place]
    lines = [f"{len(loose)} figures without a place, {sum(belongs for _, belongs in loose)} of them belong"]
    for border in (0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8):
        shown = [belongs for likely, belongs in loose if likely >= border]
        lines.append(f"  from {border:.2f}: {len(shown)} shown, {sum(shown)} of them belong")
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("cases", nargs="*", type=Path)
    parser.add_argument("--without", nargs="*", default=[])
    parser.add_argument("--write", type=Path)
    given = parser.parse_args()
    cases = [path for path in (*READ, *given.cases) if not path.stem.startswith(tuple(given.without))]
    rows = [row for path in cases for row in rows_of(path)]
    speakers = sorted({row.speaker for row in rows})
    fold_of = {speaker: number % FOLDS for number, speaker in enumerate(speakers)}
    fitted = [fit([row for row in rows if fold_of[row.speaker] != fold]) for fold in range(FOLDS)]
    chances = [likelihood(row.clues, fitted[fold_of[row.speaker]]) for row in rows]
    weights = fit(rows)
    print(f"{len(cases)} cases, {len(rows)} figures, {len(weights)} clues")
    print(told(rows, chances))
    if given.write:
        write_table(given.write, "clue", weights)
    return 0


if __name__ == "__main__":
    sys.exit(main())
