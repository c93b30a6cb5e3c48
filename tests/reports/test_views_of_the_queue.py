"""Filters of the queue, and the views that a tuner makes of them."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.errors import Refused
from reports import services
from reports.models import SavedView
from tests.intake.queued import queued
from tests.reports.queue_shown import further_down, links, titles

pytestmark = pytest.mark.django_db


def test_filters_and_words_work_together_and_each_can_be_taken_away(tuner, shop):
    queued(title="Red tourer", language="de", shop=shop.shop)
    queued(title="Red enduro", language="es", shop=shop.shop)
    queued(title="Blue tourer", language="de")
    page = tuner.client.get(reverse("queue"), {"q": "red", "language": "de", "shop": shop.shop.pk})
    assert titles(page) == ["Red tourer"]
    words = page.content.decode()
    assert all(f"Take away: </span>{name} <" in words for name in ("Shop by the river", "Deutsch", "“red”"))
    assert links(page, "Filters in use") == [
        "language=de&q=red", f"shop={shop.shop.pk}&q=red", f"shop={shop.shop.pk}&language=de"]
    assert titles(tuner.client.get(reverse("queue") + "?language=de")) == ["Blue tourer", "Red tourer"][::-1]


def test_the_sheet_of_filters_shows_what_is_asked_for(tuner, shop):
    page = tuner.client.get(reverse("queue-filters"), {"shop": shop.shop.pk, "fork": "air", "overdue": "1"})
    words = page.content.decode()
    assert f'value="{shop.shop.pk}" selected' in words and 'value="air" selected' in words
    assert 'name="overdue" value="1" checked' in words


@pytest.mark.parametrize("query", [{"whose": "somebody"}, {"shop": "x"}, {"shop": "9" * 30}, {"language": "xx"},
                                   {"fork": "bent"}, {"stop": "2"}, {"returned": "lost"}, {"state": "\x00ready?"}])
def test_a_filter_that_was_never_given_is_explained(tuner, query):
    for name in ("queue", "queue-filters"):
        page = tuner.client.get(reverse(name), query)
        assert page.status_code == 422 and "list" in page.content.decode()


def test_a_view_is_kept_shown_renamed_and_deleted(tuner, other_tuner):
    kept = tuner.client.post(reverse("own-views"), {"name": " My  mornings ", "query": "stop=1&after=9_9&x=y"})
    assert kept.url == reverse("queue") + "?stop=1"
    view = SavedView.objects.get()
    assert (view.name, view.query, view.owner) == ("My mornings", {"stop": "1"}, tuner.user)
    shown = tuner.client.get(kept.url)
    assert '<a href="?stop=1" aria-current="page">My mornings</a>' in shown.content.decode()
    assert "My mornings" not in other_tuner.client.get(reverse("queue")).content.decode()
    tuner.client.post(reverse("own-view-rename", args=[view.pk]), {"name": "Stops"})
    assert SavedView.objects.get().name == "Stops"
    for name in ("own-view-rename", "own-view-delete"):
        assert other_tuner.client.post(reverse(name, args=[view.pk]), {"name": "Mine now"}).status_code == 404
    tuner.client.post(reverse("own-view-delete", args=[view.pk]))
    assert not SavedView.objects.exists()


def test_a_name_is_used_once_and_what_was_typed_stays_in_its_box(tuner):
    first = services.save_view(user=tuner.user, name="Stops", query={"stop": "1"})
    assert services.save_view(user=tuner.user, name="Stops", query={"stop": "1"}) == first
    refused = tuner.client.post(reverse("own-views"), {"name": "Stops", "query": "overdue=1"})
    assert refused.status_code == 409 and 'value="overdue=1"' in refused.content.decode()
    second = services.save_view(user=tuner.user, name="Late", query={"overdue": "1"})
    refused = tuner.client.post(reverse("own-view-rename", args=[second.pk]), {"name": "Stops"})
    assert refused.status_code == 409 and f'id="name-{second.pk}" value="Stops"' in refused.content.decode()


@pytest.mark.parametrize("name, query", [("", {"stop": "1"}), ("x" * 41, {"stop": "1"}), ("All", {}),
                                         ("Odd", {"state": "lost"})])
def test_a_view_has_a_name_and_a_filter(tuner, name, query):
    with pytest.raises(Refused):
        services.save_view(user=tuner.user, name=name, query=query)


def test_there_are_not_endlessly_many_views(tuner):
    for n in range(20):
        services.save_view(user=tuner.user, name=f"View {n}", query={"stop": "1"})
    with pytest.raises(Refused, match="20 views"):
        services.save_view(user=tuner.user, name="One more", query={"stop": "1"})


def test_a_search_that_looked_at_enough_says_so_and_goes_on(tuner, monkeypatch):
    monkeypatch.setattr("intake.queue.LOOKED_AT", 3)
    queued(title="Old fork", language="de")
    for _ in range(5):
        queued(title="Fork")
    page = tuner.client.get(reverse("queue"), {"q": "fork", "language": "de"})
    assert titles(page) == [] and "newest 3 cases" in page.content.decode() and "No case fits among these" in (
        page.content.decode())
    further = tuner.client.get(reverse("queue") + further_down(page))
    assert titles(further) == ["Old fork"]
