"""AN4's training clips as documents to train on: each beside its line, as ``run.py`` reads them.

    python tools/tuning/real_speech.py AN4 OUT [--aside SPEAKER …]

AN4 (Carnegie Mellon's census data, free for any purpose) holds people who spell, count and give dates and addresses.
Speakers named ``--aside`` go to ``OUT/aside`` instead: for choosing a strength, not for training. AN4's test clips are
never touched.
"""

import argparse
import json
import shutil
from pathlib import Path


def written(transcript: str) -> str:
    """U M N Y H SIX -> U M N Y H six: letters stay large, words become small."""
    return " ".join(word if len(word) == 1 else word.lower() for word in transcript.split())


def main() -> None:
    import soundfile

    parser = argparse.ArgumentParser(description="AN4's training clips as documents to train on.")
    parser.add_argument("an4", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--aside", nargs="*", default=[])
    arguments = parser.parse_args()
    for name, transcript in json.loads((arguments.an4 / "train" / "transcripts.json").read_text("utf-8")).items():
        folder = arguments.out / "aside" if name.split("-")[1] in arguments.aside else arguments.out
        folder.mkdir(parents=True, exist_ok=True)
        sound = folder / f"{name}.opus"
        shutil.copyfile(arguments.an4 / "train" / sound.name, sound)
        info = soundfile.info(sound)
        length = round(info.frames * 16_000 / info.samplerate)
        sound.with_suffix(".json").write_text(json.dumps([[0, length, written(transcript)]]), "utf-8")


if __name__ == "__main__":
    main()
