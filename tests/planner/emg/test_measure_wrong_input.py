"""Everything that can be wrong with recordings at once: each is named with file, channel, second and remedy, and the
sound set is measured as if the others were not there."""

import edfio
import numpy as np
import pytest

from library.errors import PaperNotMade
from planner.emg import measuring, report
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


def test_a_session_wide_motion_channel_that_a_file_lacks_is_told(lab):
    _, effort = lab.course()
    lab.csv("a.csv", side_mV=lab.noise(effort, 1), arm_degrees=effort)
    found = lab.measure(lab.trial("a.csv", repetitions=4))
    assert found.trials[0].repetitions[0].source == "envelope"
    said = " ".join(found.warnings)
    assert 'no motion channel "arm_deg", so' in said and '"arm_degrees"' in said


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


def test_rates_and_units_of_sensors_count_where_the_file_has_none(lab):
    angle, effort = lab.course()
    lab.csv("a.csv", time=False, side=lab.noise(effort, 1) / 1000, arm=angle)
    sensor = lab.sensor.replace("side_mV", "side") + 'rate_hz = 1000\nunit = "V"\n'
    found = measure_session(lab.read(lab.card, sensor, lab.trial("a.csv", repetitions=4)))
    assert not found.faults
    assert found.references["side right", 1].level == pytest.approx(0.5, rel=0.1)  # mV


def test_without_a_renderer_the_html_is_left_and_the_error_says_where(tmp_path, monkeypatch):
    def fails(html, refine=None):
        raise PaperNotMade("no renderer", html)

    monkeypatch.setattr(render, "html_to_pdf", fails)
    with pytest.raises(PaperNotMade, match=r"measurement\.html"):
        report.write_paper(tmp_path, "measurement", "<html></html>")
    assert (tmp_path / "measurement.html").read_text() == "<html></html>"
    assert PaperNotMade.exit_code == 4
