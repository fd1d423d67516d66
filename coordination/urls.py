"""Every address is a screen of ``coordination.web``."""

from django.urls import include, path

urlpatterns = [path("", include("coordination.web.urls"))]
