"""A quote as its client reads it: picked value by value from what was frozen, so that nothing inner can come along."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.safestring import mark_safe

from costing.models import Quote, QuoteAnswer, QuoteLink, QuoteOption
from costing.printing import long_day, replaced_words
from costing.services.agreed import Agreed, totals_agreed
from costing.services.pictures import image_of
from costing.services.stages import Stage, stages_of
from studio.models import Document, StudioProfile
from studio.web.formats import locale_code, locale_of


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientLine:
    """A line that is paid for in any case."""

    text: str
    quantity: Decimal
    unit_price: Decimal
    net: Decimal
    tax_percent: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientOption(ClientLine):
    """A line that the client may tick."""

    position: int
    ticked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxSum:
    """The tax of all lines at one rate."""

    percent: Decimal
    net: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientPicture:
    """A picture that was frozen: a drawing in place, or an image at an address of its own."""

    position: int
    caption: str
    alt: str
    svg: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientAnswer:
    """What was answered, by whom and when."""

    accepted: bool
    name: str
    words: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientQuote:
    """All that the page shows."""

    name: str
    title: str
    version: int
    issued: str
    valid_until: str
    run_out: bool
    currency: str
    lines: tuple[ClientLine, ...]
    options: tuple[ClientOption, ...]
    totals: Agreed
    tax_sums: tuple[TaxSum, ...]
    stages: tuple[Stage, ...]
    answer: ClientAnswer | None
    pictures: tuple[ClientPicture, ...]
    has_print: bool
    replaced: str
    text: Mapping[str, Any]

    @property
    def spoken(self) -> str:
        """Its name within a sentence."""
        return self.name[:1].lower() + self.name[1:]

    @property
    def open(self) -> bool:
        """Whether it can be answered today."""
        return self.answer is None and not self.run_out

    @property
    def ticked(self) -> list[ClientOption]:
        """The options that count in the totals."""
        return [option for option in self.options if option.ticked]


# What of the frozen words stands on the page; anything else that is kept beside them does not.
WORDS = ("client", "piece", "making", "size", "lead_time", "exclusions", "ownership", "to_know", "cautions")
OF_A_CLIENT = ("name", "contact", "address")


def read_quote(link: QuoteLink, profile: StudioProfile, ticked: Iterable[int] = ()) -> ClientQuote:
    """Gather what the client reads, with the totals of the options ticked; once it is answered, of those chosen then."""
    quote: Quote = link.quote
    answer = quote.answers.filter(taken_back_at=None).first() if quote.state != Quote.State.OFFERED else None
    wanted = set(answer.option_positions if answer else ticked)
    options = list(quote.options.all())
    chosen = [option for option in options if option.position in wanted]
    totals = totals_agreed(quote, [option.position for option in chosen])
    lines = [_line(line) for line in quote.lines.all()]
    content = quote.content if isinstance(quote.content, Mapping) else {}
    return ClientQuote(
        name=str(quote),
        title=str(content.get("job", {}).get("title", "")),
        version=quote.version,
        issued=long_day(quote.issued_on, profile),
        valid_until=long_day(quote.valid_until_on, profile),
        run_out=quote.valid_until_on < timezone.localdate(),
        currency=quote.currency,
        lines=tuple(lines),
        options=tuple(_option(option, wanted) for option in options),
        totals=totals,
        tax_sums=_tax_sums([*lines, *(_line(option) for option in chosen)]),
        stages=tuple(stages_of(quote, totals.gross)),
        answer=_answer(quote, answer, profile),
        pictures=_pictures(content),
        has_print=_is_printed(quote),
        replaced=replaced_words(content, profile),
        text=_words(quote, content),
    )


def ticked_in(asked: Iterable[str], quote: Quote) -> tuple[int, ...]:
    """Return the positions of options that an address or a form names; what names none is left out."""
    wanted = {int(word) for word in asked if word.isascii() and word.isdigit() and len(word) < 6}
    return tuple(position for position in quote.options.values_list("position", flat=True) if position in wanted)


def is_open(quote: Quote) -> bool:
    """Say whether a quote can be answered today."""
    return quote.state == Quote.State.OFFERED and quote.valid_until_on >= timezone.localdate()


def latest_print(quote: Quote) -> Document | None:
    """Return the newest print of a quote that is ready."""
    from costing.services.quotes import DOCUMENT_KIND

    rows = Document.objects.filter(kind=DOCUMENT_KIND, subject_id=quote.pk, state=Document.State.READY)
    return rows.order_by("-created_at", "-pk").first()


def _line(line: Any) -> ClientLine:
    return ClientLine(**{name: getattr(line, name) for name in ("text", "quantity", "unit_price", "net", "tax_percent", "tax")})


def _option(option: QuoteOption, wanted: set[int]) -> ClientOption:
    same = {name: getattr(option, name) for name in ("text", "quantity", "unit_price", "net", "tax_percent", "tax")}
    return ClientOption(**same, position=option.position, ticked=option.position in wanted)


def _tax_sums(lines: Iterable[ClientLine]) -> tuple[TaxSum, ...]:
    sums: dict[Decimal, TaxSum] = {}
    for line in lines:
        before = sums.get(line.tax_percent, TaxSum(percent=line.tax_percent, net=Decimal(0), tax=Decimal(0)))
        sums[line.tax_percent] = TaxSum(percent=line.tax_percent, net=before.net + line.net, tax=before.tax + line.tax)
    return tuple(sums.values())


def _answer(quote: Quote, answer: QuoteAnswer | None, profile: StudioProfile) -> ClientAnswer | None:
    if quote.state == Quote.State.OFFERED:
        return None
    accepted = quote.state == Quote.State.ACCEPTED
    if answer is None:
        # Marked before answers were kept.
        return ClientAnswer(accepted=accepted, name="", words="", at=_long_moment(quote.state_changed_at, profile))
    return ClientAnswer(accepted=accepted, name=answer.name, words=answer.words, at=_long_moment(answer.answered_at, profile))


def _long_moment(at: datetime.datetime, profile: StudioProfile) -> str:
    """Write a moment with its year, as a record needs it."""
    from babel.dates import format_time

    local = timezone.localtime(at)
    return f"{long_day(local.date(), profile)}, {format_time(local.time(), 'short', locale=locale_of(locale_code(profile)))}"


def picture_bytes(quote: Quote, position: int) -> bytes | None:
    """Return an image that was frozen, if there is one at this position."""
    item = dict(_frozen_pictures(quote.content if isinstance(quote.content, Mapping) else {})).get(position)
    return image_of(item) if item else None


def _pictures(content: Mapping[str, Any]) -> tuple[ClientPicture, ...]:
    return tuple(
        ClientPicture(
            position=position,
            caption=str(item.get("caption", "")),
            alt=str(item.get("alt", "")),
            # Written by this program's own drawing when the quote was frozen.
            svg=mark_safe(item["svg"]) if item.get("svg") else "",  # noqa: S308
        )
        for position, item in _frozen_pictures(content)
    )


def _frozen_pictures(content: Mapping[str, Any]) -> list[tuple[int, Mapping[str, Any]]]:
    kept = content.get("pictures")
    pictures = kept if isinstance(kept, list) else []
    return [(position, item) for position, item in enumerate(pictures, start=1) if isinstance(item, Mapping)]


def _is_printed(quote: Quote) -> bool:
    return latest_print(quote) is not None


def _words(quote: Quote, content: Mapping[str, Any]) -> dict[str, Any]:
    found = {name: content.get(name) for name in WORDS}
    client = content.get("client") or {}
    return {
        **found,
        "client": {name: client.get(name, "") for name in OF_A_CLIENT},
        "breaks": [(item["quantity"], Decimal(item["unit_price"]), Decimal(item["net"])) for item in content.get("breaks") or ()],
        "scope": quote.scope,
        "terms": quote.terms,
    }
