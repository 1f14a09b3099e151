"""Speech and what was said in it -> a low-rank adapter for the packaged Whisper model.

The base model stays as it is; beside each of its linear layers grows a pair of thin matrices, and only these learn. Two
kinds of speech are mixed:

* ``clips``: the trade. The adapter learns to write what was said.
* ``keep``: ordinary speech, real voices first of all. Here the tuned model is also held to what the base model itself
  would have written (the divergence between the two is part of the loss), for a model that learns one thing forgets
  others.

Targets are the words as spoken. Half of the windows carry the times of their lines, some carry a list of terms before
them as ``speech.listen`` gives it, and some hold noise alone and must be told as such.

PyTorch is imported inside the functions that need it, so that this module costs nothing where nobody trains.
"""

import math
import random
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from extractor.listening.weights import read_weights

#: For each adapted layer, by CTranslate2's name: a (rank, in) and b (out, rank), float16; W + strength * b @ a.
Layers = dict[str, tuple[Any, Any]]

RATE = 16_000
_WINDOW = 30 * RATE
_HOP, _FFT, _BANDS = 160, 400, 80

# Whisper's own tokens (the multilingual vocabulary; Radford et al. 2022, section 2.3).
_END, _START, _ENGLISH, _TRANSCRIBE, _BEFORE, _NO_SPEECH, _NO_TIMES, _TIME = (
    50257, 50258, 50259, 50359, 50361, 50362, 50363, 50364,
)  # fmt: skip
_PER_TIME = 320  # samples in a step of the time tokens
_MOST_TOKENS = 440  # of the decoder's 448

#: What the adapter's product is multiplied with while it learns; folded into the file, so that nobody has to know it.
_SCALE = 2.0
_PEAK_RATE, _WARM_UP = 6e-4, 80

_NOISE_ONLY, _WITH_TIMES, _WITH_TERMS = 0.04, 0.5, 0.25
_HELD_TO_BASE = 1.0  # weight of the divergence from the base model on ``keep``


class Clip(NamedTuple):
    """Speech at 16 kHz (int16 or float32, mono) and its lines: (first sample, past last, what was said), in order.

    ``weight``: how often it is drawn, beside the other clips.
    """

    samples: Any
    lines: Sequence[tuple[int, int, str]]
    weight: float = 1.0


def train(
    clips: Sequence[Clip],
    base: Path,
    *,
    steps: int = 1400,
    rank: int = 32,
    batch: int = 32,
    seed: int = 0,
    device: str | None = None,
    keep: Sequence[Clip] = (),
    keep_share: float = 0.3,
    terms: Sequence[str] = (),
    progress: Callable[[int, float, float], None] | None = None,
    checkpoint: Callable[[int, Layers], None] | None = None,
) -> Layers:
    """Trains an adapter for the model in the folder ``base`` (``model.bin`` of CTranslate2 and ``tokenizer.json``).

    ``keep_share``: the share of windows drawn from ``keep``. ``terms``: words that may stand before a window as a
    bias. ``device``: PyTorch's name of it; None takes a GPU if there is one. ``progress`` is called at every step with
    the step, its loss and the seconds since the start; ``checkpoint`` at a third and two thirds with the adapter so
    far. Two runs with one seed agree within noise: a GPU adds in no fixed order.
    """
    import numpy as np
    import torch
    from tokenizers import Tokenizer
    from torch.nn import functional

    device = device or ("cuda" if torch.cuda.is_available() else "cpu")
    torch.manual_seed(seed)
    chance = random.Random(seed)
    tokenizer = Tokenizer.from_file(str(base / "tokenizer.json"))
    draw = _Drawer(clips, keep, keep_share if keep else 0.0, terms, tokenizer, chance)
    model = _whisper(read_weights(base / "model.bin").arrays, rank, device)
    mel = _mel(device)
    learning = list(model.parameters())
    optimiser = torch.optim.AdamW(learning, lr=_PEAK_RATE, weight_decay=0.01)
    generator = torch.Generator(device).manual_seed(seed)
    began = time.monotonic()
    model.train()
    for step in range(1, steps + 1):
        rate = _PEAK_RATE * min(1.0, step / _WARM_UP) * (0.05 + 0.95 * 0.5 * (1 + math.cos(math.pi * step / steps)))
        for group in optimiser.param_groups:
            group["lr"] = rate
        windows = [draw() for _ in range(batch)]
        sound = torch.from_numpy(np.stack([window.samples for window in windows])).to(device)
        lengths = torch.tensor([window.length for window in windows], device=device)
        features = _mask(mel(_augment(sound.float() / 32768, lengths, generator)), windows, chance)
        given, wanted = _tokens(windows, device)
        kept = torch.tensor([window.is_kept for window in windows], device=device)
        with torch.autocast(device, torch.bfloat16):
            logits = model(features, given).float()
        loss = functional.cross_entropy(
            logits.flatten(0, 1), wanted.flatten(), ignore_index=-100, label_smoothing=0.05, reduction="sum"
        ) / (wanted != -100).sum().clamp_min(1)
        if bool(kept.any()):
            with torch.no_grad(), torch.autocast(device, torch.bfloat16), model.as_base():
                teacher = model(features[kept], given[kept]).float()
            counted = wanted[kept] != -100
            if bool(counted.any()):
                divergence = functional.kl_div(
                    logits[kept][counted].log_softmax(-1),
                    teacher[counted].log_softmax(-1),
                    log_target=True,
                    reduction="sum",
                )
                loss = loss + _HELD_TO_BASE * divergence / (wanted != -100).sum()
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(learning, 1.0)
        optimiser.step()
        if progress:
            progress(step, float(loss.detach()), time.monotonic() - began)
        if checkpoint and step in (steps // 3, 2 * steps // 3):
            checkpoint(step, _layers(model))
    return _layers(model)


# --- what is trained on


class _Window(NamedTuple):
    """30 s of sound (int16, the rest silence), the samples that hold something, and the tokens given and wanted."""

    samples: Any
    length: int
    given: list[int]
    wanted: list[int]  # as long as given; -100 where nothing is wanted
    is_kept: bool


class _Drawer:
    """Draws windows at random: some lines in a row of one clip, with the pauses between and around them."""

    def __init__(
        self,
        clips: Sequence[Clip],
        keep: Sequence[Clip],
        keep_share: float,
        terms: Sequence[str],
        tokenizer: Any,
        chance: random.Random,
    ) -> None:
        self.pools = [_pool(clips, tokenizer), _pool(keep, tokenizer)]
        self.keep_share = keep_share
        self.terms = list(terms)
        self.tokenizer = tokenizer
        self.chance = chance

    def __call__(self) -> _Window:
        import numpy as np

        chance = self.chance
        if chance.random() < _NOISE_ONLY:
            # No words: the model must say so at its first token, and end at once where it is asked all the same.
            given = [_START, _ENGLISH, _TRANSCRIBE, _NO_TIMES]
            length = int(chance.uniform(2, 30) * RATE)
            return _Window(np.zeros(_WINDOW, np.int16), length, given, [_NO_SPEECH, -100, -100, _END], False)
        is_kept = chance.random() < self.keep_share
        pool, weights = self.pools[is_kept]
        samples, lines = chance.choices(pool, cum_weights=weights)[0]
        first = chance.randrange(len(lines))
        longest = chance.uniform(3, 29) * RATE
        last = first
        while last + 1 < len(lines) and lines[last + 1][1] - lines[first][0] < longest:
            last += 1
        start = max(0, lines[first][0] - int(chance.uniform(0, 0.7) * RATE))
        end = min(len(samples), lines[last][1] + int(chance.uniform(0, 0.6) * RATE), start + _WINDOW)
        if last + 1 < len(lines):
            end = min(end, max(lines[last][1], lines[last + 1][0]))
        if first:
            start = max(start, min(lines[first][0], lines[first - 1][1]))
        piece = samples[start:end]
        if piece.dtype != np.int16:
            piece = (np.clip(piece, -1, 1) * 32767).astype(np.int16)
        pace = chance.uniform(0.92, 1.09) if chance.random() < 0.35 else 1.0
        if pace != 1.0:
            at = np.arange(0, len(piece) - 1, pace)
            piece = np.interp(at, np.arange(len(piece)), piece).astype(np.int16)
        piece = piece[:_WINDOW]
        padded = np.zeros(_WINDOW, np.int16)
        lead = int(chance.choice((0.0, chance.uniform(0, 1.0))) * RATE)
        lead = min(lead, _WINDOW - len(piece))
        padded[lead : lead + len(piece)] = piece

        def moment(sample: int) -> int:
            steps = round(((sample - start) / pace + lead) / _PER_TIME)
            return _TIME + min(1500, max(0, int(steps)))

        with_times = chance.random() < _WITH_TIMES
        tokens: list[int] = []
        for line_start, line_end, text in lines[first : last + 1]:
            tokens += [moment(line_start), *text, moment(line_end)] if with_times else text
        prompt = self._terms() if self.terms and chance.random() < _WITH_TERMS else []
        head = [*prompt, _START, _ENGLISH, _TRANSCRIBE, *([] if with_times else [_NO_TIMES])]
        given = [*head, *tokens][:_MOST_TOKENS]
        is_whole = len(head) + len(tokens) <= _MOST_TOKENS
        wanted = [-100] * (len(head) - 1) + given[len(head) :] + [_END if is_whole else -100]
        return _Window(padded, min(_WINDOW, lead + len(piece)), given, wanted, is_kept)

    def _terms(self) -> list[int]:
        """A bias as ``speech.listen`` gives it: some terms, most of which are not in the window."""
        some = self.chance.sample(self.terms, min(len(self.terms), self.chance.randint(5, 60)))
        ids = self.tokenizer.encode(" " + ", ".join(some), add_special_tokens=False).ids
        return [_BEFORE, *ids[:180]]


def _pool(clips: Sequence[Clip], tokenizer: Any) -> tuple[list[tuple[Any, Any]], list[float]]:
    """Clips with their texts as tokens, and their added-up weights. Lines that no window can hold are left out."""
    pool, weights, total = [], [], 0.0
    for clip in clips:
        lines = [
            (start, end, tokenizer.encode(" " + text.strip(), add_special_tokens=False).ids)
            for start, end, text in clip.lines
            if end - start < _WINDOW - RATE and text.strip()
        ]
        if lines:
            total += clip.weight
            pool.append((clip.samples, lines))
            weights.append(total)
    return pool, weights


def _tokens(windows: Sequence[_Window], device: str) -> tuple[Any, Any]:
    import torch

    longest = max(len(window.given) for window in windows)
    given = torch.full((len(windows), longest), _END)
    wanted = torch.full((len(windows), longest), -100)
    for row, window in enumerate(windows):
        given[row, : len(window.given)] = torch.tensor(window.given)
        wanted[row, : len(window.wanted)] = torch.tensor(window.wanted)
    return given.to(device), wanted.to(device)


# --- sound, on the device


def _augment(sound: Any, lengths: Any, generator: Any) -> Any:
    """Rooms, noise, other people's talk, band limits and beeps: float32 (batch, samples) in and out.

    Noise 4 to 32 dB below the speech, echoes that die away within 10 to 80 ms, a voice of another window 12 to 28 dB
    below, bands cut at 2.8 to 7.2 kHz or below 300 Hz, a monitor's beep of 600 to 1200 Hz.
    """
    import torch

    device, (count, length) = sound.device, sound.shape

    def uniform(low: float, high: float) -> Any:
        return low + (high - low) * torch.rand((count, 1), device=device, generator=generator)

    def happens(chance: float) -> Any:
        return (torch.rand((count, 1), device=device, generator=generator) < chance).float()

    def normal() -> Any:
        return torch.randn((count, length), device=device, generator=generator)

    loud = (sound.square().sum(1, keepdim=True) / lengths[:, None].clamp_min(1)).sqrt()
    level = torch.where(loud > 1e-4, loud, torch.full_like(loud, 0.02))
    seconds = torch.arange(length, device=device)[None] / RATE
    echo = normal() * torch.exp(-seconds / uniform(0.01, 0.08)) * (seconds < uniform(0.05, 0.35)) * uniform(0.03, 0.2)
    echo = echo * happens(0.45)
    echo[:, 0] = 1.0
    spectrum = torch.fft.rfft(sound) * torch.fft.rfft(echo)
    frequency = torch.linspace(0, RATE / 2, spectrum.shape[1], device=device)[None]
    other = sound.roll(1, 0) * happens(0.12) * 10 ** (-uniform(12, 28) / 20)
    spectrum = spectrum + torch.fft.rfft(other)
    tilt = uniform(0.2, 0.9) * happens(0.6)
    noise = torch.fft.irfft(torch.fft.rfft(normal()) / frequency.clamp_min(20).pow(tilt), length)
    noise = noise / noise.std(1, keepdim=True) * level * 10 ** (-uniform(4, 32) / 20)
    noise = noise * torch.maximum(happens(0.85), (loud <= 1e-4).float() * happens(0.9))
    spectrum = spectrum + torch.fft.rfft(noise)
    cut = torch.where(happens(0.25) > 0, uniform(2800, 7200), torch.full_like(loud, RATE))
    floor = torch.where(happens(0.1) > 0, uniform(120, 300), torch.zeros_like(loud))
    spectrum = spectrum * torch.where((frequency < cut) & (frequency >= floor), 1.0, 0.02)
    result = torch.fft.irfft(spectrum, length)
    beep = ((seconds % uniform(0.7, 1.3)) < 0.1) * torch.sin(2 * math.pi * uniform(600, 1200) * seconds)
    result = result + beep * level * uniform(0.05, 0.4) * happens(0.3)
    return result * uniform(0.3, 1.0) / result.abs().amax(1, keepdim=True).clamp_min(1e-4)


def _mel(device: str) -> Callable[[Any], Any]:
    """Whisper's features: log mel energies of 80 bands every 10 ms (Radford et al. 2022, section 2.2)."""
    import torch

    bands = torch.from_numpy(_mel_bands()).to(device)
    window = torch.hann_window(_FFT, device=device)

    def features(sound: Any) -> Any:
        power = torch.stft(sound, _FFT, _HOP, window=window, return_complex=True)[..., :-1].abs().square()
        logs = torch.log10((bands @ power).clamp_min(1e-10))
        return (torch.maximum(logs, logs.amax((1, 2), keepdim=True) - 8) + 4) / 4

    return features


def _mel_bands() -> Any:
    """Triangular bands on the mel scale, float32 (bands, frequencies), of equal area (Slaney 1998)."""
    import numpy as np

    top = 15 + 27 * math.log(8000 / 1000) / math.log(6.4)
    mels = np.linspace(0, top, _BANDS + 2)
    edges = np.where(mels < 15, mels * 200 / 3, 1000 * np.exp(math.log(6.4) / 27 * (mels - 15)))
    frequencies = np.linspace(0, RATE / 2, _FFT // 2 + 1)
    low, middle, high = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rising = (frequencies - low) / (middle - low)
    falling = (high - frequencies) / (high - middle)
    return (np.maximum(0, np.minimum(rising, falling)) * 2 / (high - low)).astype(np.float32)


def _mask(features: Any, windows: Sequence[_Window], chance: random.Random) -> Any:
    """Blanks two narrow bands and, now and then, a short stretch of each window, so that no one cue carries a word.

    Most windows end as faster-whisper ends a short one: with zeros, where others hold the noise of their room.
    """
    for row, window in zip(features, windows, strict=True):
        if chance.random() < 0.6:
            row[:, window.length // _HOP + 1 :] = 0
        for _ in range(2):
            band = chance.randrange(70)
            row[band : band + chance.randrange(8)] = 0
        if chance.random() < 0.3:
            at = chance.randrange(2800)
            row[:, at : at + chance.randrange(20)] = 0
    return features


# --- the model


def _whisper(variables: Mapping[str, Any], rank: int, device: str) -> Any:
    """Whisper as a PyTorch module under CTranslate2's names; its parameters are the adapter's alone."""
    import contextlib

    import numpy as np
    import torch
    from torch import nn
    from torch.nn import functional

    def fixed(name: str) -> Any:
        return torch.from_numpy(variables[name].astype(np.float32)).to(device)

    heads = int(variables["encoder/num_heads"])
    state = {"adapted": True}

    class Linear(nn.Module):
        def __init__(self, name: str) -> None:
            super().__init__()
            self.weight, self.bias = fixed(name + "/weight"), fixed(name + "/bias")
            past, into = self.weight.shape
            self.a = nn.Parameter(torch.randn(rank, into).to(device) / math.sqrt(into))
            self.b = nn.Parameter(torch.zeros(past, rank, device=device))

        def forward(self, x: Any) -> Any:
            y = functional.linear(x, self.weight, self.bias)
            if state["adapted"]:
                thin = functional.linear(functional.dropout(x, 0.05, self.training), self.a)
                y = y + _SCALE * functional.linear(thin, self.b)
            return y

    class Norm(nn.Module):
        def __init__(self, name: str) -> None:
            super().__init__()
            self.gamma, self.beta = fixed(name + "/gamma"), fixed(name + "/beta")

        def forward(self, x: Any) -> Any:
            return functional.layer_norm(x, self.gamma.shape, self.gamma, self.beta)

    def attend(query: Any, key: Any, value: Any, is_causal: bool = False) -> Any:
        split = [x.unflatten(-1, (heads, -1)).transpose(1, 2) for x in (query, key, value)]
        return functional.scaled_dot_product_attention(*split, is_causal=is_causal).transpose(1, 2).flatten(-2)

    class Layer(nn.Module):
        def __init__(self, name: str, is_decoder: bool) -> None:
            super().__init__()
            self.is_decoder = is_decoder
            self.own_norm, self.ffn_norm = Norm(name + "/self_attention/layer_norm"), Norm(name + "/ffn/layer_norm")
            self.own = nn.ModuleList(Linear(f"{name}/self_attention/linear_{i}") for i in (0, 1))
            self.ffn = nn.ModuleList(Linear(f"{name}/ffn/linear_{i}") for i in (0, 1))
            if is_decoder:
                self.cross_norm = Norm(name + "/attention/layer_norm")
                self.cross = nn.ModuleList(Linear(f"{name}/attention/linear_{i}") for i in (0, 1, 2))

        def forward(self, x: Any, sound: Any = None) -> Any:
            query, key, value = self.own[0](self.own_norm(x)).chunk(3, -1)
            x = x + self.own[1](attend(query, key, value, is_causal=self.is_decoder))
            if self.is_decoder:
                key, value = self.cross[1](sound).chunk(2, -1)
                x = x + self.cross[2](attend(self.cross[0](self.cross_norm(x)), key, value))
            return x + self.ffn[1](functional.gelu(self.ffn[0](self.ffn_norm(x))))

    class Whisper(nn.Module):
        def __init__(self) -> None:
            super().__init__()
            self.convolutions = [(fixed(f"encoder/conv{i}/weight"), fixed(f"encoder/conv{i}/bias")) for i in (1, 2)]
            self.places = {side: fixed(side + "/position_encodings/encodings") for side in ("encoder", "decoder")}
            self.norms = nn.ModuleDict({side: Norm(side + "/layer_norm") for side in ("encoder", "decoder")})
            self.words = fixed("decoder/embeddings/weight")
            self.layers = nn.ModuleDict(
                {
                    side: nn.ModuleList(
                        Layer(f"{side}/layer_{i}", side == "decoder")
                        for i in range(sum(f"{side}/layer_{n}/ffn/linear_0/weight" in variables for n in range(99)))
                    )
                    for side in ("encoder", "decoder")
                }
            )

        def encode(self, features: Any) -> Any:
            x = features
            for stride, (weight, bias) in enumerate(self.convolutions, 1):
                x = functional.gelu(functional.conv1d(x, weight, bias, stride=stride, padding=1))
            x = x.transpose(1, 2) + self.places["encoder"]
            for layer in self.layers["encoder"]:
                x = layer(x)
            return self.norms["encoder"](x)

        def decode(self, given: Any, sound: Any) -> Any:
            x = self.words[given] + self.places["decoder"][: given.shape[1]]
            for layer in self.layers["decoder"]:
                x = layer(x, sound)
            return functional.linear(self.norms["decoder"](x), self.words)

        def forward(self, features: Any, given: Any) -> Any:
            return self.decode(given, self.encode(features))

        @contextlib.contextmanager
        def as_base(self) -> Any:
            """Inside, the model is the base model: the adapter does nothing."""
            state["adapted"] = False
            try:
                yield
            finally:
                state["adapted"] = True

        def linears(self) -> dict[str, Any]:
            """The adapted layers by CTranslate2's names."""
            found: dict[str, Any] = {}
            for side, layers in self.layers.items():
                for i, layer in enumerate(layers):
                    parts = {"self_attention": layer.own, "ffn": layer.ffn}
                    parts |= {"attention": layer.cross} if layer.is_decoder else {}
                    for part, linears in parts.items():
                        found |= {f"{side}/layer_{i}/{part}/linear_{n}": each for n, each in enumerate(linears)}
            return found

    return Whisper()


def _layers(model: Any) -> Layers:
    """The adapter as it stands, with the scale folded in."""
    import numpy as np

    return {
        name: (
            linear.a.detach().cpu().numpy().astype(np.float16),
            (_SCALE * linear.b.detach()).cpu().numpy().astype(np.float16),
        )
        for name, linear in sorted(model.linears().items())
    }
