"""Money as it is written: the signs are those of the Unicode locale data (CLDR), the minus is that of all numbers here."""

from decimal import Decimal

import pytest

from studio.web.formats import money_text, number_text


class TestMoneyText:
    @pytest.mark.parametrize(
        ("amount", "currency", "locale", "text"),
        [
            ("-0.38", "EUR", "en_GB", "−€0.38"),
            ("-1234.50", "USD", "en_US", "−$1,234.50"),
            ("12.00", "GBP", "en_GB", "£12.00"),
        ],
    )
    def test_writes_what_is_less_than_nought_with_the_minus_of_other_numbers(
        self, amount: str, currency: str, locale: str, text: str
    ) -> None:
        assert money_text(Decimal(amount), currency, locale) == text
        assert ("−" in text) == number_text(Decimal(amount), 2, locale).startswith("−")
