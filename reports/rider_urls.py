"""The rider's addresses for what is made of the case: the bench sheet and the letter."""
from django.urls import path

from reports import rider_bench_sheet, rider_own, rider_views

urlpatterns = [
    path("<str:number>/letter/", rider_views.letter, name="letter"),
    path("<str:number>/letter/pdf/", rider_views.letter_pdf, name="letter-pdf"),
    path("<str:number>/bench-sheet/", rider_bench_sheet.bench_sheet, name="bench-sheet"),
    path("<str:number>/before-and-after/", rider_own.before_and_after, name="before-and-after"),
    path("<str:number>/take-along/", rider_own.take_along, name="take-along"),
    path("<str:number>/erase/", rider_own.erase, name="erase"),
    path("<str:number>/reminders/", rider_own.reminders, name="reminders"),
    path("no-more-reminders/<str:token>/", rider_own.no_more_reminders, name="no-more-reminders"),
]
