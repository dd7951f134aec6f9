"""Photographs of a piece: taken in, captioned, chosen for quotes, removed and brought back."""

import secrets
from io import BytesIO

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from jobs.errors import PhotoRefused
from jobs.models import Piece, PiecePhoto
from studio.models import Account
from studio.services.pictures import PictureLimits, draw_anew

LARGEST_FILE_BYTES = 20 * 1024 * 1024
MOST_PHOTOS = 12
QUALITY = 86
NAME_BYTES = 16
LIMITS = PictureLimits(
    what="photograph", most_bytes=LARGEST_FILE_BYTES, most_pixels=60_000_000, kept_side_px=2000, refused=PhotoRefused
)  # fmt: skip


@transaction.atomic
def add_photo(*, piece: Piece, content: bytes, name: str, caption: str, on_quote: bool, by: Account) -> PiecePhoto:
    """Keep a photograph, drawn anew on white as JPEG: where it was taken, and by which camera, is not kept."""
    from PIL import Image

    kept = shown(_locked(piece))
    if len(kept) >= MOST_PHOTOS:
        raise PhotoRefused(f"{MOST_PHOTOS} photographs are kept of a piece. Remove one first; it can be brought back.")
    drawn = draw_anew(content=content, name=name, limits=LIMITS)
    paper = Image.new("RGB", drawn.size, "white")
    paper.paste(drawn, mask=drawn.getchannel("A"))
    out = BytesIO()
    paper.save(out, format="JPEG", quality=QUALITY, optimize=True)
    last = PiecePhoto.objects.filter(piece=piece).aggregate(last=Max("position"))["last"]
    photo = PiecePhoto(
        piece=piece, position=(last or 0) + 1, caption=caption, on_quote=on_quote, width_px=paper.width, height_px=paper.height,
        added_by=by,
    )  # fmt: skip
    photo.file.save(f"{secrets.token_hex(NAME_BYTES)}.jpg", ContentFile(out.getvalue()), save=False)
    photo.save()
    return photo


def change_photo(*, photo: PiecePhoto, caption: str, on_quote: bool) -> PiecePhoto:
    """Change what stands under a photograph, and whether quotes show it."""
    photo.caption, photo.on_quote = caption, on_quote
    photo.save(update_fields=["caption", "on_quote"])
    return photo


def remove_photo(*, photo: PiecePhoto) -> PiecePhoto:
    """Take a photograph off the page; its file stays, because quotes may show it, and it can be brought back."""
    photo.removed_at = timezone.now()
    photo.save(update_fields=["removed_at"])
    return photo


@transaction.atomic
def bring_back_photo(*, photo: PiecePhoto) -> PiecePhoto:
    """Put a removed photograph back."""
    if len(shown(_locked(photo.piece))) >= MOST_PHOTOS:
        raise PhotoRefused(f"{MOST_PHOTOS} photographs are kept of a piece. Remove one first.")
    photo.removed_at = None
    photo.save(update_fields=["removed_at"])
    return photo


def shown(piece: Piece) -> list[PiecePhoto]:
    """Return the photographs of a piece in their order, without those removed."""
    return list(PiecePhoto.objects.filter(piece=piece, removed_at=None))


def last_removed(piece: Piece) -> PiecePhoto | None:
    """Return the photograph removed last, to bring back."""
    found: PiecePhoto | None = PiecePhoto.objects.filter(piece=piece, removed_at__isnull=False).order_by("-removed_at").first()
    return found


def _locked(piece: Piece) -> Piece:
    locked: Piece = Piece.objects.select_for_update().get(pk=piece.pk)
    return locked
