"""Photos made small enough for paper: turned upright, without what the camera wrote beside the picture."""

from __future__ import annotations

import io
import warnings

from PIL import Image, ImageOps, UnidentifiedImageError

PIXELS_MAX = 60_000_000  # `service.pictures` takes no larger one in; an older or foreign file may be
_QUALITY = 78


def shrunk(content: bytes, *, side: int, line: bool = False) -> bytes | None:
    """The picture with at most `side` pixels on a side, as JPEG; None where it cannot be read.

    Place, camera and time that a phone writes into the file are left out. `line` keeps a drawing (a signature) as PNG.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as picture:
                if picture.width * picture.height > PIXELS_MAX:
                    return None
                return _written(picture, side, line)
    except (UnidentifiedImageError, Image.DecompressionBombError, Image.DecompressionBombWarning, OSError, SyntaxError, ValueError):
        return None


def _written(picture: Image.Image, side: int, line: bool) -> bytes:
    picture.draft("RGB", (side, side))  # a JPEG is unfolded at the least size that is large enough
    upright = ImageOps.exif_transpose(picture)
    upright.thumbnail((side, side))
    flat = Image.new("RGB", upright.size, "white")
    clear = upright.convert("RGBA") if upright.mode in ("RGBA", "LA", "P", "PA") else None
    flat.paste(clear or upright.convert("RGB"), mask=clear)
    out = io.BytesIO()
    flat.save(out, "PNG", optimize=False) if line else flat.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()
