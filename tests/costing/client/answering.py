"""One window among several: accept a quote in a process of its own at the moment that all others do, and print what came.

Started by test_answer_races with the database in DATABASE_URL: python -m tests.costing.client.answering LINK NAME
"""

import sys
import time
from decimal import Decimal

import django

django.setup()

from costing.errors import AnswerRefused  # noqa: E402
from costing.models import QuoteLink  # noqa: E402
from costing.services.agreement import Said  # noqa: E402
from costing.services.answers import answer_by_link  # noqa: E402


def main() -> None:
    pk, name, start_at = int(sys.argv[1]), sys.argv[2], float(sys.argv[3])
    link = QuoteLink.objects.select_related("quote").get(pk=pk)
    said, shown = Said(name=name), Decimal(link.quote.gross_total)
    time.sleep(max(0.0, start_at - time.time()))
    try:
        answer_by_link(link=link, kind="accepted", said=said, shown_gross=shown)
    except AnswerRefused as refused:
        sys.stdout.write(f"refused: {refused}")
    else:
        sys.stdout.write("accepted")


if __name__ == "__main__":
    main()
