"""The desk's addresses."""
from __future__ import annotations

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path

from reports import (
    desk_holds,
    desk_judge,
    desk_letter,
    desk_letter_buttons,
    desk_list,
    desk_own_views,
    desk_own_words,
    desk_sheet,
    desk_ticked,
    desk_travel,
    desk_try,
    desk_views,
)
from reports.desk_shops import end_sign_in, hook_again, shops
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
    path("words/", desk_own_words.own_words, name="own-words"),
    path("words/<int:words>/", desk_own_words.own_words_change, name="own-words-change"),
    path("words/<int:words>/delete/", desk_own_words.own_words_delete, name="own-words-delete"),
    path("views/", desk_own_views.own_views, name="own-views"),
    path("views/<int:view>/rename/", desk_own_views.own_view_rename, name="own-view-rename"),
    path("views/<int:view>/delete/", desk_own_views.own_view_delete, name="own-view-delete"),
    path("shops/", shops, name="desk-shops"),
    path("shops/switch-off/", end_sign_in, name="desk-shop-end"),
    path("shops/messages/<int:sent_id>/again/", hook_again, name="desk-hook-again"),
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
    path(f"{CASE}letter/insert/", desk_letter.letter_insert, name="letter-insert"),
    path(f"{CASE}letter/take-number/", desk_letter_buttons.take_number, name="take-number"),
    path(f"{CASE}letter/keep-number/", desk_letter_buttons.keep_number, name="keep-number"),
    path(f"{CASE}letter/settle/", desk_letter_buttons.letter_settle, name="letter-settle"),
    path(f"{CASE}letter/replace/", desk_letter_buttons.letter_replace, name="letter-replace"),
    path(f"{CASE}service-sheet.pdf", desk_sheet.service_sheet, name="service-sheet"),
    path(f"{CASE}letter/approve/", desk_letter_buttons.letter_approve, name="letter-approve"),
    path(f"{CASE}letter/take-back/", desk_letter_buttons.letter_unapprove, name="letter-unapprove"),
    path(f"{CASE}letter/send/", desk_letter_buttons.letter_send, name="letter-send"),
    path(f"{CASE}letter/new-draft/", desk_letter_buttons.letter_new_draft, name="letter-new-draft"),
    path(f"{CASE}letter/keep-words/", desk_letter_buttons.letter_keep_words, name="letter-keep-words"),
    path(f"{CASE}travel-log/", desk_travel.travel_logs, name="travel-logs"),
    path(f"{CASE}travel-log/<int:log>/", desk_travel.travel_log, name="travel-log"),
    path(f"{CASE}travel-log/<int:log>/file/", desk_travel.travel_log_file, name="travel-log-file"),
    path(f"{CASE}travel-log/<int:log>/remove/", desk_travel.travel_log_remove, name="travel-log-remove"),
    path(f"{CASE}delivery/<int:delivery>/back/", desk_letter_buttons.delivery_back, name="delivery-back"),
    path(f"{CASE}delivery/<int:delivery>/now/", desk_letter_buttons.delivery_now, name="delivery-now"),
    path(f"{CASE}delivery/<int:delivery>/arrived/", desk_letter_buttons.delivery_arrived, name="delivery-arrived"),
    path(f"{CASE}delivery/<int:delivery>/again/", desk_letter_buttons.delivery_again, name="delivery-again"),
]
