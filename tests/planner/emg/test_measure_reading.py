"""Readers: separators, decimal comma, byte order mark, rates, EDF+, BDF, C3D, and all that can be wrong with files."""

import builtins

import edfio
import numpy as np
import pytest

from library.errors import FaultyInput
from planner.emg.readers import read_c3d, read_csv, read_edf
from planner.emg.session import Card
from planner.method import QualitySettings

LIMITS = QualitySettings()
ROWS = [(0.0, 1.5, -2.25), (0.001, 1.25, 0.5), (0.002, -3.5, 0.125), (0.003, 4.0, 8.0)]


def text(separator=",", decimal=".", header=("time_s", "EMG side (mV)", "angle_deg")):
    lines = [separator.join(header)] if header else []
    lines += [separator.join(f"{value:.4f}".replace(".", decimal) for value in row) for row in ROWS]
    return "\n".join(lines) + "\n"


def read(file, limits=LIMITS, rates_hz=None, **how):
    return read_csv(file, limits, Card(athlete="A", date="2026-11-20", **how), rates_hz)


@pytest.mark.parametrize(
    ("separator", "decimal"), [(",", "."), (";", "."), (";", ","), ("\t", ","), ("\t", ".")]
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_every_way_of_writing_reads_the_same(tmp_path, separator, decimal, encoding, newline):
    file = tmp_path / "a.csv"
    file.write_text(text(separator, decimal), encoding=encoding, newline=newline)
    found = read(file)
    assert list(found.channels) == ["EMG side (mV)", "angle_deg"]
    emg = found.channel("EMG side (mV)")
    assert emg.values == pytest.approx([row[1] for row in ROWS])
    assert (emg.rate_hz, emg.unit) == (1000, "mV")


def test_without_header_or_time_the_stated_rate_counts(tmp_path):
    file = tmp_path / "a.txt"
    file.write_text("# exported\n1.0\n2.0\n3.0\n")
    found = read(file, rate_hz=500.0)
    assert found.channel("column 1").rate_hz == 500
    with pytest.raises(FaultyInput, match="no time column and no rate"):
        read(file)


def test_each_column_may_have_its_own_time_and_length(tmp_path):
    file = tmp_path / "a.csv"
    lines = ["X[s],emg,X[s],tilt"]
    for number in range(100):
        slow = f"{number / 10},{number}" if number < 20 else ","
        lines.append(f"{number / 100},{number},{slow}")
    file.write_text("\n".join(lines))
    found = read(file)
    assert (found.channel("emg").rate_hz, len(found.channel("emg").values)) == (100, 100)
    assert (found.channel("tilt").rate_hz, len(found.channel("tilt").values)) == (10, 20)


@pytest.mark.parametrize(("content", "said"), [
    ("", "is empty"), ("\n\n", "is empty"), ("time_s|x\n0|1\n0.1|2\n", "no line of numbers separated by"),
    ("time_s,x\n0,1\n0.1,oops\n0.2,3\n", 'read "oops"'),
    ("time_s,x\n0,1\n0.2,2\n0.1,3\n", "time runs backwards"),
    ("time_s,x\n0,1\n0.1,2,3,4,5\n", "cannot be read"), ("time_s,x\n0,1\n,2\n0.2,3\n", "its time is missing"),
])  # fmt: skip
def test_wrong_csv_is_told(tmp_path, content, said):
    file = tmp_path / "a.csv"
    file.write_text(content)
    with pytest.raises(FaultyInput, match=r"a\.csv") as caught:
        read(file)
    assert said in str(caught.value)


def test_gaps_are_bridged_and_kept_in_mind(tmp_path):
    file = tmp_path / "a.csv"
    times = np.delete(np.arange(100) / 100, range(40, 50))
    np.savetxt(
        file, np.column_stack([times, times]), delimiter=",", header="time_s,x", comments="", fmt="%.4f"
    )
    channel = read(file).channel("x")
    assert len(channel.values) == 100
    assert channel.values == pytest.approx(np.arange(100) / 100, abs=1e-6)
    assert channel.gaps == (pytest.approx((0.39, 0.5)),)


def test_a_part_of_a_file_must_lie_inside_it(tmp_path):
    file = tmp_path / "a.csv"
    file.write_text("time_s,x\n" + "\n".join(f"{n / 10},{n}" for n in range(50)))
    whole = read(file)
    assert whole.between(1.0, 2.0).channel("x").values == pytest.approx(np.arange(10, 20))
    with pytest.raises(FaultyInput, match="does not lie"):
        whole.between(1.0, 9.0)


def signals(kind=edfio.EdfSignal, rates=(1000, 100), ends=(-2.0, 2.0)):
    random, unit = np.random.default_rng(1), {"physical_dimension": "mV", "physical_range": ends}
    values = [np.clip(random.standard_normal(rate * 3), *ends) for rate in rates]
    return [kind(v, rate, label=f"s{rate}", **unit) for v, rate in zip(values, rates, strict=True)]


@pytest.mark.parametrize("kind", ["edf", "bdf"])
def test_edf_and_bdf_keep_rates_units_ends_and_annotations(tmp_path, kind):
    file = tmp_path / f"a.{kind}"
    marks = [edfio.EdfAnnotation(1.0, 0.5, "lift"), edfio.EdfAnnotation(0.25, None, "go")]
    made = signals(edfio.EdfSignal if kind == "edf" else edfio.BdfSignal)
    (edfio.Edf if kind == "edf" else edfio.Bdf)(made, annotations=marks).write(file)
    found = read_edf(file)
    for signal, rate in zip(made, (1000, 100), strict=True):
        channel = found.channel(f"s{rate}")
        assert (channel.rate_hz, channel.unit, channel.ends) == (rate, "mV", (-2.0, 2.0))
        assert channel.values == pytest.approx(signal.data, abs=1e-4)
    assert {(m.onset, m.duration, m.text) for m in found.marks} == {(0.25, 0.0, "go"), (1.0, 0.5, "lift")}


@pytest.mark.parametrize("kind", ["edf", "bdf"])
def test_truncated_edf_names_the_second(tmp_path, kind):
    file = tmp_path / f"a.{kind}"
    (edfio.Edf if kind == "edf" else edfio.Bdf)(
        signals(edfio.EdfSignal if kind == "edf" else edfio.BdfSignal)
    ).write(file)
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) - 500])
    with pytest.raises(FaultyInput) as caught:
        read_edf(file)
    (fault,) = caught.value.faults
    assert "truncated: 3 records promised, 2 whole ones found" in fault.read
    assert fault.where == "all channels, second 2.0"
    file.write_bytes(whole[:100])
    with pytest.raises(FaultyInput, match="no EDF or BDF file, or its header is cut"):
        read_edf(file)
    file.write_bytes(b"")
    with pytest.raises(FaultyInput, match="is empty"):
        read_edf(file)


def write_c3d(file, values, rate=1000.0, events=()):
    ezc3d = pytest.importorskip("ezc3d", reason="the optional extra c3d is not installed")
    made = ezc3d.c3d()
    made["parameters"]["POINT"]["RATE"]["value"] = [100]
    made["parameters"]["POINT"]["LABELS"]["value"] = ("subject:wrist",)
    made["parameters"]["POINT"]["UNITS"]["value"] = ("mm",)
    made["parameters"]["ANALOG"]["RATE"]["value"] = [rate]
    made["parameters"]["ANALOG"]["LABELS"]["value"] = ("EMG1",)
    made["parameters"]["ANALOG"]["UNITS"]["value"] = ("V",)
    frames = len(values) // round(rate / 100)
    made["data"]["points"] = np.ones((4, 1, frames)) * np.arange(frames)
    made["data"]["analogs"] = values.reshape(1, 1, -1)
    for second, label in events:
        made.add_event(time=[0, second], label=label, context="Right")
    made.write(str(file))


def test_c3d_keeps_analog_channels_and_markers(tmp_path):
    file = tmp_path / "a.c3d"
    values = np.random.default_rng(0).standard_normal(2000) / 1000
    write_c3d(file, values)
    found = read_c3d(file)
    channel = found.channel("EMG1").in_millivolts()
    assert (channel.rate_hz, channel.unit) == (1000, "mV")
    assert channel.values == pytest.approx(values * 1000, abs=1e-6)
    assert found.channel("wrist.z").rate_hz == 100


def test_c3d_events_become_marks(tmp_path):
    file = tmp_path / "a.c3d"
    write_c3d(file, np.zeros(2000), events=((1.5, "Lower"), (0.25, "Lift")))
    onsets = {mark.text: mark.onset for mark in read_c3d(file).marks}
    assert onsets == pytest.approx({"Lift": 0.25, "Lower": 1.5}, abs=0.011)


def test_without_ezc3d_the_extra_is_named(tmp_path, monkeypatch):
    file = tmp_path / "a.c3d"
    file.write_bytes(b"x")
    usual = builtins.__import__

    def without(name, *rest, **more):
        if name == "ezc3d":
            raise ImportError(name)
        return usual(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(FaultyInput, match=r"deltoid-planner\[c3d\]"):
        read_c3d(file)


def test_broken_c3d_is_told(tmp_path):
    pytest.importorskip("ezc3d", reason="the optional extra c3d is not installed")
    file = tmp_path / "a.c3d"
    file.write_bytes(b"nothing of the kind")
    with pytest.raises(FaultyInput, match=r"a\.c3d"):
        read_c3d(file)
    file.write_bytes(b"")
    with pytest.raises(FaultyInput, match="is empty"):
        read_c3d(file)
