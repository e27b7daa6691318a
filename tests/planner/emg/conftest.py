"""A small laboratory: recordings of known content, written where a test wants them and measured."""

import importlib

import numpy as np
import pytest
from folders import DEMO

from planner.emg.measuring import measure_session
from planner.emg.session import read_session

RATE = 1000
RECORDINGS = DEMO / "recordings"


class Lab:
    """Writes recordings and session.toml into one folder. Levels are parts of the effort, signals mV."""

    rate = RATE
    card = '[session]\nid = "s1"\nathlete = "Test Person"\ndate = 2026-11-20\n'
    sensor = '[[sensor]]\nchannel = "side_mV"\nmuscle = "side"\nside = "right"\n'
    motion = '[motion]\nkind = "angle"\nchannels = ["arm_deg"]\n'

    def __init__(self, folder, library):
        self.folder, self.library = folder, library

    def course(self, repetitions=4, lift=1.0, lower=2.0, rate=RATE):
        """Angle in degrees and effort (1 in lifting, 0.8 in lowering, 0.02 at rest) with 1 s of rest around."""
        up, down = np.linspace(5, 95, round(lift * rate)), np.linspace(95, 5, round(lower * rate))
        pause = round(0.5 * rate)
        angle = [np.full(rate, 5.0), *([up, down, np.full(pause, 5.0)] * repetitions), np.full(rate, 5.0)]
        one = [np.full(len(up), 1.0), np.full(len(down), 0.8), np.full(pause, 0.02)]
        effort = [np.full(rate, 0.02), *(one * repetitions), np.full(rate, 0.02)]
        return np.concatenate(angle), np.concatenate(effort)

    def noise(self, level, seed, scale=0.5):
        """EMG in mV: white noise times level."""
        return scale * level * np.random.default_rng(seed).standard_normal(len(level))

    def hold(self, seed, seconds=5.0, scale=1.0):
        """A maximal effort in mV with a second of rest on either side."""
        rest = np.full(RATE, 0.01)
        return self.noise(np.concatenate([rest, np.ones(round(seconds * RATE)), rest]), seed, scale)

    def csv(self, name, rate=RATE, time=True, **columns):
        """Write columns as CSV, time first."""
        length = len(next(iter(columns.values())))
        named = {"time_s": np.arange(length) / rate, **columns} if time else columns
        how = {"delimiter": ",", "header": ",".join(named), "comments": "", "fmt": "%.6f"}
        np.savetxt(self.folder / name, np.column_stack(list(named.values())), **how)

    def set(self, name, seed=1, repetitions=4, scale=0.5):
        """Write a sound set with one sensor and an angle; return its name."""
        angle, effort = self.course(repetitions)
        self.csv(name, side_mV=self.noise(effort, seed, scale), arm_deg=angle)
        return name

    def trial(self, file, exercise="standing_dumbbell_lateral_raise", **more):
        """One [[trial]] of session.toml; values are written as given."""
        return self._table("trial", {"file": f'"{file}"', "exercise": f'"{exercise}"', **more})

    def reference(self, file, test="abduction_90", **more):
        """One [[reference]]."""
        return self._table("reference", {"file": f'"{file}"', "test": f'"{test}"', **more})

    def _table(self, kind, values):
        return "\n".join([f"[[{kind}]]", *(f"{name} = {value}" for name, value in values.items()), ""])

    def holds(self, *channels):
        """Write three maximal efforts of these channels (the one sensor's, unless named); return their references."""
        for number in range(3):
            columns = {c: self.hold(10 * number + at) for at, c in enumerate(channels or ("side_mV",))}
            self.csv(f"h{number}.csv", **columns)
        return [self.reference(f"h{number}.csv") for number in range(3)]

    def sensors(self, *heads):
        """One right-hand [[sensor]] for each head, on a channel of its name."""
        return "".join(f'[[sensor]]\nchannel = "{h}"\nmuscle = "{h}"\nside = "right"\n' for h in heads)

    def read(self, *parts):
        """Write session.toml from its parts and read it."""
        (self.folder / "session.toml").write_text("\n".join(parts), encoding="utf-8")
        return read_session(self.folder, self.library)

    def measure(self, *parts):
        """Write session.toml, one sensor and an angle unless the parts say otherwise, and measure."""
        return measure_session(self.read(self.card, self.sensor, self.motion, *parts))


@pytest.fixture
def lab(tmp_path, library):
    return Lab(tmp_path, library)


@pytest.fixture(scope="session")
def generator():
    """The committed generator of the demo recordings."""
    with pytest.MonkeyPatch.context() as patched:
        patched.syspath_prepend(RECORDINGS)
        return importlib.import_module("make_recordings")


@pytest.fixture(scope="session")
def demo_folder():
    return RECORDINGS


@pytest.fixture(scope="session")
def demo(library):
    """The committed demo session, measured once."""
    return measure_session(read_session(RECORDINGS, library))
