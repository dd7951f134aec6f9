"""The quote as an open document against the structure that its standard gives."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from xml.etree.ElementTree import Element, fromstring

import pytest

from costing.models import Quote, QuoteLine, QuoteOption
from costing.ubl import AGGREGATE, BASIC, QUOTATION, quotation_xml
from tests.costing.rows import make_job

pytestmark = pytest.mark.django_db

# standard: OASIS Universal Business Language 2.1, schemas UBL-Quotation-2.1 and UBL-CommonAggregateComponents-2.1 (also
# ISO/IEC 19845:2015): the sequence of each type, as far as a quote of ours could use it. "!" must stand, "*" may repeat.
SEQUENCES: dict[str, str] = {
    "Quotation": (
        "UBLVersionID CustomizationID ProfileID ProfileExecutionID ID CopyIndicator UUID IssueDate! IssueTime Note* "
        "PricingCurrencyCode LineCountNumeric ValidityPeriod RequestForQuotationDocumentReference AdditionalDocumentReference* "
        "Contract* Signature* SellerSupplierParty! BuyerCustomerParty OriginatorCustomerParty Delivery* DeliveryTerms "
        "PaymentMeans TransactionConditions AllowanceCharge* DestinationCountry TaxTotal* QuotedMonetaryTotal! QuotationLine!*"
    ),
    "ValidityPeriod": "StartDate StartTime EndDate EndTime DurationMeasure DescriptionCode* Description*",
    "SellerSupplierParty": "CustomerAssignedAccountID AdditionalAccountID* DataSendingCapability Party",
    "BuyerCustomerParty": "CustomerAssignedAccountID SupplierAssignedAccountID AdditionalAccountID* Party",
    "Party": (
        "MarkCareIndicator MarkAttentionIndicator WebsiteURI LogoReferenceID EndpointID IndustryClassificationCode "
        "PartyIdentification* PartyName* Language PostalAddress PhysicalLocation PartyTaxScheme* "
        "PartyLegalEntity* Contact Person*"
    ),
    "PartyIdentification": "ID!",
    "PartyName": "Name!",
    "PostalAddress": "ID StreetName CityName PostalZone AddressLine* Country",
    "AddressLine": "Line!",
    "Contact": "ID Name Telephone Telefax ElectronicMail Note*",
    "TransactionConditions": "ID ActionCode Description* DocumentReference*",
    "AllowanceCharge": (
        "ID ChargeIndicator! AllowanceChargeReasonCode AllowanceChargeReason* MultiplierFactorNumeric PrepaidIndicator "
        "SequenceNumeric Amount! BaseAmount AccountingCostCode AccountingCost PerUnitAmount TaxCategory* TaxTotal"
    ),
    "TaxTotal": "TaxAmount! RoundingAmount TaxEvidenceIndicator TaxIncludedIndicator TaxSubtotal*",
    "TaxSubtotal": (
        "TaxableAmount TaxAmount! CalculationSequenceNumeric TransactionCurrencyTaxAmount Percent BaseUnitMeasure PerUnitAmount "
        "TierRange TierRatePercent TaxCategory!"
    ),
    "TaxCategory": (
        "ID Name Percent BaseUnitMeasure PerUnitAmount TaxExemptionReasonCode TaxExemptionReason* TierRange TierRatePercent "
        "TaxScheme!"
    ),
    "TaxScheme": "ID Name TaxTypeCode CurrencyCode JurisdictionRegionAddress*",
    "QuotedMonetaryTotal": (
        "LineExtensionAmount TaxExclusiveAmount TaxInclusiveAmount AllowanceTotalAmount ChargeTotalAmount PrepaidAmount "
        "PayableRoundingAmount PayableAmount! PayableAlternativeAmount"
    ),
    "QuotationLine": (
        "ID Note* Quantity LineExtensionAmount TotalTaxAmount RequestForQuotationLineID DocumentReference* LineItem!"
    ),
    "LineItem": (
        "ID! SalesOrderID UUID Note* LineStatusCode Quantity LineExtensionAmount TotalTaxAmount MinimumQuantity MaximumQuantity "
        "MinimumBackorderQuantity MaximumBackorderQuantity InspectionMethodCode PartialDeliveryIndicator "
        "BackOrderAllowedIndicator AccountingCostCode AccountingCost WarrantyInformation* Delivery* DeliveryTerms "
        "OriginatorParty OrderedShipment* PricingReference AllowanceCharge* Price Item! SubLineItem* TaxTotal*"
    ),
    "Price": "PriceAmount! BaseQuantity PriceChangeReason* PriceTypeCode PriceType OrderableUnitFactorRate",
    "Item": "Description* PackQuantity PackSizeNumeric CatalogueIndicator Name ClassifiedTaxCategory*",
}
SEQUENCES["ClassifiedTaxCategory"] = SEQUENCES["TaxCategory"]
AMOUNTS = ("Amount",)


def faults_of(element: Element) -> list[str]:
    """Say what in an element and below it stands against the sequences of the standard."""
    name = _local(element)
    if name not in SEQUENCES:
        faults = [] if not len(element) else [f"{name} has parts and no sequence"]
        if name.endswith(AMOUNTS) and len(element.get("currencyID", "")) != 3:
            faults.append(f"{name} has no currency")
        return faults + ([] if (element.text or "").strip() else [f"{name} is empty"])
    allowed = [part.rstrip("!*") for part in SEQUENCES[name].split()]
    once = {part.rstrip("!") for part in SEQUENCES[name].split() if not part.endswith("*")}
    needed = {part.rstrip("!*") for part in SEQUENCES[name].split() if "!" in part}
    found = [_local(part) for part in element]
    faults = [f"{part} is not known in {name}" for part in found if part not in allowed]
    places = [allowed.index(part) for part in found if part in allowed]
    if places != sorted(places):
        faults.append(f"{name} is out of order: {found}")
    faults += [f"{part} is missing in {name}" for part in needed - set(found)]
    faults += [f"{part} stands twice in {name}" for part in once if found.count(part) > 1]
    namespaces = {
        part: BASIC if len(part_element) == 0 and part not in SEQUENCES else AGGREGATE
        for part, part_element in zip(found, element, strict=True)
    }
    faults += [
        f"{part.tag} is of another namespace" for part in element if not part.tag.startswith(f"{{{namespaces[_local(part)]}}}")
    ]
    return faults + [fault for part in element for fault in faults_of(part)]


def _local(element: Element) -> str:
    return element.tag.rsplit("}", 1)[1]


def _amount(root: Element, path: str) -> Decimal:
    found = root.find(path, {"cac": AGGREGATE, "cbc": BASIC})
    assert found is not None, path
    return Decimal(found.text or "")


def _amounts(root: Element, path: str) -> list[Decimal]:
    return [Decimal(found.text or "") for found in root.findall(path, {"cac": AGGREGATE, "cbc": BASIC})]


@pytest.fixture
def quote() -> Quote:
    """Return a quote with haste, a discount, two taxes and two options of which one is chosen."""
    row = Quote.objects.create(
        job=make_job(), number=1041, version=2, issued_on=date(2027, 3, 1), valid_until_on=date(2027, 3, 31), currency="EUR",
        net_total=Decimal("1080.00"), tax_total=Decimal("210.00"), gross_total=Decimal("1290.00"),
        terms="Paid within 14 days.\x0b", scope="A mold & castings, <as agreed>.",
        content={
            "studio": {"name": "Clay Lane Casts", "address": "2 Clay Lane\nWest Moor", "email": "hello@casts.example",
                       "website": "https://casts.example", "registration": "GB 999 0000 99"},
            "client": {"name": "Orchard House", "contact": "The keeper", "address": "3 Mill Lane"},
            "money": {"places": 2, "tax_name": "VAT"}, "exclusions": ["Carriage."], "size": ["Castings shrink."],
            "payments": [{"label": "Deposit", "amount": "645.00"}], "lead_time": "About 12 working days.",
        },
    )  # fmt: skip
    lines: Iterable[tuple[str, str, str, str, str]] = (
        (QuoteLine.Kind.MOLD, "1", "600", "20", "120"),
        (QuoteLine.Kind.CASTING, "6", "70", "20", "84"),
        (QuoteLine.Kind.EXTRA, "1", "30", "0", "0"),
        (QuoteLine.Kind.RUSH, "1", "100", "20", "20"),
        (QuoteLine.Kind.DISCOUNT, "1", "-70", "20", "-14"),
    )
    for position, (kind, quantity, unit, percent, tax) in enumerate(lines, start=1):
        QuoteLine.objects.create(
            quote=row, position=position, kind=kind, text=f"Line {position}", quantity=Decimal(quantity),
            unit_price=Decimal(unit), net=Decimal(quantity) * Decimal(unit), tax_percent=Decimal(percent), tax=Decimal(tax),
        )  # fmt: skip
    for position, chosen in ((1, True), (2, False)):
        QuoteOption.objects.create(
            quote=row, position=position, text=f"Option {position}", quantity=1, unit_price=Decimal("50.5"), net=Decimal("50.5"),
            tax_percent=Decimal(20), tax=Decimal("10.1"), chosen=chosen,
        )  # fmt: skip
    return row


class TestQuotation:
    def test_keeps_to_the_sequences_of_the_standard(self, quote: Quote):
        root = fromstring(quotation_xml(quote))
        assert root.tag == f"{{{QUOTATION}}}Quotation"
        assert faults_of(root) == []

    def test_a_document_out_of_order_is_seen(self, quote: Quote):
        root = fromstring(quotation_xml(quote))
        first, second = root[0], root[1]
        root[0], root[1] = second, first
        root.remove(root.find(f"{{{AGGREGATE}}}QuotedMonetaryTotal") or Element("none"))
        faults = faults_of(root)
        assert any("out of order" in fault for fault in faults)
        assert "QuotedMonetaryTotal is missing in Quotation" in faults

    def test_its_sums_are_those_of_the_lines(self, quote: Quote):
        root = fromstring(quotation_xml(quote))
        total = "cac:QuotedMonetaryTotal/cbc:"
        lines = _amounts(root, "cac:QuotationLine/cac:LineItem/cbc:LineExtensionAmount")
        assert sum(lines) == _amount(root, f"{total}LineExtensionAmount") == Decimal("1100.50")
        charges, allowances = _amount(root, f"{total}ChargeTotalAmount"), _amount(root, f"{total}AllowanceTotalAmount")
        net = _amount(root, f"{total}TaxExclusiveAmount")
        assert (charges, allowances) == (Decimal(100), Decimal(70))
        assert net == sum(lines) + charges - allowances == quote.net_total + Decimal("50.50")
        subtotals = "cac:TaxTotal/cac:TaxSubtotal/cbc:"
        assert sum(_amounts(root, f"{subtotals}TaxableAmount")) == net
        tax = _amount(root, "cac:TaxTotal/cbc:TaxAmount")
        assert sum(_amounts(root, f"{subtotals}TaxAmount")) == tax == quote.tax_total + Decimal("10.10")
        assert _amount(root, f"{total}TaxInclusiveAmount") == _amount(root, f"{total}PayableAmount") == net + tax

    def test_says_what_the_quote_says_and_a_control_character_breaks_nothing(self, quote: Quote):
        text = quotation_xml(quote).decode()
        expected = (
            "A mold &amp; castings, &lt;as agreed&gt;.", "Not in the price: Carriage.", "Paid within 14 days.<", "2 Clay Lane",
            "Option: Option 2, 50.50 EUR before tax", "Orchard House", "2027-03-31",
        )  # fmt: skip
        for said in expected:
            assert said in text
        assert "Option: Option 1" not in text
