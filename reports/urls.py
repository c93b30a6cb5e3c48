"""The desk's addresses."""
from __future__ import annotations

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path

from reports import (
    desk_holds,
    desk_judge,
    desk_letter,
    desk_list,
    desk_own_views,
    desk_ticked,
    desk_travel,
    desk_try,
    desk_views,
)
from reports.desk_sign_in import TunerSignIn

CASE = "case/<str:number>/"

urlpatterns = [
    path("sign-in/", LoginView.as_view(template_name="reports/desk/sign_in.html", authentication_form=TunerSignIn,
                                       next_page="queue"), name="sign-in"),
    path("sign-out/", LogoutView.as_view(next_page="sign-in"), name="sign-out"),
    path("", desk_list.queue, name="queue"),
    path("next/", desk_list.take_next, name="take-next"),
    path("filters/", desk_list.filters, name="queue-filters"),
    path("ticked/", desk_ticked.ticked, name="ticked"),
    path("views/", desk_own_views.own_views, name="own-views"),
    path("views/<int:view>/rename/", desk_own_views.own_view_rename, name="own-view-rename"),
    path("views/<int:view>/delete/", desk_own_views.own_view_delete, name="own-view-delete"),
    path(CASE, desk_views.desk_case, name="desk-case"),
    path(f"{CASE}take/", desk_holds.take, name="take-case"),
    path(f"{CASE}give-back/", desk_holds.give_back, name="give-back"),
    path(f"{CASE}hand-over/", desk_holds.hand_over, name="hand-over"),
    path(f"{CASE}draft-again/", desk_views.work_again, name="work-again"),
    path(f"{CASE}try/", desk_try.try_page, name="try-numbers"),
    path(f"{CASE}try/answer/", desk_try.what_if_answer, name="try-answer"),
    path(f"{CASE}try/put/", desk_try.put_numbers, name="put-numbers"),
    path(f"{CASE}judge/", desk_judge.judge, name="judge"),
    path(f"{CASE}judge/take-back/", desk_judge.judgement_take_back, name="judgement-take-back"),
    path(f"{CASE}ask/", desk_views.ask, name="ask"),
    path(f"{CASE}next-round/", desk_views.next_round, name="next-round"),
    path(f"{CASE}close/", desk_views.close_case, name="close-case"),
    path(f"{CASE}figure/<int:round_number>/<int:position>.svg", desk_views.figure, name="figure"),
    path(f"{CASE}letter/", desk_letter.letter_edit, name="letter-edit"),
    path(f"{CASE}letter/preview/", desk_letter.letter_preview, name="letter-preview"),
    path(f"{CASE}letter/versions/", desk_letter.letter_versions, name="letter-versions"),
    path(f"{CASE}letter/approve/", desk_letter.letter_approve, name="letter-approve"),
    path(f"{CASE}letter/take-back/", desk_letter.letter_unapprove, name="letter-unapprove"),
    path(f"{CASE}letter/send/", desk_letter.letter_send, name="letter-send"),
    path(f"{CASE}letter/new-draft/", desk_letter.letter_new_draft, name="letter-new-draft"),
    path(f"{CASE}letter/keep-words/", desk_letter.letter_keep_words, name="letter-keep-words"),
    path(f"{CASE}travel-log/", desk_travel.travel_logs, name="travel-logs"),
    path(f"{CASE}travel-log/<int:log>/", desk_travel.travel_log, name="travel-log"),
    path(f"{CASE}travel-log/<int:log>/file/", desk_travel.travel_log_file, name="travel-log-file"),
    path(f"{CASE}travel-log/<int:log>/remove/", desk_travel.travel_log_remove, name="travel-log-remove"),
    path(f"{CASE}delivery/<int:delivery>/arrived/", desk_letter.delivery_arrived, name="delivery-arrived"),
    path(f"{CASE}delivery/<int:delivery>/again/", desk_letter.delivery_again, name="delivery-again"),
]
