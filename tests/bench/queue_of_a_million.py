"""The queue's page at a thousand and at a million cases, and whether both cost the same.

Not part of the benchmarks, because filling takes minutes; to measure it by hand:
``python -m pytest tests/bench/queue_of_a_million.py -m bench -s``.
"""
import pytest

from intake.models import Case
from tests.bench.filled_queue import fill, measured

pytestmark = [pytest.mark.bench, pytest.mark.django_db, pytest.mark.urls("tests.bench.filled_queue")]
FEW, MANY = 1000, 1_000_000


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory):
    """On the disk, as an installation has it: in memory it would not fit everywhere."""
    from django.conf import settings

    settings.DATABASES["default"]["TEST"]["NAME"] = str(tmp_path_factory.mktemp("million") / "queue.sqlite3")


def test_a_million_cases_cost_what_a_thousand_cost(report, django_user_model):
    fill(FEW)
    few = measured(FEW, report)
    Case.objects.all().delete()
    django_user_model.objects.all().delete()
    fill(MANY)
    many = measured(MANY, report)
    for (name, seconds), (_, before) in zip(many.items(), few.items(), strict=True):
        report(f"{name}: a million as times a thousand", seconds / before, 1.2, "x")
