"""Start one process from a small one, and tell its wall seconds, peak memory and exit code as JSON on stdout. A
child's peak memory is never counted lower than that of the process that started it, so a bench that has imported much
must not start what it measures by itself."""

import json
import os
import subprocess
import sys
import time

if __name__ == "__main__":
    began = time.perf_counter()
    child = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    seconds = time.perf_counter() - began
    child.returncode = os.waitstatus_to_exitcode(status)
    json.dump({"seconds": seconds, "maxrss": usage.ru_maxrss, "exit_code": child.returncode}, sys.stdout)
