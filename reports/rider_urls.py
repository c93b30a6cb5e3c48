"""The rider's addresses for the letter."""
from django.urls import path

from reports import rider_views

urlpatterns = [
    path("<str:number>/letter/", rider_views.letter, name="letter"),
    path("<str:number>/letter/pdf/", rider_views.letter_pdf, name="letter-pdf"),
]
