"""Several channels to one, without losing the voice to a dead or inverted channel."""

import numpy as np
import numpy.typing as npt

_DEAD_POWER = 1e-4
"""A channel 40 dB below the loudest one carries hiss and cross-talk only; averaging it in would cost level."""
_CANCELLED_POWER = 0.1
"""A mean 10 dB below the loudest channel comes from channels of opposite sign; independent ones lose 3 dB only."""


class ChannelMixer:
    """Mixes block after block; remembers each channel's loudest block, so that no pause brings a dead one back."""

    def __init__(self) -> None:
        self._power: npt.NDArray[np.float64] | None = None

    def mono(self, sound: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
        """One channel out of ``sound`` (channels, samples): the mean of the live ones, or the loudest one alone."""
        if sound.shape[0] == 1:
            return np.ascontiguousarray(sound[0])
        power = np.mean(np.square(sound, dtype=np.float64), axis=1)
        if self._power is not None and self._power.shape == power.shape:
            power = np.maximum(power, self._power)
        self._power = power
        live = sound[power >= _DEAD_POWER * power.max()]
        mean: npt.NDArray[np.float32] = live.mean(axis=0, dtype=np.float32)
        loudest = sound[int(power.argmax())]
        if np.mean(np.square(mean)) < _CANCELLED_POWER * np.mean(np.square(loudest)):
            return np.ascontiguousarray(loudest)
        return mean
