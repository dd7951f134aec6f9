"""Photographs of a piece: what is kept of a file, and how they come and go."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from jobs.errors import PhotoRefused
from jobs.models import Job, PiecePhoto
from jobs.services.photos import MOST_PHOTOS, add_photo, bring_back_photo, last_removed, remove_photo, shown
from studio.models import Account
from tests.costing.rows import make_job
from tests.factories import AccountFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    return make_job()


@pytest.fixture
def account() -> Account:
    return AccountFactory()


def picture(kind: str = "JPEG", size: tuple[int, int] = (60, 40), **options: object) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, "peru").save(out, format=kind, **options)
    return out.getvalue()


def bytes_of(photo: PiecePhoto) -> bytes:
    with photo.file.open("rb") as file:
        content: bytes = file.read()
    return content


def kept(job: Job, account: Account, content: bytes) -> PiecePhoto:
    return add_photo(piece=job.piece, content=content, name="a.jpg", caption="The front", on_quote=True, by=account)


class TestAddPhoto:
    def test_keeps_the_pixels_upright_and_nothing_of_place_or_camera(self, job: Job, account: Account):
        exif = Image.Exif()
        exif[0x0112], exif[0x010F] = 6, "canary-camera"  # published: Exif 2.3, orientation 6 is turned a quarter
        photo = kept(job, account, picture(exif=exif))
        content = bytes_of(photo)
        assert b"canary" not in content
        with Image.open(BytesIO(content)) as drawn:
            assert (drawn.format, drawn.size) == ("JPEG", (40, 60)) == ("JPEG", (photo.width_px, photo.height_px))

    def test_keeps_a_large_one_2000_pixels_wide_and_a_clear_one_on_white(self, job: Job, account: Account):
        assert (kept(job, account, picture(size=(3000, 1500))).width_px) == 2000
        out = BytesIO()
        Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, format="PNG")
        with Image.open(BytesIO(bytes_of(kept(job, account, out.getvalue())))) as drawn:
            assert drawn.getpixel((5, 5)) == (255, 255, 255)

    @pytest.mark.parametrize("content", [b"no picture", b"<svg xmlns='http://www.w3.org/2000/svg'/>", picture()[:300]])
    def test_refuses_what_is_no_whole_picture(self, job: Job, account: Account, content: bytes):
        with pytest.raises(PhotoRefused):
            kept(job, account, content)
        assert shown(job.piece) == []

    def test_keeps_so_many_and_brings_back_the_one_removed_last(self, job: Job, account: Account):
        photos = [kept(job, account, picture(size=(4, 4))) for _ in range(MOST_PHOTOS)]
        with pytest.raises(PhotoRefused, match="Remove one first"):
            kept(job, account, picture())
        remove_photo(photo=photos[3])
        assert [photo.pk for photo in shown(job.piece)] == [photo.pk for photo in photos if photo.pk != photos[3].pk]
        again = last_removed(job.piece)
        assert again == photos[3]
        assert [photo.pk for photo in shown(bring_back_photo(photo=photos[3]).piece)] == [photo.pk for photo in photos]


class TestPhotoPages:
    def test_a_photograph_is_sent_shown_changed_removed_and_brought_back(self, client: Client, job: Job, account: Account):
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
        base = f"/jobs/{job.number}/piece/"
        sent = SimpleUploadedFile("front.jpg", picture(), content_type="image/jpeg")
        answer = client.post(f"{base}photographs/add/", {"photo": sent, "caption": "Front, as it came", "on_quote": "on"})
        assert answer.status_code == 302
        (photo,) = shown(job.piece)
        page = client.get(base).content.decode()
        assert "Front, as it came" in page
        assert f"{base}photographs/{photo.pk}.jpg" in page
        image = client.get(f"{base}photographs/{photo.pk}.jpg")
        assert image["Content-Type"] == "image/jpeg"
        assert image["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert b"".join(image.streaming_content)[:3] == b"\xff\xd8\xff"
        client.post(f"{base}photographs/{photo.pk}/change/", {"caption": "The back"})
        photo.refresh_from_db()
        assert (photo.caption, photo.on_quote) == ("The back", False)
        client.post(f"{base}photographs/{photo.pk}/change/", {"remove": "1"})
        assert shown(job.piece) == []
        assert "Bring it back" in client.get(base).content.decode()
        client.post(f"{base}photographs/{photo.pk}/back/")
        assert shown(job.piece) == [photo]

    def test_what_was_typed_beside_a_refused_file_stays(self, client: Client, job: Job, account: Account):
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
        sent = SimpleUploadedFile("front.jpg", b"no picture at all", content_type="image/jpeg")
        answer = client.post(f"/jobs/{job.number}/piece/photographs/add/", {"photo": sent, "caption": "Front <b>"})
        assert answer.status_code == 422
        page = answer.content.decode()
        assert "must be a PNG, JPEG or WebP picture" in page
        assert "Front &lt;b&gt;" in page
