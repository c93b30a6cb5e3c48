"""What goes through the shop's door, as shapes: checked on the way in, described in the API's own page."""
from __future__ import annotations

from typing import Any

from django.urls import reverse
from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.plumbing import ResolvedComponent
from rest_framework import serializers

from analysis.schema import case_schema
from intake.errors import Refused
from intake.models import Case, Photo, Round, ShopToken
from intake.paths import storable
from intake.services.handing_in import LONGEST_JOB
from intake.services.shops import LONGEST_OVERLAP


class DocumentField(serializers.JSONField):
    """A case document.  Its own faults are found by the engine's reader; here only what cannot be stored at all."""

    def to_internal_value(self, data: Any) -> Any:
        """Return the document as the database can keep it."""
        try:
            return storable(data)
        except Refused as refusal:
            raise serializers.ValidationError(str(refusal)) from None


class DocumentFieldSchema(OpenApiSerializerFieldExtension):
    """The case document's own JSON Schema as one component of the API's description."""

    target_class = DocumentField
    component = "CaseDocument"

    def map_serializer_field(self, auto_schema: Any, direction: Any) -> Any:
        """Register the component and refer to it."""
        return as_component(auto_schema, self.component, DocumentField, case_schema())


def as_component(auto_schema: Any, name: str, field: type[serializers.Field], schema: dict[str, Any]) -> Any:
    """Put a document's JSON Schema into the API's description under a name; return the reference to it."""
    bare = {key: value for key, value in schema.items() if key not in ("$schema", "$id")}
    made = ResolvedComponent(name=name, type=ResolvedComponent.SCHEMA, object=field,
                             schema=_moved(bare, f"#/components/schemas/{name}/$defs/"))
    auto_schema.registry.register_on_missing(made)
    return made.ref


def _moved(schema: Any, place: str) -> Any:
    """Return the schema with its references pointing to where its definitions stand in the description."""
    if isinstance(schema, list):
        return [_moved(inner, place) for inner in schema]
    if not isinstance(schema, dict):
        return schema
    return {key: value.replace("#/$defs/", place) if key == "$ref" else _moved(value, place)
            for key, value in schema.items()}


class JobIn(serializers.Serializer):
    """A job that a shop hands in."""

    job = serializers.CharField(max_length=LONGEST_JOB, help_text="Your own number of the job.")
    rider_email = serializers.EmailField(required=False, allow_blank=True, default="")
    rider_name = serializers.CharField(required=False, allow_blank=True, default="", max_length=120)
    document = DocumentField(help_text="The whole case document.")
    hand_in = serializers.BooleanField(required=False, default=True, help_text=(
        "False: keep the case open, so that photos can be added; hand it in afterwards."))


class DocumentIn(serializers.Serializer):
    """A document that corrects or answers."""

    document = DocumentField(help_text="The whole case document; it takes the old one's place.")


class CaseOut(serializers.Serializer):
    """A case as its shop sees it."""

    number = serializers.CharField()
    job = serializers.CharField()
    state = serializers.ChoiceField(choices=Case.State.choices)
    state_since = serializers.DateTimeField()
    created_at = serializers.DateTimeField()
    title = serializers.CharField()
    round = serializers.IntegerField(help_text="The newest round, from 1.")
    stop_riding = serializers.BooleanField(help_text="A safety sign was found in the latest assessment.")
    question = serializers.CharField(help_text="What the tuner asked; empty unless the state is 'needs an answer'.")
    question_place = serializers.CharField(help_text="The section or bench test where the answer belongs.")
    outcome = serializers.CharField(help_text="What it really was, once the case is closed.")
    address = serializers.CharField(help_text="Where this case is read.")


class CasePageOut(serializers.Serializer):
    """A page of cases, newest first."""

    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)
    results = CaseOut(many=True)


class PhotoOut(serializers.Serializer):
    """A photo of a round."""

    id = serializers.IntegerField()
    round = serializers.IntegerField()
    place = serializers.CharField(help_text="The section or bench test it belongs to.")
    path = serializers.CharField(help_text="The question it belongs to; empty where it is about the whole page.")
    caption = serializers.CharField()
    width = serializers.IntegerField()
    height = serializers.IntegerField()
    created_at = serializers.DateTimeField()
    address = serializers.CharField(help_text="Where the picture is read.")


class RoundOut(serializers.Serializer):
    """One round of a case: a set of answers, and what was done since the letter before."""

    number = serializers.IntegerField()
    revision = serializers.IntegerField(help_text="Grows with each change of the answers.")
    created_at = serializers.DateTimeField()
    handed_in_at = serializers.DateTimeField(allow_null=True)
    done = serializers.CharField(help_text="Whether the letter before was followed.")
    changes = serializers.CharField(help_text="What was changed on the bike since the letter before.")
    address = serializers.CharField()


class RoundWholeOut(RoundOut):
    """A round with its answers and photos."""

    document = DocumentField()
    photos = PhotoOut(many=True)


class NextRoundIn(serializers.Serializer):
    """What was done since the last letter."""

    done = serializers.ChoiceField(choices=Round.Done.choices, required=False, allow_blank=True, default="",
                                   error_messages={"invalid_choice": f"'{{input}}' is none of: "
                                                                     f"{', '.join(Round.Done.values)}."})
    changes = serializers.CharField(required=False, allow_blank=True, default="", max_length=4000,
                                    help_text="What was changed on the bike, in your words.")


class TokenOut(serializers.Serializer):
    """One of the shop's tokens; the token itself was shown once."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    scope = serializers.CharField()
    created_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True, help_text="To the minute.")
    ends_at = serializers.DateTimeField(allow_null=True, help_text="Set where a new token has taken its place.")
    this_one = serializers.BooleanField(help_text="The token of this request.")


class RotateIn(serializers.Serializer):
    """How long the old token lives on."""

    overlap_hours = serializers.IntegerField(required=False, default=24, min_value=0, max_value=LONGEST_OVERLAP)


class NewTokenOut(TokenOut):
    """A new token, shown this once."""

    token = serializers.CharField()
    old_ends_at = serializers.DateTimeField(help_text="Until then the old token opens the door too.")


class FaultOut(serializers.Serializer):
    """One thing that is wrong."""

    path = serializers.CharField()
    problem = serializers.CharField()
    mend = serializers.CharField()


class ProblemOut(serializers.Serializer):
    """Problem details (RFC 9457)."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    mend = serializers.CharField(required=False)
    faults = FaultOut(many=True, required=False)
    case = serializers.CharField(required=False, help_text="The case that a conflict is about.")


def case_shape(case: Case) -> dict[str, Any]:
    """Return a case as ``CaseOut`` describes it.  The case needs ``newest_round`` (see ``intake.api.own_cases``)."""
    return {
        "number": case.number, "job": case.shop_job, "state": case.state, "state_since": case.state_since,
        "created_at": case.created_at, "title": case.title, "round": case.newest_round, "stop_riding": case.stop,
        "question": case.question if case.state == Case.State.NEEDS_ANSWER else "",
        "question_place": case.question_path if case.state == Case.State.NEEDS_ANSWER else "",
        "outcome": case.outcome, "address": reverse("api-case", args=[case.number]),
    }


def photo_shape(photo: Photo, number: str) -> dict[str, Any]:
    """Return a photo as ``PhotoOut`` describes it."""
    return {
        "id": photo.pk, "round": photo.round.number, "place": photo.place, "path": photo.path, "caption": photo.caption,
        "width": photo.width, "height": photo.height, "created_at": photo.created_at,
        "address": reverse("api-photo", args=[number, photo.pk]),
    }


def round_shape(round: Round, number: str) -> dict[str, Any]:
    """Return a round as ``RoundOut`` describes it."""
    return {
        "number": round.number, "revision": round.revision, "created_at": round.created_at,
        "handed_in_at": round.handed_in_at, "done": round.done, "changes": round.changes,
        "address": reverse("api-round", args=[number, round.number]),
    }


def token_shape(token: ShopToken, used: ShopToken) -> dict[str, Any]:
    """Return a token as ``TokenOut`` describes it; ``used`` is the one of this request."""
    return {
        "id": token.pk, "name": token.name, "scope": token.scope, "created_at": token.created_at,
        "last_used_at": token.last_used_at, "ends_at": token.ends_at, "this_one": token.pk == used.pk,
    }
