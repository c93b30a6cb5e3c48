"""The rider's addresses."""
from django.urls import path

from intake import earlier_pages, kept_pages, language, pages, photo_pages, views

CASE = "<str:number>/"

urlpatterns = [
    path("", views.home, name="home"),
    path("start/", views.case_start, name="case-start"),
    path("language/", language.language, name="language"),
    path("link/new/", views.ask_link, name="ask-link"),
    path("link/<str:token>/", views.open_link, name="open-link"),
    path(CASE, views.case_page, name="case-page"),
    path(f"{CASE}link/", views.show_link, name="show-link"),
    path(f"{CASE}contact/", views.contact, name="contact"),
    path(f"{CASE}earlier/", earlier_pages.earlier, name="earlier"),
    path(f"{CASE}changes/", views.changes, name="changes"),
    path(f"{CASE}check/", views.check, name="check"),
    path(f"{CASE}hand-in/", views.hand_in, name="hand-in"),
    path(f"{CASE}received/", views.received, name="received"),
    path(f"{CASE}next-round/", views.next_round, name="rider-next-round"),
    path(f"{CASE}withdraw/", views.withdraw, name="withdraw"),
    path(f"{CASE}form/<str:name>/", pages.section, name="section"),
    path(f"{CASE}bench/<str:name>/", pages.bench_test, name="bench-test"),
    path("offline-worker.js", kept_pages.offline_worker, name="offline-worker"),
    path(f"{CASE}kept/", kept_pages.kept, name="kept"),
    path(f"{CASE}kept/form/<str:name>/", kept_pages.kept_section, name="kept-section"),
    path(f"{CASE}kept/bench/<str:name>/", kept_pages.kept_test, name="kept-test"),
    path(f"{CASE}photo/new/", photo_pages.photo_begin, name="photo-begin"),
    path(f"{CASE}photo/new/<str:token>/", photo_pages.photo_upload, name="photo-upload"),
    path(f"{CASE}photo/new/<str:token>/give-up/", photo_pages.photo_give_up, name="photo-give-up"),
    path(f"{CASE}photo/<int:photo_id>/", pages.photo, name="photo"),
    path(f"{CASE}photo/<int:photo_id>/remove/", pages.photo_remove, name="photo-remove"),
]
