"""The queue's page against a bare view with the same indexed query, at a thousand cases."""
import pytest

from tests.bench.filled_queue import fill, measured

pytestmark = [pytest.mark.bench, pytest.mark.django_db, pytest.mark.urls("tests.bench.filled_queue")]


def test_a_page_of_the_queue_costs_little_more_than_its_query(report):
    fill(1000)
    measured(1000, report)
