"""A photo as it goes into a page: small enough to send, and without what the camera wrote into it."""

from __future__ import annotations

import io
import warnings

LONGEST_SIDE = 1400
MOST_PIXELS = 60_000_000
"""A phone's largest; more is a file that means to fill the memory."""


def shrunk(data: bytes, longest: int = LONGEST_SIDE) -> bytes | None:
    """JPEG without place, time and device; None where it is no picture that can be opened.

    The picture is turned as the camera meant it first, since that note is lost with the others.
    """
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as found:
                if found.width * found.height > MOST_PIXELS:
                    return None
                found.draft("RGB", (longest, longest))
                turned = ImageOps.exif_transpose(found).convert("RGB")
        turned.thumbnail((longest, longest))
        plain = Image.new("RGB", turned.size)
        plain.paste(turned)
        out = io.BytesIO()
        plain.save(out, "JPEG", quality=82, optimize=True)
    # Pillow raises many kinds for damaged files, and a page goes on without the photo.
    except Exception:
        return None
    return out.getvalue()
