"""Fits the weights of lexicons/told_before.toml: which of the sizes told before a thing has that nobody sizes again.

    python -m tools.told_before [CASE.yaml...] [--write lexicons/told_before.toml] [--aside]

From tests/speakers/read, tests/speakers/scenes, and CASEs, as the program drafts them. A size told before is meant if
the script gives the event one like it. A log-linear model over the sizes told before and none, that keeps few weights
(L1). ``--aside`` prints too what it tells of the scenes kept aside, which it is never fitted to. Takes a quarter of an
hour.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import yaml
from scipy import sparse

from extractor.network import second_reader
from extractor.reading.statements import reader_of
from extractor.reconciling.timeline import reconcile
from extractor.reconciling.told_before import Slot, likelihoods, slots
from tests.golden.scoring import agrees, match, read_script
from tests.reconciling.telling import shipped
from tests.speakers.narrated import READ, said
from tools.lasso import few_weights, write_table
from tools.second_reader.scenes import FOLDER, scenes

#: A clue seen fewer times tells nothing.
FEWEST = 4
#: Price of a weight in log odds.
PRICE = 2.0


class Row(NamedTuple):
    """A slot of an event, which of the sizes told before the script gives it, whether a rule fills it already."""

    slot: Slot
    right: tuple[bool, ...]
    filled: bool


def rows_of(lines: Sequence[Mapping[str, Any]]) -> Iterator[Row]:
    """The lines of a script -> the sizes nobody says of its events."""
    words, times_s = said(lines)
    lexicon = shipped().model_copy(update={"size_clue": ()})  # as if none had been given yet
    sentences, corrections = reader_of(shipped()).read(words)
    events = reconcile(sentences, words, corrections, lexicon, second=second_reader())
    script = read_script({"lines": lines}, times_s)
    truth_of = {event.id: truth for truth, event in match(script, [each for each in events if each.kind != "remark"])}
    for slot in slots(events, carried=True):
        event = events[slot.at]
        truth = truth_of[event.id].values.get(slot.key) if event.id in truth_of else None
        right = tuple(truth is not None and agrees(truth, told.value) for told in slot.told)
        yield Row(slot, right, slot.key in event.values)


def fit(rows: Sequence[Row]) -> dict[str, float]:
    """Slots -> clue -> weight in log odds, those of no weight left out."""
    seen = Counter(clue for row in rows for told in row.slot.told for clue in told.clues)
    names = [clue for clue, times in seen.items() if times >= FEWEST]
    places = {name: place for place, name in enumerate(names)}
    sizes = [told for row in rows for told in row.slot.told]
    found = [(at, places[clue]) for at, told in enumerate(sizes) for clue in told.clues if clue in places]
    x = sparse.csr_matrix((np.ones(len(found)), tuple(zip(*found, strict=True))), (len(sizes), len(names)))
    of = np.repeat(np.arange(len(rows)), [len(row.slot.told) for row in rows])
    right = np.array([each for row in rows for each in row.right], float)
    some = np.bincount(of, right, len(rows)) > 0

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        """Of each slot the likelihood of what is right: one of the sizes, or none."""
        odds = np.exp(np.clip(x @ weights, -30, 30))
        whole = 1 + np.bincount(of, odds, len(rows))
        meant = np.where(some, np.bincount(of, odds * right, len(rows)), 1)
        slope = odds / whole[of] - np.where(some[of], odds * right / meant[of], 0)
        return float(np.sum(np.log(whole) - np.log(meant))), x.T @ slope

    return few_weights(names, loss, PRICE)


def told(rows: Sequence[Row], weights: Mapping[str, float]) -> str:
    """What would be given where rules give nothing, and how much of it is right, at some borders."""
    empty = [(likelihoods(row.slot, weights), row.right) for row in rows if not row.filled]
    best = [max(zip(likely, right, strict=True)) for likely, right in empty]
    lines = [f"{len(empty)} slots that rules leave empty, {sum(any(right) for _, right in empty)} were told before"]
    for border in (0.3, 0.4, 0.5, 0.6, 0.7):
        given = [right for likely, right in best if likely >= border]
        lines.append(f"  from {border:.2f}: {len(given)} given, {sum(given)} of them right")
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("cases", nargs="*", type=Path)
    parser.add_argument("--write", type=Path)
    parser.add_argument("--aside", action="store_true")
    given = parser.parse_args()
    scripts = [yaml.safe_load(path.read_text(encoding="utf-8"))["lines"] for path in (*READ, *given.cases)]
    scripts += [scene.lines for path in sorted(FOLDER.glob("*.txt")) for scene in scenes(path)]
    rows = [row for script in scripts for row in rows_of(script)]
    weights = fit(rows)
    print(f"{len(scripts)} cases and scenes, {len(rows)} slots, {len(weights)} clues")
    if given.aside:
        aside = [scene.lines for path in sorted((FOLDER / "aside").glob("*.txt")) for scene in scenes(path)]
        print(f"kept aside: {told([row for script in aside for row in rows_of(script)], weights)}")
    if given.write:
        write_table(given.write, "size_clue", weights)
    return 0


if __name__ == "__main__":
    sys.exit(main())
