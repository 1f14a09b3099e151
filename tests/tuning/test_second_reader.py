"""The second reader is fitted with PyTorch and read with onnxruntime: both say the same."""

import gzip
import json
import random
import runpy
import sys
from pathlib import Path

import numpy as np
import pytest

from extractor.network import Pieces, second_reader
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import of_the_trade, tokens
from extractor.reconciling.timeline import story_of
from tests.reconciling.telling import shipped, words_of
from tools.second_reader.examples import example, stops_as_heard
from tools.second_reader.scenes import FOLDER, scenes

FIT = Path(__file__).parents[2] / "tools" / "second_reader" / "fit.py"
WIDE, INNER = 48, 96
#: 8-bit numbers are so far from what they stand for, at worst.
NEAR = 0.03


def base(path: Path) -> list[str]:
    """Writes a language model that knows nothing: its vocabulary."""
    letters = [chr(code) for code in range(33, 127)]
    vocabulary = ["[PAD]", *(f"[unused{n}]" for n in range(99)), "[UNK]", *letters, *(f"##{one}" for one in letters)]
    chance = np.random.default_rng(1)
    layer = "encoder.layer.0"
    parts = [f"{layer}.attention.attn.{part}" for part in "qkvo"]
    shapes: dict[str, tuple[int, ...]] = {
        "embeddings.word_embeddings.weight": (len(vocabulary), WIDE),
        "embeddings.position_embeddings.weight": (512, WIDE),
        "encoder.relative_attention_bias.weight": (32, 12),
        **{f"{at}.{kind}": (WIDE,) for at in ("embeddings.LayerNorm", f"{layer}.attention.LayerNorm",
           f"{layer}.output.LayerNorm") for kind in ("weight", "bias")},
        **{f"{part}.weight": (WIDE, WIDE) for part in parts},
        **{f"{part}.bias": (WIDE,) for part in parts},
        f"{layer}.intermediate.dense.weight": (INNER, WIDE), f"{layer}.intermediate.dense.bias": (INNER,),
        f"{layer}.output.dense.weight": (WIDE, INNER), f"{layer}.output.dense.bias": (WIDE,),
    }  # fmt: skip
    arrays = {
        name: np.ones(shape) if name.endswith("LayerNorm.weight") else 0.1 * chance.standard_normal(shape)
        for name, shape in shapes.items()
    }
    np.savez(path, vocabulary=np.array(json.dumps(vocabulary)), **arrays)  # type: ignore[arg-type]
    return vocabulary


@pytest.mark.tuning
@pytest.mark.filterwarnings("ignore")  # what the writer of ONNX files says of itself
def test_what_is_fitted_reads_as_the_fit_does(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    torch = pytest.importorskip("torch")
    pytest.importorskip("onnx")
    pieces = Pieces(base(tmp_path / "base.npz"))
    some = [scene for _, scene in zip(range(40), scenes(FOLDER / "w1.txt"), strict=False)]
    some[0].lines = some[0].lines[:2]
    made = [
        example(scene.name, scene.lines, blind=False, pieces=pieces, as_heard=as_heard)
        for scene in some
        for as_heard in (False, True)
    ]
    with gzip.open(tmp_path / "made.json.gz", "wt", encoding="utf-8") as out:
        json.dump(made, out)
    given = [str(tmp_path / name) for name in ("made.json.gz", "base.npz", "reader.onnx")]
    monkeypatch.setattr(sys, "argv", ["fit", *given, "--epochs", "1", "--layers", "1"])
    fit = runpy.run_path(str(FIT))
    kept: dict[str, object] = {}
    write = fit["write"]
    monkeypatch.setitem(fit["main"].__globals__, "write", lambda *given: (kept.update(given=given), write(*given)))
    fit["main"]()
    reader, names, *_ = kept["given"]
    words = words_of("\n".join(line["say"] for line in some[0].lines))
    sentences, _ = reader_of(shipped()).read(words)
    drafts = story_of(sentences, words)
    sentences = of_the_trade(sentences)
    begins = [at for at, token in enumerate(tokens(sentences, drafts)) if token.begins]
    rows = fit["Examples"](json.loads(json.dumps(made[:1])), names)
    batch = rows.batch([(0, rows.starts[1], False)])
    with torch.no_grad():
        told = reader(batch["piece"].cpu(), batch["features"].cpu(), batch["size"].cpu(), batch["events"].cpu())[2]
    events = torch.sigmoid(told[0]).numpy()[[rows.heads[0][at] for at in begins]]
    read = second_reader(tmp_path / "reader.onnx").read(sentences, drafts)
    np.testing.assert_allclose(np.array(read.events), events, atol=NEAR)


@pytest.mark.parametrize(
    ("draw", "heard"),
    [
        pytest.param(0.05, "A five. By forty, I'm in, up, there", id="stops go the other way"),
        pytest.param(0.2, "A five by forty. I'm in. Up. There", id="a comma is lost"),
        pytest.param(0.9, "A five, by forty. I'm in. Up. There", id="as it is written"),
    ],
)
def test_stops_may_be_heard_otherwise(draw: float, heard: str) -> None:
    chance = random.Random()
    chance.random = lambda: draw  # type: ignore[method-assign]
    assert stops_as_heard("A five, by forty. I'm in. Up. There", chance) == heard
