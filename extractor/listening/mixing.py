"""Several channels -> one that loses no voice: neither one that is in a single channel nor one in opposite phase.

Adding channels up halves a voice that is in one of them, drowns it in another's noise, and loses one that two channels
hold in opposite phase (a wire soldered the wrong way round). So each channel counts by how far it stands above its own
background, second by second, and one that moves against the loudest is turned round. Where nobody speaks for long, all
count the same. The principle is that of automatic microphone mixers: common practice, no source.
"""

from collections import deque
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[np.float32]]

RATE = 16_000
_STEP = RATE // 10
#: A channel's background is the quietest step of so many seconds: nobody speaks longer without a breath.
_BACKGROUND_S = 20
#: Noise alone stands this far above its quietest step (dB, our own measure on white and pink noise: below 2.5).
_NOISE_DB = 3.0
#: More than this above its background makes no channel better (dB).
_CLEAR_DB = 30.0
#: What every channel counts, so that all count the same where none stands out (dB).
_LEAST_DB = 0.5
#: Of what a channel counted a second ago: a voice that pauses keeps its channel for some seconds.
_KEPT = 0.8
#: Below this correlation two channels hold the same in opposite phase.
_OPPOSITE = -0.5
#: Far below one step of a 16 bit recording: nothing at all.
_NOTHING = 1e-12


class Mixer:
    """Mixes one stretch after another of the same channels."""

    def __init__(self) -> None:
        self._backgrounds: deque[Floats] = deque(maxlen=_BACKGROUND_S)
        self._counts: Floats | None = None
        self._signs: Floats | None = None
        self._gains: Floats | None = None

    def mix(self, channels: "Floats") -> "Floats":
        """About a second of sound, float32 (channels, samples) -> float32 (samples,)."""
        import numpy as np

        if len(channels) == 1:
            only: Floats = channels[0]
            return only
        band = _voice_band(channels)
        above = self._above_background(band)
        signs = np.ones(len(channels), np.float32) if self._signs is None else self._signs
        self._counts = above if self._counts is None else np.maximum(above, _KEPT * self._counts)
        loudest = int(self._counts.argmax())
        alike = _correlation(band, band[loudest])
        clear = above > _LEAST_DB
        signs = np.where((alike < _OPPOSITE) & clear, -signs[loudest], signs)
        signs = np.where((alike > -_OPPOSITE) & clear, signs[loudest], signs)
        gains = signs * self._counts**2 / (self._counts**2).sum()
        before = gains if self._gains is None else self._gains
        self._signs, self._gains = signs, gains
        ramp = np.minimum(np.arange(channels.shape[1], dtype=np.float32) / _STEP, 1.0)
        mixed: Floats = before @ channels + ((gains - before) @ channels) * ramp
        return mixed

    def _above_background(self, band: "Floats") -> "Floats":
        """How far each channel's loudest tenth of a second stands above its background, in dB; none below 0.5."""
        import numpy as np

        step = min(_STEP, band.shape[1])
        steps = band[:, : band.shape[1] // step * step].reshape(len(band), -1, step)
        power = (steps * steps).mean(axis=2) + _NOTHING
        self._backgrounds.append(power.min(axis=1))
        above_db = 10 * np.log10(power.max(axis=1) / np.min(self._backgrounds, axis=0))
        above: Floats = np.clip(above_db - _NOISE_DB, _LEAST_DB, _CLEAR_DB).astype(np.float32)
        return above


def _voice_band(channels: "Floats") -> "Floats":
    """Some 300 to 2,500 Hz: hum and hiss say nothing about a voice. Four samples added up, less the four before."""
    import numpy as np

    sums = np.cumsum(np.pad(channels, ((0, 0), (8, 0)), "edge"), axis=1, dtype=np.float64)
    band: Floats = (sums[:, 8:] - 2 * sums[:, 4:-4] + sums[:, :-8]).astype(np.float32)
    return band


def _correlation(channels: "Floats", one: "Floats") -> "Floats":
    """Of each channel with one, -1 to 1."""
    import numpy as np

    power = np.sqrt((channels * channels).sum(axis=1) * (one @ one)) + _NOTHING
    alike: Floats = (channels @ one) / power
    return alike
