"""A photo is brought in with nothing in it but the picture. The second method is Pillow, which reads what is left."""
from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from spareway.folder.bare import NoPicture, bare

GPS, MAKER, ORIENTATION = 0x8825, 0x010F, 0x0112
WORDS = (b"a maker of cameras", b"51 degrees north", b"where it was", b"ICC_PROFILE", b"http://ns", b"behind the end", b"JFXX")


def segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + (len(body) + 2).to_bytes(2, "big") + body


def photo(turned: int = 1, order: str = "", **how: object) -> bytes:
    """A picture with a place, a maker, words, a profile, a second small picture, and something after its end."""
    picture = Image.radial_gradient("L").convert("RGB").resize((160, 120))
    exif = picture.getexif()
    exif[ORIENTATION], exif[MAKER] = turned, "a maker of cameras"
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 29: "51 degrees north"})
    if order:
        exif.endian = order
    out = BytesIO()
    picture.save(out, "JPEG", exif=exif, comment=b"where it was", icc_profile=b"a profile", **how)
    data = out.getvalue()
    more = segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x/>") + segment(0xE0, b"JFXX\0\x10" + b"\xff\xd8\xff\xd9")
    return data[:20] + more + data[20:] + b"behind the end"


@pytest.mark.parametrize("how", [{}, {"progressive": True}, {"restart_marker_blocks": 2}, {"optimize": True, "subsampling": 0}], ids=str)
@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("turned", range(1, 9))
def test_only_the_picture_is_left(turned: int, order: str, how: dict[str, object]) -> None:
    """No place, maker, words, profile or second picture is left in the bytes; every pixel and the way up are the same; a second
    time nothing is left to take away. Whole, in scans and with restarts; Exif in either order of bytes."""
    raw = photo(turned, order, **how)
    clean = bare(raw)
    assert [words for words in WORDS[:3] if words not in raw] == []
    assert [words for words in WORDS if words in clean] == []
    with Image.open(BytesIO(raw)) as before, Image.open(BytesIO(clean)) as after:
        assert before.tobytes() == after.tobytes()
        assert dict(after.getexif()) == ({ORIENTATION: turned} if turned > 1 else {})
        assert not after.getexif().get_ifd(GPS)
        assert set(after.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi", "exif", "progressive", "progression"}
    assert bare(clean) == clean


def test_colours_are_read_as_before() -> None:
    """Four inks: the segment that says how they are coded stays, or the picture would turn into its negative."""
    out = BytesIO()
    Image.new("CMYK", (16, 16), (10, 200, 30, 40)).save(out, "JPEG", comment=b"where it was")
    raw = out.getvalue()
    with Image.open(BytesIO(raw)) as before, Image.open(BytesIO(bare(raw))) as after:
        assert (before.mode, before.tobytes()) == (after.mode, after.tobytes())
        assert after.info["adobe"] == before.info["adobe"]


def test_what_is_cut_short_is_no_picture() -> None:
    """At every length short of the whole it is refused, never kept half; so is what is no JPEG."""
    raw = bare(photo(6))
    for size in range(len(raw)):
        with pytest.raises(NoPicture):
            bare(raw[:size])
    with pytest.raises(NoPicture):
        bare(b"GIF89a")


def test_a_marker_of_nought_outside_a_scan_is_refused() -> None:
    """What it holds would stay as if it were coded data of the picture."""
    with pytest.raises(NoPicture, match="a marker of it is none"):
        bare(b"\xff\xd8\xff\x00\x00\x0eSECRETGPS515\xff\xd9")


@given(st.integers(0, 10**6), st.binary(min_size=1, max_size=4))
def test_spoilt_bytes_are_refused_or_bare(at: int, put: bytes) -> None:
    """Bytes written over anywhere: a fault in words, or something in which nothing more is to take away; never another error."""
    raw = photo(3)
    at %= len(raw)
    try:
        clean = bare(raw[:at] + put + raw[at + len(put):])
    except NoPicture:
        return
    assert bare(clean) == clean
