"""Quality checks: each flaw is named with its second, sound channels are not, and what fails is left out."""

import numpy as np
import pytest

from planner.emg.quality import check_channel, spoiled
from planner.emg.signals import Channel
from planner.method import MeasureSettings, QualitySettings

S, Q = MeasureSettings(), QualitySettings()
RATE = 1000
LOOSE, HUM = "loose sensor or cable", "mains hum"


def sound(seconds=10, seed=0, scale=0.2):
    return scale * np.random.default_rng(seed).standard_normal(seconds * RATE)


def found(values, **how):
    return {f.check: f for f in check_channel("a.edf", Channel("side", RATE, values, "mV", **how), Q, S)}


def swing(seconds, size):
    return size * np.sin(2 * np.pi * 2.5 * np.arange(round(seconds * RATE)) / RATE)


@pytest.mark.parametrize("seed", range(5))
def test_a_sound_channel_is_not_blamed_and_repetitions_are_no_heartbeat(seed):
    assert found(sound(30, seed)) == {}
    level = np.tile(np.repeat([1.0, 0.02], [800, 400]), 12)
    assert "heartbeat" not in found(level * sound(15, seed)[: len(level)])


@pytest.mark.parametrize(("codes", "level"), [(30, "fail"), (120, "warn")])
def test_poor_range(codes, level):
    values = np.rint(np.clip(sound(10, 1, 1) * codes / 7, -codes / 2 + 1, codes / 2))
    finding = found(values)["poor range"]
    assert finding.level == level and "different values" in finding.words
    assert finding.spoils_all == (level == "fail")


def test_clipping_is_placed_fails_where_it_is_much_and_needs_no_two_in_a_row_at_the_converters_end():
    values = sound(10)
    values[4000:4006] = values.max() + 0.1
    finding = found(values)["clipping"]
    assert (finding.level, finding.second) == ("warn", 4.0) and "6 at the highest value" in finding.words
    much = found(np.clip(sound(10), -0.3, 0.3))["clipping"]
    assert much.level == "fail"
    assert not much.spoils_all  # only the repetitions that it touches are lost
    values = np.clip(sound(10), -1, 1)
    values[[1000, 5000]] = 2.0
    assert "clipping" not in found(values)
    assert found(values, ends=(-2.0, 2.0))["clipping"].second == 1.0


def test_drop_outs_are_placed_and_a_loose_sensor_spoils_only_its_stretch():
    values = sound(10)
    values[3000:3050] = 0
    finding = found(values)["drop-out"]
    assert finding.level == "warn" and finding.second == pytest.approx(3.0, abs=0.002)
    values[6000:6200] = 0
    finding = found(values)["drop-out"]
    assert finding.level == "fail" and finding.spans[1] == pytest.approx((6.0, 6.2), abs=0.002)
    values = sound(20)
    values[12_000:12_800] += swing(0.8, 3)
    finding = found(values)[LOOSE]
    assert finding.level == "fail" and finding.second == pytest.approx(12.4, abs=0.6)
    assert spoiled([finding], 12.2, 12.6) == f"{LOOSE} at second 12.2"
    assert not spoiled([finding], 2, 8) and not finding.spoils_all


@pytest.mark.parametrize("line", [50, 60])
def test_mains_hum_is_named_with_its_line(line):
    seconds = np.arange(10 * RATE) / RATE
    hum = 0.08 * np.sin(2 * np.pi * line * seconds)
    finding = found(sound(10) + hum)[HUM]
    assert f"the {line} Hz line stands" in finding.words
    assert found(sound(10) + hum * 3 * (seconds > 6))[HUM].second >= 5.5


def test_lost_samples_are_named(lab):
    times = np.delete(np.arange(10_000) / RATE, np.r_[2000:2300])
    signal = lab.noise(np.resize(lab.course(2)[1], len(times)), 1)
    how = {"delimiter": ",", "header": "time_s,side_mV", "comments": "", "fmt": "%.5f"}
    np.savetxt(lab.folder / "a.csv", np.column_stack([times, signal]), **how)
    session = lab.measure(lab.trial("a.csv", repetitions="[[1, 4, 2], [4.5, 7.5, 5.5], [8, 9.5, 8.5]]"))
    (finding,) = [f for f in session.findings if f.check == "rate"]
    assert finding.level == "fail" and finding.second == pytest.approx(1.999, abs=0.002)
    assert "3.00 %" in finding.words


def test_a_repetition_that_a_flaw_touches_does_not_count(lab):
    angle, effort = lab.course(4)
    signal = lab.noise(effort, 1)
    signal[9000:9700] += swing(0.7, 4)  # in the third repetition
    lab.csv("a.csv", side_mV=signal, arm_deg=angle)
    session = lab.measure(lab.trial("a.csv"), lab.trial(lab.set("b.csv", 2)))
    left_out = [r.left_out for r in session.trials[0].channels["side right"].repetitions]
    assert [bool(why) for why in left_out] == [False, False, True, False]
    assert f"{LOOSE} at second" in left_out[2]


def test_noise_at_rest_is_judged_only_where_there_is_rest(lab):
    angle, effort = lab.course(4)
    for name, least in (("noisy", 0.12), ("always", 0.7)):
        lab.csv(f"{name}.csv", side_mV=lab.noise(np.maximum(effort, least), 1), arm_deg=angle)
    session = lab.measure(lab.trial("noisy.csv"), lab.trial("always.csv"))
    (rest,) = [f for f in session.findings if f.check == "noise at rest"]
    assert (rest.file, rest.level) == ("noisy.csv", "warn") and rest.second is not None


@pytest.mark.parametrize(("scale", "level"), [(1.3, "warn"), (2.6, "fail")])
def test_values_above_the_reference_are_kept_and_flagged(lab, scale, level):
    session = lab.measure(lab.trial(lab.set("a.csv", scale=scale)), *lab.holds())
    (finding,) = [f for f in session.findings if f.check == "above 100 %"]
    channel = session.trials[0].channels["side right"]
    assert finding.level == level and finding.second is not None
    assert channel.mean_of("peak") > 100 and bool(channel.untrusted) == (level == "fail")
