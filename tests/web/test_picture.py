"""The live picture under a finger: changed over where it stands, at once, and its address kept so that a restart shows it again."""
from __future__ import annotations

from tests.web.phone import Phone
from tests.web.test_screens import JOB

TAPS, SLOWED = 9, 4
SWITCH = "a.touch[href*='touched=house.switch']"
# from the finger's event to the frame after the one in which the new drawing was laid out
WATCH = """() => { let from = 0;
    const told = () => { if (from) redrawn.push(performance.now() - from); from = 0; };
    addEventListener('pointerdown', (e) => { from = e.timeStamp; }, true);
    new MutationObserver(() => { if (from && !document.querySelector('.htmx-request')) requestAnimationFrame(() => requestAnimationFrame(told)); })
        .observe(document.querySelector('#screen'), {childList: true, subtree: true, attributes: true}); }"""


def shown(held: Phone) -> None:
    """The cottage's intake as found, each redrawing of it timed from now on."""
    held.go(f"{JOB}picture?stage=found", SWITCH)
    held.page.evaluate(WATCH)


def redraws(held: Phone, taps: int) -> list[float]:
    """Milliseconds from each tap on the main switch to the picture with it changed over, each tap waiting for the last."""
    held.page.evaluate("window.redrawn = []")
    for n in range(taps):
        held.page.locator(SWITCH).first.tap()
        while len(held.page.evaluate("window.redrawn")) <= n:
            held.page.wait_for_timeout(5)
    return sorted(float(each) for each in held.page.evaluate("window.redrawn"))


def slowed(held: Phone, times: int) -> None:
    """The page's own thread as many times slower; the engine's thread is not reached by this."""
    assert held.context is not None
    held.context.new_cdp_session(held.page).send("Emulation.setCPUThrottlingRate", {"rate": times})


def test_a_tap_changes_the_picture_where_it_stands(standing: Phone) -> None:
    """Nine taps on the main switch with the page slowed four times: no page is loaded and each changes it over where it stands.
    How long that takes is `make bench WHICH=phone`'s to say, on a quiet machine; here it is printed only."""
    held = standing
    before = len(held.strange())
    held.page.evaluate("window.still = 'here'")
    shown(held)
    slowed(held, SLOWED)
    times_ms = redraws(held, TAPS)
    print(f"tap to redrawn: {times_ms[0]:.0f} to {times_ms[-1]:.0f} ms, middle {times_ms[TAPS // 2]:.0f} ms")
    assert held.page.evaluate("window.still") == "here"
    assert "open=house.switch" in held.page.url
    assert "Shown open: house.switch." in held.page.inner_text(".answer")
    assert len(times_ms) == TAPS
    held.page.go_back()
    held.page.wait_for_selector("text=Nothing shown open.")
    assert held.page.evaluate("window.still") == "here"
    slowed(held, 1)
    assert held.strange()[before:] == []
