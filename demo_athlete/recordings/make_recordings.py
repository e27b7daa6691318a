"""Make the recordings of this folder: invented but lifelike surface EMG with known ground truth.

    python make_recordings.py [FOLDER] [--rate 1000]

Signal model: activation follows the arm's course (more near the top, less in lowering), rises a little from one
repetition to the next and varies between them; EMG is Gaussian noise with a muscle-like spectrum whose median
sinks with fatigue, times activation, plus baseline noise, a trace of mains, a slow drift and an offset. One set
carries a pulled cable. Everything is seeded: the same call writes the same samples. `ground_truth.json` holds
what a perfect measurement would read: % of the true maximum, by the 5 % bands of the noise-free angle.
The person and all numbers are invented.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from edfio import Edf, EdfSignal

HEADS = ("front", "side", "rear", "upper_trapezius")
LABELS = {"front": "EMG front", "side": "EMG side", "rear": "EMG rear", "upper_trapezius": "EMG trapezius"}
MAXIMUM_MV = {"front": 0.90, "side": 0.80, "rear": 0.55, "upper_trapezius": 0.70}  # true maximum, RMS
MOTION_HZ = 100
REPETITIONS = 8
LIFT, LOWER, PAUSE, LEAD_IN = 1.0, 2.0, 0.4, 1.4  # seconds
SET_SECONDS = 30
RANGE_MV = 4.096  # the converter's ends
CODES = 8192  # either side: 14 bit, 0.5 µV a step

# how much of each head's maximum a test reaches (invented; the order follows the published table)
TESTS = {
    "abduction_90_head_turned": (0.62, 0.80, 0.45, 1.00),
    "arm_overhead": (0.85, 0.96, 0.50, 0.80),
    "flexion_90": (1.00, 0.62, 0.30, 0.70),
    "abduction_90": (0.66, 1.00, 0.55, 0.90),
    "prone_horizontal_abduction_90": (0.20, 0.66, 1.00, 0.72),
}
EFFORTS = (0.94, 1.00, 0.97)  # three trials of each
HOLD_SECONDS = 6


@dataclass(frozen=True)
class Set:
    """One recorded set: per head the level in lifting and in lowering, in % of the true maximum."""

    file: str
    exercise: str
    load: float
    levels: tuple[tuple[float, float], ...]
    top_degrees: float
    turned_up: float = 1.0  # day-to-day factor of a repeated recording
    pulled_cable: str = ""  # head whose cable is pulled in repetition 5


PRESS = ((70, 55), (52, 40), (12, 9), (45, 35))
RAISE = ((30, 22), (58, 48), (24, 19), (50, 40))
SETS = (
    Set("press_1.edf", "seated_dumbbell_overhead_press", 14, PRESS, 140),
    Set("raise_1.edf", "standing_dumbbell_lateral_raise", 8, RAISE, 90),
    Set("rear_raise.edf", "bent_over_dumbbell_rear_raise", 8, ((6, 5), (36, 29), (62, 50), (32, 26)), 85),
    Set("y_raise.edf", "incline_cable_y_raise", 5, ((32, 26), (68, 60), (40, 33), (55, 45)), 130),
    Set("lying_cable.edf", "lying_two_cable_lateral_raise", 7.5, ((20, 17), (62, 56), (26, 23), (18, 15)), 95),
    Set(
        "reverse_fly.edf", "machine_reverse_fly", 30, ((4, 3), (28, 22), (70, 56), (26, 20)), 80,
        pulled_cable="upper_trapezius",
    ),
    Set("press_2.edf", "seated_dumbbell_overhead_press", 14, PRESS, 140, turned_up=1.04),
    Set("raise_2.edf", "standing_dumbbell_lateral_raise", 8, RAISE, 90, turned_up=0.97),
)  # fmt: skip


def spectrum_shaped(random: np.random.Generator, samples: int, rate: int, high_hz: float) -> np.ndarray:
    """Return noise whose power rises with f² and falls beyond `high_hz`, as muscle signals do.

    Its RMS is 1 inside the band in which surface EMG is measured (soft edges at 20 and 450 Hz).
    """
    frequencies = np.fft.rfftfreq(samples, 1 / rate)
    low_hz = 60.0
    shape = frequencies**2 * high_hz**4 / ((frequencies**2 + low_hz**2) * (frequencies**2 + high_hz**2) ** 2)
    shape[(frequencies < 15) | (frequencies > 480)] = 0
    lines = np.fft.rfft(random.standard_normal(samples)) * np.sqrt(shape)
    edges = 1 / (1 + (20 / np.maximum(frequencies, 1e-9)) ** 4) / (1 + (frequencies / 450) ** 4)
    inside = np.fft.irfft(lines * edges, samples)
    return np.fft.irfft(lines, samples) / np.sqrt(np.mean(inside**2))


def signal_of(random: np.random.Generator, activation: np.ndarray, head: str, rate: int) -> np.ndarray:
    """Return one channel in mV for an activation in % of the true maximum."""
    samples = len(activation)
    tired = np.linspace(0, 0.5, samples)
    carrier = np.sqrt(1 - tired) * spectrum_shaped(random, samples, rate, 130)
    carrier += np.sqrt(tired) * spectrum_shaped(random, samples, rate, 90)
    seconds = np.arange(samples) / rate
    signal = activation / 100 * MAXIMUM_MV[head] * carrier
    signal += 0.002 * random.standard_normal(samples)
    signal += 0.001 * np.sin(2 * np.pi * 50 * seconds + random.uniform(0, 6))
    return signal + 0.004 * np.sin(2 * np.pi * 0.2 * seconds) + random.uniform(-0.03, 0.03)


def angle_of(rate: float, top: float) -> tuple[np.ndarray, list[tuple[float, float, float]]]:
    """Return the noise-free angle in degrees and per repetition its start, top and end in seconds."""
    seconds = np.arange(round(SET_SECONDS * rate)) / rate
    angle = np.full(len(seconds), 6.0)
    times = []
    for number in range(REPETITIONS):
        start = LEAD_IN + number * (LIFT + LOWER + PAUSE)
        turn, end = start + LIFT, start + LIFT + LOWER
        up = (seconds >= start) & (seconds < turn)
        down = (seconds >= turn) & (seconds < end)
        angle[up] = 6 + (top - 6) * (1 - np.cos(np.pi * (seconds[up] - start) / LIFT)) / 2
        angle[down] = 6 + (top - 6) * (1 + np.cos(np.pi * (seconds[down] - turn) / LOWER)) / 2
        times.append((start, turn, end))
    return angle, times


def activation_of(
    random: np.random.Generator, made: Set, head: int, rate: int, times: list[tuple[float, float, float]]
) -> np.ndarray:
    """Return the true activation of one head over one set, in % of its true maximum."""
    seconds = np.arange(SET_SECONDS * rate) / rate
    angle, _ = angle_of(rate, made.top_degrees)
    height = (angle - 6) / (made.top_degrees - 6)
    activation = np.full(len(seconds), 1.0)
    for number, (start, turn, end) in enumerate(times):
        factor = made.turned_up * (1 + 0.012 * number) * (1 + 0.03 * random.standard_normal())
        for part, (begin, stop) in enumerate(((start, turn), (turn, end))):
            inside = (seconds >= begin) & (seconds < stop)
            activation[inside] = made.levels[head][part] * factor * (0.55 + 0.45 * height[inside])
    width = max(1, round(0.08 * rate))
    return np.convolve(activation, np.ones(width) / width, mode="same")


def truth_of(activation: np.ndarray, rate: int, made: Set, times: list[tuple[float, float, float]]) -> dict:
    """Return what a perfect measurement reads: means over repetitions, by 5 % bands of the noise-free angle."""
    angle, _ = angle_of(rate, made.top_degrees)
    edge, window = 0.05 * (made.top_degrees - 6), round(0.5 * rate)
    figures = {"mean": [], "peak": [], "total": [], "eccentric_share": []}
    for start, turn, end in times:
        first, top, last = round(start * rate), round(turn * rate), round(end * rate)
        out_of_bottom = first + int(np.argmax(angle[first:top] > 6 + edge))
        into_top = first + int(np.argmax(angle[first:top] >= made.top_degrees - edge))
        out_of_top = top + int(np.argmax(angle[top:last] < made.top_degrees - edge))
        into_bottom = top + int(np.argmax(angle[top:last] <= 6 + edge))
        whole = activation[out_of_bottom:into_bottom]
        lift = activation[out_of_bottom:into_top].sum()
        lower = activation[out_of_top:into_bottom].sum()
        sums = np.convolve(whole, np.ones(window) / window, mode="valid")
        figures["mean"].append(float(whole.mean()))
        figures["peak"].append(float(sums.max()))
        figures["total"].append(float(whole.sum() / rate))
        figures["eccentric_share"].append(float(lower / (lift + lower)))
    return {name: round(float(np.mean(values)), 4) for name, values in figures.items()}


def write(file: Path, signals: dict[str, np.ndarray], rate: int, angle: np.ndarray | None) -> None:
    """Write one EDF+ file: 16-bit words, records of one second."""
    channels = [
        EdfSignal(
            np.clip(values, -RANGE_MV, RANGE_MV), rate, label=LABELS[head], physical_dimension="mV",
            transducer_type="invented signal", physical_range=(-RANGE_MV, RANGE_MV), digital_range=(-CODES, CODES),
        )
        for head, values in signals.items()
    ]  # fmt: skip
    if angle is not None:
        channels.append(
            EdfSignal(
                angle, MOTION_HZ, label="Arm elevation", physical_dimension="deg",
                physical_range=(-10, 190), digital_range=(-2000, 2000),
            )
        )  # fmt: skip
    Edf(channels).write(file)


def make_holds(folder: Path, rate: int, random: np.random.Generator) -> list[dict]:
    """Write the reference trials; return their session.toml entries."""
    entries = []
    seconds = np.arange(HOLD_SECONDS * rate) / rate
    ramp = np.clip(np.minimum((seconds - 0.7) / 1.0, (HOLD_SECONDS - 0.5 - seconds) / 0.4), 0, 1)
    for test, reached in TESTS.items():
        for number, effort in enumerate(EFFORTS, 1):
            signals = {}
            for place, head in enumerate(HEADS):
                wobble = 1 + 0.015 * np.sin(2 * np.pi * 0.5 * seconds + random.uniform(0, 6))
                level = 100 * reached[place] * effort * wobble
                signals[head] = signal_of(random, 1 + level * ramp / 1.015, head, rate)
            file = f"reference_{test}_{number}.edf"
            write(folder / file, signals, rate, None)
            entries.append({"test": test, "file": file})
    return entries


def make_sets(folder: Path, rate: int, random: np.random.Generator) -> tuple[list[dict], dict]:
    """Write the sets; return their session.toml entries and the ground truth."""
    entries, truth = [], {}
    for order, made in enumerate(SETS, 1):
        angle, times = angle_of(MOTION_HZ, made.top_degrees)
        angle = angle + 0.3 * random.standard_normal(len(angle))
        signals, truth[made.file] = {}, {"exercise": made.exercise, "repetitions": times, "heads": {}}
        for place, head in enumerate(HEADS):
            activation = activation_of(random, made, place, rate, times)
            signals[head] = signal_of(random, activation, head, rate)
            truth[made.file]["heads"][head] = truth_of(activation, rate, made, times)
            if made.pulled_cable == head:
                start = round((times[4][0] + 0.6) * rate)
                pull = np.arange(round(0.8 * rate)) / rate
                signals[head][start : start + len(pull)] += 1.6 * np.sin(2 * np.pi * 2.5 * pull)
        write(folder / made.file, signals, rate, angle)
        entries.append({"file": made.file, "exercise": made.exercise, "load": made.load, "order": order})
    return entries, truth


def write_session(folder: Path, holds: list[dict], sets: list[dict]) -> None:
    """Write session.toml."""
    lines = [
        "# What was recorded on one day from one athlete: `planner measure` reads this file and the recordings",
        "# it names (CSV, EDF, EDF+, BDF). Written by make_recordings.py; all of it is invented.",
        "[session]",
        'id = "2026-11-20-demo"        # measured again under this id, its rows replace the earlier ones',
        'athlete = "Robin Vale"',
        "date = 2026-11-20",
        'signal = "raw"                # or "envelope": ready envelopes are taken as they are',
        "mains_hz = 50                 # or 60; left out: both are looked at",
        'notes = "Right arm. Rest of 3 minutes between sets, 1 minute between reference trials."',
        "# rate_hz = 1000              # for CSV files without a time column",
        '# delimiter = ";"             # for CSV files; left out: found, as is the decimal comma',
        "",
        "# Which channel lies over which muscle, on which side. Other muscles than the library's heads: other = true.",
    ]
    for head in HEADS:
        lines += ["[[sensor]]", f'channel = "{LABELS[head]}"', f'muscle = "{head}"', 'side = "right"', ""]
    lines += [
        "# The channel that follows the arm: angle, position, or an accelerometer's two axes (along the arm, across).",
        "# Without one: event marks that begin with lift, hold, lower; or, for repetitions only, the envelope and a",
        "# stated count.",
        "[motion]",
        'kind = "angle"',
        'channels = ["Arm elevation"]',
        "",
    ]
    lines += ["# Maximal tests: the largest half second of any of them is each muscle's 100 %."]
    for hold in holds:
        lines += ["[[reference]]", f'test = "{hold["test"]}"', f'file = "{hold["file"]}"', ""]
    lines += [
        "# The sets, in the order in which they were done. The report draws every split; a wrong one is put right by",
        "# repetitions = [[start, stop, turn], ...] in seconds. Also: side, placement (raise it when sensors were put",
        '# on again), lift = "falling" (pull-downs, rows), start and stop (a part of a long file), split, notes.',
    ]
    for entry in sets:
        lines += ["[[trial]]", f'file = "{entry["file"]}"', f'exercise = "{entry["exercise"]}"']
        lines += [f"load = {entry['load']:g}", f"repetitions = {REPETITIONS}", "rir = 2"]
        lines += [f"tempo = {{ lift = {LIFT:.0f}, lower = {LOWER:.0f} }}", f"order = {entry['order']}", ""]
    lines += [
        "# Any setting that the report prints may be set here for this session.",
        "# [method]",
        "# rms_seconds = 0.1",
        "",
    ]
    (folder / "session.toml").write_text("\n".join(lines), encoding="utf-8")


def make(folder: Path, rate: int = 1000, seed: int = 20261120) -> None:
    """Write every recording, session.toml and ground_truth.json into a folder."""
    random = np.random.default_rng(seed)
    folder.mkdir(parents=True, exist_ok=True)
    holds = make_holds(folder, rate, random)
    sets, truth = make_sets(folder, rate, random)
    write_session(folder, holds, sets)
    document = {"maximum_mV": MAXIMUM_MV, "rate_hz": rate, "seed": seed, "sets": truth}
    (folder / "ground_truth.json").write_text(json.dumps(document, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?", type=Path, default=Path(__file__).parent)
    parser.add_argument("--rate", type=int, default=1000)
    wanted = parser.parse_args()
    make(wanted.folder, wanted.rate)
