"""Everything that can be wrong with recordings at once: each is named with file, channel, second and remedy, and the
sound set is measured as if the others were not there."""

import edfio
import numpy as np
import pytest

from planner.emg.measuring import measure_session
from planner.errors import PaperNotMade


@pytest.fixture
def crowded(lab):
    """One sound set among nine wrong ones."""
    angle, effort = lab.course()
    signal = lab.noise(effort, 1)
    times = np.arange(len(signal)) / lab.rate

    def write(name, header="time_s,side_mV,arm_deg", separator=",", columns=(times, signal, angle)):
        table = np.column_stack(columns)
        np.savetxt(lab.folder / name, table, delimiter=separator, header=header, comments="", fmt="%.6f")
        return name

    lab.set("sound.csv", 5)
    write("channel.csv", header="time_s,sid_mV,arm_deg")
    backwards = times.copy()
    backwards[4000] = 1.0
    write("backwards.csv", columns=(backwards, signal, angle))
    broken = signal.copy()
    broken[2500] = np.nan
    write("nan.csv", columns=(times, broken, angle))
    write("pipes.csv", separator="|")
    (lab.folder / "empty.csv").write_text("")
    channels = [
        edfio.EdfSignal(signal[:15000], 1000, label="side_mV", physical_dimension="mV"),
        edfio.EdfSignal(angle[:15000:10], 100, label="arm_deg"),
    ]
    edfio.Edf(channels).write(lab.folder / "cut.edf")
    whole = (lab.folder / "cut.edf").read_bytes()
    (lab.folder / "cut.edf").write_bytes(whole[:-2000])
    write("tempo.csv", columns=(times, lab.noise(effort, 3), angle))
    write("count.csv", columns=(times, lab.noise(effort, 4), angle))
    slow_angle, slow_effort = lab.course(rate=400)
    lab.csv("slow.csv", rate=400, side_mV=lab.noise(slow_effort, 2), arm_deg=slow_angle)
    names = [
        "channel.csv", "backwards.csv", "nan.csv", "pipes.csv", "empty.csv", "cut.edf", "slow.csv",
        "gone.csv",
    ]  # fmt: skip
    return lab, [
        lab.card, lab.sensor, lab.motion, lab.trial("sound.csv", repetitions=4), *(lab.trial(name) for name in names),
        lab.trial("tempo.csv", tempo="{ lift = 5, lower = 9 }"), lab.trial("count.csv", repetitions=11),
    ]  # fmt: skip


EXPECTED = {
    "channel.csv": ('channel "side_mV"', "no such channel", 'did you mean "sid_mV"'),
    "backwards.csv": ('channel "side_mV", second 3.999', "time runs backwards", "in order of time"),
    "nan.csv": ('channel "side_mV", second 2.500', "NaN", "state start and stop"),
    "pipes.csv": ("line 1", "no line of numbers", "commas or semicolons"),
    "empty.csv": ("", "is empty", "again"),
    "cut.edf": ("all channels, second 14.0", "truncated: 15 records promised, 14 whole", "export it again"),
    "slow.csv": ('channel "side_mV"', "400 Hz cannot be measured", "1000 Hz or more"),
    "gone.csv": ("", "no such file", "mend the name"),
    "tempo.csv": ("tempo, second 1.0", "the stated tempo 14 s", "mend tempo"),
    "count.csv": (
        "repetitions, second 1.0",
        "11 repetitions are stated, 4 were found",
        "[[start, stop, turn], ...]",
    ),
}


def test_each_wrong_file_is_named_once_with_place_and_remedy(crowded):
    lab, parts = crowded
    found = measure_session(lab.read(*parts))
    by_file = {str(fault.file).rsplit("/", 1)[-1]: fault for fault in found.faults}
    assert by_file.keys() == EXPECTED.keys() and len(found.faults) == len(EXPECTED)
    for name, (where, read, remedy) in EXPECTED.items():
        fault = by_file[name]
        assert (fault.where, read in fault.read, remedy in fault.remedy) == (where, True, True), fault


def test_the_sound_set_is_measured_all_the_same(crowded):
    lab, parts = crowded
    found = measure_session(lab.read(*parts))
    assert {trial.trial.file for trial in found.trials} == {"sound.csv", "tempo.csv"}
    alone = measure_session(lab.read(*parts[:4]))
    both = [session.trials[0].channels["side right"].mean_of("eccentric_share") for session in (found, alone)]
    assert both[0] == pytest.approx(both[1], abs=1e-12)


def test_a_session_wide_motion_channel_that_a_file_lacks_is_told(lab):
    _, effort = lab.course()
    lab.csv("a.csv", side_mV=lab.noise(effort, 1), arm_degrees=effort)
    found = lab.measure(lab.trial("a.csv", repetitions=4))
    assert found.trials[0].repetitions[0].source == "envelope"
    assert any(
        'no motion channel "arm_deg", so' in words and '"arm_degrees"' in words for words in found.warnings
    )


def test_parts_of_one_long_file_are_told_by_where_they_begin(lab):
    angle, effort = lab.course()
    signal = lab.noise(effort, 1)
    clipped = np.clip(signal, -0.6, 0.6)
    lab.csv("long.csv", side_mV=np.concatenate([signal, clipped]), arm_deg=np.tile(angle, 2))
    half = len(angle) / lab.rate
    found = lab.measure(
        lab.trial("long.csv", stop=half, repetitions=4), lab.trial("long.csv", start=half, repetitions=4)
    )
    assert [len(trial.repetitions) for trial in found.trials] == [4, 4]
    (finding,) = [f for f in found.findings if f.check == "clipping"]
    assert finding.file == f"long.csv from {half:g} s" and finding.second < half


def test_rates_and_units_of_sensors_count_where_the_file_has_none(lab):
    angle, effort = lab.course()
    lab.csv("a.csv", time=False, side=lab.noise(effort, 1) / 1000, arm=angle)
    sensor = '[[sensor]]\nchannel = "side"\nmuscle = "side"\nside = "right"\nrate_hz = 1000\nunit = "V"\n'
    found = measure_session(lab.read(lab.card, sensor, lab.trial("a.csv", repetitions=4)))
    assert not found.faults
    assert found.references["side right", 1].level == pytest.approx(0.5, rel=0.1)  # mV


def test_without_a_renderer_the_html_is_left_and_the_error_says_where(demo_folder, tmp_path, monkeypatch):
    from planner.emg import report
    from planner.sheets import render

    def fails(html, refine=None):
        raise PaperNotMade("no renderer", html)

    monkeypatch.setattr(render, "html_to_pdf", fails)
    with pytest.raises(PaperNotMade, match=r"measurement\.html"):
        report.write_paper(tmp_path, "measurement", "<html></html>")
    assert (tmp_path / "measurement.html").read_text() == "<html></html>"
    assert PaperNotMade.exit_code == 4
