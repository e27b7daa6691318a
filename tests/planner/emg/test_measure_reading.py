"""Readers: separators, decimal comma, byte order mark, rates, EDF+, BDF, and all that can be wrong with files."""

from itertools import product

import edfio
import numpy as np
import pytest

from library.errors import FaultyInput
from planner.emg.readers import read_csv, read_edf
from planner.emg.session import Card
from planner.method import QualitySettings

LIMITS = QualitySettings()
ROWS = [(0.0, 1.5, -2.25), (0.001, 1.25, 0.5), (0.002, -3.5, 0.125), (0.003, 4.0, 8.0)]
HEADER = ("time_s", "EMG side (mV)", "angle_deg")


def read(file, content=None, labels=None, **how):
    if content is not None:
        file.write_text(content)
    return read_csv(file, LIMITS, Card(athlete="A", date="2026-11-20", **how), labels=labels)


@pytest.fixture
def file(tmp_path):
    return tmp_path / "a.csv"


@pytest.mark.parametrize(("separator", "decimal"), [(",", "."), *product(";\t", ".,")])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_every_way_of_writing_reads_the_same(file, separator, decimal, encoding, newline):
    rows = [[f"{value:.4f}".replace(".", decimal) for value in row] for row in ROWS]
    text = "".join(separator.join(cells) + "\n" for cells in (HEADER, *rows))
    file.write_text(text, encoding=encoding, newline=newline)
    found = read(file)
    assert list(found.channels) == ["EMG side (mV)", "angle_deg"]
    emg = found.channel("EMG side (mV)")
    assert emg.values == pytest.approx([row[1] for row in ROWS])
    assert (emg.rate_hz, emg.unit) == (1000, "mV")


def test_the_stated_rate_counts_without_header_or_time_and_each_column_may_have_its_own(file):
    assert read(file, "# exported\n1.0\n2.0\n3.0\n", rate_hz=500.0).channel("column 1").rate_hz == 500
    with pytest.raises(FaultyInput, match="no time column and no rate"):
        read(file)
    slow = [f"{number / 10},{number}" if number < 20 else "," for number in range(100)]
    lines = [f"{number / 100},{number},{slow[number]}" for number in range(100)]
    found = read(file, "\n".join(["X[s],emg,X[s],tilt", *lines]))
    assert (found.channel("emg").rate_hz, len(found.channel("emg").values)) == (100, 100)
    assert (found.channel("tilt").rate_hz, len(found.channel("tilt").values)) == (10, 20)


@pytest.mark.parametrize(("content", "said"), [
    ("", "is empty"), ("\n\n", "is empty"), ("time_s|x\n0|1\n0.1|2\n", "no line of numbers separated by"),
    ("time_s,x\n0,1\n0.1,oops\n0.2,3\n", 'line 3, column "x": read "oops"'),
    ("time_s,x\n0,1\n0.2,2\n0.1,3\n", "time runs backwards"),
    ("time_s,x\n0,1\n0.1,2,3,4,5\n", "cannot be read"), ("time_s,x\n0,1\n,2\n0.2,3\n", "its time is missing"),
])  # fmt: skip
def test_wrong_csv_is_told(file, content, said):
    with pytest.raises(FaultyInput, match=r"a\.csv") as caught:
        read(file, content)
    assert said in str(caught.value)


def test_text_harms_nothing_in_a_column_that_nobody_names_and_has_a_type_of_its_own_from_pandas_3_on(file):
    content = "time_s,x,note\n0,1,5\n0.1,2,a word\n0.2,3,\n"
    assert read(file, content, labels={"x"}).channel("x").values == pytest.approx([1, 2, 3])
    with pytest.raises(FaultyInput, match="a word"):
        read(file, labels={"x", "note"})
    pandas = pytest.importorskip("pandas")
    with pandas.option_context("future.infer_string", True):
        assert read(file, "time_s,x\n0,1\n0.1, 2 \n0.2,3\n").channel("x").values == pytest.approx([1, 2, 3])
        with pytest.raises(FaultyInput, match='read "oops"'):
            read(file, "time_s,x\n0,1\n0.1,oops\n0.2,3\n")


def test_gaps_are_bridged_and_a_part_of_a_file_must_lie_inside_it(file):
    times = np.delete(np.arange(100) / 100, range(40, 50))
    channel = read(file, "time_s,x\n" + "\n".join(f"{t:.4f},{t:.4f}" for t in times)).channel("x")
    assert channel.values == pytest.approx(np.arange(100) / 100, abs=1e-6)
    assert channel.gaps == (pytest.approx((0.39, 0.5)),)
    whole = read(file, "time_s,x\n" + "\n".join(f"{n / 10},{n}" for n in range(50)))
    assert whole.between(1.0, 2.0).channel("x").values == pytest.approx(np.arange(10, 20))
    with pytest.raises(FaultyInput, match="does not lie"):
        whole.between(1.0, 9.0)


@pytest.fixture(params=["edf", "bdf"])
def written(request, tmp_path):
    """An EDF or BDF file of two rates with marks, and the signals in it."""
    kind, whole = (getattr(edfio, f"{request.param.title()}{end}") for end in ("Signal", ""))
    random, unit = np.random.default_rng(1), {"physical_dimension": "mV", "physical_range": (-2.0, 2.0)}
    values = {rate: np.clip(random.standard_normal(rate * 3), -2, 2) for rate in (1000, 100)}
    signals = [kind(value, rate, label=f"s{rate}", **unit) for rate, value in values.items()]
    marks = [edfio.EdfAnnotation(1.0, 0.5, "lift"), edfio.EdfAnnotation(0.25, None, "go")]
    whole(signals, annotations=marks).write(file := tmp_path / f"a.{request.param}")
    return file, signals


def test_edf_and_bdf_keep_all_and_a_truncated_one_names_the_second(written):
    file, signals = written
    found = read_edf(file)
    for signal, rate in zip(signals, (1000, 100), strict=True):
        channel = found.channel(f"s{rate}")
        assert (channel.rate_hz, channel.unit, channel.ends) == (rate, "mV", (-2.0, 2.0))
        assert channel.values == pytest.approx(signal.data, abs=1e-4)
    assert {(m.onset, m.duration, m.text) for m in found.marks} == {(0.25, 0.0, "go"), (1.0, 0.5, "lift")}
    whole = written[0].read_bytes()
    truncated = "all channels, second 2.0: is truncated: 3 records promised, 2 whole ones found"
    header = "no EDF or BDF file, or its header is cut"
    for data, said in ((whole[:-500], truncated), (whole[:100], header), (b"", "is empty")):
        written[0].write_bytes(data)
        with pytest.raises(FaultyInput, match=said):
            read_edf(written[0])
