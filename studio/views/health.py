"""Whether this process answers and reaches its database; for health checks, and nothing else is told."""

from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from studio.access import open_to_all


@open_to_all
@require_safe
@never_cache
def health(_request: HttpRequest) -> HttpResponse:
    """Answer 200 when the database answers, 503 otherwise."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return HttpResponse("the database does not answer\n", status=503, content_type="text/plain; charset=utf-8")
    return HttpResponse("ok\n", content_type="text/plain; charset=utf-8")
