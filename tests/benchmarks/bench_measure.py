"""One hour of 8 channels at 2 kHz: cleaning and figures against the bare scipy calls on the same arrays, and memory."""

import resource
import subprocess
import sys
import time

import numpy as np
from processes import Row

RATE, CHANNELS, HOUR = 2000, 8, 3600
SET_SECONDS, REPETITION_SECONDS = 60, 4  # a set a minute, 12 repetitions in it
REPEATS = 3


def signals():
    """One hour of 8 channels in mV: noise that swells with every repetition."""
    random = np.random.default_rng(1)
    seconds = np.arange(HOUR * RATE) / RATE
    level = 0.02 + 0.3 * (1 - np.cos(2 * np.pi * seconds / REPETITION_SECONDS))
    return np.stack([level * random.standard_normal(len(level)) for _ in range(CHANNELS)])


def repetitions():
    from planner.emg.repetitions import Repetition

    starts = np.arange(0.25, HOUR - REPETITION_SECONDS, REPETITION_SECONDS).tolist()
    ends = ((s, s + 1.5, s + 1.6, s + 3.5) for s in starts)
    return [Repetition(s, e, "stated list", (s, a), (a, b), (b, e)) for s, a, b, e in ends]


def bare(values):
    """Filter, rectify and moving RMS by scipy alone."""
    from scipy.ndimage import uniform_filter1d
    from scipy.signal import butter, sosfiltfilt

    sos = butter(2, (20, 450), btype="bandpass", fs=RATE, output="sos")
    rectified = np.abs(sosfiltfilt(sos, values - values.mean()))
    return np.sqrt(uniform_filter1d(rectified**2, 201))


def ours(values, wanted):
    """Clean one channel and take every figure of every repetition."""
    from planner.emg.figures import repetition_figures
    from planner.emg.signals import Amplitude, clean, envelope
    from planner.method import MeasureSettings

    settings = MeasureSettings()
    cleaned = clean(values, RATE, settings)
    percent = envelope(cleaned, RATE, settings)
    percent *= 100 / 0.6
    activation = Amplitude(percent, RATE)
    figures = [repetition_figures(n, r, activation, settings) for n, r in enumerate(wanted, 1)]
    return sum(figure.mean for figure in figures)


def timed(call, recorded):
    """Seconds of this process for all channels: what others on the machine take does not count."""
    start = time.process_time()
    for values in recorded:
        call(values)
    return time.process_time() - start


def peak_memory():
    """Peak memory of measuring the hour, in times the array; a process of its own, less what it had before."""
    code = "import bench_measure; print(bench_measure.measured_memory())"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        cwd=__file__.rsplit("/", 1)[0],
    )  # fmt: skip
    return float(done.stdout)


def measured_memory():
    """Peak resident memory beyond imports over the size of the array."""
    import scipy.ndimage
    import scipy.signal

    assert scipy.ndimage and scipy.signal
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    recorded = signals()
    wanted = repetitions()
    for values in recorded:
        ours(values, wanted)
    return (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 - before) / recorded.nbytes


def rows() -> list[Row]:
    """Ratios of the best of three turns, taken one after the other so that the machine's mood hits both."""
    memory = peak_memory()  # first: a child's peak begins at what its parent holds
    recorded, wanted = signals(), repetitions()
    turns = [(timed(bare, recorded), timed(lambda v: ours(v, wanted), recorded)) for _ in range(REPEATS)]
    scipy_seconds, our_seconds = (min(times) for times in zip(*turns, strict=True))
    length = f"{HOUR} s of {CHANNELS} channels in {our_seconds:.1f} s"
    return [
        Row(
            "measure: cleaning and figures / bare scipy", our_seconds / scipy_seconds, 1.3,
            note=f"scipy {scipy_seconds:.1f} s",
        ),
        Row("measure: faster than real time", HOUR / our_seconds, 200, at_least=True, note=length),
        Row("measure: peak memory / array", memory, 4),
    ]  # fmt: skip
