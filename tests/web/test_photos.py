"""A photo through the phone's own page: turned, made small, covered by hand, and nothing else of it kept."""
from __future__ import annotations

from io import BytesIO

from PIL import Image

from tests.web.phone import Phone
from tests.web.test_offline import begun
from tests.web.test_serving import shot

COVERED, RED, BLUE = (0x15, 0x20, 0x1C), (254, 0, 0), (0, 0, 254)


def near(pixel: object, colour: tuple[int, int, int], by: int = 12) -> bool:
    assert isinstance(pixel, tuple)
    return all(abs(a - b) <= by for a, b in zip(pixel, colour, strict=True))


def kept(held: Phone, job: str) -> Image.Image:
    """The newest picture as the app gives it, which holds nothing beside its pixels."""
    name = held.page.get_attribute("img.shot", "src")
    numbers = held.page.evaluate("async (to) => [...new Uint8Array(await (await fetch(to)).arrayBuffer())]", name)
    data = bytes(numbers)
    assert b"maker" not in data
    assert b"Exif" not in data
    assert f"/{job}photos/" in str(name)
    return Image.open(BytesIO(data))


def drawn(held: Phone, across: float, down: float) -> tuple[int, ...]:
    """The colour now on the page's canvas, at a share of its width and height."""
    return tuple(held.page.evaluate("""([x, y]) => { const c = document.querySelector('canvas.shot');
        return [...c.getContext('2d').getImageData(x * c.width, y * c.height, 1, 1).data.slice(0, 3)]; }""", [across, down]))


def test_a_photo_is_upright_small_covered_and_bare(standing: Phone) -> None:
    """A text that calls itself a picture is refused in words. One sideways with a place in it; the middle of its lower half is touched, all uncovered, a place at the left covered by keys, its
    upper half touched: in the picture kept these two squares alone are covered, no EXIF is left, and it is there after the page was loaded again with no server."""
    held, before = standing, len(standing.strange())
    job = begun(held, "Mill Photos")
    held.go(f"{job}photos", "#shot")
    held.page.set_input_files("#shot", {"name": "IMG.jpg", "mimeType": "image/jpeg", "buffer": b"not a picture"})
    held.page.wait_for_selector("text=Nothing was kept.")
    assert held.page.locator("canvas").count() == 0
    held.page.set_input_files("#shot", {"name": "IMG.jpg", "mimeType": "image/jpeg", "buffer": shot()})
    canvas = held.page.wait_for_selector("canvas.shot")
    assert canvas is not None
    box = canvas.bounding_box()
    assert box is not None
    touch = {part: {"x": box["width"] / 2, "y": box["height"] * part} for part in (0.25, 0.75)}
    held.page.locator("canvas.shot").tap(position=touch[0.75])
    held.page.locator("button:text-is('Uncover all')").tap()
    held.page.focus("canvas.shot")                          # by keys: five steps to the left of the middle, and down on it
    for key in (*["ArrowLeft"] * 5, "ArrowUp", "ArrowDown", "Space"):
        held.page.keyboard.press(key)
    assert near(drawn(held, 0.19, 0.5), COVERED)
    held.page.locator("canvas.shot").tap(position=touch[0.25])
    held.page.locator("button:text-is('Keep the photo')").tap()
    held.page.wait_for_selector("img.shot")
    assert held.strange()[before:] == []
    held.open(f"{job}photos")
    held.page.wait_for_selector("img.shot")
    with kept(held, job) as seen:
        assert seen.size == (800, 1600)
        assert near(seen.getpixel((400, 400)), COVERED)
        assert near(seen.getpixel((50, 400)), RED)
        assert near(seen.getpixel((152, 740)), COVERED)
        assert near(seen.getpixel((152, 860)), COVERED)
        assert near(seen.getpixel((400, 1200)), BLUE)
