"""A data logger's recording on the desk: pick a file, say what its columns are, see what it says."""
from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from analysis.case import Fault
from analysis.columns_seen import Seen, columns_seen
from analysis.csv_rows import LogFaults
from intake.errors import Refused
from intake.models import Case, Round
from intake.services import case_for
from reports import services
from reports.desk_sign_in import tuner
from reports.desk_views import CONFLICT, UNREADABLE, chosen_round
from reports.models import TravelLog
from reports.services.travel_logs import MOST_BYTES, newest_draft
from reports.travel_mapping import NEAR
from reports.travel_words import ends_of, letter_lines

ENDS = {"front": "Fork", "rear": "Shock"}
PARTS = {
    "zero": ("reading at full extension", "A length that is taken off; or any number, with a reading at full stroke."),
    "full": ("reading at full stroke", "For volts and counts only."),
    "stroke": ("full stroke", "Such as 140 mm; left out, the case's own is taken."),
}
NAMES = {"time": "Time", "near": "Near an end", **ENDS, **{
    f"{end}_{part}": f"{title}, {words}" for end, title in ENDS.items() for part, (words, _) in PARTS.items()}}
"""What each field is called, on the page and in a fault."""


class ColumnsForm(forms.Form):
    """Which column is what, in which unit, and what it reads at both ends."""

    def __init__(self, columns: Sequence[Seen], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(one.name, _column_words(one)) for one in columns]
        self._add("time", forms.ChoiceField(choices=choices), NAMES["time"], required=True)
        self._add("time_unit", forms.CharField(), "Unit of the time", "Such as s or ms; s where the file says nothing.")
        self._add("unit", forms.CharField(), "Unit of the travel", "Such as mm or in; mm where the file says nothing.")
        for end, title in ENDS.items():
            self._add(end, forms.ChoiceField(choices=[("", "not recorded"), *choices]), title)
            for part, (_, help_words) in PARTS.items():
                self._add(f"{end}_{part}", forms.CharField(), NAMES[f"{end}_{part}"], help_words)
        self._add("near", forms.CharField(initial=NEAR), NAMES["near"], "How close to an end counts as near it.")

    def _add(self, name: str, field: forms.Field, label: str, help_words: str = "", *, required: bool = False) -> None:
        field.label, field.help_text, field.required = label, help_words, required
        if isinstance(field, forms.CharField):
            field.max_length = 40
            field.widget.attrs["maxlength"] = 40
        self.fields[name] = field


def _column_words(one: Seen) -> str:
    heading = one.heading or f"column {one.name}"
    named = heading if one.name in (one.heading, "") or not one.heading else f"{heading} (column {one.name})"
    return f"{named}: {', '.join(one.first)}"[:100]


@tuner
@require_http_methods(["GET", "POST"])
def travel_logs(request: HttpRequest, number: str) -> HttpResponse:
    """The recordings of a round, and the way to add one."""
    case = case_for(user=request.user, number=number)
    round = chosen_round(request, case)
    if request.method == "GET":
        return _list_page(request, case, round)
    upload = request.FILES.get("recording")
    if upload is None:
        refused = Refused("No file came along.", "Pick the recording, then press the button again.")
        return _list_page(request, case, round, refused=refused, status=UNREADABLE)
    try:
        log = services.add_travel_log(round=round, name=upload.name or "", raw=_read(upload), user=request.user)
    except Refused as refused:
        return _list_page(request, case, round, refused=refused, status=CONFLICT)
    except LogFaults as bad:
        return _list_page(request, case, round, faults=bad.faults, status=UNREADABLE)
    messages.success(request, f"{log.name} is kept. Say which column is what.")
    return redirect("travel-log", number, log.pk)


def _read(upload: UploadedFile) -> bytes:
    """Return the file, one byte more than may be kept at the most: then it is refused by its size."""
    return upload.read(MOST_BYTES + 1)


def _list_page(request: HttpRequest, case: Case, round: Round, *, status: int = 200, **more: Any) -> HttpResponse:
    logs = [{"log": log, "ends": ends_of(log.summary)} for log in round.travel_logs.defer("packed")]
    return render(request, "reports/desk/travel_logs.html", {"case": case, "round": round, "logs": logs, **more},
                  status=status)


def _log(request: HttpRequest, number: str, log: int) -> TravelLog:
    """Return a recording of this case; another case's does not exist here."""
    case = case_for(user=request.user, number=number)
    return get_object_or_404(TravelLog.objects.select_related("round__case", "draft"), pk=log, round__case=case)


@tuner
@require_http_methods(["GET", "POST"])
def travel_log(request: HttpRequest, number: str, log: int) -> HttpResponse:
    """One recording: its columns, what they were said to be, and what it says.  What was typed stays in the form."""
    found = _log(request, number, log)
    columns = columns_seen(services.recording(log=found))
    if request.method == "GET":
        return _log_page(request, found, ColumnsForm(columns, initial=found.mapping or None))
    form = ColumnsForm(columns, request.POST)
    faults: tuple[Fault, ...] = ()
    if form.is_valid():
        try:
            services.read_travel_log(log=found, typed=form.cleaned_data, names=NAMES, user=request.user)
        except LogFaults as bad:
            faults = bad.faults
        else:
            messages.success(request, "Read. What it says is kept with the case.")
            return redirect("travel-log", number, log)
    return _log_page(request, found, form, faults=faults, status=UNREADABLE)


def _log_page(request: HttpRequest, log: TravelLog, form: ColumnsForm, *, status: int = 200,
              faults: tuple[Fault, ...] = ()) -> HttpResponse:
    newest = newest_draft(round=log.round)
    language = log.round.case.language
    return render(request, "reports/desk/travel_log.html", {
        "case": log.round.case, "language": language, "english": letter_lines(log.summary, "en"),
        "round": log.round, "log": log, "form": form, "faults": faults,
        "ends": ends_of(log.summary), "lines": letter_lines(log.summary, language),
        "no_findings": log.summary is not None and log.draft is None,
        "newer_findings": log.summary is not None and newest is not None and newest != log.draft,
    }, status=status)


@tuner
@require_GET
def travel_log_file(request: HttpRequest, number: str, log: int) -> HttpResponse:
    """The recording as it came."""
    found = _log(request, number, log)
    return HttpResponse(services.recording(log=found), content_type="text/csv", headers={
        "Content-Disposition": content_disposition_header(True, found.name) or "attachment",
        "X-Content-Type-Options": "nosniff"})


@tuner
@require_POST
def travel_log_remove(request: HttpRequest, number: str, log: int) -> HttpResponse:
    """Take a recording out of the case."""
    found = _log(request, number, log)
    services.remove_travel_log(log=found, user=request.user)
    messages.success(request, f"{found.name} is removed.")
    return redirect(f"{reverse('travel-logs', args=[number])}?round={found.round.number}")
