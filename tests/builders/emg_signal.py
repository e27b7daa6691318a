"""Surface EMG of known effort, made as shot noise: unlike the demo's filtered noise, its level is exact by theory.
Two-humped potentials of random size and sign fall at random times. Their rate goes with effort², so by Campbell's
theorem (variance = rate · mean square of a potential · its energy) the RMS is `scale_mv` times effort."""

import numpy as np

RATE = 1000
POTENTIALS_A_SECOND = 4000.0  # at full effort: many at once, so the sum is close to normal
NOISE_MV = 0.005  # of the amplifier
WIDTH_SECONDS = 0.0022  # of a potential: a spectrum from 20 to 200 Hz


def emg(effort, seed, rate=RATE, scale_mv=0.5):
    """Signal in mV, one sample for each of `effort` (1 is maximal)."""
    random = np.random.default_rng(seed)
    count = random.poisson(POTENTIALS_A_SECOND / rate * effort**2)
    sizes = np.where(count > 0, random.standard_normal(len(effort)) * np.sqrt(count), 0.0)
    seconds = np.arange(-round(0.012 * rate), round(0.012 * rate) + 1) / rate
    shape = -seconds / WIDTH_SECONDS * np.exp(-((seconds / WIDTH_SECONDS) ** 2) / 2)
    shape /= np.sqrt(POTENTIALS_A_SECOND / rate * np.square(shape).sum())
    return scale_mv * np.convolve(sizes, shape, mode="same") + NOISE_MV * random.standard_normal(len(effort))


def repetitions(count=6, lift=1.2, lower=2.0, pause=0.8, rest=2.0, rate=RATE):
    """Angle in degrees, effort (rising to 0.6, rest at 0.01) and the true (start, stop) of each repetition."""
    up = (1 - np.cos(np.pi * np.arange(round(lift * rate)) / (lift * rate))) / 2
    down = (1 + np.cos(np.pi * np.arange(round(lower * rate)) / (lower * rate))) / 2
    move, still = np.concatenate([up, down]), np.zeros(round(pause * rate))
    ends = np.zeros(round(rest * rate))
    angle = np.concatenate([ends, *[move, still] * count, ends])
    load = np.concatenate([np.full(len(up), 0.6), np.full(len(down), 0.45)])
    effort = np.concatenate([ends, *[load * (0.35 + 0.65 * move), still] * count, ends])
    starts = [rest + n * (lift + lower + pause) for n in range(count)]
    return 90 * angle, np.maximum(effort, 0.01), [(s, s + lift + lower) for s in starts]


def hold(seconds=5.0, rest=2.0, rate=RATE):
    """Effort of a maximal hold with rest around it."""
    ends = np.full(round(rest * rate), 0.01)
    return np.concatenate([ends, np.ones(round(seconds * rate)), ends])


def heart(length, per_minute, rate=RATE, size_mv=0.15):
    """Heart beats: a sharp wave of 80 ms and the slower one after it, evenly spaced."""
    seconds = np.arange(length) / rate
    since = np.mod(seconds - 0.3, 60 / per_minute)
    since = np.minimum(since, 60 / per_minute - since) * np.sign(60 / per_minute / 2 - since)
    sharp = np.exp(-((since / 0.012) ** 2)) - 0.25 * np.exp(-(((since - 0.035) / 0.015) ** 2))
    slow = 0.2 * np.exp(-(((np.mod(seconds - 0.55, 60 / per_minute) - 0.04) / 0.04) ** 2))
    return size_mv * (sharp + slow)
