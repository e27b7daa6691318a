"""The method sentence and the tables of settings, written from the very settings that were used."""

from __future__ import annotations

from dataclasses import fields

from library.method import SettingRow, setting_rows
from planner.emg.clean import high_corner
from planner.emg.results import MeasuredSession
from planner.emg.settings import MeasureSettings, QualitySettings


def method_sentence(measured: MeasuredSession) -> str:
    """Return how this session was measured, in words that a methods section could hold."""
    settings = measured.read.settings
    parts = [
        _cleaning(measured, settings)
        if measured.read.session.session.signal == "raw"
        else "Ready envelopes were recorded and taken as they are.",
        _reference(measured, settings),
        _repetitions(settings),
        f"Mean is the mean over the repetition, peak the largest mean over {settings.window_seconds:g} s inside it, "
        "total its integral; the eccentric share is lowering over lifting and lowering, the hold apart. Median "
        f"frequency: Welch, Hann segments of {settings.frequency_seconds:g} s, half overlap, "
        f"{settings.frequency_low_hz:g}-{settings.frequency_high_hz:g} Hz, lifting phase where known.",
    ]
    return " ".join(parts)


def _cleaning(measured: MeasuredSession, settings: MeasureSettings) -> str:
    rates = measured.rates_hz or (settings.low_rate_hz,)
    corners = " or ".join(dict.fromkeys(f"{high_corner(rate, settings):g}" for rate in rates))
    at = " and ".join(f"{rate:g}" for rate in rates)
    words = (
        f"Raw EMG ({at} Hz): offset removed, Butterworth band-pass {settings.band_low_hz:g}-{corners} Hz, order "
        f"{settings.band_order} per edge, forward and back (zero lag, -6 dB at the corners)"
    )
    if settings.notch:
        words += f", notch at {settings.mains_hz:g} Hz (Q {settings.notch_q:g})"
    if measured.with_heart:
        words += (
            f", high-pass {settings.heart_high_pass_hz:g} Hz, order {settings.heart_order} per pass, in all files of "
            f"{', '.join(measured.with_heart)} (heartbeat)"
        )
    if settings.envelope == "linear":
        return words + (
            f", rectified, low-pass {settings.linear_hz:g} Hz, order {settings.linear_order} per pass, forward and "
            "back."
        )
    return words + f", centred moving RMS over {settings.rms_seconds:g} s with mirrored ends."


def _reference(measured: MeasuredSession, settings: MeasureSettings) -> str:
    units = {reference.unit for reference in measured.references.values()}
    words = []
    if "percent_MVIC" in units:
        words.append(
            f"100 %MVIC is the largest mean over {settings.window_seconds:g} s of any trial of any maximal isometric "
            f"test that passed the checks (largest over median of the hold at most {settings.spike_ratio:g}); the same "
            "steps for tests and exercises. Values above 100 % are kept."
        )
    if "percent_session_max" in units:
        words.append(
            "Sensors without a reference contraction are in % of the session's own highest "
            f"{settings.window_seconds:g} s: such values tell ratios between exercises only."
        )
    return " ".join(words)


def _repetitions(settings: MeasureSettings) -> str:
    return (
        f"Repetitions: peaks of the motion (low-pass {settings.motion_low_pass_hz:g} Hz) that stand out by "
        f"{100 * settings.prominence:g} % of its range, or marks, or the coach's list, or bursts of the envelope "
        f"against the stated count; lifting, hold and lowering by bands of {100 * settings.phase_band:g} % of the "
        "repetition's own range, or from the stated tempo (then marked as assumed); never from EMG."
    )


def used_settings(measured: MeasuredSession) -> list[SettingRow]:
    """Return every setting with the value that was used."""
    return [*setting_rows(measured.read.settings), *setting_rows(measured.read.quality)]


def changed_settings(measured: MeasuredSession) -> list[str]:
    """Return the settings that session.toml changed, as "name = value (default value)"."""
    changed = []
    for used, default in (
        (measured.read.settings, MeasureSettings()),
        (measured.read.quality, QualitySettings()),
    ):
        for item in fields(used):
            value, usual = getattr(used, item.name), getattr(default, item.name)
            if value != usual:
                changed.append(f"{item.name} = {value} (default {usual})")
    return changed
