"""Fail unless every file that git knows inside the packages is in the wheel named on the command line."""

import subprocess
import sys
import zipfile

PACKAGES = ("planner", "library")

if __name__ == "__main__":
    listed = subprocess.run(["git", "ls-files", "--", *PACKAGES], capture_output=True, text=True, check=True)
    known = set(listed.stdout.splitlines())
    with zipfile.ZipFile(sys.argv[1]) as wheel:
        names = wheel.namelist()
    forgotten = sorted(known - set(names))
    strangers = sorted(name for name in names if ".dist-info/" not in name and name not in known)
    if forgotten or strangers:
        sys.exit(f"not in the wheel: {forgotten}; in the wheel but not in git: {strangers}")
    print(f"{len(known)} files of {' and '.join(PACKAGES)}, all in the wheel")
