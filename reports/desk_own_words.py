"""A tuner's own words for letters: written once, put into any letter, changed, deleted."""
from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from intake.errors import Refused
from reports import services
from reports.desk_sign_in import tuner
from reports.models import OwnWords
from reports.own_words import SLOTS

CONFLICT = 409


@tuner
@require_http_methods(["GET", "POST"])
def own_words(request: HttpRequest) -> HttpResponse:
    """List the tuner's own words; a POST keeps new ones."""
    return _saved(request, None) if request.method == "POST" else _page(request)


@tuner
@require_POST
def own_words_change(request: HttpRequest, words: int) -> HttpResponse:
    """Change the name or the text of own words."""
    return _saved(request, _mine(request, words))


@tuner
@require_POST
def own_words_delete(request: HttpRequest, words: int) -> HttpResponse:
    """Delete own words."""
    own = _mine(request, words)
    services.delete_own_words(own=own)
    messages.success(request, f"'{own.name}' is deleted. Letters that have the words keep them.")
    return redirect("own-words")


def _mine(request: HttpRequest, words: int) -> OwnWords:
    return get_object_or_404(OwnWords, pk=words, owner=request.user)


def _saved(request: HttpRequest, own: OwnWords | None) -> HttpResponse:
    name, text = request.POST.get("name", ""), request.POST.get("text", "")
    try:
        kept = services.save_own_words(user=request.user, name=name, text=text, own=own)
    except Refused as refused:
        return _page(request, refused=refused, at=own.pk if own else 0, name=name, text=text)
    messages.success(request, f"Kept as '{kept.name}'.")
    return redirect("own-words")


def _page(request: HttpRequest, *, refused: Refused | None = None, at: int = 0, name: str = "",
          text: str = "") -> HttpResponse:
    mine = [(own.pk, own.name, name if at == own.pk else own.name, text if at == own.pk else own.text)
            for own in request.user.own_words.all()]
    return render(request, "reports/desk/own_words.html", {
        "mine": mine, "refused": refused, "name": "" if at else name, "text": "" if at else text,
        "slots": [f"{{{slot}}}" for slot in SLOTS]}, status=CONFLICT if refused else 200)
