"""Trains an adapter on spoken documents: the laboratory's own call of ``extractor.tuning.train``.

    python tools/tuning/run.py BASE OUT.npz --clips FOLDER[=SHARE] … --keep FOLDER[=SHARE] … [--steps 1600] [--seed 0]

BASE holds ``model.bin`` and ``tokenizer.json``; a FOLDER holds sound and, beside each, ``.json`` with its lines, as
``voices.py`` and ``real_speech.py`` write them. SHARE says how often a folder is drawn from beside the others of its
kind (default: by its length). ``--without`` leaves out documents by the beginning of their names. The adapter is
written with a card that tells the figures of the run; ``evaluate.py`` adds what it is worth.
"""

import argparse
import hashlib
import json
import multiprocessing
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from extractor.listening.adapter import Adapter, Card, write_adapter
from extractor.tuning.train import Clip, train

LEXICONS = Path(__file__).parents[2] / "lexicons"


def load(lines: Path) -> tuple[Any, Any]:
    import soundfile
    from scipy.signal import resample_poly

    samples, rate = soundfile.read(lines.with_suffix(".opus"), dtype="int16")
    if rate != 16_000:  # Opus keeps to 48 kHz where its maker said so
        samples = np.clip(resample_poly(samples.astype(np.float32), 16_000, rate), -32768, 32767).astype(np.int16)
    return samples, json.loads(lines.read_text("utf-8"))


def clips(folders: list[str], without: tuple[str, ...]) -> list[Clip]:
    found = []
    for folder in folders:
        name, _, share = folder.partition("=")
        paths = [path for path in sorted(Path(name).glob("*.json")) if not path.name.startswith(without or ("\0",))]
        with multiprocessing.get_context("fork").Pool() as pool:
            loaded = pool.map(load, paths, chunksize=4)
        seconds = sum(len(samples) for samples, _ in loaded) / 16_000
        total = float(share) if share else seconds / 3600
        print(f"{name}: {len(paths)} documents, {seconds / 3600:.2f} h, drawn {total:.2f}", flush=True)
        found += [
            Clip(samples, lines, total * len(samples) / 16_000 / seconds) for samples, lines in loaded if len(samples)
        ]
    return found


def bias_terms() -> list[str]:
    """Every term of the trade that may stand before a recording as a bias."""
    terms: list[str] = []
    for name in ("devices", "drugs", "findings", "anatomy"):
        for entries in tomllib.loads((LEXICONS / f"{name}.toml").read_text("utf-8")).values():
            forms = [form for each in entries if isinstance(each, dict) for form in each.get("spoken", [])[:2]]
            terms += [form for form in forms if "(" not in form]
    return list(dict.fromkeys(terms))


def main() -> None:
    parser = argparse.ArgumentParser(description="Trains an adapter on spoken documents.")
    parser.add_argument("base", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--clips", nargs="+", required=True, metavar="FOLDER[=SHARE]")
    parser.add_argument("--keep", nargs="*", default=[], metavar="FOLDER[=SHARE]")
    parser.add_argument("--without", nargs="*", default=[], metavar="NAME")
    parser.add_argument("--steps", type=int, default=1600)
    parser.add_argument("--seconds", type=float, help="at most as many steps as fit, tried first (not repeatable)")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--rank", type=int, default=32)
    parser.add_argument("--batch", type=int, default=32)
    parser.add_argument("--keep-share", type=float, default=0.3)
    parser.add_argument("--device", default=None)
    parser.add_argument("--name", default="trade")
    arguments = parser.parse_args()
    without = tuple(arguments.without)
    card = Card(
        name=arguments.name,
        base_sha256=hashlib.sha256((arguments.base / "model.bin").read_bytes()).hexdigest(),
        strength=0.5,
        rank=arguments.rank,
        trained_on="invented cases and made sentences, spoken by synthetic voices; AN4",
        command="python tools/tuning/run.py " + " ".join(sys.argv[1:]),
        licence="Apache-2.0",
    )
    trade, kept = clips(arguments.clips, without), clips(arguments.keep, without)
    options: dict[str, Any] = {
        "rank": arguments.rank,
        "batch": arguments.batch,
        "seed": arguments.seed,
        "device": arguments.device,
        "keep": kept,
        "keep_share": arguments.keep_share,
        "terms": bias_terms(),
    }
    steps = arguments.steps
    if arguments.seconds:
        times: list[float] = []
        train(trade, arguments.base, steps=40, progress=lambda step, loss, at: times.append(at), **options)
        steps = max(300, min(steps, int(arguments.seconds / ((times[-1] - times[14]) / 25))))
        print(f"{arguments.out.stem}: {(times[-1] - times[14]) / 25:.3f} s a step, so {steps} steps", flush=True)
    losses: list[float] = []

    def progress(step: int, loss: float, seconds: float) -> None:
        losses.append(loss)
        if step % 100 == 0:
            print(f"{arguments.out.stem} {step}: loss {sum(losses[-100:]) / 100:.3f}, {seconds:.0f} s", flush=True)

    def keep_step(step: int, layers: Any) -> None:
        write_adapter(Adapter(card, layers), arguments.out.with_name(f"{arguments.out.stem}.{step}.npz"))

    layers = train(trade, arguments.base, steps=steps, progress=progress, checkpoint=keep_step, **options)
    write_adapter(Adapter(card, layers), arguments.out)
    print(arguments.out, hashlib.sha256(arguments.out.read_bytes()).hexdigest(), flush=True)


if __name__ == "__main__":
    main()
