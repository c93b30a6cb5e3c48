"""The photos' own addresses for a phone that sends them piece by piece, in the way of resumable uploads over HTTP.

``POST`` begins an upload and says where it is; ``HEAD`` there says how much has come; ``PATCH`` brings the next piece;
``GET`` says what became of it; ``DELETE`` gives it up.  The plain form beside them sends a photo in one go and needs
none of this.
"""
from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from intake import photo_pieces, photos
from intake.access import entered_case
from intake.errors import Refused
from intake.models import PhotoUpload
from intake.other_round import of_another_round, photo_of_another_round
from intake.photo_pieces import WrongOffset
from intake.sheets import sheet_for

WRONG_OFFSET = "https://iana.org/assignments/http-problem-types#mismatching-upload-offset"
PIECE_TYPE = "application/partial-upload"


@require_POST
@never_cache
def photo_begin(request: HttpRequest, number: str) -> HttpResponse:
    """Begin an upload; its size is said in ``Upload-Length``."""
    sheet = sheet_for(request, number)
    if of_another_round(request.POST.get("round"), sheet.round):
        return _refused(photo_of_another_round())
    try:
        upload = photo_pieces.begin_upload(
            round=sheet.round, place=request.POST.get("place", ""), path=request.POST.get("path", ""),
            caption=request.POST.get("caption", ""), size=_whole(request.headers.get("Upload-Length")) or 0)
    except Refused as refused:
        return _refused(refused)
    answer = HttpResponse(status=201)
    answer["Location"] = reverse("photo-upload", args=[sheet.case.number, upload.token])
    answer["Upload-Limit"] = (f"max-size={photos.MOST_BYTES}, max-age={int(photo_pieces.KEPT.total_seconds())}")
    return _progress(answer, upload)


@require_http_methods(["HEAD", "GET", "PATCH", "DELETE"])
@never_cache
def photo_upload(request: HttpRequest, number: str, token: str) -> HttpResponse:
    """Say how far an upload is or what became of it, take its next piece, or give it up."""
    upload = _upload(request, number, token)
    if request.method == "PATCH":
        return _next_piece(request, upload)
    if request.method == "GET":
        return _progress(JsonResponse(_said(upload)), upload)
    if request.method == "DELETE":
        photo_pieces.drop_upload(upload=upload)
        return HttpResponse(status=204)
    return _progress(HttpResponse(status=204), upload)


@require_POST
def photo_give_up(request: HttpRequest, number: str, token: str) -> HttpResponse:
    """Take away a photo that is still being made, or that could not be used."""
    upload = _upload(request, number, token)
    photo_pieces.drop_upload(upload=upload)
    sheet = sheet_for(request, number)
    station = sheet.way.named(upload.place, bench=False) or sheet.way.named(upload.place, bench=True)
    if sheet.is_open and station:
        return redirect(f"{station.url}#photos")
    return redirect("case-page", sheet.case.number)


def _upload(request: HttpRequest, number: str, token: str) -> PhotoUpload:
    here = entered_case(number=number, session=request.session)  # in one question: a phone asks it for every piece
    return get_object_or_404(PhotoUpload, token=token.replace("\x00", ""), round__case__in=here)


def _next_piece(request: HttpRequest, upload: PhotoUpload) -> HttpResponse:
    offset = _whole(request.headers.get("Upload-Offset"))
    if offset is None or request.content_type not in (PIECE_TYPE, ""):
        return JsonResponse({"problem": f"A piece is sent as {PIECE_TYPE} with Upload-Offset."}, status=400)
    try:
        if not upload.is_whole:
            photo_pieces.add_piece(upload=upload, offset=offset, stream=request)
        if photo_pieces.bytes_here(upload) < upload.size:
            return _progress(HttpResponse(status=204), upload)
        upload = photo_pieces.finish_upload(upload=upload)
    except WrongOffset as wrong:
        said = {"type": WRONG_OFFSET, "expected-offset": wrong.received, "provided-offset": offset}
        return _progress(JsonResponse(said, status=409), upload)
    except Refused as refused:
        return _refused(refused)
    return _progress(JsonResponse(_said(upload)), upload)


def _progress(answer: HttpResponse, upload: PhotoUpload) -> HttpResponse:
    answer["Upload-Offset"] = str(photo_pieces.bytes_here(upload))
    answer["Upload-Length"] = str(upload.size)
    answer["Upload-Complete"] = "?1" if upload.is_whole else "?0"
    return answer


def _said(upload: PhotoUpload) -> dict[str, Any]:
    """Return what became of a photo, or that it is still being made."""
    if upload.photo is not None:
        photo = upload.photo
        return {"state": "made", "photo": reverse("photo", args=[photo.round.case.number, photo.pk]),
                "caption": photo.caption, "width": photo.width, "height": photo.height}
    if upload.refused_as is not None:
        refused = photos.NoPhoto(upload.refused_as)
        return {"state": "refused", "problem": refused.problem, "mend": refused.mend}
    return {"state": "being made" if upload.is_whole else "coming", "caption": upload.caption}


def _refused(refused: Refused) -> HttpResponse:
    return JsonResponse({"problem": refused.problem, "mend": refused.mend}, status=422)


def _whole(typed: str | None) -> int | None:
    return int(typed) if typed and typed.isascii() and typed.isdigit() and len(typed) < 10 else None
