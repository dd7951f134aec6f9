import re
from collections.abc import Callable
from datetime import timedelta
from io import BytesIO

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from PIL import Image

from costing.client import limits
from costing.client.tokens import address_of
from costing.models import Quote, QuoteLink
from costing.services.links import make_link, revoke_link
from costing.services.quotes import freeze_quote
from jobs.models import Job
from jobs.services.photos import add_photo, remove_photo
from studio.access import Role
from studio.models import Account, StudioProfile
from tests.factories import QuoteFactory

pytestmark = pytest.mark.django_db


def text_of(answer: object) -> str:
    return re.sub(r"[\s\u00a0]+", " ", answer.content.decode())


class TestReading:
    def test_shows_the_quote_and_how_its_total_changes_with_the_options(self, client: Client, quote: Quote) -> None:
        StudioProfile.objects.update(name="Two Willows", email="hello@willows.example", currency="USD", locale="de_DE")
        path = f"/q/{make_link(quote=quote, by=None)}/"
        page = client.get(path)
        words = text_of(page)
        for part in (str(quote), "Two Willows", "hello@willows.example", "Mold of the finial", "Option no. 1", "We lay a mold"):
            assert part in words
        assert "120,00 €" in words
        assert "sevenhours" not in words
        ticked = text_of(client.get(path, {"option": ["1", "9", "x"]}))
        assert "180,00 €" in ticked
        assert 'value="1" checked' in ticked
        part = client.get(path, {"option": ["1", "2"]}, headers={"HX-Request": "true"})
        assert "192,00 €" in text_of(part)
        assert "<html" not in text_of(part)

    def test_shows_the_photographs_that_were_frozen(self, client: Client, job: Job, account: Account) -> None:
        out = BytesIO()
        Image.new("RGB", (60, 40), "peru").save(out, format="JPEG")
        photo = add_photo(
            piece=job.piece, content=out.getvalue(), name="a", caption="The front", on_quote=True, by=account
        )  # fmt: skip
        quote = freeze_quote(job=job, by=account)
        remove_photo(photo=photo)
        path = f"/q/{make_link(quote=quote, by=None)}/"
        page = client.get(path)
        assert "The front" in text_of(page)
        (source,) = re.findall(r'src="(/q/[^"]*/pictures/\d+/)"', page.content.decode())
        image = client.get(source)
        assert image["Content-Type"] == "image/jpeg"
        with Image.open(BytesIO(b"".join(image.streaming_content))) as picture:
            assert picture.size == (60, 40)
        assert client.get(f"{path}pictures/99/").status_code == 404

    def test_keeps_the_address_to_itself(self, client: Client, quote: Quote) -> None:
        token = make_link(quote=quote, by=None)
        for path in (f"/q/{token}/", f"/q/{token}/print/", "/q/nothing/"):
            answer = client.get(path)
            assert answer["Referrer-Policy"] == "no-referrer"
            assert "no-store" in answer["Cache-Control"]
            assert "noindex" in answer["X-Robots-Tag"]
        assert token not in str(client.get(f"/q/{token}/").headers)

    def test_is_noted_once_in_five_minutes_and_never_for_the_studio(
        self, client: Client, quote: Quote, signed_in: Callable[[Role], Client]
    ) -> None:
        path = f"/q/{make_link(quote=quote, by=None)}/"
        signed_in(Role.OWNER).get(path)
        client.head(path)
        assert QuoteLink.objects.get().first_read_at is None
        client.get(path)
        first = QuoteLink.objects.get().first_read_at
        assert first is not None
        client.get(path)
        assert QuoteLink.objects.get().last_read_at == first
        QuoteLink.objects.update(last_read_at=first - timedelta(minutes=6))
        client.get(path)
        assert QuoteLink.objects.get().first_read_at == first
        assert QuoteLink.objects.get().last_read_at > first - timedelta(minutes=1)

    def test_asks_as_often_for_many_lines_as_for_few(self, client: Client, job: Job) -> None:
        counts = []
        for lines in (0, 25):
            quote = QuoteFactory(job=job, lines=lines, state="declined")
            path = f"/q/{make_link(quote=quote, by=None)}/"
            client.get(path)
            with CaptureQueriesContext(
                connection,
            ) as asked:
                assert client.get(path).status_code == 200
            counts.append(len(asked))
        assert counts[0] == counts[1]


class TestWhatOpensNothing:
    def test_is_not_told_apart_when_unknown_or_revoked(self, client: Client, quote: Quote) -> None:
        old = make_link(quote=quote, by=None)
        anew = make_link(quote=quote, by=None)
        assert client.get(f"/q/{anew}/").status_code == 200
        revoke_link(quote=quote, by=None)
        guessed = [f"/q/{token}/" for token in (old, anew, "x" * 43, "a", QuoteLink.objects.last().token_hash)]
        answers = [client.get(path) for path in guessed]
        assert {answer.status_code for answer in answers} == {404}
        assert len({answer.content for answer in answers}) == 1
        assert len({str(sorted(answer.headers.items())) for answer in answers}) == 1

    def test_says_why_when_it_was_known(self, client: Client, quote: Quote) -> None:
        path = f"/q/{make_link(quote=quote, by=None)}/"
        for state, words in (("superseded", "later version"), ("withdrawn", "withdrawn")):
            Quote.objects.update(state=state)
            answer = client.get(path)
            assert answer.status_code == 410
            assert words in text_of(answer)
            assert "Orchard" not in text_of(answer)
        Quote.objects.update(state="offered")
        QuoteLink.objects.update(made_at=timezone.now() - timedelta(days=9), expires_at=timezone.now() - timedelta(seconds=1))
        assert "run out" in text_of(client.get(path))
        QuoteLink.objects.update(expires_at=timezone.now() + timedelta(seconds=30))
        assert client.get(path).status_code == 200

    def test_is_slowed_down_while_a_good_link_goes_on(self, client: Client, quote: Quote) -> None:
        path = f"/q/{make_link(quote=quote, by=None)}/"
        for n in range(limits.MOST_TRIES):
            assert client.get(f"/q/guess-{n}/").status_code == 404
        slowed = client.get("/q/one-more/")
        assert slowed.status_code == 429
        assert "Wait ten minutes" in text_of(slowed)
        assert slowed["Retry-After"] == "600"
        # A header that anybody can write makes nobody somebody else.
        assert client.get("/q/one-more/", headers={"X-Forwarded-For": "203.0.113.9"}).status_code == 429
        assert client.get("/q/one-more/", REMOTE_ADDR="203.0.113.9").status_code == 404
        assert client.get(path).status_code == 200

    def test_a_link_read_in_a_loop_rests(self, client: Client, quote: Quote, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(limits, "MOST_READINGS", 3)
        path = f"/q/{make_link(quote=quote, by=None)}/"
        assert [client.get(path).status_code for _ in range(5)] == [200, 200, 200, 429, 429]

    def test_opens_nothing_elsewhere(self, client: Client, quote: Quote) -> None:
        token = make_link(quote=quote, by=None)
        assert client.get(f"/feeds/{token}.ics").status_code == 404
        assert client.get(f"/join/{token}/").status_code == 410


class TestPrint:
    def test_comes_only_through_the_link(self, client: Client, job: Job, account: Account) -> None:
        from studio.documents.rendering import render_document
        from studio.models import Document

        quote = freeze_quote(job=job, by=account)
        token = make_link(quote=quote, by=account)
        assert client.get(f"/q/{token}/print/").status_code == 404
        assert "is being made" in text_of(client.get(f"/q/{token}/"))
        document = Document.objects.get()
        render_document(document.pk)
        answer = client.get(f"/q/{token}/print/")
        assert b"".join(answer.streaming_content).startswith(b"%PDF")
        assert answer["Content-Disposition"].startswith("attachment")
        assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert f"/q/{token}/print/" in text_of(client.get(f"/q/{token}/"))
        assert client.get(f"/documents/{document.public_id}/download/").status_code == 302
        revoke_link(quote=quote, by=account)
        assert client.get(f"/q/{token}/print/").status_code == 404


class TestLinkOfTheStudio:
    def test_is_shown_once_and_kept_as_a_hash(self, office: Client, quote: Quote) -> None:
        place = f"/quotes/{quote.number}/1/"
        assert "There is no link yet" in text_of(office.get(place))
        last = timezone.localdate() + timedelta(days=5)
        made = office.post(f"{place}link/", {"last_day_on": last.isoformat()})
        shown = re.search(r'value="[^"]*(/q/[\w-]{43}/)"', text_of(made))
        assert shown is not None
        link = QuoteLink.objects.get()
        assert timezone.localtime(link.expires_at).date() == last + timedelta(days=1)
        assert shown.group(1)[3:-1] not in str(QuoteLink.objects.values().get())
        assert office.get(shown.group(1)).status_code == 200
        assert "/q/" not in text_of(office.get(place))
        assert "Not read yet" in text_of(office.get(place))
        office.post(f"{place}link/revoke/")
        assert office.get(shown.group(1)).status_code == 404
        assert address_of("x").endswith("/q/x/")

    @pytest.mark.parametrize("wrong", ["", "soon", "2001-01-01", "9999-12-31", "\x00"])
    def test_is_not_made_for_a_day_that_cannot_be(self, office: Client, quote: Quote, wrong: str) -> None:
        answer = office.post(f"/quotes/{quote.number}/1/link/", {"last_day_on": wrong})
        assert answer.status_code == 422
        assert not QuoteLink.objects.exists()

    def test_is_not_made_for_a_version_that_was_replaced(self, office: Client, quote: Quote) -> None:
        Quote.objects.update(state="superseded")
        answer = office.post(f"/quotes/{quote.number}/1/link/", {"last_day_on": timezone.localdate().isoformat()})
        assert "only the version that stands" in text_of(answer)
        assert not QuoteLink.objects.exists()
