"""Run every `bench_*.py` here, or those named: each has `run() -> list[str]`, its lines ratios taken in that one run.

`make bench` prints; what is worth keeping is copied to `docs/benchmarks.md` by hand, with the machine it ran on.
"""
from __future__ import annotations

import argparse
import os
import platform
import sys
from importlib import import_module
from pathlib import Path

HERE = Path(__file__).parent


def available() -> list[str]:
    return sorted(file.stem.removeprefix("bench_") for file in HERE.glob("bench_*.py"))


def chosen(which: list[str], names: list[str]) -> list[str]:
    """The named ones, or all; an unknown name ends the program with the names there are."""
    if unknown := sorted(set(which) - set(names)):
        raise SystemExit(f"no bench called {', '.join(unknown)}; there is {', '.join(names) or 'none'}")
    return [name for name in names if not which or name in which]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", nargs="*", help="names without bench_; all when none is given")
    which = chosen(parser.parse_args().which, available())
    sys.path[:0] = [str(HERE.parent), str(HERE.parent / "src")]
    load = os.getloadavg()[0]
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores, load {load:.1f} before the start")
    for name in which:
        print(f"\n{name}")
        for line in import_module(f"bench.bench_{name}").run():
            print(f"  {line}", flush=True)


if __name__ == "__main__":
    main()
