"""session.toml: every fault at once, with file, key, what was read and a remedy; settings that it changes."""

import pytest

from library.errors import FaultyInput


def faults(lab, *parts):
    with pytest.raises(FaultyInput) as caught:
        lab.read(*parts)
    return {fault.where: fault for fault in caught.value.faults}, caught.value


def test_unknown_names_are_all_told_with_the_nearest(lab):
    sensor, method = lab.sensor.replace('"side"\nside', '"sid"\nside'), "[method]\nband_lo_hz = 20\n"
    trial = lab.trial("b.csv", exercise="standing_dumbell_lateral_raise")
    found, error = faults(lab, lab.card, sensor, lab.reference("a.csv", test="abduction_9"), trial, method)
    assert error.exit_code == 2
    assert 'did you mean "side"' in found["sensor[1].muscle"].remedy
    assert 'did you mean "abduction_90"' in found["reference[1].test"].remedy
    assert 'did you mean "standing_dumbbell_lateral_raise"' in found["trial[1].exercise"].remedy
    assert 'did you mean "band_low_hz"' in found["method.band_lo_hz"].remedy
    assert all(str(fault.file).endswith("session.toml") for fault in found.values())


def test_a_muscle_beside_the_library_needs_to_be_said(lab):
    other = '[[sensor]]\nchannel = "x"\nmuscle = "biceps"\nside = "left"\n'
    found, _ = faults(lab, lab.card, other)
    assert "add other = true" in found["sensor[1].muscle"].remedy
    read = lab.read(lab.card, other + "other = true\n")
    assert read.session.sensor[0].name == "biceps left"


def test_what_is_named_twice_is_told_unless_parts_of_a_file_are_meant(lab):
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
