"""The studio's logo: what is taken in, and how it is served."""

import zlib
from io import BytesIO
from pathlib import Path
from struct import pack

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image, ImageFile
from PIL.PngImagePlugin import PngInfo

from studio.access import Role
from studio.models import StudioProfile
from studio.services.errors import LogoError
from studio.services.logo import LARGEST_FILE_BYTES, clean_logo
from tests.factories import AccountFactory


def picture(kind: str = "PNG", size: tuple[int, int] = (40, 20), **options: object) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, "navy").save(out, format=kind, **options)
    return out.getvalue()


def lying_png(width: int, height: int) -> bytes:
    """A PNG whose head promises far more pixels than its few bytes hold."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return pack(">I", len(data)) + name + data + pack(">I", zlib.crc32(name + data))

    head = chunk(b"IHDR", pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")


class TestCleanLogo:
    @pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
    def test_draws_a_picture_anew_as_png(self, kind: str) -> None:
        clean = clean_logo(content=picture(kind), name="logo")
        with Image.open(BytesIO(clean.content)) as drawn:
            assert (drawn.format, drawn.size) == ("PNG", (40, 20))

    def test_strips_everything_but_the_pixels(self) -> None:
        exif = Image.Exif()
        exif[0x010E] = "canary-place"
        info = PngInfo()
        info.add_text("Comment", "canary-text")
        stained = [
            picture("JPEG", exif=exif),
            picture("PNG", pnginfo=info),
            picture("JPEG", icc_profile=b"canary-profile"),
            picture("PNG") + b"canary-tail<script>",
        ]
        for content in stained:
            assert b"canary" in content
            clean = clean_logo(content=content, name="a.png").content
            assert b"canary" not in clean
            with Image.open(BytesIO(clean)) as drawn:
                assert drawn.info == {}

    def test_turns_a_photograph_the_way_it_was_held(self) -> None:
        exif = Image.Exif()
        exif[0x0112] = 6  # published: Exif 2.3, orientation 6 is turned a quarter
        with Image.open(BytesIO(clean_logo(content=picture("JPEG", exif=exif), name="a.jpg").content)) as drawn:
            assert drawn.size == (20, 40)

    def test_keeps_at_most_1200_pixels_a_side(self) -> None:
        with Image.open(BytesIO(clean_logo(content=picture(size=(3000, 1500)), name="a.png").content)) as drawn:
            assert drawn.size == (1200, 600)

    def test_names_the_file_by_chance(self) -> None:
        names = {clean_logo(content=picture(), name="../../../x.png").stored_name for _ in range(5)}
        assert len(names) == 5
        assert all(len(name) == 36 and name.endswith(".png") and name[:32].isalnum() for name in names)

    @pytest.mark.parametrize("name", ["logo.svg", "logo.SVG", "logo.png", "logo"])
    def test_refuses_svg_whatever_it_is_called(self, name: str) -> None:
        for head in (
            b"<svg xmlns='http://www.w3.org/2000/svg'/>",
            b"\xef\xbb\xbf<?xml version='1.0'?><svg/>",
            b"  <SVG onload=alert(1)>",
        ):
            with pytest.raises(LogoError, match="SVG drawings are not taken"):
                clean_logo(content=head, name=name)

    @pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "ICO", "PPM", "TGA", "PDF"])
    def test_refuses_other_kinds_under_a_good_name(self, kind: str) -> None:
        with pytest.raises(LogoError, match="PNG, JPEG or WebP"):
            clean_logo(content=picture(kind), name="logo.png")

    @pytest.mark.parametrize("content", [b"", b"PK\x03\x04zip", b"%PDF-1.7", b"<html><script>alert(1)</script>", b"\0" * 100])
    def test_refuses_what_is_no_picture(self, content: bytes) -> None:
        with pytest.raises(LogoError):
            clean_logo(content=content, name="logo.png")

    @pytest.mark.parametrize("lenient", [False, True])
    def test_refuses_a_picture_that_ends_early(self, lenient: bool, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
        whole = picture("PNG", size=(300, 300))
        with pytest.raises(LogoError, match="damaged"):
            clean_logo(content=whole[: len(whole) // 2], name="logo.png")

    def test_refuses_more_pixels_than_its_limit(self) -> None:
        out = BytesIO()
        Image.new("1", (5_000, 4_001)).save(out, format="PNG")
        with pytest.raises(LogoError, match="5000 × 4001 pixels; a logo may have 20 million"):
            clean_logo(content=out.getvalue(), name="logo.png")

    def test_refuses_too_many_pixels_before_unpacking_them(self) -> None:
        for side in (5_000, 30_000, 2_000_000_000):
            with pytest.raises(LogoError, match=r"pixels|damaged|PNG, JPEG"):
                clean_logo(content=lying_png(side, side), name="logo.png")

    def test_refuses_a_file_beyond_its_limit(self) -> None:
        with pytest.raises(LogoError, match="4 MB"):
            clean_logo(content=b"\0" * (LARGEST_FILE_BYTES + 1), name="logo.png")


@pytest.mark.django_db
class TestLogoChange:
    @pytest.fixture
    def owner_client(self, client: Client) -> Client:
        client.force_login(AccountFactory())
        return client

    def upload(self, client: Client, content: bytes, name: str = "../evil.png"):
        return client.post("/studio/logo/change/", {"logo": SimpleUploadedFile(name, content, "image/png")})

    def test_keeps_the_picture_under_a_random_name_and_forgets_the_old_file(
        self, owner_client: Client, documents_folder: Path, django_capture_on_commit_callbacks
    ) -> None:
        assert self.upload(owner_client, picture()).status_code == 302
        first = StudioProfile.objects.current().logo
        assert first.name.startswith("logo/")
        assert "evil" not in first.name
        with django_capture_on_commit_callbacks(execute=True):
            self.upload(owner_client, picture(size=(10, 10)))
        second = StudioProfile.objects.current().logo
        assert second.storage.exists(second.name)
        assert not second.storage.exists(first.name)
        with django_capture_on_commit_callbacks(execute=True):
            owner_client.post("/studio/logo/remove/")
        assert StudioProfile.objects.current().logo.name == ""
        assert not second.storage.exists(second.name)

    def test_says_why_a_file_is_refused(self, owner_client: Client) -> None:
        response = self.upload(owner_client, b"<svg/>", "logo.svg")
        assert response.status_code == 422
        assert "Export the logo as a PNG" in response.content.decode()
        response = owner_client.post("/studio/logo/change/")
        assert response.status_code == 422
        assert "Choose a picture first." in response.content.decode()

    def test_is_served_as_a_picture_that_can_do_nothing_else(self, owner_client: Client) -> None:
        assert owner_client.get("/studio/logo/").status_code == 404
        self.upload(owner_client, picture())
        response = owner_client.get("/studio/logo/")
        assert response["Content-Type"] == "image/png"
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert b"".join(response.streaming_content).startswith(b"\x89PNG")
        assert Client().get("/studio/logo/").status_code == 302

    def test_is_for_the_owner_only(self, client: Client) -> None:
        client.force_login(AccountFactory(role=Role.OFFICE))
        assert self.upload(client, picture()).status_code == 403
