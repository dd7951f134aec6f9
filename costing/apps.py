"""The costing app."""

from django.apps import AppConfig


class CostingConfig(AppConfig):
    """Configuration of the costing app."""

    name = "costing"

    def ready(self) -> None:
        """Offer the price to the title block of a job, and the quote to the document outbox."""
        from costing.payment_printing import render_payment
        from costing.printing import render_quote
        from costing.services.payments import DOCUMENT_KIND as PAYMENT_REQUEST
        from costing.services.quotes import DOCUMENT_KIND
        from costing.titleblock import price_figure
        from jobs.titleblock import register_price_figure
        from studio.access import Right
        from studio.documents import registry

        register_price_figure(price_figure)
        registry.register(DOCUMENT_KIND, render_quote, right=Right.SEE_MONEY)
        registry.register(PAYMENT_REQUEST, render_payment, right=Right.SEE_MONEY)
