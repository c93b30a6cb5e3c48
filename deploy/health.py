"""Is it well?  For launchers, proxies and containers."""
from __future__ import annotations

from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse


def _database_answers() -> bool:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return False
    return True


def health(request: HttpRequest) -> JsonResponse:
    """Say whether web and database answer.  The broker may be away: cases are still taken in, only drafted later."""
    well = _database_answers()
    return JsonResponse({"web": True, "database": well}, status=200 if well else 503)
