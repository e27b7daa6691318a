"""Run the benches named on the command line, or all: `make bench`, `make bench BENCH="week search"`. A bench is a
file bench_NAME.py here with a function `rows() -> list[Row]`. Nothing here is a test: how fast a machine is today
must not decide whether a change may land."""

import importlib
import sys
from pathlib import Path

from processes import table

HERE = Path(__file__).parent
sys.path.append(str(HERE.parent / "builders"))  # of the tests; pytest finds the folder by itself


def known():
    return sorted(file.stem.removeprefix("bench_") for file in HERE.glob("bench_*.py"))


def main(names):
    """Print each bench as it ends; 1 if a limit was missed, 2 if a name is unknown."""
    unknown = sorted(set(names) - set(known()))
    if unknown:
        print(f"no bench {', '.join(unknown)}; there are {', '.join(known())}", file=sys.stderr)
        return 2
    kept = True
    for name in names or known():
        rows = importlib.import_module(f"bench_{name}").rows()
        print(table(rows), flush=True)
        kept = kept and all(row.passes for row in rows)
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
