"""Run the long seeded studies, or those named: each `study_*.py` has `run(n, seed, state_path) -> str`.

A study keeps what it has done in `state_path` and goes on from there when it is started again with the same seed. The
last line of what it returns is its result; it is kept, with seed and size, in `docs/studies/`.
"""
from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

HERE = Path(__file__).parent
RESULTS = HERE.parent / "docs" / "studies"


def available() -> list[str]:
    return sorted(file.stem.removeprefix("study_") for file in HERE.glob("study_*.py"))


def keep(name: str, n: int, seed: int, said: str, results: Path) -> str:
    """The result as one line, also written to `<results>/<name>.txt`. ValueError when the study said nothing."""
    lines = said.strip().splitlines()
    if not lines:
        raise ValueError(f"study {name} said nothing: there is no result to keep")
    result = f"seed {seed}, N {n}: {lines[-1]}"
    results.mkdir(parents=True, exist_ok=True)
    (results / f"{name}.txt").write_text(result + "\n", encoding="utf-8")
    return result


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", nargs="*", help="names without study_; all when none is given")
    parser.add_argument("--n", type=int, default=1000, help="how many cases")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    names = available()
    if unknown := sorted(set(asked.which) - set(names)):
        raise SystemExit(f"no study called {', '.join(unknown)}; there is {', '.join(names) or 'none'}")
    sys.path[:0] = [str(HERE.parent), str(HERE.parent / "src")]
    state = HERE / "state"
    state.mkdir(exist_ok=True)
    for name in asked.which or names:
        print(f"study {name}: seed {asked.seed}, N {asked.n}", flush=True)
        study = import_module(f"studies.study_{name}")
        said = study.run(asked.n, asked.seed, state / f"{name}-{asked.seed}.json")
        print(said.rstrip())
        print(keep(name, asked.n, asked.seed, said, RESULTS), flush=True)


if __name__ == "__main__":
    main()
