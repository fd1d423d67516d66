"""The addresses of all screens; UUIDs and words only, never a database id."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
