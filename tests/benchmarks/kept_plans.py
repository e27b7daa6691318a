"""Proof that nothing was lost: `keep FILE` plans and writes, `compare FILE` plans again and prints a line a case.

It ends with 1 where a value is worse by more than its gap, bounds contradict each other or an answer is gone. `keep
--slow` adds weeks that take minutes; `compare` plans them if FILE has them.
"""

import argparse
import json
import sys
from collections import Counter
from pathlib import Path

from kept_cases import GAPS, Case, planned

ROUNDING = 0.01  # of values and bounds as printed, and of the solver


def compare(kept: dict[str, Case], slow: bool) -> bool:
    """Print how each case stands to what was kept; whether nothing was lost."""
    words, wrong, again = Counter[str](), 0, {}
    for name, new in planned(slow, kept):
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


def verdict(old: Case, new: Case) -> str:
    """`same plan`, or `same value within the gaps` or `DIFFERENT`, with what changed: values and bounds, plan."""
    both = shared(old, new)
    steps = [abs(now[0] - was[0]) for _, was, now in both]
    alike = old["status"] == new["status"] and old["aims"].keys() == new["aims"].keys()
    if alike and old["plan"] == new["plan"] and max(steps, default=0) <= ROUNDING:
        return "same plan"
    near = all(step <= GAPS[aim] + ROUNDING for step, (aim, _, _) in zip(steps, both, strict=True))
    old_rows, new_rows = (
        [row for row in one["plan"] if row not in other["plan"]] for one, other in ((old, new), (new, old))
    )
    changes = [*both, ("plan", old_rows, new_rows), ("status", old["status"], new["status"])]
    word = "same value within the gaps" if alike and both and near else "DIFFERENT"
    return ", ".join([word, *(f"{what} {was} -> {now}" for what, was, now in changes if was != now)])


def faults(old: Case, new: Case) -> list[str]:
    """What must not be: an answer lost, a value worse by more than its gap, bounds that contradict each other.

    The second aim and its bound speak only of plans near the best dose, so that others are not held against it; and
    a plan may leave the best dose, inside the room for that, for a better second aim.
    """
    if not shared(old, new):
        same = all(old[part] == new[part] for part in ("status", "plan", "aims"))
        return [] if same else ["ANSWER LOST"]
    texts = []
    for aim, (was, was_bound), (now, now_bound) in shared(old, new):
        old_counts, new_counts = (aim != "rest" or inside(*pair) for pair in ((old, new), (new, old)))
        if now > was + GAPS[aim] + ROUNDING and old_counts and not (aim == "dose" and traded(old, new)):
            texts.append(f"WORSE {aim}")
        if (now < was_bound - ROUNDING and new_counts) or (was < now_bound - ROUNDING and old_counts):
            texts.append(f"BOUNDS CONTRADICT {aim}")
    return texts


def shared(old: Case, new: Case) -> list[tuple[str, list[float], list[float]]]:
    """Aims of both: name, old and new value with bound."""
    return [(aim, old["aims"][aim], new["aims"][aim]) for aim in old["aims"] if aim in new["aims"]]


def inside(one: Case, other: Case) -> bool:
    """Whether what the other says of its second aim holds for this plan."""
    if "dose" not in one["aims"] or "dose" not in other["aims"]:
        return True
    value, bound = other["aims"]["dose"]
    return bool(one["aims"]["dose"][0] <= max(value, bound + other["room"]) + ROUNDING)


def traded(old: Case, new: Case) -> bool:
    """Whether the new plan has a better second aim for the dose that it gives away."""
    value, bound = new["aims"]["dose"][0], old["aims"]["dose"][1]
    return bool(value <= bound + old["room"] and new["aims"]["rest"][0] < old["aims"]["rest"][0])


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=("keep", "compare"))
    parser.add_argument("file", type=Path)
    parser.add_argument("--slow", action="store_true", help="keep weeks that take minutes too")
    given = parser.parse_args()
    if given.what == "keep":
        kept = {"slow": given.slow, "cases": dict(planned(given.slow, {}))}
        given.file.write_text(json.dumps(kept, indent=1), encoding="utf-8")
        return 0
    kept = json.loads(given.file.read_text(encoding="utf-8"))
    return 0 if compare(kept["cases"], kept["slow"]) else 1


if __name__ == "__main__":
    sys.exit(main())
