"""The rider's addresses for what is made of the case: the bench sheet and the letter."""
from django.urls import path

from reports import rider_bench_sheet, rider_views

urlpatterns = [
    path("<str:number>/letter/", rider_views.letter, name="letter"),
    path("<str:number>/letter/pdf/", rider_views.letter_pdf, name="letter-pdf"),
    path("<str:number>/bench-sheet/", rider_bench_sheet.bench_sheet, name="bench-sheet"),
]
