"""`planner measure`: what goes where, exit codes, one JSON document, the report and the placement sheet."""

import json
import re
import shutil

from folders import DEMO, copy_of
from in_process import planner
from pdf_pages import pages_of

from planner.emg.measuring import measure_session
from planner.emg.ranking import rankings
from planner.emg.report import placement_html, report_html
from planner.emg.session import tables


def run(*words):
    return planner("measure", *words)


def test_the_demo_gives_table_ranking_and_report(demo_folder, tmp_path):
    result = run(demo_folder, "--out", tmp_path)
    assert result.returncode == 0
    assert "front delt right by mean" in result.stdout
    assert "Report:" in result.stderr and "Report:" not in result.stdout
    assert "pull" not in result.stdout and "loose sensor or cable" in result.stderr
    assert "Ranked by mean activation, because weeks are planned with it" in result.stdout
    report = tmp_path / "measurement.pdf"
    pages = pages_of(report)
    said = "\n".join(pages)
    parts = "Ranking|Envelopes and phases|Quality|Reference contraction|Method|band_low_hz"
    assert [words for words in parts.split("|") if words not in said] == []
    assert re.search(r"front right\s+[\d.]+\s+mV\s", said) and len(pages) <= 6
    assert report.stat().st_size < 1_000_000


def test_json_is_one_document_and_writes_nothing(demo_folder, tmp_path):
    folder = tmp_path / "recordings"
    shutil.copytree(demo_folder, folder, ignore=shutil.ignore_patterns("measurement.*"))
    before = sorted(folder.iterdir())
    document = json.loads(run(folder, "--json").stdout)
    assert sorted(folder.iterdir()) == before
    assert document["version"] == 1 and len(document["trials"]) == 8
    channel, ranking = document["trials"][0]["channels"][0], document["rankings"][0]
    assert {"mean", "peak", "total", "eccentric_share"} <= channel.keys()
    assert len(channel["repetitions"]) == 8 and document["settings"]["band_low_hz"] == 20
    assert {"sem", "mdc95", "by_repetitions", "entries"} <= ranking.keys()
    assert (ranking["degrees"], ranking["freedom"]) == (2, 6)


def test_wrong_trials_are_named_the_others_measured_and_the_code_is_2(lab):
    lab.set("a.csv")
    (lab.folder / "empty.csv").write_text("")
    lab.read(lab.card, lab.sensor, lab.motion, lab.trial("a.csv"), lab.trial("empty.csv"))
    result = run(lab.folder)
    assert result.returncode == 2
    assert "empty.csv" in result.stderr and "is empty" in result.stderr
    assert "Standing dumbbell lateral raise" in result.stdout
    assert "Not measured or stated wrongly" in "\n".join(pages_of(lab.folder / "measurement.pdf"))


def test_into_says_what_moved(demo, demo_folder, tmp_path, quick_paper, monkeypatch):
    monkeypatch.setattr("planner.emg.measuring.measure_session", lambda _: demo)  # which was measured once
    copy_of(DEMO, tmp_path)
    result = run(demo_folder, "--into", tmp_path, "--out", tmp_path)
    assert "24 rows in" in result.stdout and "measurement error" in result.stdout
    sets, doses = result.stdout.split("before and after")[1].split("Direct sets a head")
    assert re.search(r"  \S.*  \d+ +\d+\n", sets) and all(head in doses for head in ("front", "side", "rear"))
    assert not (tmp_path / "weeks").exists()
    brief = tmp_path / "brief.toml"
    brief.write_text(brief.read_text(encoding="utf-8").replace("Robin Vale", "Somebody Else"), "utf-8")
    again = json.loads(run(demo_folder, "--into", tmp_path, "--same-person", "--json").stdout)
    assert again["moved"] == [] and len(again["rows"]) == 24
    assert len((tmp_path / "evidence.csv").read_text().splitlines()) == 25
    refused = run(demo_folder, "--into", tmp_path)
    assert refused.returncode == 2 and "Somebody Else" in refused.stderr
    assert run(demo_folder, "--into", tmp_path, "--same-person").returncode == 0


def test_the_placement_sheet_has_sites_tests_and_cautions(tmp_path):
    result = run("--placement", "--out", tmp_path)
    assert result.stdout.strip() == str(tmp_path / "placement.pdf")
    said = "\n".join(pages_of(tmp_path / "placement.pdf"))
    parts = "Front delt|Side delt|Rear delt|Upper trapezius|ramp up|physiotherapist|C7"
    assert [words for words in parts.split("|") if words not in said] == []
    numbered = [words for number in range(1, 6) for words in re.findall(rf"\n{number} ([A-Z]\w+)", said)]
    wanted = [tables()["test"][key]["name"] for key in tables()["wanted"]]
    assert numbered == [name.split()[0].capitalize() for name in wanted]
    assert not re.search(r"\w/\w+[./]|\.csv|\.toml", said)  # nothing of the inside on a client's page
    assert placement_html().count("<svg") == 4


def test_names_from_files_cannot_break_the_page(lab):
    card = lab.card.replace("Test Person", "<script>alert(1)</script> & Co")
    session = measure_session(lab.read(card, lab.sensor, lab.motion, lab.trial(lab.set("a.csv"))))
    page = report_html(session, rankings(session))
    assert "<script>" not in page and "&lt;script&gt;" in page
