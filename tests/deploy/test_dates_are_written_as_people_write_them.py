"""A date has its day first in every language here."""
from datetime import datetime

import pytest
from django.template import Context, Template
from django.utils.translation import override

DAY = datetime(2026, 11, 25, 17, 5)


@pytest.mark.parametrize("language, kind, written", [
    ("en", "DATE_FORMAT", "25 November 2026"),
    ("en", "DATETIME_FORMAT", "25 November 2026, 17:05"),
    ("en", "SHORT_DATE_FORMAT", "25/11/2026"),
    ("de", "DATE_FORMAT", "25. November 2026"),
    ("es", "DATE_FORMAT", "25 de noviembre de 2026"),
])
def test_the_day_comes_first(language, kind, written):
    with override(language):
        assert Template("{{ day|date:kind }}").render(Context({"day": DAY, "kind": kind})) == written
