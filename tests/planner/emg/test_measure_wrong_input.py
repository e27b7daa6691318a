"""Everything that can be wrong with recordings at once: each is named with file, channel, second and remedy, and the
sound set is measured as if the others were not there."""

import edfio
import numpy as np
import pytest

from library.errors import FaultyInput, PaperNotMade
from planner.emg import measuring
from planner.emg.measuring import measure_session
from planner.sheets import render

EXPECTED = {
    "channel.csv": ('channel "side_mV"', "no such channel", 'did you mean "sid_mV"'),
    "backwards.csv": ('channel "side_mV", second 3.999', "time runs backwards", "in order of time"),
    "nan.csv": ('channel "side_mV", second 2.500', "NaN", "state start and stop"),
    "pipes.csv": ("line 1", "no line of numbers", "commas or semicolons"),
    "empty.csv": ("", "is empty", "again"),
    "cut.edf": ("all channels, second 14.0", "truncated: 15 records promised, 14 whole", "export it again"),
    "slow.csv": ('channel "side_mV"', "400 Hz cannot be measured", "1000 Hz or more"),
    "gone.csv": ("", "no such file", "mend the name"),
    "count.csv": ("repetitions, second 1.0", "11 repetitions are stated, 4", "[[start, stop, turn], ...]"),
}


@pytest.fixture
def crowded(lab):
    """One sound set among nine wrong ones."""
    angle, effort = lab.course()
    signal, times = lab.noise(effort, 1), np.arange(len(angle)) / lab.rate
    backwards, broken = times.copy(), signal.copy()
    backwards[4000], broken[2500] = 1.0, np.nan
    columns = {"channel": (times, signal), "backwards": (backwards, signal), "nan": (times, broken)}
    columns |= {"pipes": (times, signal), "count": (times, signal)}
    for name, (time, values) in columns.items():
        header = f"time_s,{'sid_mV' if name == 'channel' else 'side_mV'},arm_deg"
        how = {"delimiter": "|" if name == "pipes" else ",", "header": header, "comments": "", "fmt": "%.6f"}
        np.savetxt(lab.folder / f"{name}.csv", np.column_stack([time, values, angle]), **how)
    (lab.folder / "empty.csv").write_text("")
    channels = [
        edfio.EdfSignal(signal[:15000], 1000, label="side_mV", physical_dimension="mV"),
        edfio.EdfSignal(angle[:15000:10], 100, label="arm_deg"),
    ]
    edfio.Edf(channels).write(lab.folder / "cut.edf")
    (lab.folder / "cut.edf").write_bytes((lab.folder / "cut.edf").read_bytes()[:-2000])
    slow_angle, slow_effort = lab.course(rate=400)
    lab.csv("slow.csv", rate=400, side_mV=lab.noise(slow_effort, 2), arm_deg=slow_angle)
    trials = [lab.trial(name, **({"repetitions": 11} if name == "count.csv" else {})) for name in EXPECTED]
    return lab, [lab.card, lab.sensor, lab.motion, lab.trial(lab.set("sound.csv", 5), repetitions=4), *trials]


def test_each_wrong_file_is_named_once_and_the_sound_set_is_measured_all_the_same(crowded):
    lab, parts = crowded
    found, alone = (measure_session(lab.read(*some)) for some in (parts, parts[:4]))
    by_file = {str(fault.file).rsplit("/", 1)[-1]: fault for fault in found.faults}
    assert by_file.keys() == EXPECTED.keys() and len(found.faults) == len(EXPECTED)
    for name, (where, read, remedy) in EXPECTED.items():
        fault = by_file[name]
        assert (fault.where, read in fault.read, remedy in fault.remedy) == (where, True, True), fault
    assert [trial.trial.file for trial in found.trials] == ["sound.csv"]
    one, other = (s.trials[0].channels["side right"].mean_of("eccentric_share") for s in (found, alone))
    assert one == pytest.approx(other, abs=1e-12)


def test_a_fault_of_ours_is_not_blamed_on_what_the_coach_set(lab, monkeypatch):
    def fails(*_):
        raise ValueError("ours")

    monkeypatch.setattr(measuring, "references_of", fails)
    with pytest.raises(ValueError, match="ours"):
        lab.measure(lab.trial(lab.set("a.csv")), "[method]\nrms_seconds = 0.2\n")


def test_a_motion_channel_that_a_file_lacks_is_told_and_rates_and_units_of_sensors_count(lab):
    _, effort = lab.course()
    lab.csv("a.csv", side_mV=lab.noise(effort, 1), arm_degrees=effort)
    found = lab.measure(lab.trial("a.csv", repetitions=4))
    assert found.trials[0].repetitions[0].source == "envelope"
    said = " ".join(found.warnings)
    assert 'no motion channel "arm_deg", so' in said and '"arm_degrees"' in said
    angle, effort = lab.course()
    lab.csv("a.csv", time=False, side=lab.noise(effort, 1) / 1000, arm=angle)
    sensor = lab.sensor.replace("side_mV", "side") + 'rate_hz = 1000\nunit = "V"\n'
    found = measure_session(lab.read(lab.card, sensor, lab.trial("a.csv", repetitions=4)))
    assert not found.faults
    assert found.references["side right", 1].level == pytest.approx(0.5, rel=0.1)  # mV


def test_parts_of_one_long_file_are_told_by_where_they_begin(lab):
    angle, effort = lab.course()
    signal, half = lab.noise(effort, 1), len(angle) / lab.rate
    both = np.concatenate([signal, np.clip(signal, -0.6, 0.6)])
    lab.csv("long.csv", side_mV=both, arm_deg=np.tile(angle, 2))
    parts = (lab.trial("long.csv", repetitions=4, **{end: half}) for end in ("stop", "start"))
    found = lab.measure(*parts)
    assert [len(trial.repetitions) for trial in found.trials] == [4, 4]
    (finding,) = [f for f in found.findings if f.check == "clipping"]
    assert finding.file == f"long.csv from {half:g} s" and finding.second < half


def test_without_a_renderer_the_html_is_left_and_the_error_says_where(tmp_path, monkeypatch):
    def fails(html, refine=None):
        raise PaperNotMade("no renderer", html)

    monkeypatch.setattr(render, "html_to_pdf", fails)
    with pytest.raises(PaperNotMade, match=r"measurement\.html"):
        render.write_pdf_safely(tmp_path / "measurement.pdf", "<html></html>")
    assert (tmp_path / "measurement.html").read_text() == "<html></html>"
    assert PaperNotMade.exit_code == 4


# --- session.toml: every fault at once, with file, key, what was read and a remedy; settings that it changes
def faults(lab, *parts):
    with pytest.raises(FaultyInput) as caught:
        lab.read(*parts)
    return {fault.where: fault for fault in caught.value.faults}, caught.value


def test_unknown_names_and_keys_are_told_with_the_nearest_and_missing_ones(lab):
    sensor, method = lab.sensor.replace('"side"\nside', '"sid"\nside'), "[method]\nband_lo_hz = 20\n"
    trial = lab.trial("b.csv", exercise="standing_dumbell_lateral_raise")
    found, error = faults(lab, lab.card, sensor, lab.reference("a.csv", test="abduction_9"), trial, method)
    assert error.exit_code == 2
    assert 'did you mean "side"' in found["sensor[1].muscle"].remedy
    assert 'did you mean "abduction_90"' in found["reference[1].test"].remedy
    assert 'did you mean "standing_dumbbell_lateral_raise"' in found["trial[1].exercise"].remedy
    assert 'did you mean "band_low_hz"' in found["method.band_lo_hz"].remedy
    assert all(str(fault.file).endswith("session.toml") for fault in found.values())
    card = '[session]\nathlete = "x"\ndat = 2026-01-01\n'
    found, _ = faults(lab, card, lab.sensor, "[[trial]]\nfile = 'a'\n")
    assert found["session.date"].read == "missing"
    assert 'did you mean "date"' in found["session.dat"].remedy
    assert found["trial[1].exercise"].read == "missing"


def test_what_is_named_twice_and_a_muscle_beside_the_library_are_told_unless_meant(lab):
    other = '[[sensor]]\nchannel = "x"\nmuscle = "biceps"\nside = "left"\n'
    found, _ = faults(lab, lab.card, other)
    assert "add other = true" in found["sensor[1].muscle"].remedy
    read = lab.read(lab.card, other + "other = true\n")
    assert read.session.sensor[0].name == "biceps left"
    found, _ = faults(lab, lab.card, lab.sensor, lab.sensor, lab.trial("a.csv"), lab.trial("a.csv"))
    assert found.keys() == {"sensor[2].channel", "sensor[2]", "trial[2].file"}
    assert "named twice" in found["trial[2].file"].read
    lab.read(lab.card, lab.sensor, lab.trial("a.csv", start=0, stop=5), lab.trial("a.csv", start=5, stop=9))


@pytest.mark.parametrize("wrong", ["[]", "[[3,1]]", "[[0,4,5]]", "[[0,4,1],[3,6,5]]", "[[1]]", "0"])
def test_a_list_of_repetitions_must_make_sense(lab, wrong):
    found, _ = faults(lab, lab.card, lab.sensor, lab.trial("a.csv", repetitions=wrong))
    assert any(where.startswith("trial[1]") for where in found)


def test_method_changes_settings_and_refuses_what_cannot_be(lab):
    method = "[method]\nrms_seconds = 0.2\nreference_level = 'held'\nmains_warn_db = 12\n"
    read = lab.read(lab.card, lab.sensor, method)
    assert (read.settings.rms_seconds, read.settings.reference_level) == (0.2, "held")
    assert read.quality.mains_warn_db == 12
    method = "[method]\nrms_seconds = 'x'\nreference_level = 'cubic'\nnotch_q = -1\nnotch = 'x'\nband_low_hz = 1e9\n"
    found, _ = faults(lab, lab.card, lab.sensor, method)
    names = ("rms_seconds", "reference_level", "notch_q", "notch", "band_low_hz")
    assert found.keys() == {f"method.{name}" for name in names}


@pytest.mark.parametrize("method", ["band_low_hz = 450", "heart_beat_low_hz = 60"])
def test_a_band_that_ends_before_it_begins_is_told(lab, method):
    with pytest.raises(FaultyInput, match=r"nothing can be measured with.*_low_hz"):
        lab.measure(lab.trial(lab.set("a.csv")), *lab.holds(), f"[method]\n{method}\n")
