"""Adapters that were trained apart, each at a strength -> one that does what their sum does.

    python tools/tuning/together.py OUT.npz ADAPTER.npz=STRENGTH … [--rank 32]

Two trained on different text and voices forget in different directions, and their sum knows more of both than either
does at the strength of the sum. The sum has the ranks of all; ``--rank`` keeps its largest directions.
It is written to be merged at strength 1.
"""

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from extractor.listening.adapter import Adapter, read_adapter, write_adapter


def thinned(a: np.ndarray, b: np.ndarray, rank: int) -> tuple[np.ndarray, np.ndarray, float]:
    """Thin matrices of b @ a -> those of the nearest product of this rank, the share of its squares kept."""
    a_base, a_rest = np.linalg.qr(a.T)
    b_base, b_rest = np.linalg.qr(b)
    left, sizes, right = np.linalg.svd(b_rest @ a_rest.T)
    root = np.sqrt(sizes[:rank])
    kept = float(np.sum(sizes[:rank] ** 2) / np.sum(sizes**2))
    return (right[:rank] * root[:, None]) @ a_base.T, b_base @ (left[:, :rank] * root), kept


def main() -> None:
    parser = argparse.ArgumentParser(description="Adapters, each at a strength -> one that does what their sum does.")
    parser.add_argument("out", type=Path)
    parser.add_argument("adapters", nargs="+", metavar="ADAPTER=STRENGTH")
    parser.add_argument("--rank", type=int, default=32)
    arguments = parser.parse_args()
    parts = [
        (read_adapter(Path(path)), float(strength))
        for path, _, strength in (x.partition("=") for x in arguments.adapters)
    ]
    first = parts[0][0]
    layers, shares = {}, []
    for name in first.layers:
        a = np.concatenate([part.layers[name][0].astype(np.float64) for part, _ in parts])
        b = np.concatenate([strength * part.layers[name][1].astype(np.float64) for part, strength in parts], axis=1)
        a, b, kept = thinned(a, b, arguments.rank)
        layers[name] = (a.astype(np.float16), b.astype(np.float16))
        shares.append(kept)
    card = first.card.model_copy(
        update={
            "strength": 1.0,
            "rank": arguments.rank,
            "command": "python tools/tuning/together.py " + " ".join(sys.argv[1:]),
        }
    )
    write_adapter(Adapter(card, layers), arguments.out)
    print(f"{arguments.out}: {len(layers)} layers, {np.mean(shares):.1%} of the sum kept, least {min(shares):.1%}")


if __name__ == "__main__":
    main()
