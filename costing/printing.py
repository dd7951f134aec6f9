"""The printed quote: what was frozen, laid out for the client, and nothing of cost, hours or margin."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from costing import ubl
from costing.errors import CostingError, QuoteTooLong
from costing.models import Quote
from costing.services.options import MOST_OPTIONS
from costing.services.pictures import image_names, images_of
from costing.wording import long_date
from studio.documents.pdf import render_pdf, studio_logo
from studio.documents.press import PressFile
from studio.documents.registry import RenderedFile
from studio.models import Document, StudioProfile
from studio.web.context import using_profile
from studio.web.formats import locale_code

MOST_LINES = 1_000
TEMPLATE = "print/quote.html"
# For keeping, with the structure that a reader aloud needs (ISO 19005-3, conformance A), and room for a file.
ARCHIVAL = "pdf/a-3a"
ATTACHED = "The same quote as a UBL 2.1 Quotation, for the client's books"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxSum:
    """The tax of all lines at one rate."""

    percent: Decimal
    net: Decimal
    tax: Decimal


def render_quote(document: Document) -> RenderedFile:
    """Lay out the print of a frozen quote."""
    quote = Quote.objects.select_related("job").filter(pk=document.subject_id).first()
    if quote is None:
        raise CostingError("The quote of this print is gone; open the quote that is there and print that one.")
    profile = profile_when_frozen(quote)
    logo = studio_logo()
    with using_profile(profile):
        images = images_of(content_of(quote))
        context = print_context(quote, profile) | {"has_logo": bool(logo), "images": images}
        attached = PressFile(name=ubl.file_name(quote), content=ubl.quotation_xml(quote), description=ATTACHED)
        content = render_pdf(
            TEMPLATE,
            context,
            paper=profile.paper,
            images=logo | images,
            pdf_variant=ARCHIVAL,
            attachments=(attached,),
        )
    return RenderedFile(content=content, content_type="application/pdf", filename=file_name(quote))


def print_context(quote: Quote, profile: StudioProfile) -> dict[str, Any]:
    """Gather what the template prints, all of it frozen."""
    lines = list(quote.lines.all()[: MOST_LINES + 1])
    if len(lines) > MOST_LINES:
        raise QuoteTooLong(f"This quote has more than {MOST_LINES} lines, too many to print. Split it into two quotes.")
    content = content_of(quote)
    issued, valid_until = (long_day(on, profile) for on in (quote.issued_on, quote.valid_until_on))
    return {
        "quote": quote,
        "issued": issued,
        "block_facts": [
            ("Client", content.get("client", {}).get("name", "")),
            ("Version", quote.version),
            ("Date", issued),
            ("Valid until", valid_until),
        ],
        "contact": [part for part in (profile.phone, profile.email, profile.website, profile.registration) if part],
        "content": content,
        "profile": profile,
        "lines": lines,
        "tax_sums": _tax_sums(lines),
        "options": _options(quote),
        "pictures": [(name, item, frozen_svg(item)) for name, item in image_names(content)],
        "replaced": replaced_words(content, profile),
        "breaks": [(item["quantity"], _amount(item["unit_price"]), _amount(item["net"])) for item in content.get("breaks", ())],
        "payments": [(item["label"], _amount(item["amount"])) for item in content.get("payments", ())],
    }


def content_of(quote: Quote) -> Mapping[str, Any]:
    """Return what was frozen for the client, empty where it is of another form."""
    return quote.content if isinstance(quote.content, Mapping) else {}


def frozen_svg(picture: Mapping[str, str]) -> SafeString | str:
    """Return the markup of a frozen drawing, which this program wrote itself."""
    return mark_safe(picture["svg"]) if picture.get("svg") else ""  # noqa: S308 - written by studio.web.drawing, kept as it was


def replaced_words(content: Mapping[str, Any], profile: StudioProfile) -> str:
    """Say which version a quote takes the place of, and what changed; empty in a first version."""
    told = content.get("replaces")
    if not isinstance(told, Mapping):
        return ""
    issued = long_day(date.fromisoformat(str(told["issued_on"])), profile)
    changed = "; ".join(map(str, told.get("changed") or ()))
    words = f"In place of version {told['version']} of {issued}"
    return f"{words}; changed: {changed}." if changed else f"{words}; nothing in it has changed but its dates."


def profile_when_frozen(quote: Quote) -> StudioProfile:
    """Return the studio as it was when the quote was frozen: its name, money, units and paper."""
    content = content_of(quote)
    studio, money = content.get("studio", {}), content.get("money", {})
    now = StudioProfile.objects.current()
    return StudioProfile(
        name=studio.get("name", now.name),
        address=studio.get("address", now.address),
        email=studio.get("email", now.email),
        phone=studio.get("phone", now.phone),
        website=studio.get("website", now.website),
        registration=studio.get("registration", now.registration),
        currency=quote.currency,
        tax_name=money.get("tax_name", now.tax_name),
        locale=money.get("locale", now.locale),
        units=content.get("units", now.units),
        paper=content.get("paper", now.paper),
    )


def file_name(quote: Quote) -> str:
    """Name the file so that versions do not overwrite each other."""
    return f"quote-{quote.number}-version-{quote.version}.pdf"


def _options(quote: Quote) -> list[Mapping[str, Any]]:
    """Return the options with what each adds, tax included."""
    rows = quote.options.all()[:MOST_OPTIONS]
    return [
        {
            "text": row.text,
            "quantity": row.quantity,
            "unit_price": row.unit_price,
            "net": row.net,
            "gross": row.net + row.tax,
        }
        for row in rows
    ]


def _tax_sums(lines: list[Any]) -> list[TaxSum]:
    sums: dict[Decimal, TaxSum] = {}
    for line in lines:
        before = sums.get(line.tax_percent, TaxSum(percent=line.tax_percent, net=Decimal(0), tax=Decimal(0)))
        sums[line.tax_percent] = TaxSum(percent=line.tax_percent, net=before.net + line.net, tax=before.tax + line.tax)
    return list(sums.values())


def long_day(on: date, profile: StudioProfile) -> str:
    """Write a date with its year, as a contract needs it."""
    return long_date(on, locale_code(profile))


def _amount(text: object) -> Decimal:
    try:
        return Decimal(str(text))
    except InvalidOperation:
        raise CostingError("An amount of this quote cannot be read; freeze the quote anew.") from None
