"""The main job once never mixes its demo case with real ones."""
from __future__ import annotations

import pytest

from deploy import once
from intake import services
from intake.models import Case

pytestmark = pytest.mark.django_db


def test_a_database_with_real_cases_is_left_alone_and_the_way_on_is_named(tmp_path, capsys):
    services.start_case(title="A rider's own bike")
    assert once.main_job("http://localhost:8000", tmp_path) == 1
    assert Case.objects.count() == 1
    assert "--serve" in capsys.readouterr().out
