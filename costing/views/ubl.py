"""A quote as an open document for the books of whoever gets it."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from costing.models import Quote
from costing.ubl import CONTENT_TYPE, file_name, quotation_xml
from costing.views.quotes import quote_or_404
from studio.access import Right, needs
from studio.web.downloads import download_headers


@needs(Right.SEE_MONEY)
@never_cache
@require_safe
def quote_ubl(_request: HttpRequest, number: int, version: int) -> HttpResponse:
    """Send a quote as a UBL Quotation."""
    return ubl_file(quote_or_404(number, version))


def ubl_file(quote: Quote) -> HttpResponse:
    """Answer with the file, to be saved and not shown inside the site."""
    return HttpResponse(quotation_xml(quote), headers=download_headers(file_name(quote), CONTENT_TYPE))
