"""How well the invented speakers of tests/speakers are understood, a line each. ``python -m tools.speakers [FOLDER]``

FOLDER holds cases as tests/speakers/README.md describes them; without it, both folders of tests/speakers are told.
"""

import sys
from functools import reduce
from operator import add
from pathlib import Path

from tests.golden.scoring import Tally
from tests.speakers.narrated import KEPT_ASIDE, READ, tally_of


def line(name: str, total: Tally) -> str:
    return (
        f"{name:12} {total.cases:3} cases   done_f1 {total.done_f1:.3f}   status {total.status_accuracy:.3f}   "
        f"values found {total.value_recall:.3f}   silently wrong {total.silent}/{total.shown} "
        f"{total.silent_share:.2%}   phantoms a case {total.phantoms / total.cases:.2f}   to look at {total.burden:.3f}"
    )


def main(folders: list[str]) -> int:
    groups = {folder: tuple(sorted(Path(folder).glob("*.yaml"))) for folder in folders} or {
        "read": READ,
        "kept aside": KEPT_ASIDE,
    }
    for name, cases in groups.items():
        if not cases:
            print(f"{name}: no case (*.yaml) lies there", file=sys.stderr)
            return 2
        tallies = {path: tally_of(path) for path in cases}
        for speaker in dict.fromkeys(path.stem.split("-")[0] for path in cases):
            print(line(speaker, reduce(add, (tallies[path] for path in cases if path.stem.startswith(f"{speaker}-")))))
        print(line(f"[{name}]", reduce(add, tallies.values())))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
