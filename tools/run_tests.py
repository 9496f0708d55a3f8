"""One pytest run with a time limit, whose closing line never reads better than the run was.

pytest's last line counts tests only: a run cut short, or one whose coverage is too low, would close with "N passed".
Then a line of our own follows it, which says why and counts that as a failure. The limit is for a machine as quick as the one it
was set on: see tools/pace.py.
"""
from __future__ import annotations

import math
import os
import re
import signal
import subprocess
import sys
import threading

from tools.pace import Pace

COMMAND = (sys.executable, "-m", "pytest", "-q", "-n", "2", "--dist", "loadscope", "--no-loadscope-reorder", "--durations=25",
           "--cov=spareway", "--cov-config=tests/coverage.toml", "--cov-report=term:skip-covered")
GRACE_S, LOOK_S, MOST = 30.0, 20.0, 5          # however slow a machine: five times the limit, in its own seconds
COUNTS = re.compile(r"\b(\d+) (passed|failed|errors?)\b")


def closing(last_line: str, exit_code: int, over_time: bool, limit_s: float) -> str:
    """What must be said after pytest's last line, as one line; nothing when that line is already the truth."""
    counts = {what.rstrip("s"): int(number) for number, what in COUNTS.findall(last_line)}
    bad = counts.get("failed", 0) + counts.get("error", 0)
    if over_time:
        why = f"cut short after {limit_s:g} s"
    elif exit_code and not bad:
        why = f"the run ended with code {exit_code}, see above"
    else:
        return ""
    return f"{counts.get('passed', 0)} passed, {bad + 1} failed: {why}"


def run(command: tuple[str, ...], limit_s: float, at_most_s: float = math.inf) -> int:
    """The exit code of the command, its output passed on; interrupted at the limit, killed if that does not end it.

    The limit is in seconds of the machine it was set on, `at_most_s` in seconds of this one."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:           # started in the background: what we start would ignore it too
        signal.signal(signal.SIGINT, signal.default_int_handler)
    late, ended, pace, last_line = threading.Event(), threading.Event(), Pace(), ""
    # hundreds of interpreters are started on the way: each would compile all of ours and of the libraries again
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8", errors="replace", env=env) as started:
        def watch() -> None:
            while not ended.wait(min(LOOK_S, limit_s / 20, at_most_s / 2)):
                if pace.look() > limit_s or pace.gone_s > at_most_s:
                    late.set()
                    started.send_signal(signal.SIGINT)
                    if not ended.wait(GRACE_S):
                        started.kill()
                    return

        watching = threading.Thread(target=watch)
        watching.start()
        for line in started.stdout or ():
            sys.stdout.write(line)
            sys.stdout.flush()
            last_line = line if COUNTS.search(line) else last_line
        code = started.wait()
        ended.set()
        watching.join()
    print(f"{pace.gone_s:.0f} s here, {pace.worth_s:.0f} s of the machine that the limit is for: {limit_s:g} s", file=sys.stderr)
    if says := closing(last_line, code, late.is_set(), limit_s):
        print(says, flush=True)
    return code or int(bool(says))


if __name__ == "__main__":
    limit = float(sys.argv[1])
    sys.exit(run((*COMMAND, *sys.argv[2:]), limit, MOST * limit))
