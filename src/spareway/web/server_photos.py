"""Photos on a server: turned as they were held, made small, and copied by their pixels so that nothing else of them is kept.

On a phone the page's own canvas does the same before anything is sent.
"""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageOps, UnidentifiedImageError

from spareway.doc import Fault, InputError

__all__ = ["LONGEST_PX", "MOST_PIXELS", "cleaned"]

LONGEST_PX, QUALITY = 1600, 85
MOST_PIXELS = 60_000_000  # no camera in a pocket takes more; a small file may claim far more than memory holds
KINDS = ("JPEG", "PNG", "WEBP")


def cleaned(data: bytes) -> bytes:
    """A JPEG of at most LONGEST_PX, upright, with no place, time or maker in it. Errors: InputError for what is no picture."""
    try:
        with Image.open(BytesIO(data), formats=KINDS) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise _refused(f"{picture.width} x {picture.height}", "has too many pixels", f"at most {MOST_PIXELS}")
            picture.draft("RGB", (LONGEST_PX, LONGEST_PX))
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as problem:
        raise _refused(data[:8].hex(), f"cannot be read as a picture: {type(problem).__name__}", ", ".join(KINDS)) from None
    upright.thumbnail((LONGEST_PX, LONGEST_PX))
    bare = Image.frombytes("RGB", upright.size, upright.tobytes())
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def _refused(read: str, says: str, allowed: str) -> InputError:
    return InputError([Fault("photo", None, "", read, says, allowed)])
