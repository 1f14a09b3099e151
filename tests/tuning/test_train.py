"""Training itself, with PyTorch: its network is the packaged model, what it learns is what merging adds."""

import random
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from extractor.listening.adapter import Adapter, Card, merge
from extractor.listening.decode import decode, hash_file
from extractor.listening.speech_models import resolve
from extractor.listening.weights import Weights, pieces, read_weights
from extractor.tuning import train as training
from extractor.tuning.train import Clip, train

WIDTH, FFN, TOKENS = 16, 24, 51_865


# --- what is drawn: no PyTorch needed


class Letters:
    """A tokenizer that makes of each letter a token."""

    def encode(self, text: str, add_special_tokens: bool) -> SimpleNamespace:
        return SimpleNamespace(ids=[ord(letter) for letter in text])


def drawer(clips: list[Clip], keep: list[Clip] = (), share: float = 0.0, terms: list[str] = ()) -> training._Drawer:
    return training._Drawer(clips, keep, share, terms, Letters(), random.Random(1))


def second(number: float) -> int:
    return round(number * 16_000)


TALK = Clip(
    np.full(second(20), 0.5, np.float32),
    [(second(1), second(3), "one two"), (second(4), second(6), "three"), (second(15), second(18), "four five")],
)


def texts(window: training._Window) -> str:
    return "".join(chr(token) for token in window.given if token < 256)


def test_windows_hold_lines_in_a_row_with_their_sound():
    draw = drawer([TALK])
    rows = ("one two", "one two three", "one two three four five", "three", "three four five", "four five", "")
    for window in (draw() for _ in range(200)):
        assert texts(window).strip() in rows
        assert len(window.samples) == second(30)
        assert window.samples.dtype == np.int16
        assert not window.samples[window.length :].any()
        assert len(window.given) == len(window.wanted) < 448


def test_what_is_wanted_is_the_next_token():
    draw = drawer([TALK], terms=["heparin", "sheath"])
    for window in (draw() for _ in range(200)):
        wanted = [(i, token) for i, token in enumerate(window.wanted) if token != -100]
        if texts(window):
            assert wanted[-1] == (len(window.given) - 1, training._END)
            assert all(window.given[i + 1] == token for i, token in wanted[:-1])
            assert window.given[wanted[0][0]] in {training._NO_TIMES, training._TRANSCRIBE}


def test_times_are_those_of_the_lines_in_the_window():
    draw = drawer([Clip(np.ones(second(3), np.float32), [(second(1), second(2), "one")])])
    spans = set()
    for window in (draw() for _ in range(200)):
        times = [(token - training._TIME) * 0.02 for token in window.given if token >= training._TIME]
        if times:
            spans.add(round(times[1] - times[0], 1))
    assert spans <= {0.9, 1.0, 1.1}  # spoken a little faster or slower


def test_a_share_is_kept_speech():
    draw = drawer([TALK], [Clip(TALK.samples, [(0, second(2), "kept")])], 0.3)
    kept = [window for window in (draw() for _ in range(500)) if window.is_kept]
    assert 100 < len(kept) < 200
    assert {texts(window).strip() for window in kept} == {"kept"}


def test_a_line_no_window_can_hold_is_left_out():
    draw = drawer([TALK, Clip(np.ones(second(60)), [(0, second(59), "too long")])])
    assert not any("too long" in texts(draw()) for _ in range(100))


def test_the_bands_are_those_of_the_packaged_models():
    from faster_whisper.feature_extractor import FeatureExtractor

    np.testing.assert_allclose(training._mel_bands(), FeatureExtractor().mel_filters, atol=1e-5)


# --- training


def whisper(folder: Path) -> Path:
    """A Whisper-shaped model of random numbers, a layer on each side, in a folder as ``train`` takes it."""
    chance = np.random.default_rng(1)
    arrays: dict[str, np.ndarray] = {}

    def add(name: str, *shape: int, scale: float = 0.2) -> None:
        arrays[name] = (chance.standard_normal(shape) * scale).astype(np.float16)

    def norm(name: str) -> None:
        arrays[f"{name}/gamma"], arrays[f"{name}/beta"] = np.ones(WIDTH, np.float16), np.zeros(WIDTH, np.float16)

    for side, places in (("encoder", 1500), ("decoder", 448)):
        add(f"{side}/position_encodings/encodings", places, WIDTH)
        norm(f"{side}/layer_norm")
        arrays[f"{side}/num_heads"] = np.array(2, np.int16)
        parts = {"self_attention": [(3 * WIDTH, WIDTH), (WIDTH, WIDTH)], "ffn": [(FFN, WIDTH), (WIDTH, FFN)]}
        if side == "decoder":
            parts["attention"] = [(WIDTH, WIDTH), (2 * WIDTH, WIDTH), (WIDTH, WIDTH)]
        for part, shapes in parts.items():
            norm(f"{side}/layer_0/{part}/layer_norm")
            for i, shape in enumerate(shapes):
                add(f"{side}/layer_0/{part}/linear_{i}/weight", *shape)
                add(f"{side}/layer_0/{part}/linear_{i}/bias", shape[0])
    for name, into in (("conv1", 80), ("conv2", WIDTH)):
        add(f"encoder/{name}/weight", WIDTH, into, 3)
        add(f"encoder/{name}/bias", WIDTH)
    add("decoder/embeddings/weight", TOKENS, WIDTH)
    (folder / "model.bin").write_bytes(b"".join(pieces(Weights(6, "WhisperSpec", 3, arrays, ()))))
    (folder / "tokenizer.json").write_bytes((resolve("base").folder / "tokenizer.json").read_bytes())
    return folder


@pytest.mark.tuning
def test_a_few_steps_learn_and_merge(tmp_path, monkeypatch):
    """The merged model is the trained network: what training saw is what decoding gets."""
    import torch

    monkeypatch.setattr(training, "_PEAK_RATE", 0.05)  # a model this small may hurry
    monkeypatch.setattr(training, "_WARM_UP", 1)
    base = whisper(tmp_path)
    losses: list[float] = []

    def note(step: int, loss: float, seconds: float) -> None:
        losses.append(loss)

    layers = train([TALK], base, steps=12, rank=2, batch=2, device="cpu", keep=[TALK], progress=note)
    assert len(losses) == 12
    assert np.mean(losses[-4:]) < np.mean(losses[:4])
    assert len(layers) == 4 + 7
    assert {(a.shape[0], b.shape[1]) for a, b in layers.values()} == {(2, 2)}
    about = {"name": "few", "trained_on": "", "command": "", "licence": "", "strength": 1.0, "rank": 2}
    card = Card.model_validate({**about, "base_sha256": hash_file(base / "model.bin")})
    (tmp_path / "merged.bin").write_bytes(b"".join(merge(base / "model.bin", Adapter(card, layers))))

    network = training._whisper(read_weights(base / "model.bin").arrays, 2, "cpu").eval()
    with torch.no_grad():
        for name, linear in network.linears().items():
            linear.a.copy_(torch.from_numpy(layers[name][0]))
            linear.b.copy_(torch.from_numpy(layers[name][1]) / training._SCALE)
    merged = training._whisper(read_weights(tmp_path / "merged.bin").arrays, 2, "cpu").eval()
    features, given = torch.randn(1, 80, 3000), torch.tensor([[50258, 50259, 50359, 50363, 100]])
    with torch.no_grad():
        learned, same, plain = network(features, given), merged(features, given), None
        with network.as_base():
            plain = network(features, given)
    assert (learned - same).abs().max() < 0.05 * (learned - plain).abs().max()


@pytest.mark.tuning
def test_the_same_seed_learns_the_same(tmp_path):
    base = whisper(tmp_path)
    one, two = (train([TALK], base, steps=1, rank=2, batch=2, device="cpu") for _ in range(2))
    for name, pair in one.items():
        for here, there in zip(pair, two[name], strict=True):
            np.testing.assert_allclose(here, there, atol=1e-3)


@pytest.mark.tuning
@pytest.mark.sound
def test_the_network_is_the_packaged_model(fixtures):
    """Untrained, it writes token for token what the packaged base writes, from features of its own making."""
    import torch
    from faster_whisper import WhisperModel

    base = resolve("base")
    samples = decode(fixtures / "short-inflation" / "recording.opus").samples[:]
    # Products of 8 bits differ between processors, here by more than the two likeliest tokens of one place do.
    recogniser = WhisperModel(str(base.folder), device="cpu", compute_type="float32")
    given = [50258, 50259, 50359, 50363]
    features = recogniser.feature_extractor(samples)[:, :3000]
    features = np.pad(features, ((0, 0), (0, 3000 - features.shape[1])))
    (heard,) = recogniser.model.generate(
        recogniser.encode(features), [given], beam_size=1, suppress_tokens=[], suppress_blank=False, max_length=60
    )
    sound = torch.zeros(1, 480_000)
    sound[0, : len(samples)] = torch.from_numpy(samples)
    network = training._whisper(read_weights(base.folder / "model.bin").arrays, 1, "cpu").eval()
    with torch.no_grad():
        ours = training._mel("cpu")(sound)[0].numpy()
        encoded = network.encode(torch.from_numpy(features[None]))
        logits = network.decode(torch.tensor([[*given, *heard.sequences_ids[0]]]), encoded)
    np.testing.assert_allclose(ours[:, : len(samples) // 160 - 5], features[:, : len(samples) // 160 - 5], atol=0.02)
    written = logits[0, len(given) - 1 : -1].argmax(-1).tolist()
    assert written == heard.sequences_ids[0]
