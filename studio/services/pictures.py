"""Take an uploaded picture in: opened by known decoders only and drawn anew, so that nothing but its pixels is kept."""

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from studio.errors import StudioError

FORMATS = ("PNG", "JPEG", "WEBP")


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureLimits:
    """What a picture of one kind may be, how large it is kept, and the error that refuses another."""

    what: str
    most_bytes: int
    most_pixels: int
    kept_side_px: int
    refused: type[StudioError]

    @property
    def smaller(self) -> str:
        """What to do with a picture that is too large."""
        return f"Save it smaller, {self.kept_side_px} pixels wide or so."


def draw_anew(*, content: bytes, name: str, limits: PictureLimits) -> Image.Image:
    """Check an uploaded picture and return it upright, at most as large as it is kept, without anything beside its pixels."""
    what, refused = limits.what, limits.refused
    if len(content) > limits.most_bytes:
        raise refused(f"A {what} may have {limits.most_bytes // 1024**2} MB; this file has more. Save it smaller.")
    head = content[:1024].lstrip().lower()
    if name.lower().endswith((".svg", ".svgz")) or head.startswith((b"<svg", b"<?xml", b"<!doctype", b"\xef\xbb\xbf<")):
        raise refused(
            f"SVG drawings are not taken, because they can carry scripts. Export the {what} as a PNG, "
            f"{limits.kept_side_px} pixels wide or so."
        )
    try:
        with _whole_pictures_only(), Image.open(BytesIO(content), formats=FORMATS) as picture:
            _refuse_huge(picture, limits)
            picture.load()
            drawn = ImageOps.exif_transpose(picture).convert("RGBA")
    except UnidentifiedImageError:
        raise refused(f"The {what} must be a PNG, JPEG or WebP picture. Save it as one of these and choose it again.") from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise refused(f"This picture has too many pixels. {limits.smaller}") from None
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError):
        raise refused("This picture is damaged and cannot be opened. Save it again and choose it anew.") from None
    drawn.thumbnail((limits.kept_side_px, limits.kept_side_px))
    bare = Image.new("RGBA", drawn.size)
    bare.paste(drawn)
    return bare


@contextlib.contextmanager
def _whole_pictures_only() -> Iterator[None]:
    """Refuse a picture that ends early: the package that lays out prints switches that off for a whole process."""
    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def _refuse_huge(picture: Image.Image, limits: PictureLimits) -> None:
    width, height = picture.size
    if width * height > limits.most_pixels:
        raise limits.refused(
            f"This picture has {width} × {height} pixels; a {limits.what} may have {limits.most_pixels // 1_000_000} million "
            f"in all. {limits.smaller}"
        )
