"""Check values of surface EMG that stand outside this project: analytic results and published worked examples."""

import itertools

import numpy as np
import pytest

from planner.emg.figures import eccentric_share, level_of, repetition_figures
from planner.emg.repetitions import Repetition, from_course
from planner.emg.report import MeasurementError, measurement_error, repeatability
from planner.emg.signals import Amplitude, Channel, clean, envelope, low_pass, moving_rms, odd_samples
from planner.method import MeasureSettings

S = MeasureSettings()


def sine(frequency, rate, seconds=4.0):
    return np.sin(2 * np.pi * frequency * np.arange(round(seconds * rate)) / rate + 0.3)


def gain(filtered, given):
    """Ratio of RMS away from the ends."""
    inside = slice(len(given) // 4, -len(given) // 4)
    return float(np.sqrt(np.mean(filtered[inside] ** 2) / np.mean(given[inside] ** 2)))


# --- Butterworth: |H|² = 1 / (1 + (f/fc)^2N), so -3.0103 dB a pass at the corner ---
BAND_1000 = [(5, 0.00373), (10, 0.05697), (20, 0.5), (50, 0.98043), (100, 0.99957), (200, 1.0), (450, 0.5)]
BAND_2000 = [(5, 0.00338), (10, 0.05282), (20, 0.5), (100, 1.0), (450, 0.5), (600, 0.11903)]


@pytest.mark.parametrize(
    ("rate", "frequency", "expected"), [(1000, *p) for p in BAND_1000] + [(2000, *p) for p in BAND_2000]
)
def test_band_pass_gain(rate, frequency, expected):
    """Digital Butterworth 20-450 Hz, N = 2, forward and back: the squared response of one pass."""
    given = sine(frequency, rate, 10)
    assert gain(clean(given, rate, S), given) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(("frequency", "expected"), [(3, 0.94120), (6, 0.5), (12, 0.05874)])
def test_motion_low_pass_gain(frequency, expected):
    given = sine(frequency, 1000, 20)
    assert gain(low_pass(given, 1000, S.motion_low_pass_hz, 2), given) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("rate", [500, 1000, 2000])
def test_zero_lag(rate):
    """A burst symmetric in time keeps its middle, and its envelope is symmetric."""
    seconds = (np.arange(4 * rate + 1) - 2 * rate) / rate
    burst = np.exp(-((seconds / 0.3) ** 2)) * np.cos(2 * np.pi * 80 * seconds)
    shaped = envelope(clean(burst, rate, S), rate, S)
    middle = float(np.sum(shaped * np.arange(len(shaped))) / shaped.sum())
    assert middle == pytest.approx(2 * rate, abs=1)
    assert shaped == pytest.approx(shaped[::-1], abs=1e-3 * shaped.max())


def test_a_sines_rms_and_the_largest_half_second():
    assert odd_samples(0.1, 1000) == 101
    shaped = moving_rms(sine(100, 1000, 10), 101)[200:-200]
    assert shaped.min() == pytest.approx(0.7036, abs=1e-3)
    assert shaped.max() == pytest.approx(0.7099, abs=1e-3)
    assert shaped.mean() == pytest.approx(0.7071, abs=1e-3)
    # Simulated: three 6 s noise holds of 1.0, 1.2, 1.1 mV give 1.28 mV (1.23-1.33).
    found = [max(level.level for level in holds(False, seed)) for seed in range(20)]
    assert np.mean(found) == pytest.approx(1.28, abs=0.02)
    assert min(found) > 1.22 and max(found) < 1.34


@pytest.mark.parametrize(("window", "percent"), [(0.05, 10.8), (0.1, 7.7), (0.25, 5), (0.5, 3.5), (1, 2.5)])
def test_spread_of_the_moving_rms_of_noise(window, percent):
    """Theory: CV = 1 / (2 sqrt(B T)) with B = 430 Hz; ten minutes of noise."""
    cleaned = clean(np.random.default_rng(7).standard_normal(600_000), 1000, S)
    shaped = moving_rms(cleaned, odd_samples(window, 1000))[2000:-2000]
    assert 100 * shaped.std() / shaped.mean() == pytest.approx(percent, rel=0.05)
    assert percent == pytest.approx(100 / (2 * np.sqrt(430 * window)), rel=0.05)


# --- the reference contraction ---
def level(cleaned):
    """What a trial gives as a reference, its envelope taken first."""
    return level_of("hold", "flexion_90", Amplitude(envelope(cleaned, 1000, S), 1000), S)


def holds(spike, seed):
    random, levels = np.random.default_rng(seed), []
    for number, rms in enumerate((1.0, 1.2, 1.1)):
        signal = clean(random.standard_normal(8000), 1000, S)
        signal *= rms / np.sqrt(np.mean(signal**2))
        signal[:1000] = signal[-1000:] = 0
        if spike and number == 0:
            signal[4000:4020] += 10.0
        levels.append(level(signal))
    return levels


def test_a_spike_would_win_and_is_left_out():
    """Simulated: a 20 ms, 10 mV spike makes its trial the largest (1.40); largest over median 2.9 against 1.24."""
    for seed in range(10):
        spiked, *others = holds(True, seed)
        assert spiked.level > max(level.level for level in others)
        assert spiked.left_out and spiked.spike > S.spike_ratio
        assert "second 4.0" in spiked.left_out
        assert all(not level.left_out and level.spike < 1.6 for level in others)


def percent(task, hold, factor=1.0, offset=0.0):
    """Activation of a task against a hold, both amplified and shifted."""
    task, hold = (clean(factor * signal + offset, 1000, S) for signal in (task, hold))
    return Amplitude(100 * envelope(task, 1000, S) / level(hold).level, 1000)


def test_a_trial_is_its_own_100_percent_and_gain_and_offset_change_nothing():
    random = np.random.default_rng(5)
    hold, task = random.standard_normal(6000), 0.4 * random.standard_normal(8000)
    assert percent(hold, hold).peak(S.window_seconds) == pytest.approx(100, abs=1e-9)
    assert percent(task, hold, factor=1000).mean() == pytest.approx(percent(task, hold).mean(), rel=1e-9)
    assert percent(task, hold, offset=5).mean() == pytest.approx(percent(task, hold).mean(), rel=1e-6)


# --- repetitions and figures ---
def test_total_mean_and_share_of_a_known_repetition():
    """60 %MVIC for 1 s of lifting, 40 %MVIC for 3 s of lowering: 180 %MVIC·s, mean 45, share 120/180."""
    activation = Amplitude(np.repeat([60.0, 40.0], [1000, 3000]), 1000)
    known = Repetition(0.0, 4.0, "stated list", lift=(0.0, 1.0), hold=(1.0, 1.0), lower=(1.0, 4.0))
    figures = repetition_figures(1, known, activation, S)
    assert figures.total == pytest.approx(180, abs=1e-9)
    assert figures.mean == pytest.approx(45, abs=1e-9)
    assert figures.eccentric_share == pytest.approx(2 / 3, abs=1e-9)
    assert (figures.lift, figures.hold, figures.lower) == pytest.approx((60, 0, 120), abs=1e-9)
    assert eccentric_share(40 * 1, 30 * 2) == pytest.approx(0.6)


def triangle(rate):
    up, down = (np.linspace(*ends, n * rate, endpoint=False) for n, ends in ((1, (0, 90)), (3, (90, 0))))
    one = np.concatenate([up, down])
    return np.concatenate([np.zeros(rate), np.tile(one, 5), np.zeros(rate)])


@pytest.mark.parametrize("rate", [100, 1000])
def test_phases_of_a_triangle_wave(rate):
    """1 s up, 3 s down, five times: between the 5 % bands 0.9 s and 2.7 s."""
    found = from_course(Channel("arm", rate, triangle(rate)), S)
    smoothed = from_course(Channel("arm", rate, low_pass(triangle(rate), rate, 6, 2)), S)
    assert len(found) == len(smoothed) == 5
    for exact, filtered in zip(found, smoothed, strict=True):
        for repetition, tolerance in ((exact, 2 / rate), (filtered, 0.05)):
            assert repetition.lift[1] - repetition.lift[0] == pytest.approx(0.9, abs=tolerance)
            assert repetition.lower[1] - repetition.lower[0] == pytest.approx(2.7, abs=tolerance)
            assert not repetition.cut_off


# --- repeatability: published worked examples ---

SHROUT_FLEISS = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
WEIR_A = [[146, 140], [148, 152], [170, 152], [90, 99], [157, 145], [156, 153], [176, 167], [205, 218]]


def test_iccs_of_shrout_and_fleiss_1979_and_weir_2005():
    """Shrout & Fleiss 1979, Psychol Bull 86:420-428, table 2 and the values printed there."""
    found = repeatability(SHROUT_FLEISS)
    assert (round(found.icc_2_1, 2), round(found.icc_3_1, 2)) == (0.29, 0.71)
    assert (found.icc_2_1, found.icc_3_1) == pytest.approx((0.2898, 0.7148), abs=5e-5)
    assert found.sem**2 == pytest.approx(1.0194, abs=1e-4)
    # Weir 2005, J Strength Cond Res 19:231-240, set A: SEM 7.6 is published (page 236); the rest follows. The
    # detectable change is the formula printed there, SEM·1.96·sqrt(2): it is ours without bound on the
    # freedom.
    found = repeatability(WEIR_A)
    assert round(found.sem, 1) == 7.6
    assert (found.icc_2_1, found.icc_3_1) == pytest.approx((0.9500, 0.9470), abs=5e-5)
    assert found.sem == pytest.approx(7.557, abs=1e-3)
    assert MeasurementError(None, 0, found.sem, 10**9).change() == pytest.approx(20.95, abs=5e-3)
    assert MeasurementError(None, 0, 7.6, 10**9).change() == pytest.approx(7.6 * 1.96 * 2**0.5, abs=5e-3)
    differences = [one - other for one, other in WEIR_A]
    assert np.std(differences, ddof=1) == pytest.approx(np.sqrt(2) * found.sem, abs=1e-9)


@pytest.mark.parametrize("table", [SHROUT_FLEISS, WEIR_A], ids=["Shrout-Fleiss", "Weir"])
def test_iccs_agree_with_pingouin(table):
    pingouin = pytest.importorskip("pingouin", reason="the test extra with pingouin is not installed")
    pandas = pytest.importorskip("pandas")
    places = itertools.product(range(len(table)), range(len(table[0])))
    scores = [(row, column, table[row][column]) for row, column in places]
    long = pandas.DataFrame(scores, columns=["target", "rater", "score"])
    theirs = pingouin.intraclass_corr(long, targets="target", raters="rater", ratings="score")
    ours = repeatability(table)
    assert [ours.icc_2_1, ours.icc_3_1] == pytest.approx(theirs["ICC"].to_list()[1:3], abs=1e-6)


def test_moderated_variance_of_smyth_2004():
    """Smyth 2004, Stat Appl Genet Mol Biol 3:3, doi 10.2202/1544-6115.1027, section 4: the posterior variance (d0·s0²
    + d·s²)/(d0 + d), tested with d0 + d degrees of freedom. By hand: d0 4, s0 12; repeats 40/44 and 60/50: s² = (8 +
    50)/2 = 29, d = 2, so (576 + 58)/6 = 105.667; t(5; 0.975) = 2.5706 from any table, of one pair repeated."""
    error = measurement_error([[40, 44], [60, 50], [70]])
    assert (error.spread**2, error.degrees, error.freedom) == (pytest.approx(29), 2, 6)
    assert error.sem**2 == pytest.approx(634 / 6)
    one_pair = measurement_error([[60, 50], [70]])
    assert one_pair.change() == pytest.approx(2.5706 * np.sqrt(2 * 626 / 5), abs=2e-3)
    assert measurement_error([]).change() == pytest.approx(2.7764 * 12 * np.sqrt(2), abs=2e-3)
