"""Nothing inner leaves the studio: content and print of every quote of the demo studio, read for words and figures."""

import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from costing.models import Quote
from costing.printing import render_quote
from studio.models import Document
from tests.costing.leaks import inner_values, leaks, written
from tests.studio.demo_rows import DemoRows, put_demo


def print_of(quote: Quote) -> str:
    pdf = render_quote(Document(kind="quote", subject_id=quote.pk, title=str(quote))).content
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def words_of(content: dict[str, Any]) -> str:
    """Return all that is said in a content; of drawings their words, since the places of their lines are numbers too."""
    pictures = [{**item, "svg": re.sub(r"<[^>]*>", " ", item.get("svg", ""))} for item in content.get("pictures", ())]
    return json.dumps({**content, "pictures": [{**item, "png": ""} for item in pictures]}, ensure_ascii=False)


@pytest.mark.django_db
class TestNothingInner:
    def test_stands_in_content_or_print_of_a_demo_quote(self, taken_demo: DemoRows, tmp_path: Path) -> None:
        put_demo(taken_demo, tmp_path)
        quotes = list(Quote.objects.order_by("number", "version"))
        assert quotes
        for quote in quotes:
            said = words_of(quote.content)
            printed = print_of(quote)
            assert f"Quote {quote.number}" in printed
            assert len(list(inner_values(quote.inner))) > 50
            assert leaks(said, quote) == []
            assert leaks(printed, quote) == []
            self._finds_what_is_planted(quote, said)

    def _finds_what_is_planted(self, quote: Quote, said: str) -> None:
        """A check that cannot fail is none: each cost of the inside is found once it is put in."""
        cost = next(value for label, value in inner_values(quote.inner) if label.startswith("Cost of the mold"))
        for text in written(cost, quote):
            assert leaks(f"{said} {text}", quote), text
        assert leaks(f"{said} with a margin of 30 %", quote) == ["margin"]
