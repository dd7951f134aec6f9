"""Take a picture in as the studio's logo."""

import secrets
from dataclasses import dataclass
from io import BytesIO

from studio.services.errors import LogoError
from studio.services.pictures import PictureLimits, draw_anew

LARGEST_FILE_BYTES = 4 * 1024 * 1024
LIMITS = PictureLimits(
    what="logo", most_bytes=LARGEST_FILE_BYTES, most_pixels=20_000_000, kept_side_px=1200, refused=LogoError
)  # fmt: skip
NAME_BYTES = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanLogo:
    """A logo that was drawn anew: its bytes, and a random name to keep it under."""

    content: bytes
    stored_name: str


def clean_logo(*, content: bytes, name: str) -> CleanLogo:
    """Check an uploaded picture and draw it anew as PNG, at most 1200 pixels a side."""
    out = BytesIO()
    draw_anew(content=content, name=name, limits=LIMITS).save(out, format="PNG", optimize=True)
    return CleanLogo(content=out.getvalue(), stored_name=f"{secrets.token_hex(NAME_BYTES)}.png")
