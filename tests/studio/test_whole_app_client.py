"""What a client opens by a private link shows nothing of what the studio reckons with, in any quote of the demo."""

import re
from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.test import Client

from costing.frozen import read_figures
from costing.models import Quote
from jobs.models import Job
from materials.models import Pack
from studio.access import Role
from studio.figures import Figure
from studio.models import Account, Person, StudioProfile
from studio.web.formats import money_text
from studio.web.working import shown_of
from tests.studio.demo_rows import token_of, visit

pytestmark = pytest.mark.django_db
INNER_WORDS = re.compile(
    r"\b(?:margin|markup|mark-up|overhead|labour rate|profit|contingency|cost of|hours? of work)\b", re.IGNORECASE
)


def shown_to_clients(quote: Quote) -> set[str]:
    """Return the amounts that a quote states itself; an inner one that happens to equal one of them is no leak."""
    profile = StudioProfile.objects.current()
    lines = [*quote.lines.all(), *quote.options.all()]
    amounts = [quote.net_total, quote.tax_total, quote.gross_total, quote.deposit, quote.balance]
    amounts += [amount for line in lines for amount in (line.net, line.tax, line.unit_price)]
    amounts += [Decimal(item["unit_price"]) for item in quote.content["breaks"]]
    return {money_text(amount, quote.currency, profile.locale, False) for amount in amounts}


def figures_in(figure: Figure) -> Iterator[Figure]:
    yield figure
    for item in figure.given:
        if isinstance(item, Figure):
            yield from figures_in(item)


def inner_of(quote: Quote) -> Iterator[tuple[str, str]]:
    """Go through what only the studio may see: money, hours, rates and shares of the frozen inside, prices of packs."""
    profile, known = StudioProfile.objects.current(), shown_to_clients(quote)
    for top in read_figures(quote.inner["figures"]):
        for figure in figures_in(top):
            shown = str(shown_of(figure, profile))
            digits = sum(sign.isdigit() for sign in shown)
            money = figure.unit.startswith("money")
            if (money and digits >= 4 and shown not in known) or (figure.unit == "h" and digits >= 2):
                yield figure.label, shown
    for pack in Pack.objects.all():
        price = money_text(pack.price, profile.currency, profile.locale, False)
        if price not in known:
            yield "pack", price


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", page)).replace("\xa0", " ")


def leaks(quote: Quote, page: str) -> list[str]:
    words = text_of(page)
    # Numbers are looked for whole: 12.50 is not in 112.50, and 1,831 not in 1,831.20.
    found = [
        f"{label}: {shown}"
        for label, shown in inner_of(quote)
        if re.search(rf"(?<![\d.,]){re.escape(shown.replace(chr(0xA0), ' '))}(?![\d]|[.,]\d)", words)
    ]
    found += INNER_WORDS.findall(words)
    others = Job.objects.exclude(pk=quote.job_id).select_related("client")
    names = {other.title for other in others} | {other.client.name for other in others} - {quote.job.client.name}
    names |= {account.email for account in Account.objects.all()} | {person.name for person in Person.objects.all()}
    names |= {account.name for account in Account.objects.all()}
    return found + [name for name in names if name in page]


class TestClientsPages:
    def test_show_nothing_inner_of_any_quote(self, demo: dict[Role, Client]) -> None:
        quotes = list(Quote.objects.select_related("job__client"))
        assert len(quotes) >= 2
        stranger = Client()
        for quote in quotes:
            assert len(list(inner_of(quote))) > 10
            for place in ("", "answer/?to=accepted&option=1", "answer/?to=declined", "?option=1&option=2"):
                page = visit(stranger, f"/q/{token_of(quote)}/{place}")
                assert page.status_code == 200
                assert leaks(quote, page.body.decode()) == []
                assert str(quote) in page.body.decode() or quote.state != "offered" or place

    def test_would_be_found_out(self, demo: dict[Role, Client]) -> None:
        quote = Quote.objects.select_related("job__client").first()
        address = f"/q/{token_of(quote)}/"
        label, inner = next(iter(inner_of(quote)))
        for planted, told in (
            (f"It costs us {inner}.", f"{label}: {inner}"),
            ("Our margin is good.", "margin"),
            (Account.objects.first().email, Account.objects.first().email),
            (Job.objects.exclude(pk=quote.job_id).first().title, Job.objects.exclude(pk=quote.job_id).first().title),
        ):
            Quote.objects.filter(pk=quote.pk).update(scope=planted)
            assert told in leaks(quote, Client().get(address).content.decode())
