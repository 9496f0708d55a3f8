"""One pytest run with a time limit, whose closing line never reads better than the run was.

pytest's last line counts tests only: a run cut short, or one whose coverage is too low, would close with "N passed".
Then a line of our own follows it, which says why and counts that as a failure.
"""
from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading

COMMAND = (sys.executable, "-m", "pytest", "-q", "-n", "2", "--dist", "loadscope", "--durations=25",
           "--cov=spareway", "--cov-config=tests/coverage.toml", "--cov-report=term:skip-covered")
GRACE_S = 30
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


def run(command: tuple[str, ...], limit_s: float) -> int:
    """The exit code of the command, its output passed on; interrupted at the limit, killed if that does not end it."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:           # started in the background: what we start would ignore it too
        signal.signal(signal.SIGINT, signal.default_int_handler)
    late, last_line = threading.Event(), ""
    # hundreds of interpreters are started on the way: each would compile all of ours and of the libraries again
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8", errors="replace", env=env) as started:
        def interrupt() -> None:
            late.set()
            started.send_signal(signal.SIGINT)

        timers = [threading.Timer(limit_s, interrupt), threading.Timer(limit_s + GRACE_S, started.kill)]
        for timer in timers:
            timer.start()
        for line in started.stdout or ():
            sys.stdout.write(line)
            sys.stdout.flush()
            last_line = line if COUNTS.search(line) else last_line
        code = started.wait()
        for timer in timers:
            timer.cancel()
    if says := closing(last_line, code, late.is_set(), limit_s):
        print(says, flush=True)
    return code or int(bool(says))


if __name__ == "__main__":
    sys.exit(run((*COMMAND, *sys.argv[2:]), float(sys.argv[1])))
