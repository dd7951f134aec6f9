"""What the quote's page says of the client's link, answer and payments."""

from typing import Any

from django.utils import timezone

from costing.forms.link import LinkForm
from costing.models import Quote
from costing.services.links import TO_READ, open_link, usual_last_day


def client_side(quote: Quote) -> dict[str, Any]:
    """Gather what the parts of the page about the client want."""
    link = open_link(quote)
    return {
        "link": link,
        "link_over": link is not None and link.expires_at <= timezone.now(),
        "link_form": LinkForm(initial={"last_day_on": usual_last_day(quote)}),
        "can_be_shown": quote.state in TO_READ,
    }
