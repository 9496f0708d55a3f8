"""The phone killed at random moments while entries are kept: entries lost, and entries nobody made. Both must be none."""
from __future__ import annotations

import random
from pathlib import Path
from tempfile import TemporaryDirectory


def run(n: int, seed: int, state_path: Path) -> str:
    """n kills of a browser of its own. It does not resume: a kill is no longer than a start."""
    from playwright.sync_api import sync_playwright

    from spareway.web.site import build
    from tests.web.hosting import Host
    from tests.web.phone import ROOT, Phone
    from tests.web.test_offline import begun, kills
    with TemporaryDirectory() as folder, sync_playwright() as driver:
        build(Path(folder) / "site", ROOT / "node_modules")
        host = Host(Path(folder) / "site")
        host.start()
        held = Phone(driver, Path(folder) / "profile", host.url)
        held.on()
        host.stop()
        kept, wrong = kills(held, begun(held), random.Random(seed), n)
        strange = held.strange()
        held.off()
    state_path.write_text("{}", encoding="utf-8")
    return "\n".join([*wrong, *strange, f"{n} kills with no server: {kept} entries kept, {len(wrong)} kills lost or made one, "
                                        f"{len(strange)} requests or complaints that should not be"])
