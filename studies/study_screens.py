"""Every screen of the phone in three themes at three widths: rules of access, targets, reflow. Nothing may be found."""
from __future__ import annotations

import json
from pathlib import Path
from tempfile import TemporaryDirectory


def run(n: int, seed: int, state_path: Path) -> str:  # noqa: ARG001   nothing of it is by chance
    """The first n screens; it goes on after the last one that it finished."""
    from playwright.sync_api import sync_playwright

    from tests.web.measures import THEMES, WIDTHS, measured
    from tests.web.phone import Phone
    from tests.web.screens import SCREENS
    from tests.web.stage import set_out, site
    asked = [(screen, gloves) for screen in SCREENS[:n] for gloves in ((True,) if screen.gloves else (False, True))]
    kept = json.loads(state_path.read_text()) if state_path.exists() else {"done": 0, "wrong": []}
    with TemporaryDirectory() as folder, sync_playwright() as driver:
        host = site(Path(folder) / "site")
        phone = Phone(driver, Path(folder) / "profile", host.url)
        set_out(phone, host)
        for screen, gloves in asked[kept["done"]:]:
            for theme in THEMES:
                assert phone.fetch("app/this-phone", {"theme": theme, "gloves": "yes" if gloves else "no"})[0] == 204
                kept["wrong"] += [f"{screen.name}, {theme}{', gloves' if gloves else ''}, {fault}"
                                  for fault in measured(phone, screen, theme, () if gloves and not screen.gloves else WIDTHS)]
            kept["done"] += 1
            state_path.write_text(json.dumps(kept))
            print(f"{kept['done']} of {len(asked)}, {len(kept['wrong'])} faults", flush=True)
        strange = [each for each in phone.strange() if "404" not in each]
        phone.off()
    state_path.unlink()
    wrong = kept["wrong"]
    said = (f"{len(SCREENS[:n])} screens in {len(THEMES)} themes at {len(WIDTHS)} widths, with and without gloves: {len(wrong)} "
            f"faults of access, target or reflow, {len(strange)} requests or complaints that should not be")
    return "\n".join([*wrong, *strange, said])
