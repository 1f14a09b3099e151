"""What an adapter is worth: word errors on speech that nobody trained on, beside the base model's.

    evaluate.py collect OUT --open-data FOLDER [--spoken NAME=FOLDER …] [--recordings NAME=AUDIO:CASES …]
    evaluate.py hear COLLECTED BASE OUT.json [--adapter FILE --strength 0.5] [--only SET …] [--jobs 4]
    evaluate.py table BASE.json OTHER.json …

``collect`` gathers sound at 16 kHz and what is said in it; ``hear`` writes down what a model makes of it, through
``extractor.listening.speech.listen`` as ``draft`` does, without a bias; ``table`` counts. Words are counted in one form
(``words.plain``): "one twenty", "a hundred and twenty" and "120" are the same three. No set that is scored here is ever
trained on.
"""

import argparse
import hashlib
import json
import multiprocessing
import os
import re
import sys
import tempfile
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from extractor.tuning.words import plain

RATE = 16_000
LEXICONS = Path(__file__).parents[2] / "lexicons"
SILENT = "silence"  # ten minutes in which nobody speaks
SIZES = "speech-to-intent"


def spelled(text: str) -> str:
    """For people who spell: UMNYH is U M N Y H, as long as it is written large."""
    return re.sub(r"\b[A-Z]{2,}\b", lambda match: " ".join(match[0]), text)


# --- gathering


def decode(path: Path) -> Any:
    """float32 at 16 kHz."""
    import soundfile
    from scipy.signal import resample_poly

    samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    mono = samples.mean(axis=1)
    shared = np.gcd(RATE, rate)
    return resample_poly(mono, RATE // shared, rate // shared).astype(np.float32) if rate != RATE else mono


def collect(out: Path, open_data: Path, spoken: list[str], recordings: list[str]) -> None:
    out.mkdir(parents=True, exist_ok=True)
    rows: list[dict[str, Any]] = []

    def add(group: str, name: str, samples: Any, text: str, **more: Any) -> None:
        import soundfile

        file = f"{group}.{name}.flac"
        soundfile.write(out / file, np.clip(samples, -1, 1), RATE, subtype="PCM_16")
        rows.append({"set": group, "id": name, "sound": file, "text": text, "seconds": len(samples) / RATE, **more})

    an4 = open_data / "an4"
    for line in (an4 / "etc" / "an4_test.transcription").read_text("utf-8").splitlines():
        if match := re.match(r"\s*(.+?)\s*\((\S+)\)", line):
            add("an4", match[2], decode(an4 / f"{match[2]}.opus"), match[1])
    librivox = open_data / "pocketsphinx" / "librivox"
    for sound in sorted(librivox.glob("*.wav")):
        add("librivox", sound.stem[-4:], decode(sound), sound.with_suffix(".txt").read_text("utf-8"))
    for sound in sorted((open_data / "sonnets").glob("*.mp3")):
        page = re.sub(r"(?s)<head>.*?</head>|<h1>.*?</h1>", " ", sound.with_suffix(".xhtml").read_text("utf-8"))
        add("sonnets", sound.stem, decode(sound), re.sub(r"<[^>]+>", " ", page))
    for lines in sorted((open_data / "mfa").glob("*.lab")):
        sound = next(each for each in lines.parent.glob(f"{lines.stem}.*") if each.suffix != ".lab")
        text = re.sub(r"<[^>]*>|[\[\]]", "", lines.read_text("utf-8"))
        group = "common-voice" if lines.stem.startswith("common_voice") else "mfa"
        add(group, lines.stem, decode(sound), text)
    labels = json.loads((open_data / "speech-to-intent" / "labels_subset.json").read_text("utf-8"))
    for name, label in labels.items():
        sound = next((open_data / "speech-to-intent").rglob(Path(name).stem + ".ogg"))
        add(SIZES, Path(name).stem, decode(sound), " ".join(label["slots"].values()), size=label["slots"]["size"])
    for each in spoken:
        group, _, folder = each.partition("=")
        for lines in sorted(Path(folder).glob("*.json")):
            text = " ".join(line[2] for line in json.loads(lines.read_text("utf-8")))
            add(group, lines.stem, decode(lines.with_suffix(".opus")), text)
    for each in recordings:
        import yaml

        group, _, rest = each.partition("=")
        audio, _, cases = rest.partition(":")
        for sound in sorted(Path(audio).glob("*.ogg")):
            case = yaml.safe_load((Path(cases) / f"{sound.stem}.yaml").read_text("utf-8"))
            add(f"{group}-{sound.stem[0]}", sound.stem, decode(sound), " ".join(line["say"] for line in case["lines"]))
    for name, samples in nobody_speaks().items():
        add(SILENT, name, samples, "")
    (out / "rows.json").write_text(json.dumps(rows, indent=1), "utf-8")
    print(Counter(row["set"] for row in rows))


def nobody_speaks(seed: int = 5) -> dict[str, Any]:
    """Ten minutes, one each: silence, hiss, hum, ventilation, beeps, alarms, chords, a tune, knocks, rattling."""
    chance = np.random.default_rng(seed)
    length = 60 * RATE
    seconds = np.arange(length) / RATE

    def pink(power: float) -> Any:
        spectrum = np.fft.rfft(chance.standard_normal(length))
        noise = np.fft.irfft(spectrum / np.maximum(np.fft.rfftfreq(length, 1 / RATE), 30) ** power, length)
        return noise / noise.std()

    def tone(frequency: Any) -> Any:
        return np.sin(2 * np.pi * np.cumsum(np.broadcast_to(frequency, length)) / RATE)

    notes = 220 * 2 ** (chance.integers(0, 24, 240) / 12)
    tune = np.repeat(notes, RATE // 4)[:length]
    decay = np.exp(-((seconds * 4) % 1) * 3)
    chords = sum(tone(np.repeat(220 * 2 ** ((chance.integers(0, 12, 30) + i * 4) / 12), 2 * RATE)) for i in range(3))
    knocks = np.zeros(length)
    knocks[chance.integers(0, length, 90)] = 1
    knocks = np.convolve(knocks, np.exp(-np.arange(2000) / 300) * np.sin(np.arange(2000) / 8))[:length]
    rattle = pink(0.2) * (chance.random(length // 800 + 1).repeat(800)[:length] > 0.85)
    return {
        "silence": np.zeros(length, np.float32),
        "hiss": (0.02 * chance.standard_normal(length)).astype(np.float32),
        "loud-hiss": (0.2 * chance.standard_normal(length)).astype(np.float32),
        "ventilation": (0.05 * pink(1.0)).astype(np.float32),
        "hum": (0.05 * sum(tone(50 * n) / n for n in (1, 2, 3, 5)) + 0.003 * pink(0.5)).astype(np.float32),
        "beeps": (0.1 * tone(880) * (seconds % 0.9 < 0.08) + 0.005 * pink(0.5)).astype(np.float32),
        "alarm": (0.1 * tone(np.where(seconds % 1 < 0.5, 960, 770)) * (seconds % 6 < 3) + 0.005 * pink(1.0)).astype(
            "f4"
        ),
        "chords": (0.08 * chords + 0.002 * pink(0.5)).astype(np.float32),
        "tune": (0.15 * decay * (tone(tune) + 0.4 * tone(2 * tune)) + 0.002 * pink(0.5)).astype(np.float32),
        "knocks": (0.3 * knocks + 0.03 * rattle + 0.004 * pink(0.7)).astype(np.float32),
    }


# --- hearing


def _hear(task: tuple[Path, str, list[dict[str, Any]], int, Any]) -> list[dict[str, Any]]:
    import ctranslate2

    from extractor.listening.decode import Sound
    from extractor.listening.speech import listen
    from extractor.listening.speech_models import ResolvedModel

    folder, name, rows, _, taken = task
    if hasattr(os, "sched_setaffinity") and taken:
        os.sched_setaffinity(0, taken)
    ctranslate2.set_random_seed(0)
    model = ResolvedModel(name=name, folder=folder, sha256="0" * 64)
    out = []
    for row in rows:
        heard = listen([Sound(row["id"], "0" * 64, decode(row["file"]))], model)
        out.append({**{k: v for k, v in row.items() if k != "file"}, "heard": " ".join(w.text for w in heard.words)})
    return out


def hear(
    collected: Path, base: Path, out: Path, adapter: Path | None, strength: float, only: list[str], jobs: int
) -> None:
    rows = json.loads((collected / "rows.json").read_text("utf-8"))
    rows = [{**row, "file": collected / row["sound"]} for row in rows if not only or row["set"].startswith(tuple(only))]
    rows.sort(key=lambda row: -row["seconds"])
    with tempfile.TemporaryDirectory() as scratch:
        folder = base
        if adapter:
            from extractor.listening.adapter import merge, read_adapter

            folder = Path(scratch)
            for file in base.glob("*.json"):
                (folder / file.name).write_bytes(file.read_bytes())
            with (folder / "model.bin").open("wb") as file:
                for piece in merge(base / "model.bin", read_adapter(adapter), strength):
                    file.write(piece)
        sha256 = hashlib.sha256((folder / "model.bin").read_bytes()).hexdigest()
        cores = sorted(os.sched_getaffinity(0))
        share = max(1, len(cores) // jobs)
        tasks = [
            (folder, "judged", rows[i::jobs], i, cores[i * share : (i + 1) * share] if jobs > 1 else cores)
            for i in range(jobs)
        ]
        with multiprocessing.get_context("spawn").Pool(jobs) as pool:
            heard = [row for part in pool.map(_hear, tasks, chunksize=1) for row in part]
    name = f"{adapter.stem} at {strength}" if adapter else "base"
    out.write_text(json.dumps({"model": name, "sha256": sha256, "rows": heard}, indent=1), "utf-8")
    print(f"{name}: {sha256}, {len(heard)} sounds heard", flush=True)


# --- counting


def errors(said: list[str], heard: list[str]) -> int:
    import jiwer

    if not said or not heard:
        return max(len(said), len(heard))
    found = jiwer.process_words(" ".join(said), " ".join(heard))
    return found.substitutions + found.deletions + found.insertions


def trade_words() -> set[str]:
    """Single words that the lexicons know."""
    words: set[str] = set()
    for name in ("devices", "drugs", "findings", "anatomy"):
        for entries in tomllib.loads((LEXICONS / f"{name}.toml").read_text("utf-8")).values():
            for each in entries:
                words |= {word for form in each.get("spoken", []) for word in plain(form) if len(word) > 3}
    return words


def count(result: dict[str, Any]) -> dict[str, tuple[int, int]]:
    """Errors and words of each set; for the sizes: wrong ones and all; for the silence: words and seconds."""
    sums: dict[str, list[int]] = {}
    for row in result["rows"]:
        group, text, heard = row["set"], row["text"], row["heard"]
        if group.startswith("an4"):
            heard = spelled(heard)
        if group == SIZES:
            wanted = " ".join(plain(row["size"]))
            wrong, total = int(wanted not in " ".join(plain(heard))), 1
        elif group == SILENT:
            wrong, total = len(heard.split()), round(row["seconds"])
        else:
            wrong, total = errors(plain(text), plain(heard)), len(plain(text))
        for name in (group, *(["held-out"] if group.startswith("held-") else [])):
            pair = sums.setdefault(name, [0, 0])
            pair[0] += wrong
            pair[1] += total
    return {name: (wrong, total) for name, (wrong, total) in sorted(sums.items())}


def strangers(base: dict[str, Any], other: dict[str, Any]) -> Counter[str]:
    """Trade words heard into ordinary speech that were neither said nor heard by the base model."""
    words, found = trade_words(), Counter[str]()
    before = {(row["set"], row["id"]): row["heard"] for row in base["rows"]}
    for row in other["rows"]:
        if (
            row["set"] in ("an4", "librivox", "sonnets", "common-voice", "mfa", SIZES)
            and (row["set"], row["id"]) in before
        ):
            known = Counter(plain(row["text"])) | Counter(plain(before[row["set"], row["id"]]))
            found += Counter({w: n for w, n in (Counter(plain(row["heard"])) - known).items() if w in words})
    return found


def table(paths: list[Path]) -> None:
    results = [json.loads(path.read_text("utf-8")) for path in paths]
    counts = [count(result) for result in results]
    print("| set | count | " + " | ".join(result["model"] for result in results) + " |")
    print("|---|---|" + "---|" * len(results))
    for name in counts[0]:
        cells = []
        for each in counts:
            wrong, total = each.get(name, (0, 0))
            percent = f"{100 * wrong / total:.1f} %" if total else "-"
            cells.append(f"{total - wrong}/{total}" if name == SIZES else str(wrong) if name == SILENT else percent)
        unit = {SIZES: "sizes right", SILENT: "words in s"}.get(name, "words")
        print(f"| {name} | {counts[0][name][1]} {unit} | " + " | ".join(cells) + " |")
    for result in results[1:]:
        found = strangers(results[0], result)
        print(f"trade words into ordinary speech, {result['model']}: {sum(found.values())} {dict(found.most_common())}")


def main() -> None:
    parser = argparse.ArgumentParser(description="What an adapter is worth.")
    commands = parser.add_subparsers(dest="command", required=True)
    gather = commands.add_parser("collect")
    gather.add_argument("out", type=Path)
    gather.add_argument("--open-data", type=Path, required=True)
    gather.add_argument("--spoken", nargs="*", default=[])
    gather.add_argument("--recordings", nargs="*", default=[])
    listen = commands.add_parser("hear")
    listen.add_argument("collected", type=Path)
    listen.add_argument("base", type=Path)
    listen.add_argument("out", type=Path)
    listen.add_argument("--adapter", type=Path)
    listen.add_argument("--strength", type=float, default=0.5)
    listen.add_argument("--only", nargs="*", default=[])
    listen.add_argument("--jobs", type=int, default=1)
    counted = commands.add_parser("table")
    counted.add_argument("results", type=Path, nargs="+")
    arguments = parser.parse_args()
    if arguments.command == "collect":
        collect(arguments.out, arguments.open_data, arguments.spoken, arguments.recordings)
    elif arguments.command == "hear":
        hear(
            arguments.collected, arguments.base, arguments.out,
            arguments.adapter, arguments.strength, arguments.only, arguments.jobs,
        )  # fmt: skip
    else:
        table(arguments.results)


if __name__ == "__main__":
    main()
