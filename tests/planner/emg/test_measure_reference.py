"""The reference: largest half second over all trials of all tests; short sets, retests, spikes, flaws, no reference."""

import numpy as np
import pytest

from planner.emg.figures import ReferenceLevel, choose_reference, reach
from planner.emg.measuring import measure_session
from planner.emg.session import tables
from planner.method import MeasureSettings

S = MeasureSettings()
WANTED = tuple(tables()["wanted"])
TEST_SET_2008 = ("empty_can", "internal_rotation_90", "flexion_125", "palm_press")


def levels(tests, best=1.0, trials=3):
    """Trials of each test, the last test the largest."""
    heights = [(test, best * (0.5 + 0.5 * place / len(tests))) for place, test in enumerate(tests, 1)]
    known = [(f"{test}_{n}.edf", test, top * (1 - 0.03 * n)) for test, top in heights for n in range(trials)]
    return [ReferenceLevel(*one, 3.0, 1.2) for one in known]


def test_the_largest_of_all_trials_of_all_tests_counts_and_a_full_set_is_not_blamed():
    chosen = choose_reference("rear right", "rear", 1, levels(WANTED), S)
    assert (chosen.level, chosen.file) == (1.0, "prone_horizontal_abduction_90_0.edf")
    assert chosen.second_best == pytest.approx(0.97)
    assert chosen.warnings == ()


AGAIN = ReferenceLevel("again.edf", WANTED[-1], 1.2, 3.0, 1.2)


@pytest.mark.parametrize(("head", "trials", "said"), [
    ("rear", levels(TEST_SET_2008), ("63 % of own maximum", "1.59 times too high")),
    ("side", levels(["abduction_90"]), ("85 %", "1.18 times too high")),
    ("rear", levels(["flexion_90"]), ("no recorded test is known to load this head",)),
    ("rear", [*levels(WANTED), AGAIN], ("20 % above the second best: record another",)),
    ("rear", levels(WANTED, trials=1), ("one trial only of its best test",)),
])  # fmt: skip
def test_a_short_set_and_a_best_trial_without_a_second_are_named(head, trials, said):
    """The four tests of 2008: 63 % of own maximum in the mean, computed from an open table (reference_tests.toml)."""
    assert reach(TEST_SET_2008, "rear") == ("the four tests of 2008 (doi 10.1002/jor.20675)", 63)
    (words,) = choose_reference(f"{head} right", head, 1, trials, S).warnings
    assert all(part in words for part in said)


@pytest.mark.parametrize(("flaw", "said"), [("spike", "second 3.0"), ("clipping", "clipping")])
def test_a_trial_with_a_spike_or_a_failed_check_never_gives_the_reference(lab, flaw, said):
    references = lab.holds()
    hold = lab.hold(1, scale=1.0 if flaw == "spike" else 1.5)
    hold[3000:3020] += 12 if flaw == "spike" else 0
    lab.csv("h1.csv", side_mV=hold if flaw == "spike" else np.clip(hold, -1.2, 1.2))  # the largest effort
    session = lab.measure(lab.trial(lab.set("a.csv")), *references)
    assert session.references["side right", 1].file in ("h0.csv", "h2.csv")
    (words,) = [words for words in session.warnings if "h1.csv" in words]
    assert "does not give the reference" in words and said in words


def test_without_reference_the_sessions_highest_counts_and_says_so(lab):
    lab.set("low.csv", 1, scale=0.2)
    lab.set("high.csv", 2, scale=0.4)
    session = lab.measure(lab.trial("low.csv"), lab.trial("high.csv"))
    reference = session.references["side right", 1]
    assert (reference.unit, reference.file) == ("percent_session_max", "high.csv")
    assert any("these rows pool as ratios only" in words for words in session.warnings)
    low, high = (trial.channels["side right"] for trial in session.trials)
    assert high.mean_of("peak") == pytest.approx(97, abs=3)
    assert low.mean_of("mean") / high.mean_of("mean") == pytest.approx(0.5, abs=0.03)


def test_left_and_right_have_their_own_reference(lab):
    angle, effort = lab.course()
    lab.csv("a.csv", l=lab.noise(effort, 1, 0.5), r=lab.noise(effort, 2, 0.5), arm_deg=angle)
    for number in range(3):
        lab.csv(f"h{number}.csv", l=lab.hold(number, scale=2.0), r=lab.hold(9 + number, scale=1.0))
    left, right = (lab.sensor.replace("side_mV", channel) for channel in "lr")
    sensors = left.replace('"right"', '"left"') + right
    holds = [lab.reference(f"h{n}.csv") for n in range(3)]
    parts = [lab.card, sensors, lab.motion, lab.trial("a.csv"), *holds]
    session = measure_session(lab.read(*parts))
    left, right = (session.trials[0].channels[f"side {side}"].mean_of("mean") for side in ("left", "right"))
    assert right / left == pytest.approx(2, rel=0.05)
    one_arm = measure_session(lab.read(*parts[:3], lab.trial("a.csv", side='"left"'), *parts[4:]))
    assert list(one_arm.trials[0].channels) == ["side left"]
