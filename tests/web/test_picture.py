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
    held.page.wait_for_url("**open=house.switch**")
    assert "Shown open: house.switch." in held.page.inner_text(".answer")
    assert len(times_ms) == TAPS
    held.page.go_back()
    held.page.wait_for_selector("text=Nothing shown open.")
    assert held.page.evaluate("window.still") == "here"
    slowed(held, 1)
    assert held.strange()[before:] == []


# all of a screen, node by node, with the attributes of each in order of their letters and without htmx's own mark; its answer
PLAIN = """() => { const told = (node) => node.nodeType !== 1 ? node.data : [node.nodeName, [...node.attributes].filter((a) => a.name !== 'data-htmx-powered')
    .map((a) => `${a.name}=${a.value}`).sort(), [...node.childNodes].map(told)];
    return [JSON.stringify(told(document.querySelector('#screen'))), document.querySelector('.answer').textContent]; }"""
TOUCHED = (SWITCH, "a.touch[href*='touched=meter']", SWITCH, "a.touch[href*='touched=cutout']", SWITCH)


def test_a_picture_after_touches_is_the_picture_drawn_fresh(standing: Phone) -> None:
    """Changed where it stands by one touch after another, a screen is, node by node, the one that its address gives by itself:
    nothing of an earlier state is left in it. By finger and by key in turn, whose answers are asked for at other moments."""
    held, before = standing, len(standing.strange())
    held.go(f"{JOB}picture?stage=found", SWITCH)
    shown_at: dict[str, list[str]] = {}
    for number, selector in enumerate(TOUCHED):
        link = held.page.locator(selector).first
        address = str(link.get_attribute("href"))
        if number % 2:
            link.focus()
            held.page.keyboard.press("Enter")
        else:
            link.tap()
        held.page.wait_for_function("(to) => location.pathname + location.search === to", arg=address)
        shown_at[address] = held.page.evaluate(PLAIN)
    assert len({screen for screen, _ in shown_at.values()}) == len(shown_at) > 3
    for address, touched in shown_at.items():
        held.go(address.partition("/tools/phone/")[2], SWITCH)
        held.page.wait_for_function("(touched) => document.querySelector('.answer').textContent === touched", arg=touched[1])
        assert held.page.evaluate(PLAIN) == touched, address
    assert held.strange()[before:] == []
