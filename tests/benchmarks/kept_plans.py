"""Proof that nothing was lost: `keep FILE` plans and writes, `compare FILE` plans again and prints a line a case: the
search benchmark's weeks, tests/briefs, and the demo by every command that plans, in processes of their own. It ends
with 1 where a value is worse by more than its gap, bounds contradict each other or an answer is gone."""

import argparse
import json
import subprocess
import sys
import tempfile
from collections import Counter
from itertools import chain
from pathlib import Path
from typing import Any

sys.path.append(str(Path(__file__).parents[1] / "builders"))
from folders import BRIEFS, DEMO, ROOT, copy_of
from week_cases import random_problem

# status, plan, aims {name: [value, bound]}, room; without aims only one answer is right
Case = dict[str, Any]
Named = tuple[str, Case]
GAPS = {"best dose": 0.05, "dose": 0.05, "rest": 3.0}  # missed sets, priced minutes: so near is equally good
ROUNDING = 0.01  # of values and bounds as printed, and of the solver
ROOM_A_HEAD = 0.25  # missed sets by which a plan may leave the best dose for a better rest
SEEDS, WEEK, NEXT_WEEK, MONDAY = range(40), "2026-W48", "2026-W49", "2026-11-23"
MINUTES = (26, 30, 32)  # of rear_first, whose own are 25
CHANGES = (("--without", "club:shoulder_press_machine"), ("--minutes", "Mon=25"))


def random_week(seed):
    """One of the search benchmark's weeks. Whoever moves the search moves these imports."""
    from planner.model.aims import dose_value, rest_value
    from planner.solve.solve import solve_week

    problem = random_problem(seed)
    solved = solve_week(problem)
    dose, rest, bound = dose_value(problem, solved.plan), rest_value(problem, solved.plan), solved.dose_bound
    aims = {"best dose": [min(solved.dose_best, dose), bound], "dose": [dose, bound]}
    plan = sorted((session, key, sets) for (key, session), sets in solved.plan.items())
    aims["rest"] = [rest, solved.rest_bound]
    return f"random {seed:02}", case(solved.stopped, plan, aims, len(problem.heads))


def case(stopped, plan=(), aims=None, heads=0, **more):
    status = stopped if isinstance(stopped, str) else "stopped" if stopped else "proven"
    return {"status": status, "plan": plan, "aims": aims or {}, "room": ROOM_A_HEAD * heads, **more}


def asked(name, parse, *words):
    """The cases of what a command prints with --json, or one that says how it failed."""
    line = [sys.executable, "-m", "planner", *map(str, words), "--json"]
    done = subprocess.run(line, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    if done.returncode:
        print(done.stderr, file=sys.stderr)
        yield name, case(f"exit {done.returncode}")
    else:
        yield from parse(name, json.loads(done.stdout))


def weeks(name, printed):
    """What `week`, `swap` or `block` planned; the later weeks of a block stand on the first one's plan."""
    first, *later = printed.get("weeks", [printed if "proof" in printed else printed.get("week")])
    for week in (first, *later):
        lines = ((day["id"], one) for day in week["sessions"] for one in day["exercises"])
        plan = sorted([day, one["exercise"], one["sets"]] for day, one in lines)
        aims = {row["aim"]: [row["value"], row["bound"]] for row in week["proof"]}
        extra = {"document": week, "stands_on": None if week is first else name}
        called = name if week is first else f"{name} {week['week']}"
        yield called, case(week["status"], plan, aims, len(week["dose"]), **extra)


def eased(name, why):
    """The value that each easing gives, by the line of the file that eases; what gives nothing is left out."""
    yield name, case(why["stopped"])
    aim = why["aim"]
    for one in (one for one in why["eased"] if one["gain"] != "none"):
        value = why["value"] - one["missed_sets" if aim == "dose" else "priced_minutes"]
        aims = {aim: [value, value - one["within"] - GAPS[aim]]}  # both ends of a gain have a gap
        yield f"{name} {one['where']}", case(one["stopped"], aims=aims)


def replaced(name, instead):
    """Every replacement with its sets and its price in both aims."""
    keys = ("exercise", "sets", "missed_sets", "priced_minutes")
    choices = [(day["id"], one) for day in instead["sessions"] for one in day["choices"]]
    yield name, case("given", [[day, *map(one.get, keys)] for day, one in choices])


def logged(name, log):
    """What pain takes out, and the next loads; no sentences."""
    keys = ("exercise", "gym", "load", "unit", "reps", "fewer_sets")
    out = [one["exercise"] for one in log["pain"]["out"]]
    yield name, case("taken", [out, *([*map(one.get, keys)] for one in log["next_loads"])])


def done_sets(session):
    """The first session as a log whose first exercise hurt."""
    lines = ["date,session,exercise,set,load,load_unit,reps,rir,pain,gym"]
    for place, one in enumerate(session["exercises"]):
        load, pain = one["load"] or "", 0 if place else 6
        what = f"{load},{one['load_unit'] if load else ''},{one['reps'][1]},2,{pain},{session['gym']}"
        lines += [f"{MONDAY},{session['day']},{one['exercise']},{n + 1},{what}" for n in range(one["sets"])]
    return "\n".join(lines)


def briefs(home):
    for source in sorted(path.parent for path in BRIEFS.glob("*/brief.toml")):
        folder = copy_of(source, home / source.name)
        yield from asked(f"brief {source.name}", weeks, "week", folder, "--week", WEEK)
    brief = home / "rear_first" / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    assert "minutes = 25" in text
    for minutes in MINUTES:
        brief.write_text(text.replace("minutes = 25", f"minutes = {minutes}"), encoding="utf-8")
        yield from asked(f"brief rear_first {minutes} min", weeks, "week", brief.parent, "--week", WEEK)


def demo(home, kept):
    """The demo by every command; those after `week` start from the kept week unless the new one is the same."""
    athlete, at, log = copy_of(DEMO, home / "demo", "log.csv"), ("--week", WEEK), home / "done.csv"
    ((name, new),) = asked("demo week", weeks, "week", athlete, *at)
    yield name, new
    yield from asked("demo block", weeks, "block", athlete, "--weeks", 4, *at)
    week = (kept if kept and kept["plan"] != new["plan"] else new)["document"]
    file = athlete / "weeks" / WEEK / "week.json"
    file.parent.mkdir(parents=True)
    file.write_text(json.dumps(week), encoding="utf-8")
    for change in CHANGES:
        yield from asked(f"demo swap {' '.join(change)}", weeks, "swap", athlete, *change, *at)
    yield from asked("demo why", eased, "why", athlete, *at)
    for key in sorted({one["exercise"] for day in week["sessions"] for one in day["exercises"]}):
        yield from asked(f"demo instead {key}", replaced, "instead", athlete, key, *at)
    log.write_text(done_sets(week["sessions"][0]), encoding="utf-8")
    yield from asked("demo log", logged, "log", athlete, log, "--save")
    yield from asked("demo week after log", weeks, "week", athlete, "--week", NEXT_WEEK)


def planned(kept):
    with tempfile.TemporaryDirectory() as home:
        every = (map(random_week, SEEDS), briefs(Path(home)), demo(Path(home), kept.get("demo week")))
        for name, new in chain(*every):
            yield name, json.loads(json.dumps(new))


def compare(kept):
    """Print how each case stands to what was kept; whether nothing was lost."""
    words, wrong, again = Counter[str](), 0, {}
    for name, new in planned(kept):
        again[name] = new
        text, lost = "new", []
        if old := kept.get(name):
            start = new.get("stands_on") or name
            same_start = start == name or kept[start]["plan"] == again[start]["plan"]
            text, lost = verdict(old, new), faults(old, new) if same_start else []
        print(f"{name}: {'; '.join([text, *lost])}", flush=True)
        words[text.split(",")[0]] += 1
        wrong += bool(lost)
    gone = kept.keys() - again.keys()
    for name in sorted(gone):
        print(f"{name}: GONE")
    print(*(f"{count} {word}," for word, count in words.items()), f"{len(gone)} gone, {wrong} wrong")
    return not wrong and not gone


def verdict(old, new):
    """`same plan`, or `same value within the gaps` or `DIFFERENT`, with what changed: values and bounds, plan."""
    both = shared(old, new)
    steps = [abs(now[0] - was[0]) for _, was, now in both]
    alike = old["status"] == new["status"] and old["aims"].keys() == new["aims"].keys()
    if alike and old["plan"] == new["plan"] and max(steps, default=0) <= ROUNDING:
        return "same plan"
    near = all(step <= GAPS[aim] + ROUNDING for step, (aim, _, _) in zip(steps, both, strict=True))
    pairs = ((old, new), (new, old))
    old_rows, new_rows = ([row for row in one["plan"] if row not in other["plan"]] for one, other in pairs)
    changes = [*both, ("plan", old_rows, new_rows), ("status", old["status"], new["status"])]
    word = "same value within the gaps" if alike and both and near else "DIFFERENT"
    return ", ".join([word, *(f"{what} {was} -> {now}" for what, was, now in changes if was != now)])


def faults(old, new):
    """What must not be: an answer lost, a value worse by more than its gap, bounds that contradict each other. The
    second aim speaks only of plans of one dose, so that others are not held against it; and a plan may leave the best
    dose, inside the room for that, for a better second aim."""
    both = shared(old, new)
    if not both:
        same = all(old[part] == new[part] for part in ("status", "plan", "aims"))
        return [] if same else ["ANSWER LOST"]
    texts, alike = [], all(abs(now[0] - was[0]) <= ROUNDING for aim, was, now in both if aim == "dose")
    for aim, (was, was_bound), (now, now_bound) in (one for one in both if alike or one[0] != "rest"):
        most = max(was, was_bound + old["room"]) if aim == "dose" else was
        if now > most + GAPS[aim] + ROUNDING:
            texts.append(f"WORSE {aim}")
        if min(now - was_bound, was - now_bound) < -ROUNDING:
            texts.append(f"BOUNDS CONTRADICT {aim}")
    return texts


def shared(old, new):
    return [(aim, old["aims"][aim], new["aims"][aim]) for aim in old["aims"] if aim in new["aims"]]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("what", choices=("keep", "compare"))
    parser.add_argument("file", type=Path)
    given = parser.parse_args()
    if given.what == "compare":
        return 0 if compare(json.loads(given.file.read_text(encoding="utf-8"))) else 1
    given.file.write_text(json.dumps(dict(planned({})), indent=1), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
