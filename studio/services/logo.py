"""Take a picture in as the studio's logo: opened by known decoders only, drawn anew, stripped of everything else."""

import contextlib
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from studio.services.errors import LogoError

FORMATS = ("PNG", "JPEG", "WEBP")
LARGEST_FILE_BYTES = 4 * 1024 * 1024
LARGEST_PIXELS = 20_000_000
KEPT_SIDE_PX = 1200
NAME_BYTES = 16

SMALLER = "Save it smaller, 1200 pixels wide or so."
WRONG_KIND = "The logo must be a PNG, JPEG or WebP picture. Save it as one of these and choose it again."
SVG = "SVG drawings are not taken, because they can carry scripts. Export the logo as a PNG, 1200 pixels wide or so."


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanLogo:
    """A logo that was drawn anew: its bytes, and a random name to keep it under."""

    content: bytes
    stored_name: str


def clean_logo(*, content: bytes, name: str) -> CleanLogo:
    """Check an uploaded picture and draw it anew as PNG, at most 1200 pixels a side."""
    if len(content) > LARGEST_FILE_BYTES:
        raise LogoError(f"A logo may have {LARGEST_FILE_BYTES // 1024**2} MB; this file has more. Save it smaller.")
    head = content[:1024].lstrip().lower()
    if name.lower().endswith((".svg", ".svgz")) or head.startswith((b"<svg", b"<?xml", b"<!doctype", b"\xef\xbb\xbf<")):
        raise LogoError(SVG)
    try:
        with _whole_pictures_only(), Image.open(BytesIO(content), formats=FORMATS) as picture:
            _refuse_huge(picture)
            picture.load()
            drawn = ImageOps.exif_transpose(picture).convert("RGBA")
    except UnidentifiedImageError:
        raise LogoError(WRONG_KIND) from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise LogoError(f"This picture has too many pixels. {SMALLER}") from None
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError):
        raise LogoError("This picture is damaged and cannot be opened. Save it again and choose it anew.") from None
    drawn.thumbnail((KEPT_SIDE_PX, KEPT_SIDE_PX))
    return CleanLogo(content=_as_png(drawn), stored_name=f"{secrets.token_hex(NAME_BYTES)}.png")


@contextlib.contextmanager
def _whole_pictures_only() -> Iterator[None]:
    """Refuse a picture that ends early: the package that lays out prints switches that off for a whole process."""
    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def _refuse_huge(picture: Image.Image) -> None:
    width, height = picture.size
    if width * height > LARGEST_PIXELS:
        raise LogoError(
            f"This picture has {width} × {height} pixels; a logo may have {LARGEST_PIXELS // 1_000_000} million in all. {SMALLER}"
        )


def _as_png(drawn: Image.Image) -> bytes:
    bare = Image.new("RGBA", drawn.size)
    bare.paste(drawn)
    out = BytesIO()
    bare.save(out, format="PNG", optimize=True)
    return out.getvalue()
