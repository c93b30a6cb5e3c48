"""The shop's door: web-hooks, and what did not arrive at them."""
from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api import ONCE, PAGE, PAGE_QUERY, NewestFirst, checked, problems
from intake.api_auth import shop_view
from intake.api_problems import problem
from intake.errors import Refused
from intake.once import fresh_salt
from reports import services
from reports.far_post import LONGEST_ADDRESS
from reports.models import HookSending, WebHook
from reports.services.hooks import EVENTS, hooks_of

HOOK = OpenApiParameter("hook_id", int, OpenApiParameter.PATH)
SENT = OpenApiParameter("sent_id", int, OpenApiParameter.PATH)


class HookIn(serializers.Serializer):
    """Where to tell of what."""

    address = serializers.CharField(max_length=LONGEST_ADDRESS, help_text="https, and reached from everywhere.")
    events = serializers.ListField(child=serializers.ChoiceField(choices=EVENTS, error_messages={
        "invalid_choice": f"'{{input}}' is none of: {', '.join(EVENTS)}."}), min_length=1, max_length=len(EVENTS))


class HookOut(serializers.Serializer):
    """One of the shop's web-hooks."""

    id = serializers.IntegerField()
    address = serializers.CharField()
    events = serializers.ListField(child=serializers.ChoiceField(choices=EVENTS))
    created_at = serializers.DateTimeField()


class NewHookOut(HookOut):
    """A new web-hook, with its secret this once."""

    secret = serializers.CharField()


class SendingOut(serializers.Serializer):
    """One message on its way to a web-hook."""

    id = serializers.IntegerField()
    hook = serializers.IntegerField()
    event = serializers.CharField()
    case = serializers.CharField(help_text="The case's number; empty for a test.")
    state = serializers.ChoiceField(choices=HookSending.State.choices)
    attempts = serializers.IntegerField()
    reason = serializers.CharField(help_text="Why it did not arrive.")
    created_at = serializers.DateTimeField()
    sent_at = serializers.DateTimeField(allow_null=True)


class SendingPageOut(serializers.Serializer):
    """A page of messages, newest first."""

    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)
    results = SendingOut(many=True)


@extend_schema(methods=["GET"], operation_id="list_hooks", summary="List your web-hooks",
               responses={200: HookOut(many=True), **problems()})
@extend_schema(methods=["POST"], operation_id="add_hook", summary="Add a web-hook", request=HookIn, parameters=[ONCE],
               responses={201: NewHookOut, **problems(400, 403, 409, 413, 415, 422)})
@shop_view(["GET", "POST"])
def hooks(request: Request) -> Response:
    """List your web-hooks, or add one.  Its secret is shown in this answer alone.

    Each message is POSTed as JSON with five headers: Farbench-Event; Farbench-Delivery, the same where a message comes
    twice; Farbench-Time, in seconds since 1970; Farbench-Signature, as hex the HMAC-SHA256 with your secret over that
    time, a full stop and the body as it came; and the body's Content-Type. Refuse what is older than five minutes or
    signed otherwise. Answer 200 within five seconds; any other answer is tried again for about four hours.
    """
    if request.method == "GET":
        return Response([_shown(hook) for hook in hooks_of(request.user)])
    sent = checked(HookIn, request)
    try:
        made, secret = services.add_hook(shop=request.user, salt=fresh_salt(request), **sent)
    except Refused as refused:
        return problem(422, refused.problem, mend=refused.mend)
    return Response(_shown(made) | {"secret": secret}, status=201)


@extend_schema(operation_id="end_hook", summary="End a web-hook", parameters=[HOOK],
               responses={204: OpenApiResponse(None, "It is told nothing more."), **problems(403, 404)})
@shop_view(["DELETE"])
def hook(request: Request, hook_id: int) -> Response:
    """Tell this address nothing more; what still waits for it is given up."""
    services.end_hook(hook=services.hook_of(shop=request.user, hook_id=hook_id))
    return Response(status=204)


@extend_schema(operation_id="try_hook", summary="Send a test message", request=None, parameters=[HOOK, ONCE],
               responses={201: SendingOut, **problems(400, 403, 404, 409, 415, 422)})
@shop_view(["POST"])
def try_hook(request: Request, hook_id: int) -> Response:
    """Send a message that says nothing, to see whether it arrives."""
    made = services.try_hook(hook=services.hook_of(shop=request.user, hook_id=hook_id))
    return Response(_sending(made), status=201)


@extend_schema(operation_id="list_sendings", summary="List messages to your web-hooks", responses={
    200: SendingPageOut, **problems(400, 404)}, parameters=[
        OpenApiParameter("state", enum=HookSending.State.values,
                         description="'failed' and 'given up' are not tried any more."), *PAGE])
@shop_view(["GET"], query=("state", *PAGE_QUERY))
def sendings(request: Request) -> Response:
    """List what was told to your web-hooks and what did not arrive, newest first."""
    rows, state = HookSending.objects.filter(hook__shop=request.user).select_related("case"), (
        request.query_params.get("state", ""))
    if state and state not in HookSending.State.values:
        return problem(400, "There is no such state.", mend=f"One of: {', '.join(HookSending.State.values)}.")
    pages = NewestFirst()
    found = pages.paginate_queryset(rows.filter(state=state) if state else rows, request)
    return pages.get_paginated_response([_sending(each) for each in found])


@extend_schema(operation_id="send_again", summary="Send a message again", request=None, parameters=[SENT, ONCE],
               responses={200: SendingOut, **problems(400, 403, 404, 409, 415, 422)})
@shop_view(["POST"])
def send_again(request: Request, sent_id: int) -> Response:
    """Queue a message once more that had failed or was given up."""
    found = services.sending_of(sending_id=sent_id, shop=request.user)
    return Response(_sending(services.send_again(sending=found)))


def _shown(hook: WebHook) -> dict[str, Any]:
    return {"id": hook.pk, "address": hook.address, "events": hook.events, "created_at": hook.created_at}


def _sending(row: HookSending) -> dict[str, Any]:
    return {"id": row.pk, "hook": row.hook_id, "event": row.event, "case": row.case.number if row.case else "",
            "state": row.state, "attempts": row.attempts, "reason": row.reason, "created_at": row.created_at,
            "sent_at": row.sent_at}
