"""A frozen quote as a UBL 2.1 Quotation, so that a client's books can read it without typing.

Universal Business Language 2.1 (OASIS standard of 4 November 2013, also ISO/IEC 19845:2015). The order of elements is
that of its schemas. What the quote prints is in it, and nothing else: no cost, no hours, no margin.

Lines of work are quotation lines; what lifts or lowers the whole (haste, a discount, the least charge) stands as an
allowance or charge. An option becomes a line once the client has chosen it; until then it stands as a note.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from xml.etree.ElementTree import Element, SubElement, indent, register_namespace, tostring

from costing.models import Quote, QuoteLine, QuoteOption
from studio.documents.pdf import PRINTABLE

CONTENT_TYPE = "application/xml"
QUOTATION = "urn:oasis:names:specification:ubl:schema:xsd:Quotation-2"
AGGREGATE = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
BASIC = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"

# UN/ECE Recommendation 20: one piece; a month.
PIECE, MONTH = "C62", "MON"
# UN/ECE 5305: standard rate, zero rated. UN/ECE 5153: value added tax, goods and services tax, any other.
STANDARD_RATE, ZERO_RATED = "S", "Z"
TAX_SCHEMES = ("VAT", "GST")
OTHER_TAX = "OTH"

Kind = QuoteLine.Kind
# What lifts or lowers the whole price, and whether it is a charge.
ON_THE_WHOLE: dict[str, bool] = {Kind.RUSH: True, Kind.MINIMUM: True, Kind.DISCOUNT: False}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Money:
    """Writes amounts in the quote's currency, with its decimals."""

    currency: str
    places: int

    def put(self, parent: Element, name: str, amount: Decimal) -> None:
        _text(parent, name, f"{amount:.{self.places}f}").set("currencyID", self.currency)


def file_name(quote: Quote) -> str:
    """Name the file so that versions do not overwrite each other."""
    return f"quotation-{quote.number}-version-{quote.version}.xml"


def quotation_xml(quote: Quote) -> bytes:
    """Write a frozen quote as a UBL Quotation in UTF-8."""
    register_namespace("", QUOTATION)
    register_namespace("cac", AGGREGATE)
    register_namespace("cbc", BASIC)
    content: Mapping[str, Any] = quote.content if isinstance(quote.content, Mapping) else {}
    money = _Money(currency=quote.currency, places=int(content.get("money", {}).get("places", 2)))
    lines, options = list(quote.lines.all()), list(quote.options.all())
    chosen = [option for option in options if option.chosen]
    root = Element(f"{{{QUOTATION}}}Quotation")
    _text(root, "UBLVersionID", "2.1")
    _text(root, "ID", f"{quote.number}-{quote.version}")
    _text(root, "IssueDate", quote.issued_on.isoformat())
    for note in _notes(quote, content, [option for option in options if not option.chosen]):
        if note:
            _text(root, "Note", note)
    _text(root, "PricingCurrencyCode", quote.currency)
    on_lines: list[QuoteLine | QuoteOption] = [line for line in lines if line.kind not in ON_THE_WHOLE]
    on_lines += chosen
    _text(root, "LineCountNumeric", str(len(on_lines)))
    period = _part(root, "ValidityPeriod")
    _text(period, "StartDate", quote.issued_on.isoformat())
    _text(period, "EndDate", quote.valid_until_on.isoformat())
    _party(_part(root, "SellerSupplierParty"), content.get("studio", {}))
    _party(_part(root, "BuyerCustomerParty"), content.get("client", {}))
    if quote.terms:
        _text(_part(root, "TransactionConditions"), "Description", quote.terms)
    tax_name = str(content.get("money", {}).get("tax_name") or "Tax")
    on_whole = [line for line in lines if line.kind in ON_THE_WHOLE]
    for lifting in on_whole:
        _allowance_or_charge(root, lifting, money, tax_name)
    _tax_total(root, [*lines, *chosen], money, tax_name)
    _totals(root, on_lines, on_whole, money)
    for position, line in enumerate(on_lines, start=1):
        _line(root, position, line, money, tax_name)
    indent(root)
    text: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return text + b"\n"


def _notes(quote: Quote, content: Mapping[str, Any], open_options: Iterable[QuoteOption]) -> Iterable[str]:
    yield quote.scope
    yield str(content.get("lead_time", ""))
    for sentence in content.get("size", ()):
        yield str(sentence)
    for item in content.get("exclusions", ()):
        yield f"Not in the price: {item}"
    for stage in content.get("payments", ()):
        yield f"{stage['label']}: {stage['amount']} {quote.currency}"
    places = int(content.get("money", {}).get("places", 2))
    for option in open_options:
        yield f"Option: {option.text}, {option.net:.{places}f} {quote.currency} before tax"


def _party(role: Element, told: Mapping[str, Any]) -> None:
    """Write a party; its address as lines, since nobody typed which of them is the town."""
    party = _part(role, "Party")
    if told.get("website"):
        _text(party, "WebsiteURI", str(told["website"]))
    if told.get("registration"):
        _text(_part(party, "PartyIdentification"), "ID", str(told["registration"]))
    _text(_part(party, "PartyName"), "Name", str(told.get("name") or "not named"))
    address = [line.strip() for line in str(told.get("address", "")).splitlines() if line.strip()]
    if address:
        place = _part(party, "PostalAddress")
        for line in address:
            _text(_part(place, "AddressLine"), "Line", line)
    reach = {"Name": told.get("contact"), "Telephone": told.get("phone"), "ElectronicMail": told.get("email")}
    if any(reach.values()):
        contact = _part(party, "Contact")
        for name, value in reach.items():
            if value:
                _text(contact, name, str(value))


def _allowance_or_charge(root: Element, line: QuoteLine, money: _Money, tax_name: str) -> None:
    charge = ON_THE_WHOLE[line.kind]
    part = _part(root, "AllowanceCharge")
    _text(part, "ChargeIndicator", "true" if charge else "false")
    _text(part, "AllowanceChargeReason", line.text)
    money.put(part, "Amount", line.net if charge else -line.net)
    _tax_category(_part(part, "TaxCategory"), line.tax_percent, tax_name)


def _tax_total(root: Element, lines: list[QuoteLine | QuoteOption], money: _Money, tax_name: str) -> None:
    rates: dict[Decimal, tuple[Decimal, Decimal]] = {}
    for line in lines:
        net, tax = rates.get(line.tax_percent, (Decimal(0), Decimal(0)))
        rates[line.tax_percent] = (net + line.net, tax + line.tax)
    total = _part(root, "TaxTotal")
    money.put(total, "TaxAmount", sum((tax for _, tax in rates.values()), Decimal(0)))
    for percent, (net, tax) in sorted(rates.items()):
        subtotal = _part(total, "TaxSubtotal")
        money.put(subtotal, "TaxableAmount", net)
        money.put(subtotal, "TaxAmount", tax)
        _tax_category(_part(subtotal, "TaxCategory"), percent, tax_name)


def _tax_category(category: Element, percent: Decimal, tax_name: str) -> None:
    _text(category, "ID", STANDARD_RATE if percent else ZERO_RATED)
    _text(category, "Percent", f"{percent.normalize():f}")
    scheme = _part(category, "TaxScheme")
    _text(scheme, "ID", tax_name.upper() if tax_name.upper() in TAX_SCHEMES else OTHER_TAX)
    _text(scheme, "Name", tax_name)


def _totals(root: Element, on_lines: list[QuoteLine | QuoteOption], on_whole: list[QuoteLine], money: _Money) -> None:
    nothing = Decimal(0)
    of_lines = sum((line.net for line in on_lines), nothing)
    charges = sum((line.net for line in on_whole if ON_THE_WHOLE[line.kind]), nothing)
    allowances = sum((-line.net for line in on_whole if not ON_THE_WHOLE[line.kind]), nothing)
    net = of_lines + charges - allowances
    gross = net + sum((line.tax for line in (*on_lines, *on_whole)), nothing)
    total = _part(root, "QuotedMonetaryTotal")
    money.put(total, "LineExtensionAmount", of_lines)
    money.put(total, "TaxExclusiveAmount", net)
    money.put(total, "TaxInclusiveAmount", gross)
    if allowances:
        money.put(total, "AllowanceTotalAmount", allowances)
    if charges:
        money.put(total, "ChargeTotalAmount", charges)
    money.put(total, "PayableAmount", gross)


def _line(root: Element, position: int, line: QuoteLine | QuoteOption, money: _Money, tax_name: str) -> None:
    item = _part(_part(root, "QuotationLine", number=position), "LineItem", number=position)
    unit = MONTH if isinstance(line, QuoteLine) and line.kind == Kind.STORAGE else PIECE
    _text(item, "Quantity", f"{line.quantity.normalize():f}").set("unitCode", unit)
    money.put(item, "LineExtensionAmount", line.net)
    money.put(item, "TotalTaxAmount", line.tax)
    money.put(_part(item, "Price"), "PriceAmount", line.unit_price)
    goods = _part(item, "Item")
    _text(goods, "Description", line.text)
    _text(goods, "Name", line.text[:80])
    _tax_category(_part(goods, "ClassifiedTaxCategory"), line.tax_percent, tax_name)


def _part(parent: Element, name: str, *, number: int = 0) -> Element:
    part = SubElement(parent, f"{{{AGGREGATE}}}{name}")
    if number:
        _text(part, "ID", str(number))
    return part


def _text(parent: Element, name: str, text: str) -> Element:
    part = SubElement(parent, f"{{{BASIC}}}{name}")
    part.text = text.translate(PRINTABLE)
    return part
