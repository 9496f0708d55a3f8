"""Winters in chunks of about a second of one core: what a chunk says, as bytes that can be compared whoever lived it.

Run by itself it lives chunks on dask, in whatever environment has it, and prints a line for each as it is done:

    PYTHON studies/winters_chunked.py SEASON-FILE CHUNK FIRST [FIRST ...]
"""
from __future__ import annotations

import hashlib
import json
import pickle
import sys
from pathlib import Path
from typing import Any

from spareway.season.home import Season

ROOT = Path(__file__).parents[1]
CHUNK = 1_408                                   # winters: eleven blocks, about a second of a core
Row = dict[str, Any]


def season(seed: int, scenario: str = "ordinary", home: str = "weir-cottage") -> Season:
    """An example as it is proposed, in a scenario."""
    from spareway.api_season import asked
    texts = {p.name: p.read_text("utf-8") for p in (ROOT / "examples" / home).iterdir() if p.suffix in (".toml", ".csv")}
    made = asked(texts, scenario, seed).season
    if made is None:
        raise ValueError(f"{home} is no season: something is not known")
    return made


def lived(of: Season, first: int, count: int, die: bool = False) -> Row:
    """What a chunk says: a digest of every column of every winter, and a few counts. die: the process kills itself instead."""
    if die:
        import os
        import signal
        os.kill(os.getpid(), signal.SIGKILL)
    from spareway.fast.season import winters
    from spareway.season.sums import COLUMNS
    found, digest = winters(of, first, count), hashlib.sha256()
    for name in (*COLUMNS, "histogram"):
        digest.update(getattr(found, name).tobytes())
    return {"first": first, "n": len(found), "digest": digest.hexdigest(), "over": len([m for m in found.over_min if m]),
            "melted": len([h for h in found.hottest if h >= 1]), "top_w": max(found.top_w), "tops_w": sorted(found.top_w)[-64:]}


def kept_at(state_path: Path, of: Season) -> Path:
    """Where what is lived of this season by this code is kept: after a change of either nothing is taken up from before."""
    code = [*(ROOT / "src" / "spareway" / "season").glob("*.py"), *(ROOT / "src" / "spareway" / "fast").glob("season*.py")]
    digest = hashlib.sha256(repr(of).encode())
    for path in sorted(code):
        digest.update(path.read_bytes())
    return state_path.with_name(f"{state_path.stem}-{digest.hexdigest()[:12]}.json")


def whole(rows: dict[int, Row]) -> str:
    """One digest of all, in the order of their winters."""
    digest = hashlib.sha256()
    for first in sorted(rows):
        digest.update(f"{first} {rows[first]['n']} {rows[first]['digest']}\n".encode())
    return digest.hexdigest()


def _on_dask(of: Season, chunk: int, firsts: list[int], count: int) -> None:
    from dask.distributed import Client, LocalCluster, as_completed
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster, Client(cluster) as client:
        held = client.scatter(of, broadcast=True)
        going = [client.submit(lived, held, first, min(chunk, count - first), pure=False) for first in firsts]
        for done in as_completed(going):
            print(json.dumps(done.result()), flush=True)


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "src")]
    with Path(sys.argv[1]).open("rb") as file:
        kept, total = pickle.load(file)
    _on_dask(kept, int(sys.argv[2]), [int(each) for each in sys.argv[3:]], total)
