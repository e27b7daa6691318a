"""Every number of the measuring method: one frozen record, printed in the report and changeable in session.toml."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from library.settings import OUR_CHOICE, setting

DE_LUCA = "De Luca 2010, doi 10.1016/j.jbiomech.2010.01.027 (20 Hz corner from memory)"
DRAKE = "Drake & Callaghan 2006, doi 10.1016/j.jelekin.2005.07.003"
GINN = "Ginn 2011, doi 10.1002/jor.21488 (largest over the test set; 0.5 s from memory)"
HODGES = "Hodges & Bui 1996, doi 10.1016/s0013-4694(96)95190-5 compared such values; the choice is ours"
SOLNIK = "energy operator: Solnik 2008 (abstract); its multiple from memory"
GRIME = "Grime 2018, doi 10.15619/NZJP/46.2.02"
DAL_MASO = f"Dal Maso 2016, doi 10.1016/j.apmr.2015.12.024 (90 % of maximum); {OUR_CHOICE} for a set's mean"
STANDARDS = "ISEK and SENIAM reporting standards, read second-hand"


@dataclass(frozen=True)
class MeasureSettings:
    """How a recording becomes figures. Corners in Hz, windows in seconds, parts as fractions of one."""

    band_low_hz: float = setting(20.0, unit="Hz", source=DE_LUCA, text="low corner of the band-pass")
    band_high_hz: float = setting(450.0, unit="Hz", source=STANDARDS, text="high corner of the band-pass")
    band_high_share: float = setting(
        0.45,
        unit="of the rate",
        source=OUR_CHOICE,
        text="the high corner never exceeds this part of the rate",
    )
    band_order: int = setting(
        2, unit="per edge and pass", source=OUR_CHOICE, text="Butterworth order; two passes, so zero lag"
    )
    envelope: Literal["rms", "linear"] = setting(
        "rms", unit="", source=OUR_CHOICE, text="moving RMS, or rectified and low-passed (linear)"
    )
    rms_seconds: float = setting(0.1, unit="s", source="100-200 ms is usual", text="window of the moving RMS")
    linear_hz: float = setting(
        6.0, unit="Hz", source="3-8 Hz is usual", text="low-pass of the linear envelope, two passes"
    )
    linear_order: int = setting(2, unit="per pass", source=OUR_CHOICE, text="order of that low-pass")
    notch: bool = setting(
        False, unit="", source="discouraged by the standards (memory)", text="remove mains hum with a notch"
    )
    mains_hz: float = setting(50.0, unit="Hz", source="local mains", text="mains frequency of the notch")
    notch_q: float = setting(30.0, unit="", source=OUR_CHOICE, text="quality factor of the notch")
    heart_high_pass_hz: float = setting(
        30.0, unit="Hz", source=DRAKE, text="high-pass for a channel with heartbeat, in all its files"
    )
    heart_order: int = setting(4, unit="per pass", source=DRAKE, text="order of that high-pass")
    window_seconds: float = setting(
        0.5, unit="s", source=GINN, text="window of the peak, of the reference and of an exercise alike"
    )
    lowest_rate_hz: float = setting(
        500.0, unit="Hz", source=OUR_CHOICE, text="raw EMG sampled more slowly is refused"
    )
    low_rate_hz: float = setting(
        1000.0, unit="Hz", source="2.5 times the band", text="raw EMG sampled more slowly is warned about"
    )
    spike_ratio: float = setting(
        2.0,
        unit="max/median of the hold",
        source="1.24 without, 2.9 with a 20 ms spike (simulated)",
        text="a reference trial above it does not count",
    )
    hold_share: float = setting(
        0.5, unit="of the trial's largest window", source=OUR_CHOICE, text="where a hold begins and ends"
    )
    onset_low_pass_hz: float = setting(
        50.0, unit="Hz", source=HODGES, text="low-pass of the rectified signal before an onset is looked for"
    )
    onset_sd: float = setting(
        3.0, unit="SD of the rest", source=HODGES, text="an effort stands this far above the mean at rest"
    )
    onset_energy_sd: float = setting(
        8.0,
        unit="SD of the rest",
        source=SOLNIK,
        text="the same after the energy operator, used where rest is noisy",
    )
    onset_seconds: float = setting(
        0.05, unit="s", source=HODGES, text="how long an effort must stay above the threshold"
    )
    onset_order: int = setting(2, unit="per pass", source=OUR_CHOICE, text="order of `onset_low_pass_hz`")
    rest_share: float = setting(
        0.5, unit="of the trial's peak", source=OUR_CHOICE, text="a quietest window above it is no rest"
    )
    noisy_rest_share: float = setting(
        0.05,
        unit="of the trial's peak",
        source=OUR_CHOICE,
        text="rest above it is noisy: energy operator first",
    )
    hold_least_seconds: float = setting(
        3.0, unit="s", source="3-5 s are common, from memory", text="a shorter maximal effort is warned about"
    )
    retest_share: float = setting(
        0.10, unit="", source=OUR_CHOICE, text="best trial above the second best by more: record another"
    )
    trials_per_test: int = setting(
        3, unit="trials", source="common practice, from memory", text="trials wanted of each reference test"
    )
    long_set_per_cent: float = setting(
        90.0,
        unit="% of own maximum",
        source=DAL_MASO,
        text="tests that reach it in the mean are enough: no factor is told",
    )
    motion_low_pass_hz: float = setting(
        6.0, unit="Hz", source="usual for movement (memory)", text="low-pass of angle and position"
    )
    tilt_low_pass_hz: float = setting(
        1.0, unit="Hz", source=OUR_CHOICE, text="low-pass of the accelerometer before the tilt is taken"
    )
    motion_order: int = setting(
        2,
        unit="per pass",
        source=OUR_CHOICE,
        text="order of `motion_low_pass_hz` and `tilt_low_pass_hz`, two passes: no lag",
    )
    prominence: float = setting(
        0.30, unit="of the range", source=OUR_CHOICE, text="how far a peak of the motion must stand out"
    )
    phase_band: float = setting(
        0.05,
        unit="of the repetition's range",
        source=OUR_CHOICE,
        text="bands at bottom and top that part phases",
    )
    still_share: float = setting(
        0.02,
        unit="of the range in `still_seconds`",
        source=OUR_CHOICE,
        text="motion faster than this at the file's end cuts the repetition off",
    )
    still_seconds: float = setting(
        0.1, unit="s", source=OUR_CHOICE, text="stretch over which an arm counts as still or moving"
    )
    return_share: float = setting(
        0.20,
        unit="of the range",
        source=OUR_CHOICE,
        text="a still arm this far above the bottom band at the file's end is cut off too",
    )
    burst_low_pass_hz: float = setting(
        1.5, unit="Hz", source=OUR_CHOICE, text="smoothing of the envelope before bursts are counted"
    )
    burst_order: int = setting(2, unit="per pass", source=OUR_CHOICE, text="order of that smoothing")
    burst_rate_hz: float = setting(
        100.0, unit="Hz", source=OUR_CHOICE, text="rate of the summed envelope in which bursts are counted"
    )
    burst_top_quantile: float = setting(
        0.95, unit="quantile", source=OUR_CHOICE, text="of the envelope: what the thresholds are parts of"
    )
    burst_level_low: float = setting(
        0.10, unit="of that quantile", source=OUR_CHOICE, text="lowest threshold that bursts are counted at"
    )
    burst_level_high: float = setting(
        0.60, unit="of that quantile", source=OUR_CHOICE, text="highest threshold that bursts are counted at"
    )
    burst_levels: int = setting(
        11, unit="thresholds", source=OUR_CHOICE, text="tried, evenly spaced; the commonest count counts"
    )
    burst_seconds: float = setting(
        0.5, unit="s", source=OUR_CHOICE, text="shortest burst that is a repetition"
    )
    burst_gap_seconds: float = setting(
        0.25, unit="s", source=OUR_CHOICE, text="shorter gaps do not part bursts"
    )
    tempo_share: float = setting(
        0.5, unit="", source=OUR_CHOICE, text="measured and stated tempo may differ by this part"
    )
    frequency_low_hz: float = setting(20.0, unit="Hz", source=OUR_CHOICE, text="median frequency from")
    frequency_high_hz: float = setting(450.0, unit="Hz", source=OUR_CHOICE, text="median frequency to")
    frequency_seconds: float = setting(
        1.0,
        unit="s",
        source="EMG is stationary for 0.5-1 s (CEDE glossary)",
        text="Hann segment, half overlap",
    )
    frequency_least_seconds: float = setting(
        0.25, unit="s", source=OUR_CHOICE, text="a shorter stretch gives no median frequency"
    )
    rir_apart: float = setting(
        1.0, unit="RIR", source=OUR_CHOICE, text="trials further apart are not ranked together"
    )
    fewest_repetitions: int = setting(
        3, unit="repetitions", source=OUR_CHOICE, text="trials with fewer are not ranked"
    )
    published_sem_low: float = setting(
        9.0, unit="%MVIC", source=GRIME, text="published within-day error, from"
    )
    published_sem_high: float = setting(
        24.0, unit="%MVIC", source=GRIME, text="published within-day error, to"
    )
    crosstalk_low: float = setting(
        10.0, unit="%MVIC", source=OUR_CHOICE, text="a head below it may be its neighbour's signal"
    )
    crosstalk_neighbour: float = setting(
        60.0, unit="%MVIC", source=OUR_CHOICE, text="where the strongest head is above this"
    )
