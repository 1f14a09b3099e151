"""The second reader is fitted with PyTorch and read with NumPy: both say the same."""

import gzip
import json
import runpy
import sys
from pathlib import Path

import numpy as np
import pytest

from extractor.network import second_reader
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import of_the_trade, tokens
from extractor.reconciling.timeline import story_of
from tests.reconciling.telling import shipped, words_of
from tools.second_reader.examples import example
from tools.second_reader.scenes import FOLDER, scenes

FIT = Path(__file__).parents[2] / "tools" / "second_reader" / "fit.py"


@pytest.mark.tuning
def test_what_is_fitted_reads_as_the_fit_does(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    torch = pytest.importorskip("torch")
    some = [scene for _, scene in zip(range(40), scenes(FOLDER / "w1.txt"), strict=False)]
    made = [example(scene.name, scene.lines, blind=False) for scene in some]
    with gzip.open(tmp_path / "made.json.gz", "wt", encoding="utf-8") as out:
        json.dump(made, out)
    monkeypatch.setattr(sys, "argv", ["fit", str(tmp_path / "made.json.gz"), str(tmp_path / "w.npz"), "--epochs", "1"])
    fit = runpy.run_path(str(FIT))
    kept: dict[str, object] = {}
    write = fit["write"]
    monkeypatch.setitem(fit["main"].__globals__, "write", lambda *given: (kept.update(given=given), write(*given)))
    fit["main"]()
    network, names, path = kept["given"]
    network.eval()
    with torch.no_grad():
        # Weights are kept as 16-bit numbers: the fit's own are rounded alike before both are asked.
        for weight in network.parameters():
            weight.copy_(weight.half().float())
        arrays, told = fit["arrays"](made[0], names)
        batch = fit["batch_of"]([(arrays, told, 0, len(arrays["word"]), False)], len(names.events))
        events = torch.sigmoid(network(batch)[2][0]).numpy()
    words = words_of("\n".join(line["say"] for line in some[0].lines))
    sentences, _ = reader_of(shipped()).read(words)
    drafts = story_of(sentences, words)
    sentences = of_the_trade(sentences)
    begins = [at for at, token in enumerate(tokens(sentences, drafts)) if token.begins]
    read = second_reader(path).read(sentences, drafts)
    np.testing.assert_allclose(np.array(read.events), events[begins], atol=5e-3)
